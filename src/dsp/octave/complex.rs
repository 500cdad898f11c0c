//! A complex number, with the few operations the octave core needs.

use std::ops::{Add, AddAssign, Mul, Sub, SubAssign};

/// re + j·im.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Complex {
    pub(super) re: f64,
    pub(super) im: f64,
}

impl Complex {
    pub(super) const ZERO: Self = Self { re: 0.0, im: 0.0 };
    pub(super) const ONE: Self = Self { re: 1.0, im: 0.0 };

    #[inline]
    pub(super) fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    /// e^{j·radians}.
    pub(super) fn turn(radians: f64) -> Self {
        Self::new(radians.cos(), radians.sin())
    }

    /// |z|².
    #[inline]
    pub(super) fn power(self) -> f64 {
        self.re * self.re + self.im * self.im
    }

    /// The real part of z·w*: positive while both point the same way.
    #[inline]
    pub(super) fn along(self, w: Self) -> f64 {
        self.re * w.re + self.im * w.im
    }

    /// The imaginary part of z·w*: positive while z is ahead of w.
    #[inline]
    pub(super) fn ahead(self, w: Self) -> f64 {
        self.im * w.re - self.re * w.im
    }
}

impl Add for Complex {
    type Output = Self;
    #[inline]
    fn add(self, w: Self) -> Self {
        Self::new(self.re + w.re, self.im + w.im)
    }
}

impl Sub for Complex {
    type Output = Self;
    #[inline]
    fn sub(self, w: Self) -> Self {
        Self::new(self.re - w.re, self.im - w.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    #[inline]
    fn mul(self, w: Self) -> Self {
        Self::new(self.re * w.re - self.im * w.im, self.re * w.im + self.im * w.re)
    }
}

impl Mul<f64> for Complex {
    type Output = Self;
    #[inline]
    fn mul(self, gain: f64) -> Self {
        Self::new(self.re * gain, self.im * gain)
    }
}

impl AddAssign for Complex {
    #[inline]
    fn add_assign(&mut self, w: Self) {
        *self = *self + w;
    }
}

impl SubAssign for Complex {
    #[inline]
    fn sub_assign(&mut self, w: Self) {
        *self = *self - w;
    }
}
