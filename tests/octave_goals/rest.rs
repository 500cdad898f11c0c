//! Levels, direct voltage, sample rates (G7) and stereo (G9).

use super::figure::{Figure, at_least, at_most};
use super::fit::{blackman_harris, db, tones};
use super::signals::{sampled, tone};
use super::steady::one_tone;
use super::{RATE_HZ, render, render_stereo};
use std::f64::consts::TAU;
use underpin::settings::Settings;

/// Lines fainter than this are equal: rounding, beside what 24 bits hold.
const FAINT_DB: f64 = -120.0;

/// The half of 60 Hz between 2 s and 4 s of `y`, in dB re `amplitude`.
fn half_of_60_db(y: &[f64], amplitude: f64) -> f64 {
    let last = &y[(2.0 * RATE_HZ) as usize..(4.0 * RATE_HZ) as usize];
    db(tones(last, RATE_HZ, &[30.0], &blackman_harris(last.len())).amplitudes[0] / amplitude)
}

/// G7 and G9.
pub(crate) fn figures(settings: &Settings) -> Vec<Figure> {
    let at = |level_db: f64| {
        let amplitude = 10f64.powf(level_db / 20.0);
        half_of_60_db(&render(settings, RATE_HZ, &tone(amplitude, 60.0, 4.0, RATE_HZ)), amplitude)
    };
    let levels = [-60.0, -40.0, -20.0, -6.0, 0.0].map(at);
    let spread = levels.iter().fold(0.0, |a: f64, level| a.max((level - levels[3]).abs()));
    let offset = sampled(4.0, RATE_HZ, |t| 0.3 + 0.5 * (TAU * 60.0 * t).cos());
    let moved = half_of_60_db(&render(settings, RATE_HZ, &offset), 0.5) - levels[3];
    let at_48 = one_tone(settings, 0.5, 60.0, RATE_HZ);
    let rates =
        [44_100.0, 88_200.0, 96_000.0, 192_000.0].map(|rate| one_tone(settings, 0.5, 60.0, rate));
    let worst = |i: usize| {
        rates.iter().map(|r| r[i].max(FAINT_DB) - at_48[i].max(FAINT_DB)).fold(-99.0, f64::max)
    };
    let stereo = |degrees: f64| {
        let left = tone(0.5, 60.0, 4.0, RATE_HZ);
        let right =
            sampled(4.0, RATE_HZ, |t| 0.5 * (TAU * 60.0 * t + f64::to_radians(degrees)).cos());
        half_of_60_db(&render_stereo(settings, RATE_HZ, &left, &right), 0.5)
    };
    vec![
        at_most("G7 -60 to 0 dBFS, level differs by, dB", spread, 0.05),
        at_most("G7 direct voltage 0.3, level changes by, dB", moved.abs(), 0.05),
        at_most("G7 44.1 to 192 kHz, level changes by, dB", worst(0).abs(), 0.1),
        at_most("G7 44.1 to 192 kHz, other lines rise by, dB", worst(1), 1.0),
        at_least("G9 right channel 90° ahead, level, dB", stereo(90.0), -3.2),
        at_least("G9 right channel 180° ahead, level, dB", stereo(180.0), -3.0),
    ]
}
