//! The exponential sweep sin(2π·f₁·L·(e^(t/L) − 1)), L = T/ln(f₂/f₁) (Farina,
//! AES 108th Convention, 2000).
//!
//! Undone by its inverse, it sets what a device answers at N times the
//! frequency played apart in time, by L·ln N.

use super::elementary::{db_to_gain, exp, ln, sin_turns};
use super::limits;

/// An exponential sweep; it ends by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweep {
    /// Frequency at the start in Hz.
    pub from_hz: f64,
    /// Frequency at the end in Hz, above the first.
    pub to_hz: f64,
    /// Length in seconds.
    pub seconds: f64,
    /// Peak level in dBFS (AES17), at most 0.
    pub level_dbfs: f64,
}

impl Default for Sweep {
    fn default() -> Self {
        Self { from_hz: 10.0, to_hz: 1000.0, seconds: 10.0, level_dbfs: -12.0 }
    }
}

impl Sweep {
    /// The rate L = T/ln(f₂/f₁): seconds per factor e of frequency.
    pub fn rate_s(&self) -> f64 {
        self.seconds / ln(self.to_hz / self.from_hz)
    }

    /// How much earlier than the linear answer the answer at `order` times the
    /// frequency arrives, in seconds: harmonics early, subharmonics late (below 0).
    pub fn lead_s(&self, order: f64) -> f64 {
        self.rate_s() * ln(order)
    }
}

#[derive(Clone, Debug)]
pub(super) struct Player {
    gain: f64,
    from_hz: f64,
    rate_s: f64,
    sample_rate_hz: f64,
    length: u64,
}

impl Player {
    pub(super) fn new(sweep: &Sweep, sample_rate_hz: f64) -> Result<Self, String> {
        limits::frequency(sweep.from_hz, sample_rate_hz)?;
        limits::frequency(sweep.to_hz, sample_rate_hz)?;
        limits::level(sweep.level_dbfs)?;
        limits::positive("The length of a sweep", sweep.seconds)?;
        if sweep.to_hz <= sweep.from_hz {
            return Err(format!(
                "A sweep must rise: from {} to {} Hz it does not.",
                sweep.from_hz, sweep.to_hz
            ));
        }
        Ok(Self {
            gain: db_to_gain(sweep.level_dbfs),
            from_hz: sweep.from_hz,
            rate_s: sweep.rate_s(),
            sample_rate_hz,
            length: limits::samples(sweep.seconds, sample_rate_hz),
        })
    }

    pub(super) fn at(&self, n: u64) -> f64 {
        let t = n as f64 / self.sample_rate_hz;
        self.gain * sin_turns(self.from_hz * self.rate_s * (exp(t / self.rate_s) - 1.0))
    }

    pub(super) fn length(&self) -> u64 {
        self.length
    }
}
