//! A drum stroke: a sine that drops in pitch while it decays,
//! g·min(1, t/a)·e^(−t/d)·sin 2π(f·t + Δ·τ·(1 − e^(−t/τ)) + φ₀).
//!
//! The frequency starts at f + Δ and falls to f with the time constant τ.

use super::elementary::{db_to_gain, exp, sin_turns};
use super::limits;

/// One stroke lasts this many time constants of its decay: −122 dB at the end.
const DECAYS: f64 = 14.0;

/// A drum stroke, once or again and again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kick {
    /// Frequency it falls to in Hz: f.
    pub hz: f64,
    /// How much higher it starts in Hz: Δ.
    pub drop_hz: f64,
    /// Time constant of the fall in seconds: τ.
    pub drop_s: f64,
    /// Time of the linear attack in seconds: a.
    pub attack_s: f64,
    /// Time constant of the decay in seconds: d.
    pub decay_s: f64,
    /// Phase of the sine at the start in degrees: φ₀.
    pub phase_deg: f64,
    /// Level of the envelope before its decay in dBFS (AES17), at most 0: g.
    pub level_dbfs: f64,
    /// Time from one start to the next in seconds; `None` plays one.
    pub every_s: Option<f64>,
}

impl Default for Kick {
    fn default() -> Self {
        Self {
            hz: 50.0,
            drop_hz: 100.0,
            drop_s: 0.02,
            attack_s: 0.002,
            decay_s: 1.0 / 12.0,
            phase_deg: 0.0,
            level_dbfs: -12.0,
            every_s: None,
        }
    }
}

#[derive(Clone, Debug)]
pub(super) struct Player {
    kick: Kick,
    gain: f64,
    sample_rate_hz: f64,
    length: u64,
    every: Option<u64>,
}

impl Player {
    pub(super) fn new(kick: &Kick, sample_rate_hz: f64) -> Result<Self, String> {
        limits::frequency(kick.hz, sample_rate_hz)?;
        limits::frequency(kick.hz + kick.drop_hz, sample_rate_hz)?;
        limits::level(kick.level_dbfs)?;
        limits::positive("The time of the drop", kick.drop_s)?;
        limits::positive("The time of the attack", kick.attack_s)?;
        limits::positive("The time of the decay", kick.decay_s)?;
        let length = limits::samples(DECAYS * kick.decay_s, sample_rate_hz);
        // Strokes may come before the last one has died away: it is cut there.
        let every = limits::repeat(kick.every_s, 1, sample_rate_hz)?;
        let gain = db_to_gain(kick.level_dbfs);
        Ok(Self { kick: *kick, gain, sample_rate_hz, length, every })
    }

    pub(super) fn at(&self, n: u64) -> f64 {
        let n = self.every.map_or(n, |every| n % every);
        if n >= self.length {
            return 0.0;
        }
        let kick = &self.kick;
        let t = n as f64 / self.sample_rate_hz;
        let envelope = exp(-t / kick.decay_s) * (t / kick.attack_s).min(1.0);
        let dropped = kick.drop_hz * kick.drop_s * (1.0 - exp(-t / kick.drop_s));
        self.gain * envelope * sin_turns(kick.hz * t + dropped + kick.phase_deg / 360.0)
    }

    pub(super) fn length(&self) -> Option<u64> {
        self.every.is_none().then_some(self.length)
    }
}
