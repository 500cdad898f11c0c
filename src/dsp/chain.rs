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
    lanes: [Lanes; 4],
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
            lanes: [[[0.0; MOST_FRAMES]; 2]; 4],
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
        let [before, dry, octave, blend] = &mut self.lanes;
        before[0][..n].copy_from_slice(left);
        before[1][..n].copy_from_slice(right);

        for i in 0..n {
            let trim = self.trim.step();
            left[i] *= trim;
            right[i] *= trim;
        }
        self.octave.process(left, right, &mut octave[0][..n]);
        for i in 0..n {
            let (dry_level, octave_level) = (self.dry.step(), self.octave_level.step());
            dry[0][i] = left[i] * dry_level;
            dry[1][i] = right[i] * dry_level;
            octave[0][i] *= octave_level;
            blend[0][i] = dry[0][i] + octave[0][i];
            blend[1][i] = dry[1][i] + octave[0][i];
        }
        hear(Tap::Dry, &dry[0][..n], &dry[1][..n]);
        hear(Tap::Octave, &octave[0][..n], &octave[0][..n]);
        hear(Tap::Blend, &blend[0][..n], &blend[1][..n]);

        for i in 0..n {
            [left[i], right[i]] = self.low_band.process([dry[0][i], dry[1][i]], octave[0][i]);
        }
        hear(Tap::LowBand, left, right);

        for i in 0..n {
            let gain = self.output.step();
            let boxed = self.closed_box.process([left[i], right[i]]);
            let frame = self.high_pass.process(boxed).map(|x| x * gain);
            let frame = self.ceiling.process(frame);
            let arrived = [before[0][i], before[1][i]];
            let (taken, bypass) = (self.difference.step(), self.bypass.step());
            let bypassed = self.bypass.rests_at(1.0);
            let ended = [0, 1].map(|side| {
                let out = frame[side] - taken * arrived[side];
                if bypassed { arrived[side] } else { out + bypass * (arrived[side] - out) }
            });
            [left[i], right[i]] = ended;
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
