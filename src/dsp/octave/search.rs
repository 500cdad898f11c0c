//! Finding partials and letting them go: what the bank sees, again and again
//! in the same place, gets a tracker; a tracker that is no longer seen goes.

use super::analytic::Analytic;
use super::bank::Bank;
use super::seeder::Seeds;
use super::tracker::Tracker;
use num_complex::Complex64;

/// Most partials at a time.
pub(super) const MOST: usize = 6;
/// Low-rate samples between two looks at the bank.
pub(super) const SEARCH_SAMPLES: u32 = 8;

/// A peak this near a tracker is that tracker.
const SAME_HZ: f64 = 8.0;
/// A new peak must stay within this for a few searches.
const STAYS_HZ: f64 = 5.0;
const STAYS: u32 = 6;
/// A tracker not seen for this many searches goes.
const GOES: u32 = 10;
/// A partial found this near a tracker is that tracker.
const RESEEDED_HZ: f64 = 5.0;
/// Neighbours this far apart do not disturb each other: twice the observer's bandwidth.
const WIDE_HZ: f64 = 10.0;
/// Trackers outside go.
const RANGE_HZ: std::ops::Range<f64> = 18.0..280.0;

/// A peak that may become a tracker.
#[derive(Clone, Copy, Default)]
struct Candidate {
    hz: f64,
    seen: u32,
    seen_now: bool,
}

/// The trackers at work: the first `count` of a fixed number.
pub(super) struct Trackers {
    rate_hz: f64,
    all: [Tracker; MOST],
    count: usize,
}

impl Trackers {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self { rate_hz, all: [Tracker::new(0.0, rate_hz); MOST], count: 0 }
    }

    pub(super) fn clear(&mut self) {
        self.count = 0;
    }

    #[inline]
    pub(super) fn active(&self) -> &[Tracker] {
        &self.all[..self.count]
    }

    #[inline]
    pub(super) fn active_mut(&mut self) -> &mut [Tracker] {
        &mut self.all[..self.count]
    }

    /// How fast a tracker may follow errors, 0.1..1: the beat of two notes δ apart decays fastest
    /// when the bandwidth is about half of δ.
    pub(super) fn room(&self, of: usize) -> f64 {
        let Some(this) = self.active().get(of) else { return 1.0 };
        if !this.seeded {
            return 1.0;
        }
        let others = self.active().iter().enumerate().filter(|(i, t)| *i != of && !t.leaves);
        let gaps_hz = others.map(|(_, t)| (t.hz - this.hz).abs());
        (gaps_hz.fold(WIDE_HZ, f64::min) / WIDE_HZ).max(0.1)
    }

    /// Takes over what the seeder found: trackers near by go on from there, others start, and those
    /// that are none of them leave. New half angles point along `last`.
    pub(super) fn install(&mut self, seeds: &Seeds, last: Complex64, analytic: &Analytic) {
        let mut stays = [false; MOST];
        for seed in seeds.all() {
            let near = |t: &Tracker| !t.leaves && (t.hz - seed.hz).abs() < RESEEDED_HZ;
            let place = (0..self.count).find(|&i| !stays[i] && near(&self.all[i]));
            let place = place.or_else(|| {
                let free = self.count < MOST;
                self.count += usize::from(free);
                free.then(|| self.count - 1)
                    .or_else(|| (0..MOST).find(|&i| self.all[i].leaves))
                    .inspect(|&i| self.all[i] = Tracker::from_seed(seed, last, self.rate_hz))
            });
            if let Some(i) = place {
                stays[i] = true;
                self.all[i].reseed(seed, analytic);
            }
        }
        for (tracker, stays) in self.all[..self.count].iter_mut().zip(stays) {
            tracker.leaves = !stays;
        }
    }

    fn start(&mut self, hz: f64) -> bool {
        let free = self.count < MOST;
        if free {
            self.all[self.count] = Tracker::new(hz, self.rate_hz);
            self.count += 1;
        }
        free
    }

    /// Lets go of those that are lost.
    fn prune(&mut self) {
        let mut i = 0;
        while i < self.count {
            let tracker = &self.all[i];
            let left = tracker.leaves && tracker.weight == 0.0;
            if left || tracker.missed > GOES || !RANGE_HZ.contains(&tracker.hz) {
                self.count -= 1;
                self.all.swap(i, self.count);
            } else {
                i += 1;
            }
        }
    }
}

/// The bank and the candidates it has shown.
pub(super) struct Search {
    bank: Bank,
    candidates: [Candidate; MOST],
}

impl Search {
    pub(super) fn new(rate_hz: f64) -> Self {
        Self {
            bank: Bank::new(rate_hz / f64::from(SEARCH_SAMPLES)),
            candidates: Default::default(),
        }
    }

    pub(super) fn reset(&mut self) {
        self.bank.reset();
        self.candidates = Default::default();
    }

    /// Takes in the pointer; confirms trackers, lets go of lost ones, starts new ones.
    pub(super) fn push(&mut self, z: Complex64, trackers: &mut Trackers) {
        self.bank.push(z);
        for tracker in trackers.active_mut() {
            tracker.missed += 1;
        }
        let candidates = &mut self.candidates;
        candidates.iter_mut().for_each(|c| c.seen_now = false);
        self.bank.peaks(|hz| {
            let near = |tracker: &&mut Tracker| (tracker.hz - hz).abs() < SAME_HZ;
            match trackers.active_mut().iter_mut().find(near) {
                Some(tracker) => tracker.missed = 0,
                None => consider(candidates, hz, trackers),
            }
        });
        for candidate in candidates.iter_mut().filter(|c| !c.seen_now) {
            candidate.seen = 0;
        }
        trackers.prune();
    }
}

/// A peak where no tracker is.
fn consider(candidates: &mut [Candidate; MOST], hz: f64, trackers: &mut Trackers) {
    let same = |c: &Candidate| c.seen > 0 && !c.seen_now && (c.hz - hz).abs() < STAYS_HZ;
    let place = candidates.iter().position(same);
    let place = place.or_else(|| candidates.iter().position(|c| c.seen == 0));
    let Some(place) = place else { return };
    let candidate = &mut candidates[place];
    *candidate = Candidate { hz, seen: candidate.seen + 1, seen_now: true };
    if candidate.seen >= STAYS && trackers.start(hz) {
        candidate.seen = 0;
    }
}
