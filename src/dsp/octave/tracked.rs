//! Component-wise halving: every confirmed partial by itself, the rest as one.
//!
//! The analytic signal z is split into components whose sum is always z: those of the
//! trackers, and a rest. Each is halved, and the halves are added. With no
//! tracker, or with one, that is exactly whole-band halving; a hit over a note
//! stays in the rest; two notes are two components, and no longer intermodulate.

use super::analytic::{Analytic, Hearing};
use super::band::Edges;
use super::floor::Floor;
use super::halved::Halved;
use super::halver::Halver;
use super::phasor::Phasor;
use super::residual::ResidualClassifier;
use super::seeder::{Seeder, Wanted};
use super::tracker::{Lesson, Pace, Tracker};
use super::trackers::{MOST, Trackers};
use crate::settings::Settings;
use num_complex::Complex64;

/// Since the mirror image of a known partial is cancelled, four sections do, and what they save in
/// time is spent on wider filters around them.
pub(super) const HEARING: Hearing = Hearing {
    edges: Edges { lower: 0.5, upper: 1.1, notes: 0.64, fast_notes: 0.72 },
    clean_sections: 4,
    fast_sections: 4,
};

/// Low-rate samples between two rounds of slow work.
const SLOW_SAMPLES: u32 = 8;

/// Components below this share of the largest take the sign that agrees with it.
const SMALL: f64 = 0.05;

/// Trackers, rest and search.
pub(super) struct Tracked {
    pace: Pace,
    trackers: Trackers,
    seeder: Seeder,
    residual: ResidualClassifier,
    rest: Halved,
    rest_was_small: bool,
    floor: Floor,
    clock: u32,
    turn: usize,
}

/// The components of one sample and their lengths; the rest comes last.
struct Parts {
    parts: [Complex64; MOST + 1],
    lengths: [f64; MOST + 1],
    largest: usize,
}

impl Tracked {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self {
            pace: Pace::new(rate_hz),
            trackers: Trackers::new(rate_hz),
            seeder: Seeder::new(rate_hz),
            residual: ResidualClassifier::new(rate_hz),
            rest: Halved::new(rate_hz),
            rest_was_small: false,
            floor: Floor::default(),
            clock: 0,
            turn: 0,
        }
    }

    /// The octave part of `z`, as a phasor.
    fn halves(&mut self, z: Complex64, analytic: &Analytic) -> Complex64 {
        if self.clock == 0 {
            self.trackers.prune();
            // One gain at a time: they move slowly, and are not cheap.
            self.turn = (self.turn + 1) % self.trackers.active().len().max(1);
            let room = self.trackers.room(self.turn);
            if let Some(tracker) = self.trackers.active_mut().get_mut(self.turn) {
                tracker.room = room;
                tracker.image = analytic.image(tracker.turn);
                tracker.gain = analytic.make_up(tracker.hz) * self.floor.gain(tracker.hz);
            }
        }
        self.clock = (self.clock + 1) % SLOW_SAMPLES;
        let (mut all, mut known, mut image) = (Complex64::ZERO, Complex64::ZERO, Complex64::ZERO);
        let mut power = 0.0;
        for tracker in self.trackers.active() {
            let believed = tracker.x * tracker.weight;
            if !tracker.leaves {
                all += tracker.x;
            }
            known += believed;
            power += believed.norm_sqr();
            image += tracker.image * believed.conj();
        }
        let raw = z;
        let z = raw - image;
        let foreign = self.residual.push(z, known, power);
        let error = z - all;
        let trust = self.residual.trust(error.norm_sqr(), power).min(1.0 - foreign);
        if self.residual.hit_starts() {
            self.trackers.active_mut().iter_mut().for_each(Tracker::recall);
        }
        let parts = self.split(z, known, power, foreign);
        let sum = self.halve(&parts, z, analytic);
        let lesson = Lesson { error, trust, hit: self.residual.hit(), calm: self.residual.calm() };
        let doubtful = self.residual.doubtful();
        for tracker in self.trackers.active_mut() {
            tracker.remember(doubtful);
            tracker.push(&lesson, &self.pace);
        }
        self.seed(raw, sum, analytic);
        sum
    }

    /// Looks for partials while there is something to find, and takes over what is found.
    fn seed(&mut self, z: Complex64, last: Complex64, analytic: &Analytic) {
        let known = self.trackers.active().iter().filter(|t| !t.leaves).count();
        let wanted = if known > 1 { Wanted::More } else { Wanted::Any };
        let wanted = self.residual.unexplained().then_some(wanted);
        let image = |turn| analytic.image(turn);
        if let Some(seeds) = self.seeder.push(z, wanted, image) {
            self.trackers.install(&seeds, last, analytic);
            self.residual.explained(seeds.all().iter().map(|seed| seed.x.norm_sqr()).sum());
            for tracker in self.trackers.active_mut().iter_mut().filter(|t| !t.leaves) {
                tracker.gain *= self.floor.gain(tracker.hz);
            }
        }
    }

    /// What is not foreign is shared among the trackers by power; the rest takes what remains,
    /// and everything while all is one component.
    #[inline]
    fn split(&self, z: Complex64, known: Complex64, power: f64, foreign: f64) -> Parts {
        let mut parts = [Complex64::ZERO; MOST + 1];
        let mut lengths = [0.0; MOST + 1];
        let several = 1.0 - self.residual.one();
        let theirs = (z - known) * (if power > 0.0 { (1.0 - foreign) / power } else { 0.0 });
        let mut largest = MOST;
        parts[MOST] = z;
        for (i, tracker) in self.trackers.active().iter().enumerate() {
            let believed = tracker.x * tracker.weight;
            parts[i] = (believed + theirs * believed.norm_sqr()) * several;
            parts[MOST] -= parts[i];
        }
        if foreign == 0.0 && several == 1.0 {
            // Not a rounding error, whose angle would be noise.
            parts[MOST] = Complex64::ZERO;
        }
        for i in (0..self.trackers.active().len()).chain([MOST]) {
            lengths[i] = parts[i].norm_sqr().sqrt();
            if lengths[i] > lengths[largest] {
                largest = i;
            }
        }
        Parts { parts, lengths, largest }
    }

    /// The sum of the halves.
    #[inline]
    fn halve(&mut self, split: &Parts, z: Complex64, analytic: &Analytic) -> Complex64 {
        let Parts { parts, lengths, largest } = split;
        let small = SMALL * lengths[*largest];
        let mut halves = [Complex64::ZERO; MOST + 1];
        for (i, tracker) in self.trackers.active_mut().iter_mut().enumerate() {
            tracker.angle.push(parts[i], lengths[i]);
            halves[i] = tracker.angle.direction();
        }
        let mut rest = self.rest.halve(parts[MOST], lengths[MOST]);
        halves[MOST] = rest.direction();
        let leader = halves[*largest];
        let opposes = |i: usize| halves[i].along(leader) < 0.0;
        // A rest may fade in past small within one sample: the sign it had is stale.
        let rest_is_small = lengths[MOST] < small;
        if (rest_is_small || self.rest_was_small) && opposes(MOST) {
            rest.flip();
        }
        self.rest_was_small = rest_is_small;
        let against = |i: usize| lengths[i] < small && opposes(i);
        let mut sum = rest.finish(z, analytic);
        for (i, tracker) in self.trackers.active_mut().iter_mut().enumerate() {
            let sign = if against(i) { -1.0 } else { 1.0 };
            if sign < 0.0 {
                tracker.angle.flip();
            }
            let gain = 1.0 + tracker.weight * (tracker.gain - 1.0);
            sum += halves[i] * (sign * lengths[i] * gain);
        }
        sum
    }
}

impl Halver for Tracked {
    fn set(&mut self, settings: &Settings) {
        self.rest.set(settings);
        self.floor.set(settings);
    }

    fn reset(&mut self, _: Complex64) {
        self.rest.forget();
        self.rest_was_small = false;
        self.seeder.reset();
        self.residual.reset();
        self.trackers.clear();
        self.clock = 0;
        self.turn = 0;
    }

    #[inline]
    fn push(&mut self, z: Complex64, turn: Complex64, analytic: &Analytic) -> f64 {
        (self.halves(z, analytic) * turn).re
    }
}
