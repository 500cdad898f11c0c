//! Where the partials are: a bank of slow resonators, for control only.
//!
//! 56 resonators 4 Hz apart, each three leaky integrators in a row after the
//! signal is turned down by its centre. They part notes 9 Hz apart and are
//! late, which does not matter: no sound passes through them. Since the pointer
//! z has no negative frequencies, every eighth sample of it is enough. Real and
//! imaginary parts lie in rows of their own, so that two resonators go at once.

use super::phasor::Phasor;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Resonators and their distance.
const RESONATORS: usize = 56;
const SPACING_HZ: f64 = 4.0;
/// The lowest centre.
const LOWEST_HZ: f64 = 20.0;
/// Corner of each leaky integrator.
const CORNER_HZ: f64 = 4.5;
const POLES: usize = 3;
/// A peak counts from here, re the power of the highest: -20 dB.
const LEAST: f64 = 0.01;
/// A peak's frequency, by its turning, must lie this near its resonator.
const NEAR_HZ: f64 = 8.0;
/// States below this power end.
const FLUSH: f64 = 1e-40;

/// One number of every resonator.
type Row = [f64; RESONATORS];

/// A complex number of every resonator.
#[derive(Clone, Copy)]
struct Rows {
    re: Row,
    im: Row,
}

impl Rows {
    const ZERO: Self = Self { re: [0.0; RESONATORS], im: [0.0; RESONATORS] };

    fn at(&self, i: usize) -> Complex64 {
        Complex64::new(self.re[i], self.im[i])
    }
}

/// The bank.
pub(super) struct Bank {
    rate_hz: f64,
    leak: f64,
    turn: Rows,
    carrier: Rows,
    poles: [Rows; POLES],
    before: Rows,
}

impl Bank {
    /// A bank for a pointer that comes `rate_hz` times a second.
    pub(super) fn new(rate_hz: f64) -> Self {
        let turn = |i: usize| Complex64::turn(-TAU * centre_hz(i) / rate_hz);
        let turn = Rows {
            re: std::array::from_fn(|i| turn(i).re),
            im: std::array::from_fn(|i| turn(i).im),
        };
        let leak = -(-TAU * CORNER_HZ / rate_hz).exp_m1();
        let carrier = Rows { re: [1.0; RESONATORS], ..Rows::ZERO };
        let poles = [Rows::ZERO; POLES];
        Self { rate_hz, leak, turn, carrier, poles, before: Rows::ZERO }
    }

    pub(super) fn reset(&mut self) {
        *self = Self::new(self.rate_hz);
    }

    /// Takes in the pointer.
    pub(super) fn push(&mut self, z: Complex64) {
        let Self { leak, turn, carrier, poles, before, .. } = self;
        let [first, second, third] = poles;
        for i in 0..RESONATORS {
            let (re, im) = (carrier.re[i], carrier.im[i]);
            before.re[i] = third.re[i];
            before.im[i] = third.im[i];
            first.re[i] += (z.re * re - z.im * im - first.re[i]) * *leak;
            first.im[i] += (z.re * im + z.im * re - first.im[i]) * *leak;
            second.re[i] += (first.re[i] - second.re[i]) * *leak;
            second.im[i] += (first.im[i] - second.im[i]) * *leak;
            third.re[i] += (second.re[i] - third.re[i]) * *leak;
            third.im[i] += (second.im[i] - third.im[i]) * *leak;
            let next_re = re * turn.re[i] - im * turn.im[i];
            let next_im = re * turn.im[i] + im * turn.re[i];
            // Keeps the carrier's length at one: first order of 1/|c|.
            let length = 1.5 - 0.5 * (next_re * next_re + next_im * next_im);
            carrier.re[i] = next_re * length;
            carrier.im[i] = next_im * length;
        }
    }

    /// Calls `found` with the frequency of every peak; ends what has become inaudible.
    pub(super) fn peaks(&mut self, mut found: impl FnMut(f64)) {
        let third = &self.poles[POLES - 1];
        let mut powers = [0.0; RESONATORS];
        for (i, power) in powers.iter_mut().enumerate() {
            *power = third.re[i] * third.re[i] + third.im[i] * third.im[i];
        }
        let highest = powers.iter().fold(0.0, |a: f64, b| a.max(*b));
        if highest < FLUSH {
            self.poles = [Rows::ZERO; POLES];
            return;
        }
        let power = |i: usize| powers.get(i).copied().unwrap_or(0.0);
        for i in 0..RESONATORS {
            let peak = power(i) > LEAST * highest
                && power(i) >= power(i + 1)
                && (i == 0 || power(i) > power(i - 1));
            if peak {
                let off_hz = self.turning(i) * self.rate_hz / TAU;
                if off_hz.abs() < NEAR_HZ {
                    found(centre_hz(i) + off_hz);
                }
            }
        }
    }

    /// By how many radians a resonator's pointer turned between the last two samples, if few.
    fn turning(&self, i: usize) -> f64 {
        let now = self.poles[POLES - 1].at(i);
        now.ahead(self.before.at(i)) / now.norm_sqr()
    }
}

fn centre_hz(i: usize) -> f64 {
    LOWEST_HZ + SPACING_HZ * i as f64
}
