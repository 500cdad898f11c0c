//! Runs of samples held at the extreme of one polarity.
//!
//! The one idea: a smooth top that stays within q of its peak for R samples has
//! fallen by about 3·q another R/2 samples on, as a parabola does, however low
//! the tone and high the sample rate. A tone clipped by d falls by about 3·d
//! there. So a run counts when the signal lies well below it within half its
//! length, before and after.

use std::ops::RangeInclusive;

use super::Tally;

/// One step of a 16-bit sample.
const STEP: f64 = 1.0 / 32_768.0;

/// Samples this near to the extreme belong to a run: dither moves them so far.
const ENTER: f64 = 2.0 * STEP;

/// A run lasts until a sample lies this far below the extreme.
const LEAVE: f64 = 4.0 * STEP;

/// The fall that tells a break from a smooth top: 3·d for 0.012 dB of
/// overdrive, more than a top as flat as t⁴ falls (15·6 steps).
const BREAK: f64 = 128.0 * STEP;

/// Extremes that are full scale: 16 bits end one step below 1, and the extreme
/// may be a sample on the way up that the top itself exceeds by less than `ENTER`.
const FULL_SCALE: RangeInclusive<f64> = 1.0 - 1.5 * STEP - ENTER..=1.0 + ENTER;

/// What peaks below this (−42 dBFS) is not looked at.
const LEAST: f64 = 2.0 * BREAK;

/// Shortest run: one sample is a peak, two are any symmetric one.
const SHORTEST: u64 = 3;

/// Fewest flat runs that are no coincidence.
const PILE: u64 = 2;

/// The last samples of a channel.
#[derive(Clone, Debug)]
pub(super) struct Past {
    samples: Vec<f64>,
}

impl Past {
    /// How far back it reaches, in samples.
    const REACH: u64 = 2048;

    pub(super) fn new() -> Self {
        Self { samples: vec![0.0; Self::REACH as usize] }
    }

    pub(super) fn push(&mut self, at: u64, x: f64) {
        self.samples[(at % Self::REACH) as usize] = x;
    }

    /// Takes the samples from number `at` on, no more than it holds.
    pub(super) fn pass(&mut self, at: u64, stretch: &[f64]) {
        let from = (at % Self::REACH) as usize;
        let (first, rest) = stretch.split_at(stretch.len().min(self.samples.len() - from));
        self.samples[from..from + first.len()].copy_from_slice(first);
        self.samples[..rest.len()].copy_from_slice(rest);
    }

    /// The sample at number `at`.
    fn at(&self, at: u64) -> f64 {
        self.samples[(at % Self::REACH) as usize]
    }
}

/// What one polarity of one channel holds.
#[derive(Clone, Debug)]
pub(super) struct Held {
    sign: f64,
    /// The extreme so far, as a positive number.
    top: f64,
    /// Number of samples in the run that is going on.
    run: u64,
    /// How many samples before the run the signal lay well below it.
    rise: Option<u64>,
    /// The run that waits for its fall: its length, and until when.
    waiting: Option<(u64, u64)>,
    digital: Tally,
    flat: Tally,
}

impl Held {
    pub(super) fn new(sign: f64) -> Self {
        Self {
            sign,
            top: 0.0,
            run: 0,
            rise: None,
            waiting: None,
            digital: Tally::default(),
            flat: Tally::default(),
        }
    }

    /// The extreme of this polarity.
    pub(super) fn top(&self) -> f64 {
        self.top
    }

    /// Runs at full scale.
    pub(super) fn digital(&self) -> Tally {
        self.digital
    }

    /// Runs at another extreme, when there are enough of them.
    pub(super) fn flat(&self) -> Tally {
        if self.flat.runs >= PILE { self.flat } else { Tally::default() }
    }

    /// Whether samples up to `extreme` change nothing.
    pub(super) fn ignores(&self, extreme: f64) -> bool {
        self.run == 0 && self.waiting.is_none() && self.sign * extreme < self.top - ENTER
    }

    /// Hears sample number `at`; `past` holds those before it.
    pub(super) fn push(&mut self, at: u64, x: f64, past: &Past) {
        let x = self.sign * x;
        if x > self.top + ENTER {
            // A new extreme: what was held below it was not the extreme.
            self.top = x;
            self.flat = Tally::default();
            self.start();
        } else if self.run == 0 && x >= self.top - ENTER {
            self.start();
        } else if self.run > 0 && x >= self.top - LEAVE {
            self.run += 1;
            if self.run == SHORTEST && self.top >= LEAST {
                self.rise = self.look_back(at, past);
            }
        } else {
            self.end(at);
            self.fall(at, x);
        }
    }

    fn start(&mut self) {
        self.run = 1;
        self.rise = None;
        self.waiting = None;
    }

    /// How far before the run that has just reached its shortest length the
    /// signal lay well below it.
    fn look_back(&self, at: u64, past: &Past) -> Option<u64> {
        let start = at + 1 - SHORTEST;
        let reach = start.min(Past::REACH - SHORTEST);
        (1..=reach).find(|back| self.sign * past.at(start - back) < self.top - BREAK)
    }

    /// The run has ended before sample `at`; it waits if it rose with a break.
    fn end(&mut self, at: u64) {
        let half = self.run.div_ceil(2).min(Past::REACH);
        if self.run >= SHORTEST && self.rise.is_some_and(|rise| rise <= half) {
            self.waiting = Some((self.run, at + half));
        }
        self.run = 0;
    }

    /// A run that waits counts when the signal falls well below it in time.
    fn fall(&mut self, at: u64, x: f64) {
        let Some((run, until)) = self.waiting else { return };
        if at >= until {
            self.waiting = None;
        } else if x < self.top - BREAK {
            self.waiting = None;
            let tally =
                if FULL_SCALE.contains(&self.top) { &mut self.digital } else { &mut self.flat };
            tally.add(at - run);
        }
    }
}
