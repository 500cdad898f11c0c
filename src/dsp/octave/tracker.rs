//! One partial, predicted: a resonator observer at exactly its frequency.
//!
//! All trackers correct themselves by the one common error e = z - Σx. Each has
//! its pole on the unit circle, so each has an exact zero at every other's
//! frequency (Péceli 1986): no filter between signal and component, no delay.
//! The frequency follows the turning of the error (Nagy 1992).

use super::analytic::Analytic;
use super::halve::HalfAngle;
use super::phasor::Phasor;
use super::seeder::Seed;
use super::smooth::Smooth;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Bandwidth of the observer: at 8 Hz it cannot part 55 Hz from 65 Hz.
const OBSERVER_HZ: f64 = 5.0;
/// Bandwidth of the frequency: at 1 Hz locking takes longer, at 3 Hz hits pull it.
const FREQUENCY_HZ: f64 = 2.0;
/// How long evidence is averaged over, and how fast it is followed ...
const EVIDENCE_S: f64 = 0.02;
/// ... four times as long when settled, because a hit beats with the note.
const CALM: f64 = 0.25;
/// Evidence above this gives weight, below zero takes it: at 0.3 glides are split into notes, at
/// 0.6 the partials of a plucked string are gone before they are believed in.
const CONVINCED: f64 = 0.45;
/// What the seeder found fades in, and what it did not find fades out.
const FADE_S: f64 = 0.008;
/// While a hit sounds, a believed tracker nearly coasts.
const COASTING_HZ: f64 = 0.5;

/// The rates all trackers share.
#[derive(Clone, Copy)]
pub(super) struct Pace {
    gain: f64,
    coasting: f64,
    frequency: f64,
    weight: f64,
    fade: f64,
    hz_per_radian: f64,
}

impl Pace {
    pub(super) fn new(rate_hz: f64) -> Self {
        let share = |hz: f64| -libm::expm1(-TAU * hz / rate_hz);
        Self {
            gain: share(OBSERVER_HZ),
            coasting: share(COASTING_HZ) / share(OBSERVER_HZ),
            frequency: share(FREQUENCY_HZ),
            weight: 1.0 / (EVIDENCE_S * rate_hz),
            fade: 1.0 / (FADE_S * rate_hz),
            hz_per_radian: rate_hz / TAU,
        }
    }
}

/// What all trackers are told about one sample.
#[derive(Clone, Copy)]
pub(super) struct Lesson {
    /// z - Σx.
    pub(super) error: Complex64,
    /// How far (0..1) the error may move a believed tracker.
    pub(super) trust: f64,
    /// True while a hit sounds.
    pub(super) hit: bool,
    /// True while decisions are to be slow.
    pub(super) calm: bool,
}

/// One partial.
#[derive(Clone, Copy)]
pub(super) struct Tracker {
    /// The partial as predicted for this sample.
    pub(super) x: Complex64,
    /// How far it is believed in, 0..1.
    pub(super) weight: f64,
    /// Its frequency.
    pub(super) hz: f64,
    /// Its half angle.
    pub(super) angle: HalfAngle,
    /// The gain that makes its level exact.
    pub(super) gain: f64,
    /// What the all-pass pair makes of it at the mirrored frequency, re x*.
    pub(super) image: Complex64,
    /// True while it only fades out.
    pub(super) leaves: bool,
    /// True while it fades in, whatever the evidence.
    enters: bool,
    /// How far from the next tracker, 0.1..1.
    pub(super) room: f64,
    alone: HalfAngle,
    pub(super) turn: Complex64,
    without: Smooth,
    with: Smooth,
}

impl Tracker {
    /// Starts with nothing but a frequency.
    pub(super) fn new(hz: f64, rate_hz: f64) -> Self {
        let evidence = Smooth::new(EVIDENCE_S, rate_hz);
        Self {
            x: Complex64::ZERO,
            weight: 0.0,
            hz,
            angle: HalfAngle::new(),
            alone: HalfAngle::new(),
            gain: 1.0,
            image: Complex64::ZERO,
            leaves: false,
            enters: false,
            room: 1.0,
            turn: Complex64::turn(TAU * hz / rate_hz),
            without: evidence,
            with: evidence,
        }
    }

    /// Starts with all that is known, its half angle along `last`.
    pub(super) fn from_seed(seed: &Seed, last: Complex64, rate_hz: f64) -> Self {
        let mut tracker = Self::new(seed.hz, rate_hz);
        tracker.enters = true;
        tracker.angle.push(seed.x, seed.x.norm_sqr().sqrt());
        if tracker.angle.direction().along(last) < 0.0 {
            tracker.angle.flip();
        }
        tracker
    }

    /// Goes on from what the seeder found.
    pub(super) fn reseed(&mut self, seed: &Seed, analytic: &Analytic) {
        self.x = seed.x;
        self.hz = seed.hz;
        self.turn = seed.turn;
        self.image = analytic.image(seed.turn);
        self.gain = analytic.make_up(seed.hz);
    }

    /// True once nothing is left of it.
    pub(super) fn is_lost(&self) -> bool {
        self.weight == 0.0 && !self.enters
    }

    /// Follows the common error.
    #[inline]
    pub(super) fn push(&mut self, lesson: &Lesson, pace: &Pace) {
        let Lesson { error, trust, hit, calm } = *lesson;
        if self.leaves {
            self.weight = (self.weight - pace.fade).max(0.0);
            self.x *= self.turn;
            return;
        }
        self.weigh(error, calm, pace);
        let trust = if hit { pace.coasting } else { trust };
        let gain = pace.gain * self.room * (1.0 - self.weight * (1.0 - trust));
        let power = self.x.norm_sqr() + pace.gain * error.norm_sqr();
        if power > 0.0 && !hit {
            let ahead = pace.frequency * gain * error.ahead(self.x) / power;
            self.hz += ahead * pace.hz_per_radian;
            let turn = self.turn * Complex64::new(1.0, ahead);
            // Back to length one: first order of 1/|turn|.
            self.turn = turn * (1.5 - 0.5 * turn.norm_sqr());
        }
        self.x = (self.x + error * gain) * self.turn;
    }

    /// Keeps in mind how the half angle would go on without what is `doubtful` now.
    #[inline]
    pub(super) fn remember(&mut self, doubtful: bool) {
        if doubtful {
            self.alone.push(self.x, self.x.norm_sqr().sqrt());
        } else {
            self.alone = self.angle;
        }
    }

    /// Goes on without what was doubtful and is foreign.
    pub(super) fn recall(&mut self) {
        self.angle = self.alone;
    }

    /// Evidence: does taking x away make the error smaller?
    #[inline]
    fn weigh(&mut self, error: Complex64, calm: bool, pace: &Pace) {
        let pace_of_evidence = if calm { CALM } else { 1.0 };
        let with = self.with.push_slowly(error.norm_sqr(), pace_of_evidence);
        let without = self.without.push_slowly((error + self.x).norm_sqr(), pace_of_evidence);
        let evidence = without - with;
        if self.enters {
            self.weight = (self.weight + pace.fade).min(1.0);
            self.enters = self.weight < 1.0;
        } else if evidence > CONVINCED * (without + with) {
            self.weight = (self.weight + pace.weight).min(1.0);
        } else if evidence < 0.0 {
            self.weight = (self.weight - pace.weight).max(0.0);
        }
    }
}
