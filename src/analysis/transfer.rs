//! Transfer function of two channels, with coherence and confidence, latency compensated first.
//!
//! The estimate is H1 = Sxy/Sxx, which noise in the second signal does not bias (Bendat &
//! Piersol, *Random Data*). It tells what is the same frequency in both signals: it says
//! nothing about a frequency the first does not hold, such as an octave part.

pub(crate) mod correlation;
mod delay;
mod meter;
mod sums;

pub use meter::TransferMeter;
pub(crate) use sums::Sums;

/// One frequency of a transfer function.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TransferPoint {
    /// Frequency in Hz.
    pub hz: f64,
    /// Gain in dB.
    pub gain_db: f64,
    /// Phase in degrees, delay taken out.
    pub phase_deg: f64,
    /// Coherence 0..1 (magnitude squared).
    pub coherence: f64,
    /// Standard deviation of the gain in dB.
    pub sd_db: f64,
}

/// A transfer function from one signal to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Transfer {
    /// Delay of the second signal behind the first that was taken out, in seconds.
    pub delay_s: f64,
    /// Points rising in frequency, 5 Hz to 20 kHz: single bins of 0.5 Hz, from 34 Hz up
    /// averaged over 1/24 octave. Points where the first signal holds next to nothing
    /// (120 dB below its strongest) are left out.
    pub points: Vec<TransferPoint>,
    /// Effective number of independent averages.
    pub averages: f64,
}

impl Transfer {
    /// The coherence that two unrelated signals stay below in 95 of 100 cases: a single
    /// bin under it proves nothing.
    pub fn unrelated_below(&self) -> f64 {
        unrelated_coherence(self.averages)
    }
}

/// 95 % limit of the coherence of two unrelated signals after `averages` independent
/// averages (Bendat & Piersol); 1 when there is but one.
pub fn unrelated_coherence(averages: f64) -> f64 {
    match averages > 1.0 {
        true => 1.0 - 0.05f64.powf(1.0 / (averages - 1.0)),
        false => 1.0,
    }
}

/// Standard deviation in dB of a gain estimated at `coherence` from `averages` independent
/// averages: √((1-γ²)/(2·n·γ²)) of the gain (Bendat & Piersol).
pub fn gain_sd_db(coherence: f64, averages: f64) -> f64 {
    let share = ((1.0 - coherence) / (2.0 * averages * coherence)).sqrt();
    20.0 / std::f64::consts::LN_10 * share
}
