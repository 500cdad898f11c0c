//! Drum hits (G5): the right shape, the same polarity, over a note.

use super::figure::{Figure, at_least, at_most};
use super::fit::{db, dot, solve};
use super::signals::{KICK, Kick, Random, pink, sampled};
use super::{ANALYSIS_HZ, RATE_HZ, decimated, render};
use std::f64::consts::TAU;
use underpin::settings::Settings;

/// The longest lag looked at.
const MOST_LAG_S: f64 = 0.03;

/// A part of the truth: an analytic wave, as its real and imaginary values.
pub(crate) type Part = [Vec<f64>; 2];

/// Best correlation of `y` with a sum of `parts`, each at its own phase but at its true level,
/// and the lag in ms it needs. `y` starts with the parts and is longer than they are.
pub(crate) fn best_correlation(y: &[f64], parts: &[Part], rate_hz: f64) -> (f64, f64) {
    let n = parts[0][0].len();
    let waves: Vec<&Vec<f64>> = parts.iter().flatten().collect();
    let gram: Vec<Vec<f64>> =
        waves.iter().map(|a| waves.iter().map(|b| dot(a, b)).collect()).collect();
    let most_lag = ((MOST_LAG_S * rate_hz) as usize).min(y.len() - n);
    (0..=most_lag)
        .map(|lag| {
            let y = &y[lag..lag + n];
            let along: Vec<f64> = waves.iter().map(|wave| dot(wave, y)).collect();
            let correlation = at_best_phases(&gram, &along) / dot(y, y).sqrt().max(1e-30);
            (correlation, 1e3 * lag as f64 / rate_hz)
        })
        .fold((-1.0, 0.0), |best, this| if this.0 > best.0 { this } else { best })
}

/// The most that ⟨y, r⟩/|r| can be for r = Σ Re(part·e^{jc}): one part in closed form, two by trying phases.
fn at_best_phases(gram: &[Vec<f64>], along: &[f64]) -> f64 {
    if along.len() == 2 {
        let weights = solve(gram.to_vec(), along.to_vec());
        return dot(&weights, along).max(0.0).sqrt();
    }
    let turn = |k: usize| (TAU * k as f64 / 48.0).sin_cos();
    let tries = (0..48).flat_map(|k| (0..48).map(move |l| (k, l)));
    tries.fold(-1.0, |best, (k, l)| {
        let ((s1, c1), (s2, c2)) = (turn(k), turn(l));
        let weights = [c1, -s1, c2, -s2];
        let length: f64 = weights.iter().zip(gram).map(|(w, row)| w * dot(&weights, row)).sum();
        best.max(dot(&weights, along) / length.max(1e-30).sqrt())
    })
}

/// The exact octave-down of a kick, from the hit on.
pub(crate) fn halved_kick(kick: &Kick, seconds: f64) -> Part {
    let at = |quarter: f64| {
        sampled(seconds, ANALYSIS_HZ, |t| kick.envelope(t) * (0.5 * kick.angle(t) - quarter).cos())
    };
    [at(0.0), at(TAU / 4.0)]
}

/// Correlation and lag in ms of one kick out of silence.
pub(crate) fn one_kick(settings: &Settings, kick: &Kick) -> (f64, f64) {
    let x = sampled(1.2, RATE_HZ, |t| kick.at(t - 0.1));
    let y = decimated(&render(settings, RATE_HZ, &x));
    best_correlation(&y[(0.1 * ANALYSIS_HZ) as usize..], &[halved_kick(kick, 0.8)], ANALYSIS_HZ)
}

/// Correlation of a kick over a held note, both halves at their levels: from 0.1 s before to
/// 0.5 s after the hit, which comes when the note has sounded for 1.5 s plus `later_s`.
pub(crate) fn kick_over_note(settings: &Settings, kick: &Kick, note_hz: f64, later_s: f64) -> f64 {
    let hit = 1.5 + later_s;
    let note = |t: f64| 0.25 * (TAU * note_hz * t).sin();
    let x = sampled(3.0, RATE_HZ, |t| note(t) + kick.at(t - hit));
    let y = decimated(&render(settings, RATE_HZ, &x));
    let from = hit - 0.1;
    let halved_note = [0.0, TAU / 4.0].map(|quarter| {
        sampled(0.6, ANALYSIS_HZ, |t| 0.25 * (0.5 * TAU * note_hz * (t + from) - quarter).cos())
    });
    let halved_kick = [0.0, TAU / 4.0].map(|quarter| {
        sampled(0.6, ANALYSIS_HZ, |t| {
            kick.envelope(t - 0.1) * (0.5 * kick.angle(t - 0.1) - quarter).cos()
        })
    });
    best_correlation(&y[(from * ANALYSIS_HZ) as usize..], &[halved_kick, halved_note], ANALYSIS_HZ)
        .0
}

/// Of 20 kicks at uneven distances in faint pink noise: how many of the last 19 have the
/// polarity of their majority, and the standard deviation of the levels in dB.
pub(crate) fn repeated(settings: &Settings, kick: &Kick, seed: u64) -> (usize, f64) {
    let mut random = Random(seed);
    let mut hits = vec![0.5];
    (0..19).for_each(|_| hits.push(hits[hits.len() - 1] + random.between(0.42, 0.65)));
    let mut x = pink(1e-3, (14.0 * RATE_HZ) as usize, seed);
    for hit in &hits {
        let from = (hit * RATE_HZ).ceil() as usize;
        for (i, x) in x.iter_mut().enumerate().skip(from).take((0.42 * RATE_HZ) as usize) {
            *x += kick.at(i as f64 / RATE_HZ - hit);
        }
    }
    let y = decimated(&render(settings, RATE_HZ, &x));
    let cut =
        |hit: &f64| y[(hit * ANALYSIS_HZ) as usize..][..(0.35 * ANALYSIS_HZ) as usize].to_vec();
    let cuts: Vec<Vec<f64>> = hits.iter().map(cut).collect();
    let same = cuts[1..].iter().filter(|cut| dot(cut, &cuts[1]) > 0.0).count();
    let levels: Vec<f64> = cuts[1..].iter().map(|cut| 0.5 * db(dot(cut, cut))).collect();
    let mean = levels.iter().sum::<f64>() / levels.len() as f64;
    let variance = levels.iter().map(|l| (l - mean).powi(2)).sum::<f64>() / levels.len() as f64;
    (same.max(19 - same), variance.sqrt())
}

/// G5.
pub(crate) fn figures(settings: &Settings) -> Vec<Figure> {
    let (first, lag_ms) = one_kick(settings, &KICK);
    let turned = [0.0, 0.25, 0.5, 0.75]
        .map(|turns| one_kick(settings, &Kick { phase: turns * TAU, ..KICK }).0);
    let (same, sd_db) = repeated(settings, &KICK, 5);
    let soft = Kick { amplitude: 0.5, ..KICK };
    let over = [0.0, 0.003, 0.006, 0.009].map(|later| kick_over_note(settings, &soft, 82.4, later));
    vec![
        at_least("G5 kick, correlation", first, 0.985).stretch(0.995),
        at_least(
            "G5 kick at 0, 90, 180, 270°, worst correlation",
            turned.iter().fold(1.0, |a: f64, &b| a.min(b)),
            0.95,
        ),
        at_most("G5 kick, lag, ms", lag_ms, 11.0).stretch(9.0),
        at_least("G5 19 later of 20 kicks, same polarity", same as f64, 19.0),
        at_most("G5 19 later of 20 kicks, level sd, dB", sd_db, 0.4),
        at_least("G5 kick over 82.4 Hz, mean correlation", over.iter().sum::<f64>() / 4.0, 0.97)
            .stretch(0.99),
    ]
}
