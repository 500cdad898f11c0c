//! A burst: a few cycles of a sine under a Hann envelope, narrow in frequency
//! (6.5 cycles: a third of an octave between the −3 dB points) and in time.

use super::elementary::{cos_turns, db_to_gain, sin_turns};
use super::limits;

/// A shaped burst, once or again and again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Burst {
    /// Frequency in Hz.
    pub hz: f64,
    /// Length in cycles.
    pub cycles: f64,
    /// Level of the sine under the top of the envelope in dBFS (AES17), at most 0.
    pub level_dbfs: f64,
    /// Time from one start to the next in seconds; `None` plays one.
    pub every_s: Option<f64>,
}

impl Default for Burst {
    fn default() -> Self {
        Self { hz: 40.0, cycles: 6.5, level_dbfs: -12.0, every_s: None }
    }
}

#[derive(Clone, Debug)]
pub(super) struct Player {
    gain: f64,
    turns_per_sample: f64,
    cycles: f64,
    length: u64,
    every: Option<u64>,
}

impl Player {
    pub(super) fn new(burst: &Burst, sample_rate_hz: f64) -> Result<Self, String> {
        limits::frequency(burst.hz, sample_rate_hz)?;
        limits::level(burst.level_dbfs)?;
        limits::positive("The number of cycles", burst.cycles)?;
        let length = (burst.cycles / burst.hz * sample_rate_hz).ceil() as u64;
        Ok(Self {
            gain: db_to_gain(burst.level_dbfs),
            turns_per_sample: burst.hz / sample_rate_hz,
            cycles: burst.cycles,
            length,
            every: limits::repeat(burst.every_s, length, sample_rate_hz)?,
        })
    }

    pub(super) fn at(&self, n: u64) -> f64 {
        let n = self.every.map_or(n, |every| n % every);
        if n >= self.length {
            return 0.0;
        }
        let turns = n as f64 * self.turns_per_sample;
        let envelope = 0.5 - 0.5 * cos_turns(turns / self.cycles);
        self.gain * envelope * sin_turns(turns)
    }

    pub(super) fn length(&self) -> Option<u64> {
        self.every.is_none().then_some(self.length)
    }
}
