//! Whether something inverts, from the phase of its mid band.

use std::f64::consts::{LN_10, PI};

use realfft::num_complex::Complex64;

use super::fit::fit;
use super::response::{LineValue, Response};

/// Natural logarithm of an amplitude, per dB.
const LN_PER_DB: f64 = LN_10 / 20.0;
/// A line is clear of its noise by this ratio of powers (15 dB).
const CLEAR: f64 = 30.0;
/// Fewer lines than this have no phase to follow.
const LEAST_LINES: usize = 20;
/// A phase further from its curve than this has no such curve: reflections, noise; r.m.s. in rad.
const MOST_OFF_RAD: f64 = 0.35;
/// A bend at 200 Hz further than this from what the response below explains turns the mid band by
/// itself (an all-pass): its sign is then in doubt.
const MOST_UNEXPLAINED_RAD: f64 = 0.6;
/// Lowest frequency of the phase that is followed, Hz.
const FROM_HZ: f64 = 200.0;
/// The response below this bends the phase above it, Hz.
const BENDS_BELOW_HZ: f64 = 250.0;

/// The sign of the mid band, its delay taken out: φ = φ0 − 2πfτ + k/f on 200 to 1600 Hz, the last
/// term for a high-pass below. `None` when φ0 is not within 45° of 0 or 180°, when too few lines
/// stand clear of their noise, when the phase is not of that form, or when k is not what the
/// response's own level explains.
pub fn inverts(response: &Response) -> Option<bool> {
    let clear = |l: &&LineValue| (FROM_HZ..1600.0).contains(&l.hz) && l.power > CLEAR * l.variance;
    let lines: Vec<&LineValue> = response.lines.iter().filter(clear).collect();
    // A delay turns the phase faster than the lines follow each other: its bulk goes first.
    let late_s = bulk_delay_s(&lines);
    let mut last: Option<f64> = None;
    let phases: Vec<(f64, f64)> = lines
        .iter()
        .map(|l| {
            let raw = l.gain.arg() + 2.0 * PI * l.hz * late_s;
            let phase = last.map_or(raw, |p| raw - 2.0 * PI * ((raw - p) / (2.0 * PI)).round());
            last = Some(phase);
            (l.hz, phase)
        })
        .collect();
    if phases.len() < LEAST_LINES {
        return None;
    }
    let residuals = |x: &[f64]| -> Vec<f64> {
        phases.iter().map(|(hz, p)| x[0] + x[1] * hz / 1000.0 + x[2] * 100.0 / hz - p).collect()
    };
    let first = phases.first()?.1;
    let found = fit(&[first, 0.0, 0.0], &[(-1e3, 1e3); 3], residuals);
    let off = (found.cost / phases.len() as f64).sqrt();
    let unexplained = (100.0 * found.at[2] - explained_bend(response)) / FROM_HZ;
    if off > MOST_OFF_RAD || unexplained.abs() > MOST_UNEXPLAINED_RAD {
        return None;
    }
    let turn = found.at[0].rem_euclid(2.0 * PI);
    let near = |to: f64| (turn - to).abs() < PI / 4.0;
    if near(0.0) || near(2.0 * PI) { Some(false) } else { near(PI).then_some(true) }
}

/// The bend k (rad·Hz) that a minimum-phase system of this level has far above its roll-off:
/// k = −2/π ∫ ln|H| df (from Bode's relation between level and phase, 1945). What lies below the
/// range measured counts as level.
fn explained_bend(response: &Response) -> f64 {
    let curve = response.curve();
    let low = curve.iter().filter(|p| p.0 < BENDS_BELOW_HZ);
    let mut from_hz = 0.0;
    let area: f64 = low
        .map(|(hz, db)| {
            let wide = hz - from_hz;
            from_hz = *hz;
            wide * db * LN_PER_DB
        })
        .sum();
    -2.0 / PI * area
}

/// The delay that brings the lines' phases together best, in seconds, up to 30 ms either way.
fn bulk_delay_s(lines: &[&LineValue]) -> f64 {
    let together = |delay_s: f64| {
        let turned = lines.iter().map(|l| {
            let unit = l.gain / l.gain.norm().max(1e-30);
            unit * Complex64::from_polar(1.0, 2.0 * PI * l.hz * delay_s)
        });
        turned.sum::<Complex64>().norm()
    };
    let all = (-600..=600).map(|i| f64::from(i) * 5e-5);
    all.max_by(|a, b| together(*a).total_cmp(&together(*b))).unwrap_or(0.0)
}
