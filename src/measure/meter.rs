//! Hears the line, or signals without it, and hands out readings.
//!
//! Hearing only copies. A few tenths of a second at a time are worked on together: level,
//! spectra and clipping, before, inside and after the line, side by side, each in a thread
//! of its own.

use std::thread;

use super::side::{SideMeter, Work, tone_hz};
use super::spectra::Spectra;
use super::traces::Traces;
use super::{Ask, Readings, Side, Strata};
use crate::analysis::spectrum::Spectrum;
use crate::analysis::transfer::TransferMeter;
use crate::path::{Listen, Tap};

/// Frames that are worked on together.
const PIECE: usize = 16_384;

/// The taps in their order.
const TAPS: [Tap; 6] = [Tap::Before, Tap::Dry, Tap::Octave, Tap::Blend, Tap::LowBand, Tap::After];

/// What waits to be worked on: tap, channel, sample.
type Waiting = [Vec<Vec<f64>>; TAPS.len()];

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
    frames: u64,
    waiting: Waiting,
    before: SideMeter,
    after: Option<SideMeter>,
    spectra: Spectra,
    traces: Option<Traces>,
    transfer: Option<TransferMeter>,
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
            frames: 0,
            waiting: TAPS.map(|_| vec![Vec::new(); channels]),
            before: SideMeter::new(sample_rate_hz, channels),
            after: None,
            spectra: Spectra::new(sample_rate_hz, channels, ask.periodic),
            traces: None,
            transfer: None,
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
        if self.ask.transfer {
            let (rate, channels) = (self.sample_rate_hz, self.channels);
            self.transfer.get_or_insert_with(|| TransferMeter::new(rate, channels));
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
        let mut spectra = self.spectra.reading();
        let mut at = |tap: Tap| {
            let number = spectra.iter().position(|(post, _)| *post == tap)?;
            Some(spectra.swap_remove(number).1)
        };
        let before = at(Tap::Before).expect("what arrives is always heard");
        let tone_hz = self.ask.tone_hz.or_else(|| tone_hz(&before));
        let before = self.complete(&self.before, before, tone_hz);
        let after = self.after.as_ref().zip(at(Tap::After));
        let after = after.map(|(meter, spectrum)| self.complete(meter, spectrum, tone_hz));
        // The tone as fitted, so that the trace keeps still.
        let fitted_hz = before.partials.as_ref().map(|partials| partials.tone_hz);
        let inside = self.traces.as_ref().zip(self.after.as_ref()).zip(fitted_hz);
        let rate = self.sample_rate_hz;
        Readings {
            sample_rate_hz: rate,
            channels: self.channels,
            seconds: self.frames as f64 / rate,
            scope: inside.and_then(|((traces, after), hz)| traces.scope(after, rate, hz)),
            strata: strata(at),
            transfer: match &mut self.transfer {
                Some(transfer) => transfer.reading(),
                None => self.spectra.transfer(),
            },
            before,
            after,
        }
    }

    /// A side with the lines beside its tone, and its times told from the very start.
    fn complete(&self, meter: &SideMeter, spectrum: Spectrum, tone_hz: Option<f64>) -> Side {
        let mut side = meter.reading(spectrum);
        let skipped_s = (skipped(self.sample_rate_hz, &self.ask) - self.skip) as f64;
        side.clipping.first_s = side.clipping.first_s.map(|s| s + skipped_s / self.sample_rate_hz);
        side.partials = tone_hz.and_then(|tone_hz| meter.partials(tone_hz));
        side
    }

    /// Forgets everything heard; what is asked stays.
    pub fn reset(&mut self) {
        self.skip = skipped(self.sample_rate_hz, &self.ask);
        self.frames = 0;
        self.waiting.iter_mut().flatten().for_each(Vec::clear);
        self.before.reset();
        self.after.iter_mut().for_each(SideMeter::reset);
        self.spectra.reset();
        self.traces.iter_mut().for_each(Traces::reset);
        self.transfer.iter_mut().for_each(TransferMeter::reset);
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

    /// Works on what waits.
    fn work(&mut self) {
        self.appoint();
        let frames = self.waiting[Tap::Before as usize].first().map_or(0, Vec::len);
        let skip = self.skip.min(frames);
        self.skip -= skip;
        self.frames += (frames - skip) as u64;
        let at = |tap: Tap| -> Vec<&[f64]> {
            self.waiting[tap as usize].iter().map(|c| &c[skip.min(c.len())..]).collect()
        };
        let heard = TAPS.map(at);
        let at = |tap: Tap| heard[tap as usize].as_slice();
        let (before, after) = (at(Tap::Before), at(Tap::After));
        let mut works: Vec<Work> = self.before.works(before).into();
        works.extend(self.after.iter_mut().flat_map(|meter| meter.works(after)));
        works.push(Box::new(|| self.spectra.push(at)));
        if let Some(traces) = &mut self.traces {
            works.push(Box::new(|| traces.push(at(Tap::Dry), at(Tap::Octave)[0])));
        }
        if let Some(transfer) = &mut self.transfer {
            works.push(Box::new(|| transfer.push(before, after)));
        }
        side_by_side(works);
        self.waiting.iter_mut().flatten().for_each(Vec::clear);
    }

    /// Makes the meters for what is heard the first time.
    fn appoint(&mut self) {
        let (rate, channels) = (self.sample_rate_hz, self.channels);
        let heard = |tap: &Tap| self.waiting[*tap as usize].iter().any(|c| !c.is_empty());
        TAPS.iter().filter(|tap| heard(tap)).for_each(|tap| self.spectra.attend(*tap));
        if heard(&Tap::Blend) {
            self.traces.get_or_insert_with(|| Traces::new(rate, channels));
        }
        if heard(&Tap::After) {
            self.after.get_or_insert_with(|| SideMeter::new(rate, channels));
            // The line has no latency: what comes out runs in step with what went in.
            if self.ask.transfer && self.transfer.is_none() {
                self.spectra.ask_transfer();
            }
        }
    }
}

/// What each stage added, if the line was heard from inside.
fn strata(mut at: impl FnMut(Tap) -> Option<Spectrum>) -> Option<Strata> {
    Some(Strata {
        dry: at(Tap::Dry)?,
        octave: at(Tap::Octave)?,
        blend: at(Tap::Blend)?,
        low_band: at(Tap::LowBand)?,
    })
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

/// Does all of it, each in a thread of its own where the system has threads; a page has none.
fn side_by_side(works: Vec<Work>) {
    if cfg!(target_family = "wasm") {
        return works.into_iter().for_each(|work| work());
    }
    thread::scope(|scope| {
        for work in works {
            scope.spawn(work);
        }
    });
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
