//! Collects a signal of any length into one averaged spectrum, in bounded memory.
//!
//! Blocks of 2 s are weighted, transformed and their powers added (Welch, "The use of
//! fast Fourier transform for the estimation of power spectra", IEEE Trans. AU-15, 1967).

use super::blocks::{Bin, Blocks, add_powers};
use super::spectrum::Spectrum;
use super::window::Window;

/// How long the blocks of Welch's method are, how they are weighted, and how far they lie apart.
#[derive(Clone, Copy)]
pub(crate) struct Welch {
    pub(crate) window: Window,
    pub(crate) df_hz: f64,
    /// Points of a block.
    pub(crate) length: usize,
    /// Points from one block to the next.
    pub(crate) hop: usize,
}

impl Welch {
    /// Blocks of 2 s. They overlap by half, rectangular ones not.
    pub(crate) fn new(sample_rate_hz: f64, window: Window) -> Self {
        let length = 2 * (sample_rate_hz.round() as usize).max(8);
        let hop = if window == Window::Rectangular { length } else { length / 2 };
        Self { window, df_hz: sample_rate_hz / length as f64, length, hop }
    }

    /// For signals that repeat every 2 s, and what comes of them: Hann blocks that overlap
    /// by three quarters. Over each four blocks the products of neighbouring lines turn
    /// once round and cancel, so that the power of every line is exact, as it is without a
    /// window, and yet a line of another period does not smear.
    pub(crate) fn periodic(sample_rate_hz: f64) -> Self {
        let plain = Self::new(sample_rate_hz, Window::Hann);
        Self { hop: plain.length / 4, ..plain }
    }

    /// Bins of a block's spectrum, both ends counted.
    pub(crate) fn bins(&self) -> usize {
        self.length / 2 + 1
    }

    /// Number of independent averages that `blocks` are worth.
    pub(crate) fn independent(&self, blocks: u64) -> f64 {
        self.window.independent(blocks as f64, self.hop as f64 / self.length as f64)
    }

    /// The mean of `blocks` whose powers add up to `power`. Where there are none yet, `power` is
    /// that of one shorter block of `samples`.
    pub(crate) fn mean(&self, mut power: Vec<f64>, blocks: u64, samples: usize) -> Spectrum {
        power.iter_mut().for_each(|p| *p /= blocks.max(1) as f64);
        let averages = match blocks {
            0 => samples as f64 / self.length as f64,
            blocks => self.independent(blocks),
        };
        Spectrum { df_hz: self.df_hz, power, window: self.window, averages }
    }
}

/// Averages the spectra of a signal's blocks.
///
/// Samples wait for their block in single precision: the rounding stays below
/// -150 dB of the signal, all bins together.
pub struct Averager {
    welch: Welch,
    blocks: Blocks,
    transform: Vec<Bin>,
    waiting: Vec<Vec<f32>>,
    sum: Vec<f64>,
    count: u64,
}

impl Spectrum {
    /// The spectrum of a whole signal in memory: mean power of `channels`, all of
    /// one length. What is shorter than 2 s is weighted as one block.
    pub fn of(channels: &[&[f64]], sample_rate_hz: f64, window: Window) -> Self {
        let mut averager = Averager::new(sample_rate_hz, channels.len(), window);
        averager.push(channels);
        averager.reading()
    }
}

impl Averager {
    /// For `channels` channels at `sample_rate_hz`. Blocks overlap by half, rectangular ones not.
    pub fn new(sample_rate_hz: f64, channels: usize, window: Window) -> Self {
        Self::with(Welch::new(sample_rate_hz, window), channels)
    }

    /// For signals that repeat every 2 s, and what comes of them: the power of every line is exact.
    pub fn for_periodic(sample_rate_hz: f64, channels: usize) -> Self {
        Self::with(Welch::periodic(sample_rate_hz), channels)
    }

    fn with(welch: Welch, channels: usize) -> Self {
        Self {
            welch,
            blocks: Blocks::new(welch.length, welch.window),
            transform: vec![Bin::default(); welch.bins()],
            waiting: vec![Vec::with_capacity(welch.length); channels],
            sum: vec![0.0; welch.bins()],
            count: 0,
        }
    }

    /// Hears the next samples: one slice a channel, all of one length.
    pub fn push(&mut self, channels: &[&[f64]]) {
        let samples = channels.first().map_or(0, |channel| channel.len());
        let mut start = 0;
        while start < samples && !self.waiting.is_empty() {
            let end = samples.min(start + self.welch.length - self.waiting[0].len());
            for (waiting, channel) in self.waiting.iter_mut().zip(channels) {
                waiting.extend(channel[start..end].iter().map(|x| *x as f32));
            }
            start = end;
            if self.waiting[0].len() == self.welch.length {
                self.add_block();
            }
        }
    }

    /// The average so far. Before the first 2 s are full, what is there is one shorter block.
    pub fn reading(&mut self) -> Spectrum {
        let mut power = self.sum.clone();
        if self.count == 0 {
            self.add_powers(&mut power);
        }
        let there = self.waiting.first().map_or(0, Vec::len);
        self.welch.mean(power, self.count, there)
    }

    /// Forgets everything heard.
    pub fn reset(&mut self) {
        self.waiting.iter_mut().for_each(Vec::clear);
        self.sum.fill(0.0);
        self.count = 0;
    }

    /// Takes the full block in and keeps what the next one shares with it.
    fn add_block(&mut self) {
        let mut sum = std::mem::take(&mut self.sum);
        self.add_powers(&mut sum);
        self.sum = sum;
        self.count += 1;
        for waiting in &mut self.waiting {
            waiting.drain(..self.welch.hop);
        }
    }

    /// Adds the mean power of the waiting channels, bin by bin.
    fn add_powers(&mut self, sum: &mut [f64]) {
        for waiting in &self.waiting {
            let scale = self.blocks.transform(waiting, &mut self.transform);
            add_powers(&self.transform, scale / self.waiting.len() as f64, sum);
        }
    }
}
