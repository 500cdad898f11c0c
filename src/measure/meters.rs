//! All analysers of one run, and their work on a stretch of it: level, spectra and clipping,
//! before, inside and after the line, side by side, each in a thread of its own.

use std::thread;

use super::side::{SideMeter, tone_hz};
use super::spectra::Spectra;
use super::traces::Traces;
use super::{Ask, Readings, Side, Strata};
use crate::analysis::level::Work;
use crate::analysis::spectrum::Spectrum;
use crate::analysis::transfer::TransferMeter;
use crate::path::Tap;

/// The taps in their order.
pub(super) const TAPS: [Tap; 6] =
    [Tap::Before, Tap::Dry, Tap::Octave, Tap::Blend, Tap::LowBand, Tap::After];

/// What waits to be worked on: tap, channel, sample.
pub(super) type Waiting = [Vec<Vec<f64>>; TAPS.len()];

/// The analysers of one run.
pub(super) struct Meters {
    sample_rate_hz: f64,
    channels: usize,
    ask: Ask,
    frames: u64,
    before: SideMeter,
    after: Option<SideMeter>,
    spectra: Spectra,
    traces: Option<Traces>,
    transfer: Option<TransferMeter>,
}

impl Meters {
    pub(super) fn new(sample_rate_hz: f64, channels: usize, ask: &Ask) -> Self {
        Self {
            sample_rate_hz,
            channels,
            ask: *ask,
            frames: 0,
            before: SideMeter::new(sample_rate_hz, channels),
            after: None,
            spectra: Spectra::new(sample_rate_hz, channels, ask.periodic),
            traces: None,
            transfer: None,
        }
    }

    /// What comes out may be up to 1 s before or behind what went in.
    pub(super) fn expect_delay(&mut self) {
        if self.ask.transfer {
            let (rate, channels) = (self.sample_rate_hz, self.channels);
            self.transfer.get_or_insert_with(|| TransferMeter::new(rate, channels));
        }
    }

    /// Works on what waits, from sample `from` on.
    pub(super) fn work(&mut self, waiting: &Waiting, from: usize) {
        self.appoint(waiting);
        let at = |tap: Tap| -> Vec<&[f64]> {
            waiting[tap as usize].iter().map(|c| &c[from.min(c.len())..]).collect()
        };
        let heard = TAPS.map(at);
        let at = |tap: Tap| heard[tap as usize].as_slice();
        let (before, after) = (at(Tap::Before), at(Tap::After));
        self.frames += before.first().map_or(0, |channel| channel.len()) as u64;
        let mut works = self.before.works(before);
        works.extend(self.after.iter_mut().flat_map(|meter| meter.works(after)));
        works.push(Box::new(|| self.spectra.push(at)));
        if let Some(traces) = &mut self.traces {
            works.push(Box::new(|| traces.push(at(Tap::Dry), at(Tap::Octave)[0])));
        }
        if let Some(transfer) = &mut self.transfer {
            works.push(Box::new(|| transfer.push(before, after)));
        }
        side_by_side(works);
    }

    /// Everything measured so far, after `skipped` frames, beside the tone at `named_hz`.
    pub(super) fn reading(&mut self, skipped: usize, named_hz: Option<f64>) -> Readings {
        let mut spectra = self.spectra.reading();
        let mut at = |tap: Tap| {
            let number = spectra.iter().position(|(post, _)| *post == tap)?;
            Some(spectra.swap_remove(number).1)
        };
        let before = at(Tap::Before).expect("what arrives is always heard");
        let tone_hz = named_hz.or_else(|| tone_hz(&before));
        let skipped_s = skipped as f64 / self.sample_rate_hz;
        let before_hz = tone_hz.filter(|_| !self.ask.lines_after_only);
        let before = complete(&self.before, before, before_hz, skipped_s);
        let after = self.after.as_ref().zip(at(Tap::After));
        let after = after.map(|(meter, spectrum)| complete(meter, spectrum, tone_hz, skipped_s));
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

    pub(super) fn reset(&mut self) {
        self.frames = 0;
        self.before.reset();
        self.after.iter_mut().for_each(SideMeter::reset);
        self.spectra.reset();
        self.traces.iter_mut().for_each(Traces::reset);
        self.transfer.iter_mut().for_each(TransferMeter::reset);
    }

    /// Makes the meters for what is heard the first time.
    fn appoint(&mut self, waiting: &Waiting) {
        let (rate, channels) = (self.sample_rate_hz, self.channels);
        let heard = |tap: &Tap| waiting[*tap as usize].iter().any(|c| !c.is_empty());
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

/// A side with the lines beside its tone, and its times told from the very start.
fn complete(meter: &SideMeter, spectrum: Spectrum, tone_hz: Option<f64>, skipped_s: f64) -> Side {
    let mut side = meter.reading(spectrum);
    side.clipping.first_s = side.clipping.first_s.map(|s| s + skipped_s);
    side.partials = tone_hz.and_then(|tone_hz| meter.partials(tone_hz));
    side
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
