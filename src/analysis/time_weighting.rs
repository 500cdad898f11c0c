//! Time weightings F and S of IEC 61672-1: the level as a sound level meter shows it, the running mean of
//! the square with an exponential memory.
//!
//! One multiplication a sample is exact at the samples: the square is held for one sample at a time.

use crate::units::mean_square_to_dbfs;

/// Time constants of F and of S in seconds (IEC 61672-1).
pub const FAST_S: f64 = 0.125;
/// See [`FAST_S`].
pub const SLOW_S: f64 = 1.0;

/// A level with an exponential memory.
#[derive(Clone, Copy, Debug)]
pub struct TimeWeighting {
    /// Share of the mean that one sample takes.
    share: f64,
    mean: f64,
}

impl TimeWeighting {
    /// With a time constant in seconds at a rate in Hz.
    pub fn new(constant_s: f64, sample_rate_hz: f64) -> Self {
        Self { share: -(-1.0 / (constant_s * sample_rate_hz)).exp_m1(), mean: 0.0 }
    }

    /// Hears the next square, the mean of the channels'.
    pub fn push(&mut self, square: f64) {
        self.mean += self.share * (square - self.mean);
    }

    /// The level now, dBFS by AES17.
    pub fn dbfs(&self) -> f64 {
        mean_square_to_dbfs(self.mean)
    }
}
