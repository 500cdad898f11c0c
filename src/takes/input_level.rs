//! How loud an input is while it is listened to: level, its own noise, full scale reached.
//!
//! The noise is the quietest moment of the last two minutes: the track brings a silence of its own, and
//! before it plays there is nothing but the noise.

use crate::units::{gain_to_db, mean_square_to_dbfs};
use std::collections::VecDeque;

/// Length of a slice in seconds.
const SLICE_S: f64 = 0.1;
/// Slices of a moment: 0.4 s, in which a level is told.
const MOMENT: usize = 4;
/// Slices that are remembered: two minutes, longer than from the long form's silence to its loudest comb.
const REMEMBERED: usize = 1200;
/// Slices whose highest sample is held: three seconds.
const HELD: usize = 30;
/// Slices for which full scale is told: ten seconds.
const TOLD: usize = 100;
/// A sample this near to full scale was driven to it (−0.1 dBFS).
const FULL_SCALE: f64 = 0.9886;

/// What an input gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InputLevel {
    /// r.m.s. of the last 0.4 s over all channels, dBFS by AES17.
    pub rms_dbfs: f64,
    /// Highest sample of the last three seconds, dBFS.
    pub peak_dbfs: f64,
    /// r.m.s. of the quietest 0.4 s of the last two minutes, dBFS by AES17.
    pub noise_dbfs: f64,
    /// Samples at full scale (from −0.1 dBFS) in the last ten seconds.
    pub full_scale: u64,
}

impl InputLevel {
    /// Silence.
    pub const NOTHING: Self = Self {
        rms_dbfs: f64::NEG_INFINITY,
        peak_dbfs: f64::NEG_INFINITY,
        noise_dbfs: f64::NEG_INFINITY,
        full_scale: 0,
    };

    /// How far the level is above the quietest moment, dB; 0 while nothing arrives.
    pub fn over_noise_db(&self) -> f64 {
        let over = self.rms_dbfs - self.noise_dbfs;
        if over.is_nan() { 0.0 } else { over }
    }
}

/// A tenth of a second.
#[derive(Clone, Copy, Default)]
struct Slice {
    square: f64,
    peak: f64,
    full_scale: u64,
}

/// Hears an input and tells its level. Memory: 30 kB, however long it listens.
pub struct InputMeter {
    frames_of_slice: usize,
    channels: usize,
    now: Slice,
    frames: usize,
    slices: VecDeque<Slice>,
    /// r.m.s. squared of every moment that is remembered.
    moments: VecDeque<f64>,
}

impl InputMeter {
    /// For `channels` channels at a rate in Hz.
    pub fn new(sample_rate_hz: f64, channels: usize) -> Self {
        Self {
            frames_of_slice: (SLICE_S * sample_rate_hz).max(1.0) as usize,
            channels: channels.max(1),
            now: Slice::default(),
            frames: 0,
            slices: VecDeque::new(),
            moments: VecDeque::new(),
        }
    }

    /// Hears the next samples: one slice a channel, all of one length.
    pub fn push(&mut self, channels: &[&[f32]]) {
        for i in 0..channels.iter().map(|c| c.len()).min().unwrap_or(0) {
            for x in channels.iter().map(|c| f64::from(c[i])) {
                self.now.square += x * x;
                self.now.peak = self.now.peak.max(x.abs());
                self.now.full_scale += u64::from(x.abs() >= FULL_SCALE);
            }
            self.frames += 1;
            if self.frames == self.frames_of_slice {
                self.end_slice();
            }
        }
    }

    fn end_slice(&mut self) {
        self.frames = 0;
        keep(&mut self.slices, std::mem::take(&mut self.now), TOLD);
        if self.slices.len() >= MOMENT {
            let square: f64 = self.slices.iter().rev().take(MOMENT).map(|s| s.square).sum();
            let samples = MOMENT * self.frames_of_slice * self.channels;
            keep(&mut self.moments, square / samples as f64, REMEMBERED);
        }
    }

    /// The level now; silence before 0.4 s were heard.
    pub fn reading(&self) -> InputLevel {
        let Some(now) = self.moments.back() else { return InputLevel::NOTHING };
        let quietest = self.moments.iter().copied().fold(f64::INFINITY, f64::min);
        let peak = self.slices.iter().rev().take(HELD).map(|s| s.peak).fold(0.0, f64::max);
        InputLevel {
            rms_dbfs: mean_square_to_dbfs(*now),
            peak_dbfs: gain_to_db(peak),
            noise_dbfs: mean_square_to_dbfs(quietest),
            full_scale: self.slices.iter().map(|s| s.full_scale).sum(),
        }
    }
}

/// Adds a value behind the latest `most`.
fn keep<T>(latest: &mut VecDeque<T>, value: T, most: usize) {
    if latest.len() >= most {
        latest.pop_front();
    }
    latest.push_back(value);
}
