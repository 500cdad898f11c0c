//! What some sections do together, as a closed form in double precision: designed once, then read
//! at as many frequencies as asked for.

use super::svf::{Design, prewarped};
use crate::units::power_to_db;

/// Most sections of one shape.
const MOST: usize = 2;

/// Sections one behind the other, at one sample rate.
#[derive(Clone, Copy, Debug)]
pub struct Shape {
    sections: [Option<Design>; MOST],
    sample_rate_hz: f64,
}

impl Shape {
    /// Of at most two `sections`.
    pub(super) fn new(sections: &[Design], sample_rate_hz: f64) -> Self {
        Self { sections: std::array::from_fn(|i| sections.get(i).copied()), sample_rate_hz }
    }

    /// Power gain at `hz`.
    pub fn power(&self, hz: f64) -> f64 {
        let at = prewarped(hz, self.sample_rate_hz);
        self.sections.iter().flatten().map(|design| design.power(at)).product()
    }

    /// Gain in dB at `hz`.
    pub fn db(&self, hz: f64) -> f64 {
        power_to_db(self.power(hz))
    }
}
