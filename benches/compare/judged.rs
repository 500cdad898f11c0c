//! The goals' signals and measures, heard through whatever is being judged.

#[path = "../../tests/octave_goals/figure.rs"]
pub(crate) mod figure;
#[path = "../../tests/octave_goals/fit.rs"]
pub(crate) mod fit;
#[path = "../../tests/octave_goals/hits.rs"]
pub(crate) mod hits;
#[path = "../../tests/octave_goals/onsets.rs"]
pub(crate) mod onsets;
#[path = "../../tests/octave_goals/recorded.rs"]
pub(crate) mod recorded;
#[path = "../../tests/octave_goals/signals.rs"]
pub(crate) mod signals;
#[path = "../../tests/octave_goals/steady.rs"]
pub(crate) mod steady;

use underpin::settings::Settings;

use crate::shifter::Shifter;

/// The rate of the goals, and the one results are judged at, in Hz.
pub(crate) const RATE_HZ: f64 = 48_000.0;
pub(crate) const ANALYSIS_HZ: f64 = RATE_HZ / 8.0;

/// Every eighth sample.
pub(crate) fn decimated(y: &[f64]) -> Vec<f64> {
    y.iter().step_by(8).copied().collect()
}

/// What is judged now, an octave down.
pub(crate) fn render(settings: &Settings, rate_hz: f64, x: &[f64]) -> Vec<f64> {
    Shifter::now().render(settings, rate_hz, x)
}
