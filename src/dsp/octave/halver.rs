//! What every method of halving is to the core: it takes an analytic signal and gives its half.

use super::analytic::Analytic;
use crate::settings::Settings;
use num_complex::Complex64;

/// A way to halve an analytic signal.
pub(super) trait Halver {
    /// Follows the settings.
    fn set(&mut self, settings: &Settings);

    /// Starts afresh, for halves turned by `turn`.
    fn reset(&mut self, turn: Complex64);

    /// The half of `z`, turned by `turn`; `analytic` says what the filters do.
    fn push(&mut self, z: Complex64, turn: Complex64, analytic: &Analytic) -> f64;
}
