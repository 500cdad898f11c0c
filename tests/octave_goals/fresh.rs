//! Signals of the goals' kinds that no constant was fitted to: other pairs, chords
//! of three, kicks that drop otherwise, over other notes, other glides. The
//! limits are those of the kind.

use super::figure::{Figure, at_least, at_most};
use super::fit::{blackman_harris, tones};
use super::hits::{kick_over_note, one_kick};
use super::onsets::gliding;
use super::signals::{Kick, Random, sampled};
use super::steady::random_pairs;
use super::{ANALYSIS_HZ, RATE_HZ, decimated, render};
use std::f64::consts::TAU;
use underpin::settings::Settings;

const MANY: usize = 12;

fn kick(random: &mut Random) -> Kick {
    Kick {
        amplitude: random.between(0.3, 0.7),
        note_hz: random.between(42.0, 62.0),
        drop_hz: random.between(40.0, 160.0),
        drop_s: random.between(0.01, 0.04),
        decay_s: random.between(0.05, 0.15),
        phase: random.between(0.0, TAU),
    }
}

/// What is not on the halves of three notes, in dB, after three seconds of eleven.
fn three_notes(settings: &Settings, random: &mut Random) -> f64 {
    let low = random.between(38.0, 50.0);
    let middle = low + random.between(12.0, 30.0);
    let hz = [low, middle, middle + random.between(12.0, 30.0)];
    let phases = [0.0; 3].map(|_| random.between(0.0, TAU));
    let x = sampled(11.0, RATE_HZ, |t| {
        hz.iter().zip(phases).map(|(hz, phase)| 0.2 * (TAU * hz * t + phase).cos()).sum()
    });
    let y = decimated(&render(settings, RATE_HZ, &x));
    let last = &y[(3.0 * ANALYSIS_HZ) as usize..];
    tones(last, ANALYSIS_HZ, &hz.map(|hz| 0.5 * hz), &blackman_harris(last.len())).rest_db
}

/// The figures of fresh signals.
pub(crate) fn figures(settings: &Settings) -> Vec<Figure> {
    let mut random = Random(11);
    let over: Vec<f64> = (0..4 * MANY)
        .map(|_| {
            let kick = kick(&mut random);
            let note_hz = random.between(65.0, 110.0);
            kick_over_note(settings, &kick, note_hz, random.between(0.0, 0.02))
        })
        .collect();
    let kicks: Vec<f64> = (0..MANY).map(|_| one_kick(settings, &kick(&mut random)).0).collect();
    let chords: Vec<f64> = (0..MANY).map(|_| three_notes(settings, &mut random)).collect();
    let glides =
        [([60.0, 75.0], 0.1), ([110.0, 50.0], 0.3), ([50.0, 65.0], 0.08)].map(|(hz, s)| {
            let [low, high] = gliding(settings, hz, s);
            high.max(-low)
        });
    let pairs = random_pairs(settings, 5);
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let least = |values: &[f64]| values.iter().fold(9.9, |a: f64, &b| a.min(b));
    let most = |values: &[f64]| values.iter().fold(-999.0, |a: f64, &b| a.max(b));
    vec![
        at_most("fresh: 24 pairs, worst rest, dB", pairs[23], -120.0),
        at_most("fresh: 24 pairs, median rest, dB", pairs[12], -120.0).stretch(-140.0),
        at_most("fresh: 12 chords of three, worst rest, dB", most(&chords), -120.0),
        at_least("fresh: 12 kicks, worst correlation", least(&kicks), 0.95),
        at_least("fresh: 48 kicks over notes, mean correlation", mean(&over), 0.94).stretch(0.975),
        at_least("fresh: 48 kicks over notes, worst correlation", least(&over), 0.5).stretch(0.95),
        at_most("fresh: 3 glides, envelope off by, dB", most(&glides), 0.5),
    ]
}
