//! Half the turning, the same length: the octave itself.
//!
//! A partial z = a·e^{jθ} has the exact octave-down a·e^{jθ/2}. The half angle
//! has two answers half a turn apart; taking the one nearer to the last keeps
//! it continuous, and then it turns at exactly half the frequency. No
//! trigonometry: |u_re|, |u_im| = √((1 ± z_re/a)/2).

use super::phasor::Phasor;
use num_complex::Complex64;

/// The direction of half the angle, followed sample by sample.
#[derive(Clone, Copy, Debug)]
pub(super) struct HalfAngle {
    direction: Complex64,
}

impl HalfAngle {
    pub(super) fn new() -> Self {
        Self { direction: Complex64::ONE }
    }

    /// Follows `z` of length `length`; a signal of no length has no angle and changes nothing.
    #[inline]
    pub(super) fn push(&mut self, z: Complex64, length: f64) {
        if length > 0.0 {
            let cos = (z.re / length).clamp(-1.0, 1.0);
            let half = Complex64::new(
                (0.5 * (1.0 + cos)).sqrt(),
                (0.5 * (1.0 - cos)).sqrt().copysign(z.im),
            );
            let nearer = half.along(self.direction) >= 0.0;
            self.direction = if nearer { half } else { half * -1.0 };
        }
    }

    /// The half angle.
    pub(super) fn direction(&self) -> Complex64 {
        self.direction
    }

    /// Takes the other half angle.
    pub(super) fn flip(&mut self) {
        self.direction *= -1.0;
    }
}
