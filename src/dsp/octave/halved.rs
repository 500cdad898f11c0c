//! Whole-band halving: everything in the source band is one analytic signal, and its angle is
//! halved.
//!
//! Exact for one partial at a time, early, and right for drums; two partials
//! held together intermodulate, because the half angle follows the stronger.

use super::analytic::{Analytic, Hearing};
use super::band::Edges;
use super::floor::{Floor, MeanFrequency};
use super::halve::HalfAngle;
use super::halver::Halver;
use super::polarity::Polarity;
use crate::settings::Settings;
use num_complex::Complex64;

/// The -3 dB points lie a little outside the band's edges; the low-pass after halving a little
/// above half the upper edge, and half an octave above in the fast response. Eight sections keep
/// spurs under -75 dB; six are 5 ms earlier.
pub(super) const HEARING: Hearing = Hearing {
    edges: Edges {
        lower: 2.0 / 3.0,
        upper: 170.0 / 160.0,
        notes: 90.0 / 160.0,
        fast_notes: 115.0 / 160.0,
    },
    clean_sections: 8,
    fast_sections: 6,
};

/// Low-rate samples between two looks at the mean frequency.
const GAIN_SAMPLES: u32 = 8;

/// Half angle, polarity and floor of one analytic signal.
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

/// A half whose angle is found and whose sign may still be turned.
#[must_use]
pub(super) struct Half<'a> {
    of: &'a mut Halved,
    length: f64,
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

    /// Back to silence; the floor stays.
    pub(super) fn forget(&mut self) {
        *self = Self { floor: self.floor, ..Self::new(self.rate_hz) };
    }

    /// The half angle of a part `z` of length `length`.
    #[inline]
    pub(super) fn halve(&mut self, z: Complex64, length: f64) -> Half<'_> {
        self.angle.push(z, length);
        Half { of: self, length }
    }

    /// The gain for this sample, for the frequency that the `whole` has on average.
    #[inline]
    fn gain(&mut self, whole: Complex64, analytic: &Analytic) -> f64 {
        self.frequency.push(whole);
        if self.clock == 0 {
            let hz = self.frequency.hz();
            self.aim = analytic.make_up(hz) * self.floor.gain(hz);
        }
        self.clock = (self.clock + 1) % GAIN_SAMPLES;
        let gain = self.gain.get_or_insert(self.aim);
        *gain += (self.aim - *gain) / f64::from(GAIN_SAMPLES);
        *gain
    }
}

impl Half<'_> {
    /// Where the half points, with the polarity aimed at.
    #[inline]
    pub(super) fn direction(&self) -> Complex64 {
        self.of.angle.direction() * self.of.polarity.sign()
    }

    /// Takes the other half angle.
    #[inline]
    pub(super) fn flip(&mut self) {
        self.of.angle.flip();
    }

    /// The octave part of this part of the `whole`.
    #[inline]
    pub(super) fn finish(self, whole: Complex64, analytic: &Analytic) -> Complex64 {
        let Self { of, length } = self;
        let direction = of.angle.direction();
        let sign = of.polarity.push(length * length, whole.norm_sqr(), direction);
        direction * (length * sign * of.gain(whole, analytic))
    }
}

impl Halver for Halved {
    fn set(&mut self, settings: &Settings) {
        self.floor.set(settings);
    }

    fn reset(&mut self, _: Complex64) {
        self.forget();
    }

    #[inline]
    fn push(&mut self, z: Complex64, turn: Complex64, analytic: &Analytic) -> f64 {
        (self.halve(z, z.norm_sqr().sqrt()).finish(z, analytic) * turn).re
    }
}
