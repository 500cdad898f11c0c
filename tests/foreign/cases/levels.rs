//! What follows the knob and what follows the level, at four steps, at two, at one.

use crate::case::{Bench, Case, RATE, Scene};
use crate::cases::shapes::high_pass;
use crate::chance::Chance;
use crate::dynamics::{Dynamics, Law};
use crate::equaliser::low_shelf;
use crate::filter::{Filter, butterworth};
use crate::truth::Depends;

/// Four steps of 8 dB.
const STEPS: [f64; 4] = [-28.0, -20.0, -12.0, -4.0];

pub(crate) fn all() -> Vec<Case> {
    let mut all = fixed();
    all.extend(knob());
    all.extend(limiters());
    all.extend(one_take());
    all.push(phone());
    all
}

fn law(threshold_dbfs: f64, ratio: f64, attack_s: f64, release_s: f64) -> Law {
    Law { threshold_dbfs, ratio, attack_s, release_s }
}

fn fixed() -> Vec<Case> {
    [1usize, 2, 4, 6]
        .into_iter()
        .map(|n| {
            Case::new("fixed", format!("order {n} at four steps"), move |c: &mut Chance, seed| {
                let linear = high_pass(&butterworth(n), c.near(60.0, 0.1));
                Bench::new(c, linear).at(&STEPS).scene(Some(n), seed)
            })
            .clean()
        })
        .collect()
}

/// Curves that follow the knob alone.
fn knob() -> Vec<Case> {
    let follows = |name: &str, follows: fn(&Filter, f64, f64) -> Filter, order: Option<usize>| {
        Case::new("knob", name, move |c: &mut Chance, seed| {
            let linear = high_pass(&butterworth(2), c.near(35.0, 0.1));
            let mut bench = Bench::new(c, linear).at(&STEPS);
            bench.follows = Some(follows);
            bench.truth.depends = Depends::Volume;
            bench.scene(order, seed)
        })
    };
    vec![
        follows(
            "loudness: shelf of 9 dB fades with the volume",
            |base, volume, rate| {
                base.clone().then(low_shelf(120.0, 9.0 * (-volume - 4.0) / 24.0, rate))
            },
            // At the loudest step, which is told, the shelf is gone.
            Some(2),
        ),
        follows(
            "shelf of 8 dB taken with the volume",
            |base, volume, rate| {
                base.clone().then(low_shelf(110.0, -8.0 * (volume + 28.0) / 24.0, rate))
            },
            None,
        ),
        follows(
            "corner slides from 40 to 90 Hz with the volume",
            |_, volume, rate| {
                let hz = 40.0 * (90.0f64 / 40.0).powf((volume + 28.0) / 24.0);
                butterworth(4).turned().at(hz, rate, 600.0)
            },
            Some(4),
        ),
        follows(
            "only the last step loses 5 dB",
            |base, volume, rate| {
                base.clone().then(low_shelf(100.0, if volume > -5.0 { -5.0 } else { 0.0 }, rate))
            },
            None,
        ),
        follows(
            "loudness of 1.5 dB",
            |base, volume, rate| {
                base.clone().then(low_shelf(120.0, 1.5 * (-volume - 4.0) / 24.0, rate))
            },
            Some(2),
        ),
    ]
}

/// A radio whose dynamics are these, at some steps.
fn limited(
    group: &'static str,
    name: &str,
    early: Option<Dynamics>,
    late: Option<Dynamics>,
    steps: &'static [f64],
    depends: Depends,
) -> Case {
    Case::new(group, name, move |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(2), c.near(40.0, 0.1));
        let mut bench = Bench::new(c, linear).at(steps);
        bench.radio.early = early.clone().unwrap_or(Dynamics::None);
        bench.radio.late = late.clone().unwrap_or(Dynamics::None);
        bench.truth.depends = depends;
        bench.truth.level_dependent = true;
        // 35 to 110 Hz of second order take 40 dB at 12.5 Hz.
        let slides = [&early, &late].iter().any(|d| matches!(d, Some(Dynamics::Sliding(..))));
        loose(bench.scene(None, seed), if slides { 45.0 } else { 25.0 })
    })
}

/// The curve that was judged hangs on the level it was judged at: the bass may lie lower.
fn loose(mut scene: Scene, below_db: f64) -> Scene {
    for channel in &mut scene.truth.channels {
        (channel.below_db, channel.above_db) = (below_db, 12.0);
    }
    scene
}

fn limiters() -> Vec<Case> {
    let bass =
        |threshold, attack, release| Dynamics::Bass(150.0, law(threshold, 10.0, attack, release));
    let broad = |threshold, ratio| Dynamics::Broad(law(threshold, ratio, 0.005, 0.3));
    let held =
        |name, before, after| limited("limiter", name, before, after, &STEPS, Depends::Level);
    vec![
        held("bass limiter, fast", None, Some(bass(-26.0, 0.005, 0.2))),
        held("bass limiter, 2 s of release", None, Some(bass(-26.0, 0.02, 2.0))),
        held("bass limiter, 8 s of release", None, Some(bass(-26.0, 0.05, 8.0))),
        held("bass compressor 2:1", None, Some(Dynamics::Bass(120.0, law(-34.0, 2.0, 0.01, 0.3)))),
        held(
            "three bands",
            None,
            Some(Dynamics::Bands([
                law(-26.0, 8.0, 0.01, 0.3),
                law(-14.0, 3.0, 0.01, 0.2),
                law(-14.0, 3.0, 0.005, 0.1),
            ])),
        ),
        held("three bands alike", None, Some(Dynamics::Bands([law(-22.0, 6.0, 0.01, 0.3); 3]))),
        held("broadband, 5 dB", None, Some(broad(-12.0, 6.0))),
        held("broadband 2:1", None, Some(broad(-24.0, 2.0))),
        held("broadband before the knob", Some(broad(-14.0, 4.0)), None),
        held("high-pass slides with the level", None, Some(Dynamics::Sliding(35.0, 110.0, -34.0))),
        held("high-pass slides before the knob", Some(Dynamics::Sliding(35.0, 110.0, -26.0)), None),
        both(),
    ]
}

/// A shelf that follows the knob and a limiter.
fn both() -> Case {
    Case::new("limiter", "shelf with the knob and a limiter", |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(2), c.near(35.0, 0.1));
        let mut bench = Bench::new(c, linear).at(&STEPS);
        bench.follows = Some(|base, volume, rate| {
            base.clone().then(low_shelf(110.0, -7.0 * (volume + 28.0) / 24.0, rate))
        });
        bench.radio.late = Dynamics::Bass(150.0, law(-30.0, 10.0, 0.005, 0.2));
        bench.truth.depends = Depends::Both;
        bench.truth.level_dependent = true;
        loose(bench.scene(None, seed), 25.0)
    })
}

/// One take says nothing of steps; a limiter may be seen in its levels.
fn one_take() -> Vec<Case> {
    let one: &'static [f64] = &[-4.0];
    let bass = Dynamics::Bass(150.0, law(-26.0, 10.0, 0.005, 0.2));
    vec![
        limited(
            "one take",
            "one take, bass limiter",
            None,
            Some(bass.clone()),
            one,
            Depends::Level,
        ),
        limited(
            "one take",
            "one take, broadband 5 dB",
            None,
            Some(Dynamics::Broad(law(-12.0, 6.0, 0.005, 0.3))),
            one,
            Depends::Level,
        ),
        limited(
            "one take",
            "one take, sliding high-pass",
            None,
            Some(Dynamics::Sliding(35.0, 110.0, -34.0)),
            one,
            Depends::Level,
        ),
        Case::new("one take", "one take, loudness unseen", |c: &mut Chance, seed| {
            let linear =
                high_pass(&butterworth(2), c.near(40.0, 0.1)).then(low_shelf(110.0, -6.0, RATE));
            let mut bench = Bench::new(c, linear).at(&[-4.0]);
            bench.truth.depends = Depends::Unknown;
            bench.scene(None, seed)
        }),
        limited(
            "one take",
            "two steps, bass limiter",
            None,
            Some(bass),
            &[-20.0, -4.0],
            Depends::Level,
        ),
    ]
}

fn phone() -> Case {
    Case::new("one take", "a phone's automatic gain", |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(4), c.near(60.0, 0.1));
        let mut bench = Bench::new(c, linear).at(&[-20.0, -12.0, -4.0]);
        bench.wire.automatic = true;
        bench.truth.depends = Depends::Unknown;
        let mut scene = bench.scene(Some(4), seed);
        scene.truth.must_say.push(&["moves on its own", "automatic gain"]);
        // Its pumping is no part of the radio.
        scene.truth.channels.clear();
        scene
    })
}
