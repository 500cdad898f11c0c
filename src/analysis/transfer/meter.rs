//! Collects the transfer function of two signals of any length, in bounded memory.

use realfft::num_complex::Complex;

use super::super::averager::Welch;
use super::super::blocks::Blocks;
use super::super::window::Window;
use super::sums::Sums;
use super::{Transfer, delay};

/// A sample above this starts the search for the delay (-80 dBFS).
const AUDIBLE: f32 = 1e-4;
/// Seconds of the first signal that are looked for in the second.
const SEARCHED_S: f64 = 2.0;
/// Largest delay to both sides in seconds.
const LARGEST_DELAY_S: f64 = 1.0;

/// Measures the transfer function from one signal to another.
pub struct TransferMeter {
    sample_rate_hz: f64,
    /// Delay of the second signal in samples; `None` while it is looked for.
    delay: Option<i64>,
    /// Samples of each side that still have to be dropped to bring them into step.
    skip: [usize; 2],
    /// What waits for its block (or for the delay): side, channel, sample.
    waiting: [Vec<Vec<f32>>; 2],
    welch: Welch,
    blocks: Blocks,
    first: Vec<Complex<f64>>,
    second: Vec<Complex<f64>>,
    sums: Sums,
    count: u64,
}

impl TransferMeter {
    /// For pairs of `channels` channels at `sample_rate_hz`, whose delay (up to 1 s either
    /// way) is looked for in the first seconds that are not silent.
    pub fn new(sample_rate_hz: f64, channels: usize) -> Self {
        let welch = Welch::new(sample_rate_hz, Window::Hann);
        let transform = vec![Complex::default(); welch.bins()];
        Self {
            sample_rate_hz,
            delay: None,
            skip: [0, 0],
            waiting: [vec![Vec::new(); channels], vec![Vec::new(); channels]],
            welch,
            blocks: Blocks::new(welch.length, welch.window),
            sums: Sums::new(welch.bins()),
            first: transform.clone(),
            second: transform,
            count: 0,
        }
    }

    /// Hears the next samples of both signals: one slice a channel, all of one length.
    pub fn push(&mut self, first: &[&[f64]], second: &[&[f64]]) {
        // Pieces keep what waits short, however long the slices are.
        let samples = first.iter().chain(second).map(|c| c.len()).min().unwrap_or(0);
        for start in (0..samples).step_by(self.welch.length / 4) {
            let end = samples.min(start + self.welch.length / 4);
            for (waiting, channels) in self.waiting.iter_mut().zip([first, second]) {
                for (waiting, channel) in waiting.iter_mut().zip(channels) {
                    waiting.extend(channel[start..end].iter().map(|x| *x as f32));
                }
            }
            if self.delay.is_none() {
                self.search(false);
            }
            if self.delay.is_some() {
                self.add_blocks();
            }
        }
    }

    /// The transfer function so far; `None` before the second block (3 s), since one block
    /// alone always looks coherent, or while no delay could be found.
    pub fn reading(&mut self) -> Option<Transfer> {
        if self.delay.is_none() {
            self.search(true);
            self.add_blocks();
        }
        let delay_s = self.delay.unwrap_or(0) as f64 / self.sample_rate_hz;
        let averages = self.welch.independent(self.count);
        (self.count > 1).then(|| self.sums.transfer(self.welch.df_hz, averages, delay_s))
    }

    /// Forgets everything heard, and the delay.
    pub fn reset(&mut self) {
        self.delay = None;
        self.count = 0;
        self.skip = [0, 0];
        self.waiting.iter_mut().flatten().for_each(Vec::clear);
        self.sums = Sums::new(self.first.len());
    }

    /// Looks for the delay once enough is there, or with what is there.
    fn search(&mut self, now: bool) {
        let seconds = |s: f64| (s * self.sample_rate_hz).round() as usize;
        let (lead, searched) = (seconds(LARGEST_DELAY_S), seconds(SEARCHED_S));
        let there = self.waiting[0].first().map_or(0, Vec::len);
        let onset = |channel: &Vec<f32>| channel.iter().position(|x| x.abs() > AUDIBLE);
        let Some(onset) = self.waiting[0].iter().filter_map(onset).min() else {
            // Silence so far: keep what an early second signal could need.
            self.forget(there.saturating_sub(lead));
            return;
        };
        let enough = onset + searched + lead;
        if there < enough && !now {
            return;
        }
        let end = (onset + searched).min(there);
        // The second signal from 1 s before to 1 s after, with silence where it is not known.
        let stretch = |channel: &Vec<f32>| {
            let from = onset as i64 - lead as i64;
            let known = |i: i64| usize::try_from(i).ok().and_then(|i| channel.get(i)).copied();
            (from..(end + lead) as i64).map(|i| known(i).unwrap_or(0.0)).collect::<Vec<_>>()
        };
        let later: Vec<Vec<f32>> = self.waiting[1].iter().map(stretch).collect();
        let first = self.waiting[0].iter().map(|channel| &channel[onset..end]);
        let pairs: Vec<_> = first.zip(later.iter().map(Vec::as_slice)).collect();
        let Some(found) = delay::find(&pairs, lead) else {
            // The second signal is silent here: look further on.
            self.forget(end.saturating_sub(lead));
            return;
        };
        let delay = found as i64 - lead as i64;
        self.delay = Some(delay);
        self.skip = [(-delay).max(0) as usize, delay.max(0) as usize];
    }

    /// Drops the oldest samples of both signals.
    fn forget(&mut self, samples: usize) {
        for channel in self.waiting.iter_mut().flatten() {
            channel.drain(..samples.min(channel.len()));
        }
    }

    /// Takes in all blocks that are full on both sides.
    fn add_blocks(&mut self) {
        for (waiting, skip) in self.waiting.iter_mut().zip(&mut self.skip) {
            let now = (*skip).min(waiting.first().map_or(0, Vec::len));
            for channel in waiting {
                channel.drain(..now);
            }
            *skip -= now;
        }
        let length = self.welch.length;
        let full = |side: &Vec<Vec<f32>>| side.first().is_some_and(|c| c.len() >= length);
        while self.waiting.iter().all(full) {
            for channel in 0..self.waiting[0].len() {
                let block = |side: usize| &self.waiting[side][channel][..length];
                self.blocks.transform(block(0), &mut self.first);
                self.blocks.transform(block(1), &mut self.second);
                self.sums.add(&self.first, &self.second);
            }
            self.count += 1;
            self.forget(self.welch.hop);
        }
    }
}
