//! True peak by ITU-R BS.1770 as the `ebur128` library reads it, looked for where it can be.
//!
//! A value between samples is a weighted sum of those around it: it cannot exceed the largest of
//! them times the sum of the weights. Stretches that cannot reach the highest value so far are
//! passed over, and the result is the same.

use ebur128::{EbuR128, Mode};

use super::true_peak_oversampling;
use crate::numeric::extremes;

/// Frames that are looked at together.
const STRETCH: usize = 64;
/// Samples that a value between them is made of: 12 at four times the rate, 24 at twice.
const REACH: usize = 24;
/// Sums of the weights' magnitudes of the library's windowed sinc, at four times the rate 1.8642
/// and at twice 2.3068 (computed with Python), and a little for single precision.
const FOUR_TIMES: f64 = 1.87;
const TWICE: f64 = 2.31;

/// Looks for the highest value of a signal of any length.
pub(super) struct TruePeak {
    /// `None` where the library does not take the rate or the number of channels.
    library: Option<EbuR128>,
    /// A sample times this is the most that can stand beside it.
    most: f64,
    highest: f64,
    /// The last frames heard, channel by channel.
    last: Vec<[f64; REACH]>,
    /// Frames that still belong to a loud sample before them.
    owed: usize,
    /// The library does not know the last frames.
    has_passed: bool,
}

impl TruePeak {
    pub(super) fn new(sample_rate_hz: f64, channels: usize) -> Self {
        let rate = sample_rate_hz.round() as u32;
        Self {
            library: EbuR128::new(channels as u32, rate, Mode::TRUE_PEAK).ok(),
            most: if true_peak_oversampling(sample_rate_hz) == 4 { FOUR_TIMES } else { TWICE },
            highest: 0.0,
            last: vec![[0.0; REACH]; channels],
            owed: 0,
            has_passed: false,
        }
    }

    /// The highest value between or at the samples so far, as a share of full scale.
    pub(super) fn highest(&self) -> f64 {
        self.highest
    }

    /// Hears the next samples: one slice a channel, all of one length.
    pub(super) fn push(&mut self, channels: &[&[f64]]) {
        let frames = channels.first().map_or(0, |channel| channel.len());
        for start in (0..frames).step_by(STRETCH) {
            let end = frames.min(start + STRETCH);
            let largest = |(low, high): (f64, f64)| high.max(-low);
            let loudest = channels.iter().map(|c| largest(extremes(&c[start..end])));
            let loudest = loudest.fold(0.0, f64::max);
            let is_loud = loudest * self.most > self.highest;
            if is_loud {
                self.owed = REACH;
            }
            if self.owed == 0 {
                self.has_passed = true;
                continue;
            }
            if std::mem::take(&mut self.has_passed) {
                self.recall(channels, start);
            }
            self.feed(&channels.iter().map(|c| &c[start..end]).collect::<Vec<_>>());
            if !is_loud {
                self.owed = self.owed.saturating_sub(end - start);
            }
        }
        for (last, channel) in self.last.iter_mut().zip(channels) {
            let new = frames.min(REACH);
            last.rotate_left(new);
            last[REACH - new..].copy_from_slice(&channel[frames - new..]);
        }
    }

    /// Forgets everything heard.
    pub(super) fn reset(&mut self) {
        self.library.iter_mut().for_each(EbuR128::reset);
        self.highest = 0.0;
        self.last.fill([0.0; REACH]);
        self.owed = 0;
        self.has_passed = false;
    }

    /// Tells the library of the frames before `start` that it was not given. None is loud: after a
    /// loud one as many are given.
    fn recall(&mut self, channels: &[&[f64]], start: usize) {
        let here = start.min(REACH);
        let last: Vec<Vec<f64>> = self.last.iter().map(|last| last[here..].to_vec()).collect();
        self.feed(&last.iter().map(Vec::as_slice).collect::<Vec<_>>());
        self.feed(&channels.iter().map(|c| &c[start - here..start]).collect::<Vec<_>>());
    }

    fn feed(&mut self, channels: &[&[f64]]) {
        let Some(library) = &mut self.library else { return };
        // It refuses only a number of channels other than its own.
        let _ = library.add_frames_planar_f64(channels);
        let peaks = (0..channels.len()).filter_map(|c| library.true_peak(c as u32).ok());
        self.highest = peaks.fold(self.highest, f64::max);
    }
}
