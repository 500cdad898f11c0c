//! The order of the stages, and the taps one can hear it from:
//!
//! ```text
//! x ► trim ─┬────────────► dry level ──┬► low band ► closed box ► high-pass ► output ► ceiling ► y
//!           └► octave part ► its level ┘
//! ```
//!
//! Nothing here has latency: the dry part leaves in the sample it came.

use super::ceiling::Ceiling;
use super::closed_box::ClosedBox;
use super::glide::Glide;
use super::high_pass::HighPass;
use super::low_band::LowBand;
use super::octave::Octave;
use crate::settings::{Hear, OFF_DB, Settings};
use crate::units::db_to_gain;

/// Where on the line a listener stands, in the order of the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tap {
    /// What arrives: the input as it is.
    Before,
    /// The untouched part: after trim and dry level.
    Dry,
    /// The octave part alone, at its level, the same in every channel.
    Octave,
    /// Dry and octave part together, before the low band.
    Blend,
    /// After the low band.
    LowBand,
    /// What comes out.
    After,
}

/// Most frames the chain takes at a time.
pub const MOST_FRAMES: usize = 128;

/// Two channels of a stretch of signal.
type Lanes = [[f64; MOST_FRAMES]; 2];

/// Every stage of the line in its order, for two channels in f64.
pub struct Chain {
    trim: Glide,
    dry: Glide,
    octave_level: Glide,
    octave: Octave,
    low_band: LowBand,
    closed_box: ClosedBox,
    high_pass: HighPass,
    output: Glide,
    ceiling: Ceiling,
    difference: Glide,
    bypass: Glide,
    fresh: bool,
    before: Lanes,
    dry_part: Lanes,
    octave_part: [f64; MOST_FRAMES],
}

impl Chain {
    /// The line with default settings, at `sample_rate_hz`. Allocates; nothing else here does.
    pub fn new(sample_rate_hz: f64) -> Self {
        let glide = |value| Glide::new(value, sample_rate_hz);
        let mut chain = Self {
            trim: glide(1.0),
            dry: glide(1.0),
            octave_level: glide(0.0),
            octave: Octave::new(sample_rate_hz),
            low_band: LowBand::new(sample_rate_hz),
            closed_box: ClosedBox::new(sample_rate_hz),
            high_pass: HighPass::new(sample_rate_hz),
            output: glide(1.0),
            ceiling: Ceiling::new(sample_rate_hz),
            difference: glide(0.0),
            bypass: Glide::new(0.0, 2.0 * sample_rate_hz),
            fresh: true,
            before: [[0.0; MOST_FRAMES]; 2],
            dry_part: [[0.0; MOST_FRAMES]; 2],
            octave_part: [0.0; MOST_FRAMES],
        };
        chain.set(&Settings::default());
        chain
    }

    /// Follows the settings: at once before the first sample, by gliding afterwards.
    pub fn set(&mut self, settings: &Settings) {
        let hear = settings.listen;
        let heard = |part_is_heard: bool, level_db: f32| match part_is_heard {
            true => level(level_db),
            false => 0.0,
        };
        self.trim.set(db_to_gain(f64::from(settings.input_trim_db)));
        self.dry.set(heard(hear != Hear::Octave, settings.dry_level_db));
        self.octave_level.set(heard(hear != Hear::Dry, settings.octave_level_db));
        self.output.set(db_to_gain(f64::from(settings.output_gain_db)));
        self.difference.set(f64::from(hear == Hear::Difference));
        self.bypass.set(f64::from(settings.bypass));
        self.octave.set(settings);
        self.low_band.set(settings);
        self.closed_box.set(settings);
        self.high_pass.set(settings);
        self.ceiling.set(settings);
        if self.fresh {
            self.settle();
        }
    }

    /// Back to silence, with the settings in force at once.
    pub fn reset(&mut self) {
        self.octave.reset();
        self.settle();
        self.fresh = true;
    }

    /// Runs the line over at most [`MOST_FRAMES`] frames of finite samples, in
    /// place. `hear` is called once for every tap but [`Tap::After`], in the
    /// order of the line, with both channels: what leaves is the caller's.
    pub fn process(
        &mut self,
        left: &mut [f64],
        right: &mut [f64],
        mut hear: impl FnMut(Tap, &[f64], &[f64]),
    ) {
        let n = left.len();
        self.fresh = false;
        hear(Tap::Before, left, right);
        keep(&mut self.before, left, right);
        self.trim.scale([&mut *left, &mut *right]);
        let octave = &mut self.octave_part[..n];
        self.octave.process(left, right, octave);
        self.octave_level.scale([&mut *octave]);
        self.dry.scale([&mut *left, &mut *right]);
        keep(&mut self.dry_part, left, right);
        let dry = self.dry_part.each_ref().map(|lane| &lane[..n]);
        hear(Tap::Dry, dry[0], dry[1]);
        hear(Tap::Octave, octave, octave);
        for (i, octave) in octave.iter().enumerate() {
            left[i] += octave;
            right[i] += octave;
        }
        hear(Tap::Blend, left, right);

        self.low_band.process(dry, octave, [&mut *left, &mut *right]);
        hear(Tap::LowBand, left, right);

        self.closed_box.process(left, right);
        self.high_pass.process(left, right);
        self.output.scale([&mut *left, &mut *right]);
        self.ceiling.process(left, right);
        self.round(left, right);
    }

    /// What goes round the line: the input that is taken off, and the input alone in bypass.
    fn round(&mut self, left: &mut [f64], right: &mut [f64]) {
        if self.difference.rests_at(0.0) && self.bypass.rests_at(0.0) {
            return;
        }
        for i in 0..left.len() {
            let (taken, bypass) = (self.difference.step(), self.bypass.step());
            let bypassed = self.bypass.rests_at(1.0);
            for (x, before) in [&mut left[i], &mut right[i]].into_iter().zip(&self.before) {
                let arrived = before[i];
                // What is not taken at all leaves a zero its sign, as at rest.
                let out = if taken == 0.0 { *x } else { *x - taken * arrived };
                let faded = if bypass == 0.0 { out } else { out + bypass * (arrived - out) };
                *x = if bypassed { arrived } else { faded };
            }
        }
    }

    fn settle(&mut self) {
        for glide in [
            &mut self.trim,
            &mut self.dry,
            &mut self.octave_level,
            &mut self.output,
            &mut self.difference,
            &mut self.bypass,
        ] {
            glide.finish();
        }
        self.low_band.reset();
        self.closed_box.reset();
        self.high_pass.reset();
        self.ceiling.reset();
    }
}

/// Copies a stretch of both channels.
fn keep(lanes: &mut Lanes, left: &[f64], right: &[f64]) {
    for (kept, lane) in lanes.iter_mut().zip([left, right]) {
        kept[..lane.len()].copy_from_slice(lane);
    }
}

/// Gain in dB that the linear stages after the blend give at `hz`: low band, closed box,
/// high-pass and output, for a signal that passes them all.
pub fn response_db(settings: &Settings, hz: f64, sample_rate_hz: f64) -> f64 {
    LowBand::response_db(settings, hz, sample_rate_hz)
        + ClosedBox::response_db(settings, hz, sample_rate_hz)
        + HighPass::response_db(settings, hz, sample_rate_hz)
        + f64::from(settings.output_gain_db)
}

/// A level setting as a gain, with its bottom as silence.
fn level(db: f32) -> f64 {
    if db <= OFF_DB { 0.0 } else { db_to_gain(f64::from(db)) }
}
