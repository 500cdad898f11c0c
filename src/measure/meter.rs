//! Hears the line, or signals without it, and hands out readings.

use super::side::{SideMeter, tone_hz};
use super::strata::StrataMeter;
use super::{Ask, Readings};
use crate::analysis::transfer::TransferMeter;
use crate::path::{Listen, Post};

/// Measures one run of the line, one signal, or a pair of signals.
///
/// It listens off the audio thread: it allocates when a side is first heard, and
/// transforms a block when one is full.
pub struct Measure {
    sample_rate_hz: f64,
    channels: usize,
    ask: Ask,
    /// Samples at the start that are still to be skipped, and how many of them
    /// lie in the stretch being heard.
    skip: usize,
    skipped_now: usize,
    samples: u64,
    before: SideMeter,
    after: Option<SideMeter>,
    strata: Option<StrataMeter>,
    transfer: Option<TransferMeter>,
    /// The stretch before the line, kept until the one after it is heard.
    held: Vec<Vec<f64>>,
}

impl Measure {
    /// For signals of one or two `channels` at `sample_rate_hz`.
    pub fn new(sample_rate_hz: f64, channels: usize, ask: &Ask) -> Self {
        Self {
            sample_rate_hz,
            channels,
            ask: *ask,
            skip: skipped(sample_rate_hz, ask),
            skipped_now: 0,
            samples: 0,
            before: SideMeter::new(sample_rate_hz, channels, ask.periodic),
            after: None,
            strata: None,
            transfer: None,
            held: vec![Vec::new(); channels],
        }
    }

    /// Hears the next samples of a single signal: one slice a channel, all of one length.
    pub fn push(&mut self, channels: &[&[f64]]) {
        self.hear_before(channels);
    }

    /// Hears the next samples of two signals side by side, all slices of one length. The
    /// second may lie up to 1 s before or behind the first.
    pub fn push_pair(&mut self, before: &[&[f64]], after: &[&[f64]]) {
        if self.ask.transfer {
            let (rate, channels) = (self.sample_rate_hz, self.channels);
            self.transfer.get_or_insert_with(|| TransferMeter::new(rate, channels));
        }
        self.hear_before(before);
        self.hear_after(after);
    }

    /// Names the tone whose lines are wanted, in Hz, from now on; `None` looks for one.
    pub fn ask_tone(&mut self, tone_hz: Option<f64>) {
        self.ask.tone_hz = tone_hz;
    }

    /// Everything measured so far.
    pub fn reading(&mut self) -> Readings {
        let before = self.before.reading();
        let _tone_hz = self.ask.tone_hz.or_else(|| tone_hz(&before.spectrum));
        Readings {
            sample_rate_hz: self.sample_rate_hz,
            channels: self.channels,
            seconds: self.samples as f64 / self.sample_rate_hz,
            before,
            after: self.after.as_ref().map(SideMeter::reading),
            strata: self.strata.as_ref().map(StrataMeter::reading),
            scope: None,
            transfer: self.transfer.as_mut().and_then(TransferMeter::reading),
        }
    }

    /// Forgets everything heard; what is asked stays.
    pub fn reset(&mut self) {
        self.skip = skipped(self.sample_rate_hz, &self.ask);
        self.samples = 0;
        self.before.reset();
        self.after.as_mut().map(SideMeter::reset);
        self.strata.as_mut().map(StrataMeter::reset);
        self.transfer.as_mut().map(TransferMeter::reset);
    }

    fn hear_before(&mut self, channels: &[&[f64]]) {
        let samples = channels.first().map_or(0, |c| c.len());
        self.skipped_now = self.skip.min(samples);
        self.skip -= self.skipped_now;
        self.samples += (samples - self.skipped_now) as u64;
        let channels = self.rest(channels);
        if self.ask.transfer {
            for (held, channel) in self.held.iter_mut().zip(&channels) {
                held.clear();
                held.extend_from_slice(channel);
            }
        }
        self.before.push(&channels);
    }

    fn hear_inside(&mut self, post: Post, channels: &[&[f64]]) {
        if self.ask.strata {
            let channels = self.rest(channels);
            let (before, rate, count) = (&self.before, self.sample_rate_hz, self.channels);
            let new = || StrataMeter::new(before.averager(), rate, count);
            self.strata.get_or_insert_with(new).hear(post, &channels);
        }
    }

    fn hear_after(&mut self, channels: &[&[f64]]) {
        let channels = self.rest(channels);
        let (rate, count, periodic) = (self.sample_rate_hz, self.channels, self.ask.periodic);
        self.after.get_or_insert_with(|| SideMeter::new(rate, count, periodic)).push(&channels);
        if self.ask.transfer {
            let held: Vec<&[f64]> = self.held.iter().map(Vec::as_slice).collect();
            // The line has no latency: what comes out runs in step with what went in.
            let new = || TransferMeter::in_step(rate, count);
            self.transfer.get_or_insert_with(new).push(&held, &channels);
        }
    }

    /// What is not skipped of a stretch.
    fn rest<'a>(&self, channels: &[&'a [f64]]) -> Vec<&'a [f64]> {
        channels.iter().map(|channel| &channel[self.skipped_now.min(channel.len())..]).collect()
    }
}

impl Listen for Measure {
    fn hear(&mut self, post: Post, channels: &[&[f64]]) {
        match post {
            Post::Before => self.hear_before(channels),
            Post::After => self.hear_after(channels),
            _ => self.hear_inside(post, channels),
        }
    }
}

/// Samples at the start that are not measured.
fn skipped(sample_rate_hz: f64, ask: &Ask) -> usize {
    (ask.skip_s * sample_rate_hz).round().max(0.0) as usize
}
