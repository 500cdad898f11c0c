//! Test signals: what a measurement or an ear is fed with.
//!
//! The one idea: every signal is a pure function of its sample number. There
//! is no state that could drift, any block size gives the same samples, and
//! playing allocates nothing.
//!
//! Levels are dBFS by AES17: that of a sine whose peak reaches full scale is 0.
//! No signal exceeds full scale; one that would is refused.
//!
//! Reproducibility: all signals but pink noise are made of IEEE 754 sums,
//! products and quotients alone and are the same bits on every machine. Pink
//! noise goes through a transform whose order of summation depends on the
//! processor; it is rounded to 2⁻²⁸ (−169 dB), which makes a difference in a
//! last bit possible but rare, and in a 24-bit file rarer.

pub mod random;
pub mod track;

mod burst;
mod elementary;
mod fade;
mod kick;
mod limits;
mod pink;
mod sweep;
mod tones;

pub use burst::Burst;
pub use kick::Kick;
pub use pink::{Phases, Pink};
pub use sweep::Sweep;
pub use tones::Tone;

use fade::Fade;

/// What to play.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// Exact zeros.
    Silence,
    /// One sine.
    Tone(Tone),
    /// Several sines at once.
    Tones(Vec<Tone>),
    /// Noise of equal power in every octave, exactly periodic.
    Pink(Pink),
    /// An exponential sweep.
    Sweep(Sweep),
    /// A few cycles of a sine under a smooth envelope.
    Burst(Burst),
    /// A drum stroke: a decaying sine that drops in pitch.
    Kick(Kick),
}

/// Plays one [`Kind`] at one sample rate.
///
/// ```
/// use underpin::signal::{Kind, Source, Tone};
///
/// let kind = Kind::Tone(Tone { hz: 12_000.0, level_dbfs: -6.0, ..Tone::default() });
/// let mut source = Source::new(&kind, 48_000.0, 1)?;
/// let mut samples = [0.0; 48];
/// source.fill(&mut samples);
/// let peak = samples.iter().fold(0.0f64, |peak, sample| peak.max(sample.abs()));
/// assert!((20.0 * peak.log10() + 6.0).abs() < 1e-6);
/// # Ok::<(), String>(())
/// ```
#[derive(Clone, Debug)]
pub struct Source {
    player: Player,
    fade: Fade,
    sample_rate_hz: f64,
    length: Option<u64>,
    at: u64,
}

#[derive(Clone, Debug)]
enum Player {
    Silence,
    Tones(tones::Player),
    Pink(pink::Player),
    Sweep(sweep::Player),
    Burst(burst::Player),
    Kick(kick::Player),
}

impl Source {
    /// A player at the start of `kind`; `seed` decides what is random in it.
    /// Allocates; nothing else here does.
    ///
    /// # Errors
    /// One sentence when the signal cannot be: a frequency at or above half
    /// the sample rate, a level above full scale, a length of nothing.
    pub fn new(kind: &Kind, sample_rate_hz: f64, seed: u64) -> Result<Self, String> {
        limits::sample_rate(sample_rate_hz)?;
        let player = match kind {
            Kind::Silence => Player::Silence,
            Kind::Tone(tone) => Player::Tones(tones::Player::new(&[*tone], sample_rate_hz)?),
            Kind::Tones(tones) => Player::Tones(tones::Player::new(tones, sample_rate_hz)?),
            Kind::Pink(pink) => Player::Pink(pink::Player::new(pink, sample_rate_hz, seed)?),
            Kind::Sweep(sweep) => Player::Sweep(sweep::Player::new(sweep, sample_rate_hz)?),
            Kind::Burst(burst) => Player::Burst(burst::Player::new(burst, sample_rate_hz)?),
            Kind::Kick(kick) => Player::Kick(kick::Player::new(kick, sample_rate_hz)?),
        };
        let length = player.length();
        Ok(Self { player, fade: Fade::default(), sample_rate_hz, length, at: 0 })
    }

    /// Ends after `seconds`, where the signal itself does not end earlier.
    #[must_use]
    pub fn lasting(mut self, seconds: f64) -> Self {
        let limit = limits::samples(seconds, self.sample_rate_hz);
        self.length = Some(self.length.map_or(limit, |own| own.min(limit)));
        self
    }

    /// Fades in over `in_s` and, where there is an end, out over `out_s`
    /// seconds, along a raised cosine.
    #[must_use]
    pub fn fading(mut self, in_s: f64, out_s: f64) -> Self {
        self.fade = Fade {
            in_samples: limits::samples(in_s, self.sample_rate_hz),
            out_samples: limits::samples(out_s, self.sample_rate_hz),
        };
        self
    }

    /// Length in samples; `None` for a signal that goes on for ever.
    pub fn length_samples(&self) -> Option<u64> {
        self.length
    }

    /// Back to the first sample.
    pub fn reset(&mut self) {
        self.at = 0;
    }

    /// Fills `out` with the next samples, with zeros after the end. \[any thread\]
    pub fn fill(&mut self, out: &mut [f64]) {
        for sample in out {
            *sample = self.next().unwrap_or(0.0);
        }
    }
}

impl Iterator for Source {
    type Item = f64;

    /// The next sample; `None` after the end. \[any thread\]
    fn next(&mut self) -> Option<f64> {
        if self.length.is_some_and(|length| self.at >= length) {
            return None;
        }
        let sample = self.player.at(self.at) * self.fade.gain(self.at, self.length);
        self.at += 1;
        Some(sample)
    }
}

impl Player {
    /// The sample at number `n`.
    fn at(&self, n: u64) -> f64 {
        match self {
            Self::Silence => 0.0,
            Self::Tones(tones) => tones.at(n),
            Self::Pink(pink) => pink.at(n),
            Self::Sweep(sweep) => sweep.at(n),
            Self::Burst(burst) => burst.at(n),
            Self::Kick(kick) => kick.at(n),
        }
    }

    fn length(&self) -> Option<u64> {
        match self {
            Self::Silence | Self::Tones(_) | Self::Pink(_) => None,
            Self::Sweep(sweep) => Some(sweep.length()),
            Self::Burst(burst) => burst.length(),
            Self::Kick(kick) => kick.length(),
        }
    }
}
