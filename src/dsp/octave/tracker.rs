//! One partial, predicted: a resonator observer at exactly its frequency.
//!
//! All trackers correct themselves by the one common error e = z - Σx. Each has
//! its pole on the unit circle, so each has an exact zero at every other's
//! frequency (Péceli 1986): no filter between signal and component, no delay.
//! The frequency follows the turning of the error (Nagy 1992).

use super::complex::Complex;
use super::halve::HalfAngle;
use super::smooth::Smooth;
use std::f64::consts::TAU;

/// Bandwidth of the observer: at 8 Hz it cannot part 55 Hz from 65 Hz.
const OBSERVER_HZ: f64 = 5.0;
/// Bandwidth of the frequency: at 1 Hz locking takes 355 ms, at 3 Hz close pairs are lost.
const FREQUENCY_HZ: f64 = 2.0;
/// How long evidence is averaged over, and how fast it is followed.
const EVIDENCE_S: f64 = 0.02;
/// Evidence above this gives weight, below zero takes it.
const CONVINCED: f64 = 0.6;

/// The rates all trackers share.
#[derive(Clone, Copy)]
pub(super) struct Pace {
    gain: f64,
    frequency: f64,
    weight: f64,
    hz_per_radian: f64,
}

impl Pace {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self {
            gain: -(-TAU * OBSERVER_HZ / rate_hz).exp_m1(),
            frequency: -(-TAU * FREQUENCY_HZ / rate_hz).exp_m1(),
            weight: 1.0 / (EVIDENCE_S * rate_hz),
            hz_per_radian: rate_hz / TAU,
        }
    }
}

/// One partial.
#[derive(Clone, Copy)]
pub(super) struct Tracker {
    /// The partial as predicted for this sample.
    pub(super) x: Complex,
    /// How far it is believed in, 0..1.
    pub(super) weight: f64,
    /// Its frequency.
    pub(super) hz: f64,
    /// Its half angle.
    pub(super) angle: HalfAngle,
    /// The gain that makes its level exact.
    pub(super) gain: f64,
    /// Searches that did not see it.
    pub(super) missed: u32,
    turn: Complex,
    without: Smooth,
    with: Smooth,
}

impl Tracker {
    /// Starts with nothing but a frequency.
    pub(super) fn new(hz: f64, rate_hz: f64) -> Self {
        let evidence = Smooth::new(EVIDENCE_S, rate_hz);
        Self {
            x: Complex::ZERO,
            weight: 0.0,
            hz,
            angle: HalfAngle::new(),
            gain: 1.0,
            missed: 0,
            turn: Complex::turn(TAU * hz / rate_hz),
            without: evidence,
            with: evidence,
        }
    }

    /// Follows the common error; `held` (0..1) holds it against a hit.
    #[inline]
    pub(super) fn push(&mut self, error: Complex, held: f64, pace: &Pace) {
        let with = self.with.push(error.power());
        let without = self.without.push((error + self.x).power());
        let evidence = without - with;
        if evidence > CONVINCED * (without + with) {
            self.weight = (self.weight + pace.weight).min(1.0);
        } else if evidence < 0.0 {
            self.weight = (self.weight - pace.weight).max(0.0);
        }
        let gain = pace.gain * (1.0 - self.weight * held);
        let power = self.x.power() + pace.gain * error.power();
        if power > 0.0 {
            let ahead = pace.frequency * gain * error.ahead(self.x) / power;
            self.hz += ahead * pace.hz_per_radian;
            let turn = self.turn * Complex::new(1.0, ahead);
            // Back to length one: first order of 1/|turn|.
            self.turn = turn * (1.5 - 0.5 * turn.power());
        }
        self.x = (self.x + error * gain) * self.turn;
    }
}
