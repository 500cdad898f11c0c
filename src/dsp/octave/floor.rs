//! No octave note below the floor.
//!
//! A subsonic filter steep enough to part 18 Hz from 20 Hz would ring and
//! delay for tens of milliseconds. Here the frequency is known, so a note too
//! low is faded by its frequency, and all others pass untouched.

use super::phasor::Phasor;
use super::smooth::Smooth;
use crate::settings::Settings;
use num_complex::Complex64;

/// The fade: silent at the floor, whole a semitone above it.
const FADE: f64 = 1.06;

/// How long a frequency is averaged over: a cycle of 50 Hz.
const AVERAGE_S: f64 = 0.02;

/// Which octave notes may sound.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Floor {
    hz: f64,
}

impl Floor {
    pub(super) fn set(&mut self, settings: &Settings) {
        self.hz = f64::from(settings.octave_floor_hz);
    }

    /// The gain of the octave note of a source at `hz`.
    #[inline]
    pub(super) fn gain(&self, hz: f64) -> f64 {
        let low = 2.0 * self.hz;
        let x = ((hz - low) / (low * (FADE - 1.0))).clamp(0.0, 1.0);
        if self.hz > 0.0 { x * x * (3.0 - 2.0 * x) } else { 1.0 }
    }
}

/// The mean frequency of an analytic signal, weighed by power: the angle of ⟨z·z₋₁*⟩.
pub(super) struct MeanFrequency {
    last: Complex64,
    ahead: Smooth,
    along: Smooth,
    hz_per_radian: f64,
}

impl MeanFrequency {
    pub(super) fn new(low_rate_hz: f64) -> Self {
        Self {
            last: Complex64::ZERO,
            ahead: Smooth::new(AVERAGE_S, low_rate_hz),
            along: Smooth::new(AVERAGE_S, low_rate_hz),
            hz_per_radian: low_rate_hz / std::f64::consts::TAU,
        }
    }

    /// Takes in `z`.
    #[inline]
    pub(super) fn push(&mut self, z: Complex64) {
        self.ahead.push(z.ahead(self.last));
        self.along.push(z.along(self.last));
        self.last = z;
    }

    /// The mean frequency in Hz.
    pub(super) fn hz(&self) -> f64 {
        libm::atan2(self.ahead.value(), self.along.value()) * self.hz_per_radian
    }
}
