//! Frequency weightings A, C and Z by IEC 61672-1:2013, in closed form.
//!
//! A hides bass (-39 dB at 31.5 Hz): it is here to show that, not to judge by.

use super::spectrum::Spectrum;
use crate::units::{SILENCE_DB, gain_to_db, power_to_db};

/// Corner frequencies in Hz (IEC 61672-1, annex E).
const F1: f64 = 20.598_997;
const F2: f64 = 107.652_65;
const F3: f64 = 737.862_23;
const F4: f64 = 12_194.217;

/// A frequency weighting.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weighting {
    /// A: quiet sounds of middle frequency; takes the bass out.
    A,
    /// C: nearly flat down to 31.5 Hz.
    C,
    /// Z: none.
    Z,
}

impl Weighting {
    /// Response in dB at `hz`, 0 at 1 kHz.
    pub fn response_db(self, hz: f64) -> f64 {
        match hz > 0.0 || self == Self::Z {
            true => gain_to_db(self.gain(hz) / self.gain(1000.0)),
            false => SILENCE_DB,
        }
    }

    /// Weighted level of a spectrum in dBFS (AES17).
    pub fn level_dbfs(self, spectrum: &Spectrum) -> f64 {
        let norm = self.gain(1000.0);
        let gain = |bin: usize| self.gain(bin as f64 * spectrum.df_hz) / norm;
        let bins = spectrum.power.iter().enumerate();
        power_to_db(bins.map(|(bin, p)| p * gain(bin).powi(2)).sum())
    }

    /// The weighting as an amplitude, before it is set to 1 at 1 kHz.
    fn gain(self, hz: f64) -> f64 {
        let f2 = hz * hz;
        let outer = F4 * F4 * f2 / ((f2 + F1 * F1) * (f2 + F4 * F4));
        match self {
            Self::A => outer * f2 / ((f2 + F2 * F2) * (f2 + F3 * F3)).sqrt(),
            Self::C => outer,
            Self::Z => 1.0,
        }
    }
}
