//! A trace that stands still: triggered on the subharmonic's period.
//!
//! A wave with a half in it repeats only after two periods of the tone. The
//! trigger is where the octave part's own fundamental, fitted over the last
//! periods, rises through zero: whatever else is in the wave cannot move it.

use super::tone_fit::{Sine, Weight, several};

/// Periods of the subharmonic that are shown where there are enough.
const SHOWN: f64 = 2.0;

/// Periods the trigger is fitted over.
const FITTED: f64 = 8.0;

/// Harmonics of the subharmonic told apart in that fit.
const HARMONICS: u32 = 4;

/// An octave part below this share of the dry part (−80 dB) is none.
const ABSENT: f64 = 1e-4;

/// What is below this (−120 dBFS) gives no trigger.
const SILENT: f64 = 1e-6;

/// Points of a trace in one period, at least and at most.
const POINTS: (f64, f64) = (64.0, 4096.0);

/// Samples an interpolated point needs on either side.
const MARGIN: f64 = 2.0;

/// Aligned stretches of the waveform, each over the same whole number of periods.
#[derive(Clone, Debug, PartialEq)]
pub struct Scope {
    /// Length of the stretch in seconds.
    pub span_s: f64,
    /// Period of the subharmonic it is locked to, in seconds.
    pub period_s: f64,
    /// Whether the octave part gave the trigger; without one the dry part does.
    pub locked_to_octave: bool,
    /// The dry part, evenly spaced over the stretch, an even number of points a period.
    pub dry: Vec<f64>,
    /// The octave part.
    pub octave: Vec<f64>,
    /// What comes out.
    pub out: Vec<f64>,
}

impl Scope {
    /// The odd and the even swing of what comes out, each over half a period of
    /// the subharmonic: one strand when laid together, two where there is a half.
    pub fn swings(&self) -> (&[f64], &[f64]) {
        let periods = (self.span_s / self.period_s).round().max(1.0) as usize;
        let swing = self.out.len() / periods / 2;
        (&self.out[..swing], &self.out[swing..2 * swing])
    }
}

/// The latest whole periods of three signals of one time, `period_s` being that
/// of the subharmonic (twice the tone's). `None` when there are less than two
/// and a half periods, or nothing to lock to.
pub fn trace(
    dry: &[f64],
    octave: &[f64],
    out: &[f64],
    sample_rate_hz: f64,
    period_s: f64,
) -> Option<Scope> {
    let length = dry.len().min(octave.len()).min(out.len());
    let period = period_s * sample_rate_hz;
    let periods = length as f64 / period;
    // 16 samples a period keep the harmonics told apart below half the sample rate.
    if !(period >= 16.0 && periods >= 2.5) {
        return None;
    }
    let shown = if periods >= SHOWN + 1.5 { SHOWN } else { 1.0 };
    let (locked_to_octave, start) =
        trigger(&dry[..length], &octave[..length], period, shown * period)?;
    let points = 2.0 * (period.clamp(POINTS.0, POINTS.1) / 2.0).round();
    let cut = |wave: &[f64]| {
        let at = |i: usize| between(wave, start + i as f64 * period / points);
        (0..(shown * points) as usize).map(at).collect()
    };
    Some(Scope {
        span_s: shown * period_s,
        period_s,
        locked_to_octave,
        dry: cut(dry),
        octave: cut(octave),
        out: cut(out),
    })
}

/// Whether the octave part locks, and the latest trigger, in samples from the
/// start, that leaves room for `span` samples.
fn trigger(dry: &[f64], octave: &[f64], period: f64, span: f64) -> Option<(bool, f64)> {
    let fitted = ((FITTED * period) as usize).min(dry.len());
    let first = dry.len() - fitted;
    let dry = fundamental(&dry[first..], period, 2)?;
    let half = fundamental(&octave[first..], period, 1)?;
    let locked = half.amplitude > SILENT && half.amplitude > ABSENT * dry.amplitude;
    let sine = if locked { half } else { dry };
    if sine.amplitude.is_nan() || sine.amplitude <= SILENT {
        return None;
    }
    let middle = first as f64 + (fitted - 1) as f64 / 2.0;
    // A cosine rises through zero at −1/4 turn.
    let crossing = middle + (-0.25 - sine.middle_turns) / sine.hz;
    let latest = (first + fitted) as f64 - 1.0 - MARGIN - span;
    let repeat = 1.0 / sine.hz;
    let start = crossing + ((latest - crossing) / repeat).floor() * repeat;
    (start >= MARGIN).then_some((locked, start))
}

/// The line at `order` times the subharmonic, its frequency in cycles per sample.
fn fundamental(wave: &[f64], period: f64, order: usize) -> Option<Sine> {
    let lines: Vec<f64> = (1..=HARMONICS).map(|order| f64::from(order) / period).collect();
    several(wave, 1.0, &lines, Weight::Hann)?.sines.get(order - 1).copied()
}

/// The value at `position` samples, by the cubic through the four samples around it.
fn between(wave: &[f64], position: f64) -> f64 {
    let whole = position.floor() as usize;
    let t = position - position.floor();
    let [a, b, c, d] = [wave[whole - 1], wave[whole], wave[whole + 1], wave[whole + 2]];
    let (p, q, r, s) = (t + 1.0, t, t - 1.0, t - 2.0);
    -q * r * s / 6.0 * a + p * r * s / 2.0 * b - p * q * s / 2.0 * c + p * q * r / 6.0 * d
}
