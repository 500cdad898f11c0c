//! The one signal path, live and offline: before ► chain ► after, with
//! listeners at fixed taps on the line.
//!
//! Real-time safe: only `new` allocates, nothing locks, nothing panics.

use crate::dsp::chain::Chain;
use crate::settings::Settings;

pub use crate::dsp::chain::{MOST_FRAMES, Tap};

/// A sample louder than this (+60 dBFS), or not finite, is a fault of
/// whatever made it: it is heard as silence.
pub const FAULT: f32 = 1000.0;

/// A sample nearer to zero than this (-400 dBFS) is zero: no subnormal number
/// enters or leaves the line.
const NOTHING: f32 = 1e-20;

/// Something that hears the line while it runs.
///
/// A stretch is [`MOST_FRAMES`] long at most. For each the taps are called once each, in their order, each with
/// one slice a channel (one or two), all of one length. Called on the audio
/// thread: an implementation that is used live neither allocates nor locks.
pub trait Listen {
    /// Hears one stretch at one tap.
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]);
}

/// Nobody listens.
impl Listen for () {
    fn hear(&mut self, _: Tap, _: &[&[f64]]) {}
}

/// The signal path for one or two channels.
///
/// ```
/// use underpin::{path::Path, settings::Settings};
///
/// let mut path = Path::new(48_000.0, 1);
/// path.set(&Settings::default().with("octave.level_db", "off")?.with("output.gain_db", "6 dB")?);
/// let mut block = vec![0.25f32; 64];
/// path.process(&mut [&mut block], &mut ());
/// assert!((block[63] - 0.25 * 10f32.powf(6.0 / 20.0)).abs() < 1e-6);
/// # Ok::<(), String>(())
/// ```
pub struct Path {
    chain: Chain,
    channels: usize,
    left: [f64; MOST_FRAMES],
    right: [f64; MOST_FRAMES],
}

impl Path {
    /// A path with default settings for signals at `sample_rate_hz` with one
    /// or two `channels`.
    pub fn new(sample_rate_hz: f64, channels: usize) -> Self {
        Self {
            chain: Chain::new(sample_rate_hz),
            channels: channels.clamp(1, 2),
            left: [0.0; MOST_FRAMES],
            right: [0.0; MOST_FRAMES],
        }
    }

    /// Follows the settings from the next sample on: at once before the first
    /// sample and after a reset, by gliding otherwise.
    pub fn set(&mut self, settings: &Settings) {
        self.chain.set(settings);
    }

    /// Back to silence, with the settings in force at once.
    pub fn reset(&mut self) {
        self.chain.reset();
    }

    /// Runs the path over `block` in place: one slice a channel, all of one
    /// length, full scale at ±1. A second channel that `new` was not told of
    /// is left alone; a mono signal is heard as the left of two equal channels.
    pub fn process(&mut self, block: &mut [&mut [f32]], listener: &mut impl Listen) {
        let channels = self.channels.min(block.len());
        let Some(frames) = block[..channels].iter().map(|c| c.len()).min() else { return };
        let mut start = 0;
        while start < frames {
            let end = frames.min(start + MOST_FRAMES);
            self.stretch(&mut block[..channels], start..end, listener);
            start = end;
        }
    }

    fn stretch(
        &mut self,
        block: &mut [&mut [f32]],
        range: std::ops::Range<usize>,
        listener: &mut impl Listen,
    ) {
        let n = range.len();
        let (left, right) = (&mut self.left[..n], &mut self.right[..n]);
        let second = block.len() - 1;
        enter(&block[0][range.clone()], left);
        enter(&block[second][range.clone()], right);
        let channels = block.len();
        self.chain.process(left, right, |tap, left, right| {
            listener.hear(tap, &[left, right][..channels]);
        });
        leave(left, &mut block[0][range.clone()]);
        if second > 0 {
            leave(right, &mut block[second][range]);
        }
        listener.hear(Tap::After, &[&*left, &*right][..channels]);
    }
}

/// Samples into the line: faults and subnormal numbers become silence.
fn enter(samples: &[f32], lane: &mut [f64]) {
    for (value, sample) in lane.iter_mut().zip(samples) {
        let sound = *sample == 0.0 || (NOTHING..=FAULT).contains(&sample.abs());
        *value = if sound { f64::from(*sample) } else { 0.0 };
    }
}

/// Samples out of the line, rounded to f32; the lane holds what was written.
fn leave(lane: &mut [f64], samples: &mut [f32]) {
    for (value, sample) in lane.iter_mut().zip(samples) {
        let rounded = *value as f32;
        *sample = if rounded == 0.0 || rounded.abs() >= NOTHING { rounded } else { 0.0 };
        *value = f64::from(*sample);
    }
}
