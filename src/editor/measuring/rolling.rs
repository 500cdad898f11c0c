//! Averages over the whole time since the start, or over the latest part of it; afresh where the
//! settings change, so that no mean is of two settings unless it says so.
//!
//! For the latest part several meters run staggered: the eldest is read until it has heard a
//! little too much, then the next one is, which has heard as little too little. What is read is
//! therefore the mean of that part, near enough, and says its length itself.

use crate::editor::model::averaging::Span;
use crate::link::Run;
use crate::measure::{Ask, Measure, Readings};
use crate::path::{Listen, Tap};
use std::collections::VecDeque;

/// Meters that begin in the length of the latest part: its mean is read within a sixth of it.
const METERS: usize = 3;

/// Least time between two fresh starts, in seconds: what an automation keeps moving must be seen.
const AFRESH_S: f64 = 1.0;

/// A meter of the whole, or several of the latest part.
pub struct Rolling {
    ask: Ask,
    /// The run that is heard.
    pub run: Run,
    span: Span,
    /// The eldest first; each with the seconds that it has heard.
    meters: VecDeque<(Measure, f64)>,
    /// Since a change was followed, in seconds.
    since_s: f64,
    /// A change that came too soon after another waits to be followed.
    is_mixed: bool,
}

impl Rolling {
    /// Begins to hear a run.
    pub fn new(run: Run, ask: Ask, span: Span) -> Self {
        let eldest = Measure::new(run.sample_rate_hz, run.channels, &ask);
        let meters = VecDeque::from([(eldest, 0.0)]);
        Self { ask, run, span, meters, since_s: AFRESH_S, is_mixed: false }
    }

    /// What the eldest reads.
    pub fn reading(&mut self) -> Option<Readings> {
        self.meters.front_mut().map(|(eldest, _)| eldest.reading())
    }

    /// How long the eldest has heard, in seconds, what it leaves out included.
    pub fn heard_s(&self) -> f64 {
        self.meters.front().map_or(0.0, |(_, heard)| *heard)
    }

    /// Whether what is read was heard with more than one setting.
    pub fn is_mixed(&self) -> bool {
        self.is_mixed
    }

    /// The settings are others from here on: starts afresh, a second after the last time at the
    /// soonest.
    pub fn change(&mut self) {
        self.is_mixed = self.since_s < AFRESH_S;
        if !self.is_mixed {
            self.start();
        }
    }

    /// Starts afresh.
    pub fn start(&mut self) {
        *self = Self { since_s: 0.0, ..Self::new(self.run, self.ask, self.span) };
    }

    /// Lets time pass, after something was heard.
    pub fn pass(&mut self, frames: usize) {
        let heard_s = frames as f64 / self.run.sample_rate_hz;
        self.since_s += heard_s;
        if self.is_mixed && self.since_s >= AFRESH_S {
            return self.start();
        }
        self.meters.iter_mut().for_each(|(_, heard)| *heard += heard_s);
        let Some(span_s) = self.span.seconds() else { return };
        let apart_s = span_s / METERS as f64;
        if self.meters.back().is_none_or(|(_, heard)| *heard >= apart_s) {
            // The line has settled long ago.
            let ask = Ask { skip_s: 0.0, ..self.ask };
            let fresh = Measure::new(self.run.sample_rate_hz, self.run.channels, &ask);
            self.meters.push_back((fresh, 0.0));
        }
        if self.meters.front().is_some_and(|(_, heard)| *heard >= span_s + apart_s / 2.0) {
            self.meters.pop_front();
        }
    }
}

impl Listen for Rolling {
    fn hear(&mut self, tap: Tap, channels: &[&[f64]]) {
        self.meters.iter_mut().for_each(|(meter, _)| meter.hear(tap, channels));
    }
}
