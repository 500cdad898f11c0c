//! The trackers at work: what the seeder finds starts them, and what is not believed in goes.

use super::analytic::Analytic;
use super::seeder::Seeds;
use super::tracker::Tracker;
use num_complex::Complex64;

/// Most partials at a time.
pub(super) const MOST: usize = 6;
/// A partial found this near a tracker is that tracker.
const RESEEDED_HZ: f64 = 5.0;
/// Neighbours this far apart do not disturb each other: twice the observer's bandwidth.
const WIDE_HZ: f64 = 10.0;
/// Trackers outside go.
const RANGE_HZ: std::ops::Range<f64> = 18.0..280.0;

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

    /// Lets go of those that are lost.
    pub(super) fn prune(&mut self) {
        let mut i = 0;
        while i < self.count {
            let tracker = &self.all[i];
            if tracker.is_lost() || !RANGE_HZ.contains(&tracker.hz) {
                self.count -= 1;
                self.all.swap(i, self.count);
            } else {
                i += 1;
            }
        }
    }
}
