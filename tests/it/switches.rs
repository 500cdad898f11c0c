//! Every switch, choice and level can be moved while it sounds, without a click.
//!
//! The measure: a 50 Hz tone at -6 dBFS, the change made at eight phases of it; what is left
//! above 2 kHz (eighth-order Butterworth) is the click. The limit of -90 dBFS is that of
//! 16-bit sound with 6 dB to spare (common practice, no source).

use crate::line::{peak, settings, sine};
use underpin::path::Path;
use underpin::settings::Settings;

const RATE: f64 = 48_000.0;
const LIMIT_DBFS: f32 = -90.0;

/// Settings that make a change of anything heard: much lift, octave part on.
const MUCH: &[(&str, &str)] = &[
    ("octave.level_db", "0"),
    ("low_band.gain_db", "18"),
    ("low_band.centre_hz", "50"),
    ("input.trim_db", "-18"),
];

/// Two values of every setting that is a switch, a choice or a level.
const CHANGES: &[(&str, &str, &str)] = &[
    ("bypass", "off", "on"),
    ("listen", "blend", "octave"),
    ("listen", "blend", "dry"),
    ("listen", "blend", "difference"),
    ("input.trim_db", "-24", "0"),
    ("dry.level_db", "off", "12"),
    ("octave.level_db", "off", "12"),
    ("octave.method", "tracked", "halved"),
    ("octave.method", "tracked", "divided"),
    ("octave.method", "halved", "divided"),
    ("octave.response", "clean", "fast"),
    ("octave.from_hz", "30", "45"),
    ("octave.to_hz", "70", "160"),
    ("octave.floor_hz", "off", "30"),
    ("octave.phase_deg", "0", "180"),
    ("low_band.gain_db", "0", "18"),
    ("low_band.gain_db", "-18", "18"),
    ("low_band.centre_hz", "20", "160"),
    ("low_band.width_oct", "0.3", "4"),
    ("low_band.acts_on", "blend", "octave"),
    ("closed_box.on", "off", "on"),
    ("high_pass.order", "off", "2"),
    ("high_pass.order", "off", "4"),
    ("high_pass.order", "2", "4"),
    ("high_pass.hz", "8", "60"),
    ("output.gain_db", "-24", "0"),
    ("output.ceiling", "off", "on"),
];

/// What only sounds when the closed box is on.
const BOXED: &[(&str, &str, &str)] = &[
    ("closed_box.from_hz", "40", "60"),
    ("closed_box.from_hz", "15", "120"),
    ("closed_box.from_q", "0.3", "2"),
    ("closed_box.to_hz", "25", "40"),
    ("closed_box.to_hz", "10", "80"),
    ("closed_box.to_q", "0.3", "1.2"),
];

/// Eight-order Butterworth high-pass at 2 kHz: four sections by the Audio EQ Cookbook, with
/// qualities 1/(2·cos((2k-1)π/16)).
fn above_2_khz(signal: &[f32]) -> Vec<f32> {
    let mut signal: Vec<f64> = signal.iter().map(|x| f64::from(*x)).collect();
    for k in 1..=4 {
        let q = 0.5 / (f64::from(2 * k - 1) * std::f64::consts::PI / 16.0).cos();
        let w = std::f64::consts::TAU * 2000.0 / RATE;
        let (alpha, cos) = (w.sin() / (2.0 * q), w.cos());
        let b = [0.5 * (1.0 + cos), -(1.0 + cos), 0.5 * (1.0 + cos)].map(|b| b / (1.0 + alpha));
        let a = [-2.0 * cos / (1.0 + alpha), (1.0 - alpha) / (1.0 + alpha)];
        let (mut x1, mut x2, mut y1, mut y2) = (0.0, 0.0, 0.0, 0.0);
        for x in &mut signal {
            let y = b[0] * *x + b[1] * x1 + b[2] * x2 - a[0] * y1 - a[1] * y2;
            (x2, x1, y2, y1) = (x1, *x, y1, y);
            *x = y;
        }
    }
    signal.iter().map(|x| *x as f32).collect()
}

/// Peak in dBFS above 2 kHz after a change from `before` to `after`, the worst of eight phases.
fn click_dbfs(before: &Settings, after: &Settings) -> f32 {
    (0..8)
        .map(|eighth| {
            let change = 48_000 + eighth * 120;
            let mut path = Path::new(RATE, 1);
            path.set(before);
            let mut out = sine(0.5, 50.0, RATE, 1.5);
            let (first, second) = out.split_at_mut(change);
            path.process(&mut [first], &mut ());
            path.set(after);
            path.process(&mut [second], &mut ());
            // The first quarter of a second holds the filter's own start.
            20.0 * peak(&above_2_khz(&out)[12_000..]).log10()
        })
        .fold(f32::NEG_INFINITY, f32::max)
}

#[test]
fn no_switch_choice_or_level_clicks() {
    let mut table = String::new();
    let mut worst = f32::NEG_INFINITY;
    for (key, from, to) in CHANGES {
        for base in [settings(&[]), settings(MUCH)] {
            let [a, b] = [from, to].map(|text| base.with(key, text).expect("setting"));
            for (before, after, way) in [(&a, &b, "up"), (&b, &a, "back")] {
                let click = click_dbfs(before, after);
                worst = worst.max(click);
                table += &format!("{key} {from} {to} {way}: {click:.1} dBFS\n");
            }
        }
    }
    println!("{table}");
    assert!(worst <= LIMIT_DBFS, "worst {worst:.1} dBFS");
}

#[test]
fn a_closed_box_is_turned_without_a_click() {
    let base = settings(&[("closed_box.on", "on"), ("octave.level_db", "off")]);
    for (key, from, to) in BOXED {
        let [a, b] = [from, to].map(|text| base.with(key, text).expect("setting"));
        for (before, after) in [(&a, &b), (&b, &a)] {
            let click = click_dbfs(before, after);
            println!("{key} {from} {to}: {click:.1} dBFS");
            assert!(click <= LIMIT_DBFS, "{key} {from} {to}: {click:.1} dBFS");
        }
    }
}

#[test]
fn the_measure_sees_a_click() {
    // A step of 1 % of full scale: an eighth-order high-pass leaves most of its height.
    let mut signal = sine(0.5, 50.0, RATE, 1.0);
    signal[30_000..].iter_mut().for_each(|x| *x += 0.01);
    let click = 20.0 * peak(&above_2_khz(&signal)[12_000..]).log10();
    assert!(click > -50.0, "{click}");
}

#[test]
fn a_corner_that_moves_while_the_high_pass_is_off_has_arrived_when_it_is_heard() {
    let off = |hz: &str| settings(&[("high_pass.hz", hz)]);
    let heard = settings(&[("high_pass.hz", "40"), ("high_pass.order", "4")]);
    let run = |before: &str| {
        let mut path = Path::new(RATE, 1);
        let mut out = sine(0.5, 50.0, RATE, 1.0);
        for (block, settings) in out.chunks_mut(24_000).zip([off(before), heard]) {
            path.set(&settings);
            let (first, rest) = block.split_at_mut(12_000);
            path.process(&mut [first], &mut ());
            if settings == off(before) {
                path.set(&off("40"));
            }
            path.process(&mut [rest], &mut ());
        }
        out
    };
    assert!(run("20") == run("40"), "the corner was still on its way");
}
