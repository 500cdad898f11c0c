//! What the octave core asks of complex numbers beyond arithmetic.

use num_complex::Complex64;

/// Angles between phasors.
pub(super) trait Phasor {
    /// e^{j·radians}.
    fn turn(radians: f64) -> Self;

    /// The real part of z·w*: positive while both point the same way.
    fn along(self, w: Self) -> f64;

    /// The imaginary part of z·w*: positive while z is ahead of w.
    fn ahead(self, w: Self) -> f64;
}

impl Phasor for Complex64 {
    fn turn(radians: f64) -> Self {
        let (sin, cos) = libm::sincos(radians);
        Self::new(cos, sin)
    }

    #[inline]
    fn along(self, w: Self) -> f64 {
        self.re * w.re + self.im * w.im
    }

    #[inline]
    fn ahead(self, w: Self) -> f64 {
        self.im * w.re - self.re * w.im
    }
}
