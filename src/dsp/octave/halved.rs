//! Whole-band halving: everything in the source band is one pointer, and its angle is halved.
//!
//! Exact for one partial at a time, early, and right for drums; two partials
//! held together intermodulate, because the half angle follows the stronger.

use super::complex::Complex;
use super::floor::{Floor, MeanFrequency};
use super::halve::HalfAngle;
use super::polarity::Polarity;
use crate::settings::Settings;

/// Half angle, polarity and floor of the whole band.
pub(super) struct Halved {
    rate_hz: f64,
    angle: HalfAngle,
    polarity: Polarity,
    frequency: MeanFrequency,
    floor: Floor,
}

impl Halved {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self {
            rate_hz,
            angle: HalfAngle::new(),
            polarity: Polarity::new(rate_hz),
            frequency: MeanFrequency::new(rate_hz),
            floor: Floor::default(),
        }
    }

    pub(super) fn set(&mut self, settings: &Settings) {
        self.floor.set(settings);
    }

    pub(super) fn reset(&mut self) {
        *self = Self { floor: self.floor, ..Self::new(self.rate_hz) };
    }

    /// The octave part of the pointer `z`, as a pointer.
    #[inline]
    pub(super) fn push(&mut self, z: Complex) -> Complex {
        let power = z.power();
        let length = power.sqrt();
        let direction = self.angle.push(z, length);
        let sign = self.polarity.push(power, power, direction);
        let gain = self.floor.gain(self.frequency.push(z));
        direction * (length * sign * gain)
    }
}
