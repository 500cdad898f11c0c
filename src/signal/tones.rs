//! Sines. The angle is counted from the first sample, never summed up, so a
//! tone is as exact after an hour as at the start, and one that fits into a
//! stretch of samples a whole number of times repeats in it bit for bit.

use super::elementary::{db_to_gain, sin_turns};
use super::limits;

/// One sine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// Frequency in Hz.
    pub hz: f64,
    /// Peak level in dBFS (AES17: a full-scale sine is 0), at most 0.
    pub level_dbfs: f64,
    /// Phase in degrees of a sine at the first sample.
    pub phase_deg: f64,
}

impl Default for Tone {
    fn default() -> Self {
        Self { hz: 40.0, level_dbfs: -12.0, phase_deg: 0.0 }
    }
}

#[derive(Clone, Debug)]
pub(super) struct Player {
    tones: Vec<Voice>,
    sample_rate_hz: f64,
}

#[derive(Clone, Copy, Debug)]
struct Voice {
    hz: f64,
    gain: f64,
    start_turns: f64,
}

impl Player {
    pub(super) fn new(tones: &[Tone], sample_rate_hz: f64) -> Result<Self, String> {
        if tones.is_empty() {
            return Err("At least one tone must be named.".into());
        }
        for tone in tones {
            limits::frequency(tone.hz, sample_rate_hz)?;
            limits::level(tone.level_dbfs)?;
        }
        let voices: Vec<Voice> = tones.iter().map(Voice::new).collect();
        let most: f64 = voices.iter().map(|voice| voice.gain).sum();
        // A rounding of the sum is no excess.
        if most > 1.0 + 1e-9 {
            let excess_db = 20.0 * most.log10();
            return Err(format!(
                "These tones can add up to {excess_db:.1} dB above full scale: \
                 lower each by that much."
            ));
        }
        Ok(Self { tones: voices, sample_rate_hz })
    }

    pub(super) fn at(&self, n: u64) -> f64 {
        let voice = |v: &Voice| {
            // Hz·samples less whole turns: a remainder is exact, a quotient is not.
            let within = (n as f64 * v.hz) % self.sample_rate_hz;
            v.gain * sin_turns(within / self.sample_rate_hz + v.start_turns)
        };
        self.tones.iter().map(voice).sum()
    }
}

impl Voice {
    fn new(tone: &Tone) -> Self {
        let start_turns = tone.phase_deg / 360.0;
        Self { hz: tone.hz, gain: db_to_gain(tone.level_dbfs), start_turns }
    }
}
