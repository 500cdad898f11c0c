//! The octave part: what the low end would be, one octave down.
//!
//! ```text
//! L, R ► decimate ► mid or side ► core ► interpolate ► octave part
//! ```
//!
//! One core on one mono source, so that both channels get the same octave
//! part. No look-ahead: the delay of the filters is the price of purity, and
//! the dry part does not wait for it. `docs/octave.md` derives the whole.

pub mod resample;

mod allpass_pair;
mod analytic;
mod band;
mod core;
mod divide;
mod fit;
mod floor;
mod halve;
mod halved;
mod halver;
mod hermitian;
mod phasor;
mod polarity;
mod predict;
mod residual;
mod seeder;
mod smooth;
mod source;
mod tracked;
mod tracker;
mod trackers;
mod voice;

use self::core::Core;
use self::resample::{Decimator, Interpolator};
use self::source::Source;
use crate::settings::Settings;

/// Makes the octave part of a signal.
pub struct Octave {
    source: Source,
    decimator: Decimator,
    core: Core,
    interpolator: Interpolator,
    ratio: usize,
    phase: usize,
    fresh: bool,
}

impl Octave {
    /// An octave core for signals at `sample_rate_hz`. Allocates; nothing else here does.
    pub fn new(sample_rate_hz: f64) -> Self {
        let ratio = resample::ratio(sample_rate_hz);
        let low_rate_hz = sample_rate_hz / ratio as f64;
        let mut octave = Self {
            source: Source::new(low_rate_hz),
            decimator: Decimator::new(ratio),
            core: Core::new(low_rate_hz, ratio),
            interpolator: Interpolator::new(ratio),
            ratio,
            phase: 0,
            fresh: true,
        };
        octave.set(&Settings::default());
        octave
    }

    /// Follows `octave.method`, `.response`, `.from_hz`, `.to_hz`, `.floor_hz` and `.phase_deg`,
    /// at once before the first sample and by gliding afterwards; `octave.level_db` is the chain's.
    pub fn set(&mut self, settings: &Settings) {
        self.core.set(settings);
        if self.fresh {
            self.core.reset();
        }
    }

    /// Back to silence, with the settings in force at once.
    pub fn reset(&mut self) {
        self.source.reset();
        self.decimator.reset();
        self.core.reset();
        self.interpolator.reset();
        self.phase = 0;
        self.fresh = true;
    }

    /// Writes the octave part of `left` and `right` to `out`, all of one length, at the level
    /// of its source. A mono signal is given twice.
    pub fn process(&mut self, left: &[f64], right: &[f64], out: &mut [f64]) {
        self.fresh &= out.is_empty();
        let mut done = 0;
        while done < out.len() {
            let end = out.len().min(done + self.ratio - self.phase);
            let (left, right) = (&left[done..end], &right[done..end]);
            self.decimator.push(self.phase, left, right);
            self.interpolator.fill(self.phase, &mut out[done..end]);
            self.phase += end - done;
            done = end;
            if self.phase == self.ratio {
                self.phase = 0;
                let source = self.source.push(self.decimator.take());
                self.interpolator.push(self.core.push(source));
            }
        }
    }
}
