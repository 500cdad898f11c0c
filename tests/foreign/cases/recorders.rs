//! Whose roll-off and whose noise: recorders with a high-pass of their own, loop-backs good and bad,
//! radios whose own noise takes the bass.

use crate::case::{Bench, Case, RATE};
use crate::cases::shapes::high_pass;
use crate::chance::Chance;
use crate::filter::{Filter, butterworth, linkwitz};
use crate::radio::Radio;
use crate::truth::{Channel, Depends};
use crate::wire::Wire;
use underpin::signal::track::layout::Form;

pub(crate) fn all() -> Vec<Case> {
    let mut all = Vec::new();
    for hz in [20.0, 40.0, 70.0, 100.0] {
        for divided in [false, true] {
            let how = if divided { "with" } else { "without" };
            all.push(rolled(
                format!("recorder first order {hz} Hz, {how} loop-back"),
                hz,
                divided,
                Some(3),
            ));
        }
        all.push(rolled(
            format!("flat radio, recorder first order {hz} Hz, no loop-back"),
            hz,
            false,
            None,
        ));
        all.push(rolled(
            format!("flat radio, recorder first order {hz} Hz, loop-back"),
            hz,
            true,
            None,
        ));
    }
    all.extend(own_noise());
    all.extend(bad_loop_backs());
    all.extend(sub_outputs());
    all
}

fn rolled(name: String, hz: f64, divided: bool, order: Option<usize>) -> Case {
    let case = Case::new("recorder", name, move |c: &mut Chance, seed| {
        let corner = c.near(75.0, 0.05);
        let linear = order.map_or(Filter::none(RATE), |n| high_pass(&butterworth(n), corner));
        let mut bench = Bench::new(c, linear);
        bench.wire.roll_off_hz = Some(c.near(hz, 0.05));
        bench.loop_back = divided;
        bench.truth.depends = Depends::Unknown;
        bench.truth.flat = order.is_none() && divided;
        let told =
            if divided { Some(order.unwrap_or(0)) } else { order.map(|n| n + 1).or(Some(1)) };
        // Third order and first together have no single slope of a family.
        let told = if order.is_some() && !divided { None } else { told };
        let mut scene = bench.scene(told, seed);
        if !divided {
            scene.truth.must_say.push(&["recorder", "loop-back"]);
        }
        scene
    });
    if divided { case.clean() } else { case }
}

/// Radios whose own noise is above what is left: with a loop-back that shows a quiet recorder the
/// content is gone, without one it cannot be known.
fn own_noise() -> Vec<Case> {
    let mut all = Vec::new();
    for (n, hz, noise) in [(4, 90.0, -55.0), (6, 80.0, -60.0), (3, 110.0, -50.0), (8, 70.0, -65.0)]
    {
        for divided in [false, true] {
            let how = if divided { "loop-back" } else { "no loop-back" };
            let name = format!("order {n} at {hz} Hz under noise {noise} dBFS, {how}");
            all.push(Case::new("gone", name, move |c: &mut Chance, seed| {
                let linear = high_pass(&butterworth(n), c.near(hz, 0.04));
                let mut bench = Bench::new(c, linear);
                bench.radio.noise_dbfs = noise;
                bench.loop_back = divided;
                bench.truth.depends = Depends::Unknown;
                bench.truth.hidden = !divided;
                bench.scene(Some(n), seed)
            }));
        }
    }
    all
}

fn bad_loop_backs() -> Vec<Case> {
    let spoiled = |name: &str, spoil: fn(&mut crate::case::File)| {
        Case::new("loop-back", name, move |c: &mut Chance, seed| {
            let linear = high_pass(&butterworth(3), c.near(70.0, 0.05));
            let mut bench = Bench::new(c, linear);
            bench.loop_back = true;
            bench.truth.depends = Depends::Unknown;
            let mut scene = bench.scene(Some(3), seed);
            scene.loop_back.iter_mut().for_each(spoil);
            scene.truth.must_say.push(&["loop-back", "loop back"]);
            scene.truth.may_refuse = true;
            scene
        })
    };
    vec![
        spoiled("loop-back holds no take", |file| {
            file.channels.iter_mut().for_each(|channel| channel.fill(0.0));
        }),
        spoiled("loop-back clipped", |file| {
            let all = file.channels.iter_mut().flatten();
            all.for_each(|x| *x = (*x * 4.0).clamp(-1.0, 1.0));
        }),
        spoiled("loop-back cut short", |file| {
            file.channels.iter_mut().for_each(|channel| channel.truncate(30 * RATE as usize));
        }),
    ]
}

/// Behind a subwoofer low-pass there may be no marker: then the low-pass must be named.
fn sub_outputs() -> Vec<Case> {
    let mut all = Vec::new();
    for (n, hz) in [(4, 70.0), (4, 80.0), (4, 100.0), (4, 120.0), (2, 80.0), (8, 100.0)] {
        all.push(Case::new(
            "subwoofer output",
            format!("low-pass {hz} Hz of order {n}"),
            move |c: &mut Chance, seed| {
                let hz = c.near(hz, 0.04);
                let low = if n == 2 {
                    butterworth(2).at(hz, RATE, 10.0)
                } else {
                    linkwitz(n).at(hz, RATE, 10.0)
                };
                let radio = Radio { volume_db: -4.0, ..Radio::new(RATE, low) };
                let sound = radio.plays(Form::Short, seed);
                let mut bench = Bench::new(c, Filter::none(RATE));
                bench.one_channel = true;
                let mut scene = bench.scene(None, seed);
                let wire = Wire { lead_s: 0.8, ..Wire::default() };
                scene.captures[0].channels = wire.record(&sound, RATE, seed);
                scene.captures[0].channels.truncate(1);
                // What a subwoofer output is told re 250 Hz to 1 kHz cannot be: only the message counts.
                scene.truth.channels = Vec::<Channel>::new();
                scene.truth.depends = Depends::NotAsked;
                scene.truth.relation = None;
                scene.truth.may_refuse = true;
                scene.truth.must_say.push(&["low-pass", "subwoofer"]);
                scene
            },
        ));
    }
    all
}
