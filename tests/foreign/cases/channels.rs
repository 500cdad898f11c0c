//! Two outputs, four outputs, outputs in several files: polarity, delay, level, sums.

use crate::case::{Bench, Case, File, RATE};
use crate::cases::shapes::high_pass;
use crate::chance::Chance;
use crate::filter::butterworth;
use crate::radio::{Mix, Radio};
use crate::truth::Depends;
use crate::wire::{Wire, later};
use underpin::signal::track::layout::Form;

pub(crate) fn all() -> Vec<Case> {
    let mut all = vec![
        mixed("right inverted", Mix::RightInverted, Some((true, 0.0, 0.0))).clean(),
        mixed("both inverted", Mix::Inverted, Some((false, 0.0, 0.0))).clean(),
        mixed("swapped", Mix::Swapped, Some((false, 0.0, 0.0))),
        mixed("mono", Mix::Mono, Some((false, 0.0, 0.0))),
        mixed("right through an all-pass at 80 Hz", Mix::RightTurned(80.0), None),
        mixed("sum with 1 ms between", Mix::SumLater(1.0), Some((false, 0.0, 0.0))),
    ];
    for ms in [0.1, 0.5, 1.0, 4.3, 8.0, 12.0, 20.0, 25.0] {
        all.push(mixed(
            format!("right {ms} ms later"),
            Mix::RightLater(ms),
            Some((false, ms, 0.0)),
        ));
    }
    all.extend([different_corners(), different_levels(), four_channels(), front_and_rear()]);
    all.extend([one_output("left alone", 0), one_output("right alone", 1)]);
    all
}

fn mixed(name: impl Into<String>, mix: Mix, relation: Option<(bool, f64, f64)>) -> Case {
    Case::new("channels", name, move |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(4), c.near(55.0, 0.1));
        let mut bench = Bench::new(c, linear);
        bench.radio.mix = mix;
        bench.truth.depends = Depends::Unknown;
        bench.truth.relation = relation;
        let mut scene = bench.scene(Some(4), seed);
        let inverts =
            [matches!(mix, Mix::Inverted), matches!(mix, Mix::Inverted | Mix::RightInverted)];
        for (channel, inverts) in scene.truth.channels.iter_mut().zip(inverts) {
            channel.inverts = inverts;
        }
        if matches!(mix, Mix::Mono | Mix::SumLater(_)) {
            scene.truth.channels.truncate(1);
        }
        scene
    })
}

fn different_corners() -> Case {
    Case::new("channels", "left 50 Hz, right 90 Hz", |c: &mut Chance, seed| {
        let [left, right] = [50.0, 90.0].map(|hz| high_pass(&butterworth(4), c.near(hz, 0.04)));
        let mut bench = Bench::new(c, left.clone());
        bench.radio.linear = [left, right];
        bench.truth.depends = Depends::Unknown;
        bench.truth.relation = None;
        bench.scene(Some(4), seed)
    })
}

fn different_levels() -> Case {
    Case::new("channels", "right 3 dB lower", |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(2), c.near(50.0, 0.04));
        let mut bench = Bench::new(c, linear);
        bench.truth.depends = Depends::Unknown;
        bench.truth.relation = Some((false, 0.0, -3.0));
        let mut scene = bench.scene(Some(2), seed);
        let low = 10f32.powf(-3.0 / 20.0);
        scene.captures[0].channels[1].iter_mut().for_each(|x| *x *= low);
        scene.truth.channels[1].gain_db -= 3.0;
        scene
    })
}

fn rear(c: &mut Chance, ms: f64, seed: u64) -> Vec<Vec<f32>> {
    let linear = high_pass(&butterworth(2), c.near(120.0, 0.03));
    let sound = Radio { volume_db: -12.0, ..Radio::new(RATE, linear) }.plays(Form::Short, seed ^ 4);
    let sound = sound.map(|channel| later(&channel, ms / 1000.0, RATE));
    Wire::default().record(&sound, RATE, seed ^ 5)
}

/// Front and rear in one file of four channels, the rear 6 ms later and thinner.
fn four_channels() -> Case {
    Case::new("outputs", "front and rear in four channels", |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(4), c.near(50.0, 0.05));
        let mut bench = Bench::new(c, linear);
        bench.wire.lead_s = Wire::default().lead_s;
        bench.truth.depends = Depends::Unknown;
        let mut scene = bench.scene(Some(4), seed);
        let rear = rear(c, 6.0, seed);
        let frames = scene.captures[0].channels[0].len();
        for mut channel in rear {
            channel.resize(frames, 0.0);
            scene.captures[0].channels.push(channel);
        }
        scene
    })
}

/// Front and rear in two files at one volume: outputs, no volume steps.
fn front_and_rear() -> Case {
    Case::new("outputs", "front and rear in two files", |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(4), c.near(50.0, 0.05));
        let mut bench = Bench::new(c, linear);
        bench.truth.depends = Depends::Unknown;
        let mut scene = bench.scene(Some(4), seed);
        scene.captures[0].name = "front".into();
        scene.captures.push(File { name: "rear".into(), rate: RATE, channels: rear(c, 6.0, seed) });
        scene.truth.must_not_say.push("falls with the volume");
        scene
    })
}

fn one_output(name: &str, output: usize) -> Case {
    Case::new("channels", name, move |c: &mut Chance, seed| {
        let linear = high_pass(&butterworth(3), c.near(50.0, 0.05));
        let mut bench = Bench::new(c, linear);
        bench.truth.depends = Depends::Unknown;
        bench.truth.relation = None;
        let mut scene = bench.scene(Some(3), seed);
        scene.captures[0].channels.swap(0, output);
        scene.captures[0].channels.truncate(1);
        scene.truth.channels.truncate(1);
        scene
    })
    .clean()
}
