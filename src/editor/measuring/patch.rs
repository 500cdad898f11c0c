//! A device between output and input: finds how far what comes back lies behind what was sent, delays
//! what was sent by it, so that both ends are of one moment, and says what is wrong.

use crate::analysis::alignment::{Alignment, align};
use crate::editor::model::returned::{Fault, Returned};
use crate::path::{Listen, Tap};
use crate::units::mean_square_to_dbfs;
use std::collections::VecDeque;

/// Sound that is compared, and the longest delay that is looked for, in seconds.
const COMPARED_S: f64 = 0.7;
const MOST_DELAY_S: f64 = 0.5;
/// Time between two looks, in seconds: what is wrong is said within two.
const LOOK_S: f64 = 0.25;
/// What is sent below this is silence, dBFS.
const SENT_DBFS: f64 = -80.0;
/// What comes back so far below what was sent, and unlike it, is none of it, dB.
const NONE_DB: f64 = -60.0;
/// Likeness below which nothing of what was sent comes back, and above which nothing else does.
const UNLIKE: f64 = 0.1;
const THE_SAME: f64 = 0.999;
/// A delay that moves by more than this has jumped, in samples: estimates of one delay differ by less.
const JUMP: f64 = 1.5;
/// Looks for which a jump is told: three seconds.
const TOLD: usize = 12;
/// A sample this near to full scale was driven to it (−0.1 dBFS).
const FULL_SCALE: f64 = 0.9886;

/// Aligns both ends.
pub struct Patch {
    sample_rate_hz: f64,
    /// The latest sound at both ends, the sum of the channels.
    sent: VecDeque<f32>,
    returned: VecDeque<f32>,
    /// What was sent and is not due yet, a channel each; what waits is the delay.
    line: [VecDeque<f64>; 2],
    block: [Vec<f64>; 2],
    delay: usize,
    since_look: usize,
    full_scale: VecDeque<bool>,
    driven: bool,
    jumped: Option<(f64, usize)>,
    last: Option<Alignment>,
    told: Returned,
}

impl Patch {
    /// For sound at a rate in Hz.
    pub fn new(sample_rate_hz: f64) -> Self {
        Self {
            sample_rate_hz,
            sent: VecDeque::new(),
            returned: VecDeque::new(),
            line: Default::default(),
            block: Default::default(),
            delay: 0,
            since_look: 0,
            full_scale: VecDeque::new(),
            driven: false,
            jumped: None,
            last: None,
            told: Returned::default(),
        }
    }

    /// How what comes back stands to what was sent.
    pub fn returned(&self) -> Returned {
        self.told
    }

    /// Hears a tap and lets `listener` hear it, what was sent as late as it comes back. True when
    /// the delay is another from now on.
    pub fn hear(&mut self, tap: Tap, channels: &[&[f64]], listener: &mut impl Listen) -> bool {
        match tap {
            Tap::Before => {
                self.keep(true, channels);
                self.delay_sent(channels);
                let [left, right] = &self.block;
                listener.hear(tap, &[&left[..], &right[..]][..channels.len().min(2)]);
                false
            }
            Tap::After => {
                self.keep(false, channels);
                let loud = |channel: &&[f64]| channel.iter().any(|x| x.abs() >= FULL_SCALE);
                self.driven |= channels.iter().any(loud);
                listener.hear(tap, channels);
                self.since_look += channels.first().map_or(0, |c| c.len());
                self.since_look as f64 >= LOOK_S * self.sample_rate_hz && self.look()
            }
            _ => false,
        }
    }

    fn keep(&mut self, is_sent: bool, channels: &[&[f64]]) {
        let most = ((COMPARED_S + MOST_DELAY_S) * self.sample_rate_hz) as usize;
        let kept = if is_sent { &mut self.sent } else { &mut self.returned };
        for i in 0..channels.first().map_or(0, |channel| channel.len()) {
            kept.push_back(channels.iter().map(|channel| channel[i] as f32).sum());
        }
        while kept.len() > most {
            kept.pop_front();
        }
    }

    fn delay_sent(&mut self, channels: &[&[f64]]) {
        for ((line, block), channel) in self.line.iter_mut().zip(&mut self.block).zip(channels) {
            line.extend(*channel);
            // A delay that grew is waited for in silence.
            let missing = (self.delay + channel.len()).saturating_sub(line.len());
            (0..missing).for_each(|_| line.push_front(0.0));
            while line.len() > self.delay + channel.len() {
                line.pop_front();
            }
            block.clear();
            block.extend(line.drain(..channel.len()));
        }
    }

    /// Looks at both ends; true when the delay is another from now on.
    fn look(&mut self) -> bool {
        self.since_look = 0;
        let driven = std::mem::take(&mut self.driven);
        self.full_scale.push_back(driven);
        if self.full_scale.len() > TOLD {
            self.full_scale.pop_front();
        }
        let compared = (COMPARED_S * self.sample_rate_hz) as usize;
        let [sent_dbfs, returned_dbfs] = [&self.sent, &self.returned].map(|heard| {
            let last = heard.iter().rev().take(compared);
            let square: f64 = last.map(|x| f64::from(*x).powi(2)).sum();
            mean_square_to_dbfs(square / compared as f64)
        });
        if sent_dbfs < SENT_DBFS {
            (self.last, self.jumped) = (None, None);
            self.told = Returned { fault: self.clipped(), ..Returned::default() };
            return false;
        }
        let found = self.align(compared);
        let is_none =
            |found: &Alignment| found.likeness < UNLIKE && returned_dbfs < sent_dbfs + NONE_DB;
        let found = found.filter(|found| !is_none(found));
        let Some(found) = found else {
            self.told = Returned { is_sending: true, ..Returned::default() };
            if self.sent.len() as f64 >= (COMPARED_S + MOST_DELAY_S) * self.sample_rate_hz - 1.0 {
                self.told.fault = Some(Fault::NoReturn);
            }
            return false;
        };
        self.note(found)
    }

    fn align(&mut self, compared: usize) -> Option<Alignment> {
        if self.sent.len() <= compared || self.returned.len() != self.sent.len() {
            return None;
        }
        let sent = &self.sent.make_contiguous()[..compared];
        align(sent, self.returned.make_contiguous(), self.sample_rate_hz)
    }

    /// Tells what was found, and follows a delay that is certain.
    fn note(&mut self, found: Alignment) -> bool {
        let is_certain = !found.is_ambiguous && found.likeness >= UNLIKE;
        let before = self.last.map(|last| last.delay_samples);
        if is_certain {
            let moved = before.map_or(0.0, |before| found.delay_samples - before);
            if moved.abs() > JUMP {
                self.jumped = Some((1000.0 * moved / self.sample_rate_hz, TOLD));
            }
            self.last = Some(found);
        }
        self.jumped = self.jumped.filter(|(_, left)| *left > 0).map(|(ms, left)| (ms, left - 1));
        let fault = match self.jumped {
            Some((ms, _)) => Some(Fault::Jumped(ms)),
            None if found.likeness < UNLIKE => Some(Fault::Unlike),
            None => None,
        };
        self.told = Returned {
            is_sending: true,
            delay_ms: self.last.map(|last| 1000.0 * last.delay_samples / self.sample_rate_hz),
            gain_db: Some(found.gain_db),
            is_inverted: found.is_inverted,
            is_cable: found.likeness > THE_SAME && !found.is_ambiguous,
            fault: self.clipped().or(fault),
        };
        let delay =
            self.last.map_or(self.delay, |last| last.delay_samples.round().max(0.0) as usize);
        let is_other = delay != self.delay;
        self.delay = delay;
        is_other
    }

    fn clipped(&self) -> Option<Fault> {
        self.full_scale.iter().any(|driven| *driven).then_some(Fault::Clipped)
    }
}
