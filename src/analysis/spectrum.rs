//! An averaged power spectrum over blocks of 2 s, so that every half hertz is a bin.

use super::window::Window;

/// An averaged power spectrum.
#[derive(Clone, Debug, PartialEq)]
pub struct Spectrum {
    /// Distance of two bins in Hz.
    pub df_hz: f64,
    /// Power of each bin from 0 Hz up, so that the sum over bins is the AES17
    /// power: 1.0 for a full-scale sine (twice the mean square).
    pub power: Vec<f64>,
    /// The window the blocks were weighted with.
    pub window: Window,
    /// Effective number of independent averages (overlap counted, Welch 1967).
    pub averages: f64,
}
