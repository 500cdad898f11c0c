//! A classic frequency divider, for comparison and teaching.
//!
//! Every second cycle is turned upside down: y = ±x, with the sign toggled at
//! each upward zero crossing. A sine becomes sin(θ)·sgn(sin(θ/2)), which has
//! lines at m·f/2, m odd, of amplitude (8/π)/|m² - 4| (its Fourier series): the
//! half comes at 8/(3π) and is brought back to the source's level here, 3f/2
//! is only 4.4 dB below it. Two tones at once make the divider lose count.

use super::analytic::{Analytic, Hearing};
use super::halved;
use super::halver::Halver;
use crate::settings::Settings;
use num_complex::Complex64;

/// The filters of `halved`, so that the methods can be compared.
pub(super) const HEARING: Hearing = halved::HEARING;

/// 3π/8: the inverse of the half's share, 8/(3π).
const MAKE_UP: f64 = 3.0 * std::f64::consts::PI / 8.0;

/// Toggles at every upward zero crossing.
#[derive(Clone, Copy, Debug)]
pub(super) struct Divider {
    last: f64,
    sign: f64,
}

impl Divider {
    /// A divider whose output starts upright, or inverted.
    pub(super) fn new(inverted: bool) -> Self {
        Self { last: 0.0, sign: if inverted { -1.0 } else { 1.0 } }
    }
}

impl Halver for Divider {
    fn set(&mut self, _: &Settings) {}

    fn reset(&mut self, turn: Complex64) {
        *self = Self::new(turn.re < 0.0);
    }

    /// Divides the real part of `z`, turned by twice the phase wanted of the half.
    #[inline]
    fn push(&mut self, z: Complex64, half_turn: Complex64, _: &Analytic) -> f64 {
        let x = (z * (half_turn * half_turn)).re;
        if self.last < 0.0 && x >= 0.0 {
            self.sign = -self.sign;
        }
        self.last = x;
        MAKE_UP * self.sign * x
    }
}
