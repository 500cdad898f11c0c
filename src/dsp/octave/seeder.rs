//! Looks for partials in the last tenth of a second, and answers with all of them at once:
//! frequencies and amplitudes, as soon as they can be told apart.
//!
//! ```text
//! z ► mean of 8 ► mean of 12 ► every 8th ► 16, 24 or 48 values ► fit ► believed? ► seeds
//! ```
//!
//! An attempt is spread over the samples that follow; what it finds is turned on to the sample it
//! is needed for.

use super::fit::{Fit, LONGEST, MOST, Partial, Progress};
use super::phasor::Phasor;
use super::predict::{BLOCK, Blocks, Prediction};
use num_complex::Complex64;
use std::f64::consts::{PI, TAU};

/// Low-rate samples per value looked at, and the two means before: zeros where aliases would fall.
const EVERY: usize = 8;
const MEANS: [usize; 2] = [EVERY, 12];
/// Values in the stretches that are tried: a tenth of a second parts 10 Hz, and half of it is
/// enough for notes further apart.
const SHORT_FIRST: [usize; 3] = [16, 24, LONGEST];
/// Once notes are told apart, another is found best over a long time.
const LONG_FIRST: [usize; 3] = [LONGEST, 24, 16];
/// Orders of which prediction leaves more of the power are not tried: it leaves more than a fit.
const PROMISING: f64 = 0.02;
/// Work is paid for by credit, one a sample: a fit works on every sample for a start, and on one in
/// five where fits are tried all the time, as on drums. That halves what the worst music costs.
const STEP_CREDIT: u32 = 5;
const MOST_CREDIT: u32 = 1000;
/// Samples from the middle of the newest value to the sample to come.
const LATE: f64 = (MEANS[0] + MEANS[1]) as f64 / 2.0;
/// The middle of the source band, around which angles are read.
const MIDDLE_HZ: f64 = 110.0;
/// Believed in: at most this share of the power left, -25 dB ...
const LEFT: f64 = 0.003;
/// ... and this many times more with one partial less ...
const BETTER: f64 = 4.0;
/// ... no partial outside the source band with some room ...
const RANGE_HZ: std::ops::Range<f64> = 22.0..250.0;
/// ... none that dies or grows faster than notes do, in nepers a second ...
const GROWTH: std::ops::Range<f64> = -12.0..3.0;
/// ... no two that are one to the ear and to the trackers ...
const APART_HZ: f64 = 4.0;
/// ... and none that is noise beside the largest.
const LEAST: f64 = 0.02;

/// Why partials are looked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Wanted {
    /// Fewer than two are known.
    Any,
    /// Notes are told apart, but do not explain all.
    More,
}

/// A partial for the sample to come.
#[derive(Clone, Copy, Default)]
pub(super) struct Seed {
    pub(super) x: Complex64,
    pub(super) turn: Complex64,
    pub(super) hz: f64,
}

/// Up to as many partials as a fit can have.
#[derive(Clone, Copy, Default)]
pub(super) struct Seeds {
    all: [Seed; MOST],
    count: usize,
}

impl Seeds {
    pub(super) fn all(&self) -> &[Seed] {
        &self.all[..self.count]
    }
}

/// The attempt at work.
#[derive(Clone, Copy)]
enum Work {
    Rest,
    /// These stretches are to be tried.
    Screen {
        stretches: &'static [usize],
    },
    /// The first of these stretches is to be fitted with `order` partials.
    Begin {
        stretches: &'static [usize],
        order: usize,
        below: f64,
    },
    /// The first of these stretches is fitted with so many partials; `below` is the share of power
    /// that one less leaves.
    Fit {
        stretches: &'static [usize],
        order: usize,
        below: f64,
    },
}

/// The last values, and the attempt at work.
pub(super) struct Seeder {
    rate_hz: f64,
    taps: [[f64; 3]; EVERY],
    sums: [Complex64; 3],
    phase: usize,
    values: [Complex64; LONGEST],
    newest: usize,
    blocks: Blocks,
    work: Work,
    prediction: Prediction,
    fit: Fit,
    age: u32,
    credit: u32,
}

impl Seeder {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self {
            rate_hz,
            taps: taps(),
            sums: [Complex64::ZERO; 3],
            phase: 0,
            values: [Complex64::ZERO; LONGEST],
            newest: 0,
            blocks: Blocks::new(),
            work: Work::Rest,
            prediction: Prediction::none(),
            fit: Fit::new(),
            age: 0,
            credit: MOST_CREDIT,
        }
    }

    pub(super) fn reset(&mut self) {
        *self = Self::new(self.rate_hz);
    }

    /// Takes in `z`; does a little of the attempt at work, and starts one when it is `wanted`.
    /// Answers with all partials once they are believed in. `image` says what the mirror image of
    /// a partial is, by its turning from sample to sample.
    pub(super) fn push(
        &mut self,
        z: Complex64,
        wanted: Option<Wanted>,
        image: impl Fn(Complex64) -> Complex64,
    ) -> Option<Seeds> {
        self.age += 1;
        self.credit = (self.credit + 1).min(MOST_CREDIT);
        let due = self.take_in(z);
        let Some(wanted) = wanted else {
            self.work = Work::Rest;
            return None;
        };
        match self.work {
            Work::Rest if due => {
                let several = wanted == Wanted::More;
                let stretches = if several { &LONG_FIRST } else { &SHORT_FIRST };
                self.work = Work::Screen { stretches };
            }
            Work::Rest => {}
            Work::Screen { stretches } => self.screen(stretches),
            Work::Begin { stretches, order, below } => self.begin(stretches, order, below),
            Work::Fit { .. } if self.credit < STEP_CREDIT => {}
            Work::Fit { stretches, order, below } => {
                self.credit -= STEP_CREDIT;
                let image = |rate: Complex64| image(Complex64::turn(rate.im / EVERY as f64));
                if let Progress::Left(left) = self.fit.step(image) {
                    let believed = left < LEFT && below > BETTER * left;
                    match self.seeds(self.fit.partials()).filter(|_| believed) {
                        Some(seeds) => {
                            self.work = Work::Rest;
                            return Some(seeds);
                        }
                        None => self.next_order(stretches, order, left),
                    }
                }
            }
        }
        None
    }

    /// True when there are values enough for another attempt.
    fn take_in(&mut self, z: Complex64) -> bool {
        for (sum, tap) in self.sums.iter_mut().zip(&self.taps[self.phase]) {
            *sum += z * *tap;
        }
        self.phase = (self.phase + 1) % EVERY;
        if self.phase > 0 {
            return false;
        }
        let [value, next, third] = self.sums;
        self.sums = [next, third, Complex64::ZERO];
        self.newest = (self.newest + 1) % LONGEST;
        self.values[self.newest] = value;
        let whole = self.newest.is_multiple_of(BLOCK);
        if whole {
            let (values, newest) = (&self.values, self.newest);
            self.blocks.push(|i| values[(newest + LONGEST - i) % LONGEST]);
        }
        whole
    }

    /// Is there anything in the first of these stretches?
    fn screen(&mut self, stretches: &'static [usize]) {
        if let Some(&length) = stretches.first() {
            self.prediction = self.blocks.predict(length);
            self.next_order(stretches, 0, 1.0);
        } else {
            self.work = Work::Rest;
        }
    }

    /// Goes on with the next number of partials that prediction does not rule out, after `order`, which
    /// left `left`; or goes on with the next stretch.
    fn next_order(&mut self, stretches: &'static [usize], order: usize, left: f64) {
        let promising = |order: &usize| self.prediction.left(*order) < PROMISING;
        let Some(next) = (order + 1..=MOST).find(promising) else {
            self.work = Work::Screen { stretches: &stretches[1..] };
            return;
        };
        let below = if next == order + 1 { left } else { self.prediction.left(next - 1) };
        self.work = Work::Begin { stretches, order: next, below };
    }

    fn begin(&mut self, stretches: &'static [usize], order: usize, below: f64) {
        self.work = Work::Fit { stretches, order, below };
        // The newest value was complete with the last sample of phase 0.
        self.age = self.phase as u32;
        let back = |i: usize| self.values[(self.newest + LONGEST - i) % LONGEST];
        let middle = TAU * MIDDLE_HZ * EVERY as f64 / self.rate_hz;
        let rates = self.prediction.rates(order, middle);
        self.fit.start((0..stretches[0]).map(back), rates.into_iter().take(order));
    }

    /// The partials for the sample to come, by frequency, if they can be notes.
    fn seeds(&self, partials: &[Partial]) -> Option<Seeds> {
        let value_rate_hz = self.rate_hz / EVERY as f64;
        let late = (LATE + f64::from(self.age)) / EVERY as f64;
        let mut seeds = Seeds { count: partials.len(), ..Seeds::default() };
        let mut largest = 0.0f64;
        for (seed, partial) in seeds.all.iter_mut().zip(partials) {
            let hz = partial.rate.im * value_rate_hz / TAU;
            if !RANGE_HZ.contains(&hz) || !GROWTH.contains(&(partial.rate.re * value_rate_hz)) {
                return None;
            }
            let amplitude = partial.amplitude / means_gain(hz, self.rate_hz);
            largest = largest.max(amplitude.norm_sqr());
            seed.x = amplitude
                * Complex64::turn(partial.rate.im * late)
                * libm::exp(partial.rate.re * late);
            seed.turn = Complex64::turn(partial.rate.im / EVERY as f64);
            seed.hz = hz;
        }
        let found = &mut seeds.all[..partials.len()];
        found.sort_unstable_by(|a, b| a.hz.total_cmp(&b.hz));
        let apart = found.windows(2).all(|pair| pair[1].hz - pair[0].hz > APART_HZ);
        let enough = found.iter().all(|seed| seed.x.norm_sqr() > LEAST * LEAST * largest);
        (apart && enough).then_some(seeds)
    }
}

/// Gain of the two means at `hz`: Π sin(nπf/fs)/(n·sin(πf/fs)).
fn means_gain(hz: f64, rate_hz: f64) -> f64 {
    let x = PI * hz / rate_hz;
    MEANS.iter().map(|&n| libm::sin(n as f64 * x) / (n as f64 * libm::sin(x))).product()
}

/// The two means in a row, by phase of the sample: its share in the value to come, and in the two
/// after that.
fn taps() -> [[f64; 3]; EVERY] {
    let mut kernel = [0.0; 3 * EVERY];
    for i in 0..MEANS[0] {
        for j in 0..MEANS[1] {
            kernel[i + j] += 1.0 / (MEANS[0] * MEANS[1]) as f64;
        }
    }
    std::array::from_fn(|phase| [0, 1, 2].map(|k| kernel[k * EVERY + EVERY - 1 - phase]))
}
