//! Component-wise halving: every confirmed partial by itself, the rest as one.
//!
//! The pointer z is split into components whose sum is always z: those of the
//! trackers, and a rest. Each is halved, and the halves are added. With no
//! tracker, or with one, that is exactly whole-band halving; a hit over a note
//! stays in the rest; two notes are two components, and no longer intermodulate.

use super::bank::Bank;
use super::complex::Complex;
use super::floor::Floor;
use super::halved::Halved;
use super::smooth::Smooth;
use super::tracker::{Pace, Tracker};
use crate::settings::Settings;

/// Most partials at a time.
const MOST: usize = 6;
/// Low-rate samples between two looks at the bank.
const SEARCH_SAMPLES: u32 = 8;
/// A peak this near a tracker is that tracker.
const SAME_HZ: f64 = 8.0;
/// A new peak must stay within this for a few searches.
const STAYS_HZ: f64 = 5.0;
const STAYS: u32 = 6;
/// A tracker not seen for this many searches goes.
const GOES: u32 = 10;
/// Trackers outside go.
const RANGE_HZ: std::ops::Range<f64> = 18.0..280.0;
/// How long the unexplained power is averaged over.
const POWER_S: f64 = 0.02;
/// Components below this share of the largest take the sign that agrees with it.
const SMALL: f64 = 0.05;

/// A peak that may become a tracker.
#[derive(Clone, Copy, Default)]
struct Candidate {
    hz: f64,
    seen: u32,
    seen_now: bool,
}

/// Trackers, rest and search.
pub(super) struct Tracked {
    rate_hz: f64,
    pace: Pace,
    rest: Halved,
    floor: Floor,
    trackers: [Tracker; MOST],
    count: usize,
    unexplained: Smooth,
    bank: Bank,
    candidates: [Candidate; MOST],
    clock: u32,
}

impl Tracked {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self {
            rate_hz,
            pace: Pace::new(rate_hz),
            rest: Halved::new(rate_hz),
            floor: Floor::default(),
            trackers: [Tracker::new(0.0, rate_hz); MOST],
            count: 0,
            unexplained: Smooth::new(POWER_S, rate_hz),
            bank: Bank::new(rate_hz / f64::from(SEARCH_SAMPLES)),
            candidates: [Candidate::default(); MOST],
            clock: 0,
        }
    }

    pub(super) fn set(&mut self, settings: &Settings) {
        self.rest.set(settings);
        self.floor.set(settings);
    }

    pub(super) fn reset(&mut self) {
        self.rest.reset();
        self.bank.reset();
        self.count = 0;
        self.unexplained.reset();
        self.candidates = Default::default();
        self.clock = 0;
    }

    /// The octave part of the pointer `z`. `exact(hz)` is the gain that makes a note's level exact.
    pub(super) fn push(&mut self, z: Complex, exact: impl Fn(f64) -> f64) -> Complex {
        if self.clock == 0 {
            self.search(z, exact);
        }
        self.clock = (self.clock + 1) % SEARCH_SAMPLES;
        let trackers = &mut self.trackers[..self.count];
        let mut error = z;
        let mut unknown = z;
        let mut known = 0.0;
        for tracker in trackers.iter() {
            error -= tracker.x;
            unknown -= tracker.x * tracker.weight;
            known += tracker.weight * tracker.weight * tracker.x.power();
        }
        let unexplained = self.unexplained.push(unknown.power());
        // The share of the unexplained that cannot be modulation of known notes.
        let foreign =
            if known > 0.0 { (1.0 - known / unexplained.max(1e-300)).max(0.0) } else { 1.0 };
        // Split.
        let mut parts = [Complex::ZERO; MOST + 1];
        let mut lengths = [0.0; MOST + 1];
        parts[MOST] = unknown * foreign;
        for (part, tracker) in parts.iter_mut().zip(trackers.iter()) {
            let weighted = tracker.x * tracker.weight;
            let share = if known > 0.0 { (1.0 - foreign) * weighted.power() / known } else { 0.0 };
            *part = weighted + unknown * share;
        }
        let mut largest = MOST;
        for i in (0..trackers.len()).chain([MOST]) {
            lengths[i] = parts[i].power().sqrt();
            if lengths[i] > lengths[largest] {
                largest = i;
            }
        }
        // Halve.
        let mut halves = [Complex::ZERO; MOST + 1];
        for (i, tracker) in trackers.iter_mut().enumerate() {
            halves[i] = tracker.angle.push(parts[i], lengths[i]);
        }
        halves[MOST] = self.rest.angle(parts[MOST], lengths[MOST]);
        let leader = halves[largest];
        for i in 0..trackers.len() {
            if lengths[i] < SMALL * lengths[largest] && halves[i].along(leader) < 0.0 {
                self.trackers[i].angle.flip();
                halves[i] = halves[i] * -1.0;
            }
        }
        if lengths[MOST] < SMALL * lengths[largest] && halves[MOST].along(leader) < 0.0 {
            self.rest.flip();
        }
        let mut sum = self.rest.finish(lengths[MOST], z);
        for i in 0..self.count {
            let tracker = &mut self.trackers[i];
            let gain = 1.0 + tracker.weight * (tracker.gain - 1.0);
            sum += halves[i] * (lengths[i] * gain);
            tracker.push(error, foreign, &self.pace);
        }
        sum
    }

    /// Looks at the bank: confirms trackers, lets go of lost ones, starts new ones.
    fn search(&mut self, z: Complex, exact: impl Fn(f64) -> f64) {
        self.bank.push(z);
        for tracker in &mut self.trackers[..self.count] {
            tracker.missed += 1;
            tracker.gain = exact(tracker.hz) * self.floor.gain(tracker.hz);
        }
        let (trackers, count) = (&mut self.trackers, &mut self.count);
        let candidates = &mut self.candidates;
        let rate_hz = self.rate_hz;
        candidates.iter_mut().for_each(|c| c.seen_now = false);
        self.bank.peaks(|hz| {
            let near = |tracker: &&mut Tracker| (tracker.hz - hz).abs() < SAME_HZ;
            if let Some(tracker) = trackers[..*count].iter_mut().find(near) {
                tracker.missed = 0;
                return;
            }
            let same = |c: &Candidate| c.seen > 0 && !c.seen_now && (c.hz - hz).abs() < STAYS_HZ;
            let place = candidates.iter().position(same);
            let place = place.or_else(|| candidates.iter().position(|c| c.seen == 0));
            let Some(place) = place else { return };
            let candidate = &mut candidates[place];
            *candidate = Candidate { hz, seen: candidate.seen + 1, seen_now: true };
            if candidate.seen >= STAYS && *count < MOST {
                trackers[*count] = Tracker::new(hz, rate_hz);
                *count += 1;
                candidate.seen = 0;
            }
        });
        for candidate in candidates.iter_mut().filter(|c| !c.seen_now) {
            candidate.seen = 0;
        }
        let mut i = 0;
        while i < self.count {
            let tracker = &self.trackers[i];
            let lost = tracker.missed > GOES || !RANGE_HZ.contains(&tracker.hz);
            if lost {
                self.count -= 1;
                self.trackers.swap(i, self.count);
            } else {
                i += 1;
            }
        }
    }
}
