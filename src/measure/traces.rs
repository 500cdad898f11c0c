//! The last seconds inside the line, for a trace of a tone and its half.

use super::side::{SideMeter, loudest};
use super::tail::Tail;
use crate::analysis::scope::{self, Scope};

/// Keeps the last seconds of the dry part and of the octave part.
pub(super) struct Traces {
    dry: Vec<Tail>,
    octave: Tail,
}

impl Traces {
    pub(super) fn new(sample_rate_hz: f64, channels: usize) -> Self {
        let tail = |_| Tail::new(sample_rate_hz);
        Self { dry: (0..channels).map(tail).collect(), octave: Tail::new(sample_rate_hz) }
    }

    /// Hears the next samples of both; the octave part is the same in every channel.
    pub(super) fn push(&mut self, dry: &[&[f64]], octave: &[f64]) {
        self.dry.iter_mut().zip(dry).for_each(|(tail, channel)| tail.push(channel));
        self.octave.push(octave);
    }

    pub(super) fn reset(&mut self) {
        self.dry.iter_mut().for_each(Tail::reset);
        self.octave.reset();
    }

    /// A trace of the channel that is loudest in the dry part, with `after` what came out,
    /// over whole periods of a tone's subharmonic; `None` where there is nothing to lock to.
    pub(super) fn scope(
        &self,
        after: &SideMeter,
        sample_rate_hz: f64,
        tone_hz: f64,
    ) -> Option<Scope> {
        let channel = loudest(&self.dry)?;
        let (dry, out) = (self.dry[channel].samples(), after.stretch(channel));
        scope::trace(&dry, &self.octave.samples(), &out, sample_rate_hz, 2.0 / tone_hz)
    }
}
