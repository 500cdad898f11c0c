//! Where the partials are: a bank of slow resonators, for control only.
//!
//! 56 resonators 4 Hz apart, each three leaky integrators in a row after the
//! signal is turned down by its centre. They part notes 9 Hz apart and are
//! late, which does not matter: no sound passes through them. Since the pointer
//! z has no negative frequencies, every eighth sample of it is enough.

use super::complex::Complex;
use std::f64::consts::TAU;

/// Resonators and their distance.
const RESONATORS: usize = 56;
const SPACING_HZ: f64 = 4.0;
/// The lowest centre.
const LOWEST_HZ: f64 = 20.0;
/// Corner of each leaky integrator.
const CORNER_HZ: f64 = 5.0;
/// A peak counts from here, re the power of the highest: -20 dB.
const LEAST: f64 = 0.01;
/// A peak's frequency, by its turning, must lie this near its resonator.
const NEAR_HZ: f64 = 8.0;

/// One resonator.
#[derive(Clone, Copy, Default)]
struct Resonator {
    carrier: Complex,
    turn: Complex,
    poles: [Complex; 3],
    power: f64,
    hz: f64,
}

/// The bank.
pub(super) struct Bank {
    rate_hz: f64,
    leak: f64,
    resonators: [Resonator; RESONATORS],
}

impl Bank {
    /// A bank for a pointer that comes `rate_hz` times a second.
    pub(super) fn new(rate_hz: f64) -> Self {
        let mut resonators = [Resonator::default(); RESONATORS];
        for (i, resonator) in resonators.iter_mut().enumerate() {
            resonator.turn = Complex::turn(-TAU * centre_hz(i) / rate_hz);
            resonator.carrier = Complex::ONE;
        }
        Self { rate_hz, leak: -(-TAU * CORNER_HZ / rate_hz).exp_m1(), resonators }
    }

    pub(super) fn reset(&mut self) {
        *self = Self::new(self.rate_hz);
    }

    /// Takes in the pointer.
    pub(super) fn push(&mut self, z: Complex) {
        for (i, resonator) in self.resonators.iter_mut().enumerate() {
            let before = resonator.poles[2];
            let mut level = z * resonator.carrier;
            for pole in &mut resonator.poles {
                *pole += (level - *pole) * self.leak;
                level = *pole;
            }
            // Keeps the carrier's length at one: first order of 1/|c|.
            let carrier = resonator.carrier * resonator.turn;
            resonator.carrier = carrier * (1.5 - 0.5 * carrier.power());
            resonator.power = level.power();
            if resonator.power < 1e-40 {
                resonator.poles = [Complex::ZERO; 3];
            }
            let turning = level.ahead(before) / level.power().max(1e-300);
            resonator.hz = centre_hz(i) + turning * self.rate_hz / TAU;
        }
    }

    /// Calls `found` with the frequency of every peak.
    pub(super) fn peaks(&self, mut found: impl FnMut(f64)) {
        let power = |i: usize| self.resonators.get(i).map_or(0.0, |r| r.power);
        let highest = self.resonators.iter().fold(0.0, |a: f64, r| a.max(r.power));
        for (i, resonator) in self.resonators.iter().enumerate() {
            let peak = resonator.power >= power(i + 1)
                && (i == 0 || resonator.power > power(i - 1))
                && resonator.power > LEAST * highest;
            if peak && (resonator.hz - centre_hz(i)).abs() < NEAR_HZ {
                found(resonator.hz);
            }
        }
    }
}

fn centre_hz(i: usize) -> f64 {
    LOWEST_HZ + SPACING_HZ * i as f64
}
