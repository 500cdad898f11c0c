//! Whole-band halving: everything in the source band is one pointer, and its angle is halved.
//!
//! Exact for one partial at a time, early, and right for drums; two partials
//! held together intermodulate, because the half angle follows the stronger.

use super::complex::Complex;
use super::floor::{Floor, MeanFrequency};
use super::halve::HalfAngle;
use super::polarity::Polarity;
use crate::settings::Settings;

/// Low-rate samples between two looks at the mean frequency.
const GAIN_SAMPLES: u32 = 8;

/// Half angle, polarity and floor of one pointer.
pub(super) struct Halved {
    rate_hz: f64,
    angle: HalfAngle,
    polarity: Polarity,
    frequency: MeanFrequency,
    floor: Floor,
    /// Follows its aim; a start is like a start after silence.
    gain: Option<f64>,
    aim: f64,
    clock: u32,
}

impl Halved {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self {
            rate_hz,
            angle: HalfAngle::new(),
            polarity: Polarity::new(rate_hz),
            frequency: MeanFrequency::new(rate_hz),
            floor: Floor::default(),
            gain: None,
            aim: 1.0,
            clock: 0,
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
    pub(super) fn push(&mut self, z: Complex, exact: impl Fn(f64) -> f64) -> Complex {
        let length = z.power().sqrt();
        self.angle(z, length);
        self.finish(length, z, exact)
    }

    /// First half of the work: the half angle of a part `z` of length `length`, with its polarity.
    #[inline]
    pub(super) fn angle(&mut self, z: Complex, length: f64) -> Complex {
        self.angle.push(z, length) * self.polarity.sign()
    }

    /// The other of the two half angles.
    pub(super) fn flip(&mut self) {
        self.angle.flip();
    }

    /// Second half of the work: the octave part of that part of the `whole`.
    #[inline]
    pub(super) fn finish(
        &mut self,
        length: f64,
        whole: Complex,
        exact: impl Fn(f64) -> f64,
    ) -> Complex {
        let direction = self.angle.direction();
        let sign = self.polarity.push(length * length, whole.power(), direction);
        self.frequency.push(whole);
        if self.clock == 0 {
            let hz = self.frequency.hz();
            self.aim = exact(hz) * self.floor.gain(hz);
        }
        self.clock = (self.clock + 1) % GAIN_SAMPLES;
        let gain = self.gain.get_or_insert(self.aim);
        *gain += (self.aim - *gain) / f64::from(GAIN_SAMPLES);
        direction * (length * sign * *gain)
    }
}
