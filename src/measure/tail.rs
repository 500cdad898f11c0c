//! The last seconds of a signal, for what is read from one stretch.

use std::collections::VecDeque;

/// Longest stretch in seconds, and in samples where the rate is high.
const LONGEST_S: f64 = 4.0;
const LONGEST_SAMPLES: usize = 384_000;

/// Keeps the last 4 s of one channel (2 s at 192 kHz), in single precision.
pub(super) struct Tail {
    samples: VecDeque<f32>,
    most: usize,
}

impl Tail {
    pub(super) fn new(sample_rate_hz: f64) -> Self {
        let most = ((LONGEST_S * sample_rate_hz) as usize).clamp(1, LONGEST_SAMPLES);
        Self { samples: VecDeque::with_capacity(most), most }
    }

    pub(super) fn push(&mut self, samples: &[f64]) {
        let samples = &samples[samples.len().saturating_sub(self.most)..];
        let excess = (self.samples.len() + samples.len()).saturating_sub(self.most);
        self.samples.drain(..excess);
        self.samples.extend(samples.iter().map(|x| *x as f32));
    }

    pub(super) fn reset(&mut self) {
        self.samples.clear();
    }

    /// The stretch, oldest sample first.
    pub(super) fn samples(&self) -> Vec<f64> {
        self.samples.iter().map(|x| f64::from(*x)).collect()
    }

    /// Sum of the squares.
    pub(super) fn energy(&self) -> f64 {
        self.samples.iter().map(|x| f64::from(*x).powi(2)).sum()
    }
}
