//! Collects a signal of any length into one averaged spectrum, in bounded memory.
//!
//! Blocks of 2 s are weighted, transformed and their powers added (Welch, "The use of
//! fast Fourier transform for the estimation of power spectra", IEEE Trans. AU-15, 1967).

use std::sync::{Arc, Mutex, PoisonError};

use super::blocks::Blocks;
use super::spectrum::Spectrum;
use super::window::Window;

/// Averages the spectra of a signal's blocks.
///
/// Samples wait for their block in single precision: the rounding stays below
/// -150 dB of the signal, all bins together.
pub struct Averager {
    window: Window,
    df_hz: f64,
    /// Shared with the averagers made by [`Averager::beside`].
    blocks: Arc<Mutex<Blocks>>,
    length: usize,
    /// Points from one block to the next.
    hop: usize,
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
        let length = 2 * (sample_rate_hz.round() as usize).max(8);
        Self {
            window,
            df_hz: sample_rate_hz / length as f64,
            blocks: Arc::new(Mutex::new(Blocks::new(length, window))),
            length,
            hop: if window == Window::Rectangular { length } else { length / 2 },
            waiting: vec![Vec::with_capacity(length); channels],
            sum: vec![0.0; length / 2 + 1],
            count: 0,
        }
    }

    /// For signals that repeat every 2 s, and what comes of them: Hann blocks that overlap
    /// by three quarters. Over each four blocks the products of neighbouring lines turn
    /// once round and cancel, so that the power of every line is exact, as it is without a
    /// window, and yet a line of another period does not smear.
    pub fn for_periodic(sample_rate_hz: f64, channels: usize) -> Self {
        let plain = Self::new(sample_rate_hz, channels, Window::Hann);
        Self { hop: plain.length / 4, ..plain }
    }

    /// A fresh averager of the same kind for another post that shares this one's work
    /// space (they take turns, in one thread or several) and keeps the bins up to `to_hz` only.
    pub fn beside(&self, channels: usize, to_hz: f64) -> Self {
        let bins = ((to_hz / self.df_hz).round() as usize).saturating_add(1);
        Self {
            blocks: self.blocks.clone(),
            waiting: vec![Vec::with_capacity(self.length); channels],
            sum: vec![0.0; bins.min(self.length / 2 + 1)],
            count: 0,
            ..*self
        }
    }

    /// Hears the next samples: one slice a channel, all of one length.
    pub fn push(&mut self, channels: &[&[f64]]) {
        let samples = channels.first().map_or(0, |channel| channel.len());
        let mut start = 0;
        while start < samples && !self.waiting.is_empty() {
            let end = samples.min(start + self.length - self.waiting[0].len());
            for (waiting, channel) in self.waiting.iter_mut().zip(channels) {
                waiting.extend(channel[start..end].iter().map(|x| *x as f32));
            }
            start = end;
            if self.waiting[0].len() == self.length {
                self.add_block();
            }
        }
    }

    /// The average so far. Before the first 2 s are full, what is there is one shorter block.
    pub fn reading(&self) -> Spectrum {
        let mut power = self.sum.clone();
        let averages = if self.count > 0 {
            power.iter_mut().for_each(|p| *p /= self.count as f64);
            self.window.independent(self.count as f64, self.hop as f64 / self.length as f64)
        } else {
            self.add_powers(&mut power);
            self.waiting.first().map_or(0, Vec::len) as f64 / self.length as f64
        };
        Spectrum { df_hz: self.df_hz, power, window: self.window, averages }
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
            waiting.drain(..self.hop);
        }
    }

    /// Adds the mean power of the waiting channels, bin by bin.
    fn add_powers(&self, sum: &mut [f64]) {
        let mut blocks = self.blocks.lock().unwrap_or_else(PoisonError::into_inner);
        for waiting in &self.waiting {
            blocks.add_powers(waiting, 1.0 / self.waiting.len() as f64, sum);
        }
    }
}
