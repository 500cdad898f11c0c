//! What some sections do together, as a closed form in double precision: designed once, then read
//! at as many frequencies as asked for.

use super::svf::{Design, prewarped};
use crate::units::power_to_db;

/// Most sections of one shape.
const MOST: usize = 2;

/// A frequency as sections of one sample rate take it: made once, read by many shapes.
#[derive(Clone, Copy, Debug)]
pub struct Warped(f64);

impl Warped {
    /// The frequency `hz` at a sample rate, both in Hz.
    pub fn new(hz: f64, sample_rate_hz: f64) -> Self {
        Self(prewarped(hz, sample_rate_hz))
    }
}

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
        self.power_at(Warped::new(hz, self.sample_rate_hz))
    }

    /// Power gain at a frequency that was warped for this shape's sample rate.
    pub fn power_at(&self, at: Warped) -> f64 {
        self.sections.iter().flatten().map(|design| design.power(at.0)).product()
    }

    /// Gain in dB at `hz`.
    pub fn db(&self, hz: f64) -> f64 {
        power_to_db(self.power(hz))
    }
}
