//! The protective (subsonic) high-pass after the blend: Butterworth of second
//! or fourth order, or none.
//!
//! The orders run side by side and cross-fade, so the order can change while
//! it sounds; an order that is not heard does not run.

use std::f64::consts::FRAC_1_SQRT_2;

use super::glide::Glide;
use super::lanes;
use super::shape::Shape;
use super::svf::{Design, Svf};
use super::tick::Tick;
use crate::settings::{Order, Settings};

/// Qualities of the two sections of a fourth-order Butterworth filter: 1/(2·cos(π/8)), 1/(2·cos(3π/8)).
const FOURTH_Q: [f64; 2] = [0.541_196_100_146_197, 1.306_562_964_876_377];

/// The high-pass of the line.
pub struct HighPass {
    sample_rate_hz: f64,
    octaves: Glide,
    second_share: Glide,
    fourth_share: Glide,
    designs: [Design; 3],
    filters: [Svf; 3],
    tick: Tick,
}

impl HighPass {
    /// No high-pass yet, for signals at `sample_rate_hz`.
    pub fn new(sample_rate_hz: f64) -> Self {
        Self {
            sample_rate_hz,
            octaves: Glide::new(libm::log2(20.0), sample_rate_hz),
            second_share: Glide::new(0.0, sample_rate_hz),
            fourth_share: Glide::new(0.0, sample_rate_hz),
            designs: designs(20.0, sample_rate_hz),
            filters: Default::default(),
            tick: Tick::default(),
        }
    }

    /// Follows `high_pass.*`.
    pub fn set(&mut self, settings: &Settings) {
        self.octaves.set(libm::log2(settings.high_pass_hz.into()));
        self.second_share.set(f64::from(settings.high_pass_order == Order::Second));
        self.fourth_share.set(f64::from(settings.high_pass_order == Order::Fourth));
    }

    /// Back to silence, with the settings in force at once.
    pub fn reset(&mut self) {
        self.octaves.finish();
        self.second_share.finish();
        self.fourth_share.finish();
        self.designs = designs(libm::exp2(self.octaves.value()), self.sample_rate_hz);
        self.filters = Default::default();
        self.tick = Tick::default();
    }

    /// A stretch through the high-pass, in place.
    pub fn process(&mut self, left: &mut [f64], right: &mut [f64]) {
        let shares = [&self.second_share, &self.fourth_share];
        if !self.octaves.moves() && shares.into_iter().all(|share| share.rests_at(0.0)) {
            self.filters = Default::default();
            self.tick.pass(left.len());
        } else {
            lanes::each(left, right, |frame| self.frame(frame));
        }
    }

    #[inline]
    fn frame(&mut self, frame: [f64; 2]) -> [f64; 2] {
        if self.tick.due() {
            self.filters.iter_mut().for_each(Svf::flush);
        }
        if self.octaves.moves() {
            self.designs = designs(libm::exp2(self.octaves.step()), self.sample_rate_hz);
        }
        let shares = [self.second_share.step(), self.fourth_share.step()];
        let mut out = frame;
        // A filter that falls silent starts afresh when it is heard again.
        if self.second_share.rests_at(0.0) {
            self.filters[0] = Svf::default();
        } else {
            let second = self.filters[0].process(&self.designs[0], frame);
            mix(&mut out, frame, second, shares[0]);
        }
        if self.fourth_share.rests_at(0.0) {
            self.filters[1..].fill(Svf::default());
        } else {
            let first = self.filters[1].process(&self.designs[1], frame);
            let fourth = self.filters[2].process(&self.designs[2], first);
            mix(&mut out, frame, fourth, shares[1]);
        }
        out
    }

    /// Gain in dB at `hz` that these settings ask for, once every glide has arrived.
    pub fn response_db(settings: &Settings, hz: f64, sample_rate_hz: f64) -> f64 {
        let corner_hz = f64::from(settings.high_pass_hz);
        Self::shape(settings.high_pass_order, corner_hz, sample_rate_hz).db(hz)
    }

    /// The closed form of an order and its -3 dB frequency in Hz, for whoever takes differences of it
    /// or reads it at many frequencies.
    pub fn shape(order: Order, corner_hz: f64, sample_rate_hz: f64) -> Shape {
        let [second, fourth @ ..] = designs(corner_hz, sample_rate_hz);
        match order {
            Order::Off => Shape::new(&[], sample_rate_hz),
            Order::Second => Shape::new(&[second], sample_rate_hz),
            Order::Fourth => Shape::new(&fourth, sample_rate_hz),
        }
    }

    /// The sections that these settings ask for.
    pub(super) fn sections(settings: &Settings, sample_rate_hz: f64) -> Vec<Design> {
        let designs = designs(f64::from(settings.high_pass_hz), sample_rate_hz);
        match settings.high_pass_order {
            Order::Off => Vec::new(),
            Order::Second => vec![designs[0]],
            Order::Fourth => vec![designs[1], designs[2]],
        }
    }
}

fn mix(out: &mut [f64; 2], dry: [f64; 2], wet: [f64; 2], share: f64) {
    for side in 0..2 {
        // At a full share nothing of the dry value may remain, not even its rounding.
        out[side] =
            if share == 1.0 { wet[side] } else { out[side] + share * (wet[side] - dry[side]) };
    }
}

fn designs(hz: f64, sample_rate_hz: f64) -> [Design; 3] {
    [FRAC_1_SQRT_2, FOURTH_Q[0], FOURTH_Q[1]].map(|q| Design::high_pass(hz, q, sample_rate_hz))
}
