//! The analysers inside the line: which stage added what.

use super::Strata;
use super::tail::Tail;
use crate::analysis::averager::Averager;
use crate::path::Post;

/// Highest frequency that is kept of the spectra inside the line, in Hz.
const TO_HZ: f64 = 24_000.0;

/// Measures the signals at the posts inside the line.
pub(super) struct StrataMeter {
    dry: Averager,
    octave: Averager,
    blend: Averager,
    low_band: Averager,
    dry_tail: Tail,
    octave_tail: Tail,
}

impl StrataMeter {
    /// After the kind of the averager before the line, in a work space of its own.
    pub(super) fn new(before: &Averager, sample_rate_hz: f64, channels: usize) -> Self {
        let before = before.apart(channels);
        Self {
            dry: before.beside(channels, TO_HZ),
            octave: before.beside(1, TO_HZ),
            blend: before.beside(channels, TO_HZ),
            low_band: before.beside(channels, TO_HZ),
            dry_tail: Tail::new(sample_rate_hz),
            octave_tail: Tail::new(sample_rate_hz),
        }
    }

    /// Hears the next samples at one post; the posts outside are not its own. The octave
    /// part is the same in every channel: one is enough.
    pub(super) fn push(&mut self, post: Post, channels: &[&[f64]]) {
        match post {
            Post::Dry => {
                self.dry.push(channels);
                self.dry_tail.push(channels[0]);
            }
            Post::Octave => {
                self.octave.push(&channels[..1]);
                self.octave_tail.push(channels[0]);
            }
            Post::Blend => self.blend.push(channels),
            Post::LowBand => self.low_band.push(channels),
            Post::Before | Post::After => {}
        }
    }

    pub(super) fn reset(&mut self) {
        for averager in [&mut self.dry, &mut self.octave, &mut self.blend, &mut self.low_band] {
            averager.reset();
        }
        self.dry_tail.reset();
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
}
