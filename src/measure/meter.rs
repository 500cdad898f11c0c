//! Hears the line, or signals without it, and hands out readings.
//!
//! Hearing only copies. A second at a time is worked on in a thread behind the one that hears,
//! which goes on meanwhile.

use std::panic::resume_unwind;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};

use super::meters::{Meters, TAPS, Waiting};
use super::{Ask, Readings};
use crate::path::{Listen, Tap};

/// Frames that are worked on together.
const PIECE: usize = 49_152;

/// Measures one run of the line, one signal, or a pair of signals.
///
/// ```
/// use underpin::measure::{Ask, Measure};
///
/// let rate_hz = 48_000.0;
/// let tone = |n: u32| (2.0 * std::f64::consts::PI * 60.0 * f64::from(n) / rate_hz).sin();
/// let samples: Vec<f64> = (0..4 * 48_000).map(tone).collect();
/// let mut measure = Measure::new(rate_hz, 1, &Ask::default());
/// measure.push(&[&samples]);
/// let level = measure.reading().before.level;
/// // A full-scale sine is 0 dBFS, as a peak and as r.m.s. (AES17).
/// assert!(level.rms_dbfs.abs() < 1e-3 && level.peak_dbfs.abs() < 1e-3);
/// ```
///
/// It belongs off the audio thread: it allocates, and it works for some milliseconds
/// at a time.
pub struct Measure {
    sample_rate_hz: f64,
    channels: usize,
    ask: Ask,
    /// Frames at the start that are still to be skipped.
    skip: usize,
    /// Two signals without the line between them.
    is_pair: bool,
    waiting: Waiting,
    meters: Arc<Mutex<Meters>>,
    /// Works on a stretch, and gives it back.
    at_work: Option<JoinHandle<Waiting>>,
}

impl Measure {
    /// For signals of one or two `channels` at `sample_rate_hz`.
    pub fn new(sample_rate_hz: f64, channels: usize, ask: &Ask) -> Self {
        let channels = channels.max(1);
        Self {
            sample_rate_hz,
            channels,
            ask: *ask,
            skip: skipped(sample_rate_hz, ask),
            is_pair: false,
            waiting: nothing(channels),
            meters: Arc::new(Mutex::new(Meters::new(sample_rate_hz, channels, ask))),
            at_work: None,
        }
    }

    /// Hears the next samples of a single signal: one slice a channel, all of one length.
    pub fn push(&mut self, channels: &[&[f64]]) {
        for piece in pieces(channels) {
            self.keep(Tap::Before, &piece);
            self.work_when_full();
        }
    }

    /// Hears the next samples of two signals side by side, all slices of one length. The
    /// second may lie up to 1 s before or behind the first.
    pub fn push_pair(&mut self, before: &[&[f64]], after: &[&[f64]]) {
        if !self.is_pair {
            self.is_pair = true;
            self.meters().expect_delay();
        }
        for (before, after) in pieces(before).zip(pieces(after)) {
            self.keep(Tap::Before, &before);
            self.keep(Tap::After, &after);
            self.work_when_full();
        }
    }

    /// Names the tone whose lines are wanted, in Hz, from now on; `None` looks for one.
    pub fn ask_tone(&mut self, tone_hz: Option<f64>) {
        self.ask.tone_hz = tone_hz;
    }

    /// Everything measured so far.
    pub fn reading(&mut self) -> Readings {
        self.work();
        let skipped = skipped(self.sample_rate_hz, &self.ask) - self.skip;
        let tone_hz = self.ask.tone_hz;
        self.meters().reading(skipped, tone_hz)
    }

    /// Forgets everything heard; what is asked stays.
    pub fn reset(&mut self) {
        self.skip = skipped(self.sample_rate_hz, &self.ask);
        self.waiting.iter_mut().flatten().for_each(Vec::clear);
        self.meters().reset();
    }

    /// Copies a stretch for later.
    fn keep(&mut self, tap: Tap, channels: &[&[f64]]) {
        for (waiting, channel) in self.waiting[tap as usize].iter_mut().zip(channels) {
            waiting.extend_from_slice(channel);
        }
    }

    fn work_when_full(&mut self) {
        if self.waiting[Tap::Before as usize].first().is_some_and(|c| c.len() >= PIECE) {
            self.work();
        }
    }

    /// Has what waits worked on: in a thread behind this one where the system has threads; a
    /// page has none.
    fn work(&mut self) {
        let frames = self.waiting[Tap::Before as usize].first().map_or(0, Vec::len);
        let skip = self.skip.min(frames);
        self.skip -= skip;
        let empty = self.join().unwrap_or_else(|| nothing(self.channels));
        let mut waiting = std::mem::replace(&mut self.waiting, empty);
        let meters = self.meters.clone();
        let work = move || {
            locked(&meters).work(&waiting, skip);
            waiting.iter_mut().flatten().for_each(Vec::clear);
            waiting
        };
        if cfg!(target_family = "wasm") {
            self.waiting = work();
        } else {
            self.at_work = Some(thread::spawn(work));
        }
    }

    /// Waits for the work behind; answers with what it worked on, emptied.
    fn join(&mut self) -> Option<Waiting> {
        let thread = self.at_work.take()?;
        Some(thread.join().unwrap_or_else(|panic| resume_unwind(panic)))
    }

    /// The meters, once they are done with what they were given.
    fn meters(&mut self) -> MutexGuard<'_, Meters> {
        self.join();
        locked(&self.meters)
    }
}

/// No thread outlives what it measures: a host may take the plugin's code away next.
impl Drop for Measure {
    fn drop(&mut self) {
        let _ = self.at_work.take().map(JoinHandle::join);
    }
}

fn locked(meters: &Mutex<Meters>) -> MutexGuard<'_, Meters> {
    meters.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Listen for Measure {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        let inside = !matches!(tap, Tap::Before | Tap::After);
        if inside && !self.ask.strata {
            return;
        }
        self.keep(tap, channels);
        if tap == Tap::After {
            self.work_when_full();
        }
    }
}

fn nothing(channels: usize) -> Waiting {
    TAPS.map(|_| vec![Vec::new(); channels])
}

/// A stretch in pieces short enough to wait.
fn pieces<'a>(channels: &'a [&'a [f64]]) -> impl Iterator<Item = Vec<&'a [f64]>> {
    let frames = channels.first().map_or(0, |c| c.len());
    (0..frames).step_by(PIECE).map(move |start| {
        let end = frames.min(start + PIECE);
        channels.iter().map(|channel| &channel[start..end]).collect()
    })
}

/// Frames at the start that are not measured.
fn skipped(sample_rate_hz: f64, ask: &Ask) -> usize {
    (ask.skip_s * sample_rate_hz).round().max(0.0) as usize
}
