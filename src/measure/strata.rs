//! The analysers inside the line: which stage added what.

use super::Strata;
use super::side::{SideMeter, loudest};
use super::tail::Tail;
use crate::analysis::averager::Averager;
use crate::analysis::scope::{self, Scope};
use crate::path::Tap;

/// Highest frequency that is kept of the spectra inside the line, in Hz.
const TO_HZ: f64 = 24_000.0;

/// Measures the signals at the taps inside the line.
pub(super) struct StrataMeter {
    dry: Averager,
    octave: Averager,
    blend: Averager,
    low_band: Averager,
    dry_tails: Vec<Tail>,
    octave_tail: Tail,
}

impl StrataMeter {
    /// After the kind of the averager before the line, in its work space.
    pub(super) fn new(before: &Averager, sample_rate_hz: f64, channels: usize) -> Self {
        Self {
            dry: before.beside(channels, TO_HZ),
            octave: before.beside(1, TO_HZ),
            blend: before.beside(channels, TO_HZ),
            low_band: before.beside(channels, TO_HZ),
            dry_tails: (0..channels).map(|_| Tail::new(sample_rate_hz)).collect(),
            octave_tail: Tail::new(sample_rate_hz),
        }
    }

    /// Hears the next samples at one post; the taps outside are not its own. The octave
    /// part is the same in every channel: one is enough.
    pub(super) fn push(&mut self, tap: Tap, channels: &[&[f64]]) {
        match tap {
            Tap::Dry => {
                self.dry.push(channels);
                self.dry_tails.iter_mut().zip(channels).for_each(|(tail, c)| tail.push(c));
            }
            Tap::Octave => {
                self.octave.push(&channels[..1]);
                self.octave_tail.push(channels[0]);
            }
            Tap::Blend => self.blend.push(channels),
            Tap::LowBand => self.low_band.push(channels),
            Tap::Before | Tap::After => {}
        }
    }

    pub(super) fn reset(&mut self) {
        for averager in [&mut self.dry, &mut self.octave, &mut self.blend, &mut self.low_band] {
            averager.reset();
        }
        self.dry_tails.iter_mut().for_each(Tail::reset);
        self.octave_tail.reset();
    }

    pub(super) fn reading(&self) -> Strata {
        Strata {
            dry: self.dry.reading(),
            octave: self.octave.reading(),
            blend: self.blend.reading(),
            low_band: self.low_band.reading(),
        }
    }

    /// A trace of the channel that is loudest in the dry part, with `after` what came out,
    /// over whole periods of a tone's subharmonic; `None` where there is nothing to lock to.
    pub(super) fn scope(
        &self,
        after: &SideMeter,
        sample_rate_hz: f64,
        tone_hz: f64,
    ) -> Option<Scope> {
        let channel = loudest(&self.dry_tails)?;
        let (dry, out) = (self.dry_tails[channel].samples(), after.stretch(channel));
        scope::trace(&dry, &self.octave_tail.samples(), &out, sample_rate_hz, 2.0 / tone_hz)
    }
}
