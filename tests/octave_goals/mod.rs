//! What an octave-down engine is judged by: signals with a known truth, and
//! measures against it. Shared by the tests that hold the goals and by the
//! bench program that prints them side by side.

pub(crate) mod figure;
pub(crate) mod fit;
pub(crate) mod fresh;
pub(crate) mod hits;
pub(crate) mod onsets;
pub(crate) mod recorded;
pub(crate) mod rest;
pub(crate) mod signals;
pub(crate) mod steady;

use figure::Figure;
use underpin::dsp::octave::Octave;
use underpin::settings::Settings;

/// The rate of the goals, in Hz.
pub(crate) const RATE_HZ: f64 = 48_000.0;

/// The octave part of a stereo signal, block by block.
pub(crate) fn render_stereo(
    settings: &Settings,
    rate_hz: f64,
    left: &[f64],
    right: &[f64],
) -> Vec<f64> {
    let mut octave = Octave::new(rate_hz);
    octave.set(settings);
    let mut out = vec![0.0; left.len()];
    for ((left, right), out) in left.chunks(480).zip(right.chunks(480)).zip(out.chunks_mut(480)) {
        octave.process(left, right, out);
    }
    out
}

/// The octave part of a mono signal.
pub(crate) fn render(settings: &Settings, rate_hz: f64, x: &[f64]) -> Vec<f64> {
    render_stereo(settings, rate_hz, x, x)
}

/// The rate most results are judged at: the octave part ends far below 1 kHz.
pub(crate) const ANALYSIS_HZ: f64 = RATE_HZ / 8.0;

/// Every eighth sample. Nothing folds: what lies above 1 kHz is under -120 dB.
pub(crate) fn decimated(y: &[f64]) -> Vec<f64> {
    y.iter().step_by(8).copied().collect()
}

/// Every figure of the goals.
pub(crate) fn figures(settings: &Settings) -> Vec<Figure> {
    [steady::figures, onsets::figures, hits::figures, rest::figures]
        .iter()
        .flat_map(|figures| figures(settings))
        .collect()
}
