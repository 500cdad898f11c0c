//! The one parametric band that comes nearest to a response.
//!
//! The band is the Audio EQ Cookbook's in its analogue form (W3C Note, 2021, ed. R. Toy): half of
//! its gain, in dB, at the edges of its width.

use crate::units::power_to_db;

/// A parametric band and how near it comes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NearestBand {
    /// Gain at the centre, dB.
    pub gain_db: f64,
    /// Centre in Hz.
    pub centre_hz: f64,
    /// Width between the half-gain points, octaves.
    pub width_oct: f64,
    /// Largest error in dB, with its sign: band minus wanted.
    pub worst_db: f64,
    /// Where the largest error is, in Hz.
    pub worst_hz: f64,
}

/// What the low band of the line can be set to: gain in dB, octaves of the centre in Hz, width in octaves.
const RANGE: [(f64, f64); 3] = [(-18.0, 18.0), (4.0, 7.321_928), (0.2, 4.0)];

/// Steps in which the range compared is looked at, one sixth of an octave.
const STEPS_PER_OCTAVE: f64 = 6.0;

/// An error that nobody would hear as another bass in a car (common practice, no source).
pub const NEAR_DB: f64 = 1.0;

impl NearestBand {
    /// The band that comes nearest, in the mean of squared dB, to `wanted_db` from `from_hz` to `to_hz`.
    pub fn find(from_hz: f64, to_hz: f64, wanted_db: impl Fn(f64) -> f64) -> Self {
        let count = ((to_hz / from_hz).log2() * STEPS_PER_OCTAVE).ceil() as i32;
        let wanted: Vec<(f64, f64)> = (0..=count)
            .map(|i| from_hz * (to_hz / from_hz).powf(f64::from(i) / f64::from(count)))
            .map(|hz| (hz, wanted_db(hz)))
            .collect();
        let cost = |at: &[f64; 3]| wanted.iter().map(|w| error_db(at, w).powi(2)).sum::<f64>();
        let largest = wanted.iter().copied().fold((from_hz, 0.0), |most: (f64, f64), w| {
            if w.1.abs() > most.1.abs() { w } else { most }
        });
        // From several widths, because a slope alone can be met by a wide band far below.
        let starts = [0.5, 1.0, 2.0, 3.0].map(|width| [largest.1, largest.0.log2(), width]);
        let found = starts.map(|start| descend(start, &cost));
        let best = found.into_iter().min_by(|a, b| cost(a).total_cmp(&cost(b)));
        Self::judged(best.unwrap_or_default(), &wanted)
    }

    /// True when the one band does for the purpose, see [`NEAR_DB`].
    pub fn is_enough(&self) -> bool {
        self.worst_db.abs() <= NEAR_DB
    }

    /// Gain in dB at `hz`.
    pub fn response_db(&self, hz: f64) -> f64 {
        band_db(self.gain_db, self.centre_hz, self.width_oct, hz)
    }

    fn judged(at: [f64; 3], wanted: &[(f64, f64)]) -> Self {
        let errors = wanted.iter().map(|w| (w.0, error_db(&at, w)));
        let (worst_hz, worst_db) =
            errors.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs())).unwrap_or_default();
        let [gain_db, centre, width_oct] = at;
        Self { gain_db, centre_hz: centre.exp2(), width_oct, worst_db, worst_hz }
    }
}

fn error_db(at: &[f64; 3], wanted: &(f64, f64)) -> f64 {
    band_db(at[0], at[1].exp2(), at[2], wanted.0) - wanted.1
}

/// The cookbook band: with u = f/f0 - f0/f its power is (u² + A²/Q²)/(u² + 1/(A·Q)²).
fn band_db(gain_db: f64, centre_hz: f64, width_oct: f64, hz: f64) -> f64 {
    let a = 10f64.powf(gain_db / 20.0);
    let damping = (2.0 * (0.5 * std::f64::consts::LN_2 * width_oct).sinh()).powi(2);
    let u = (hz / centre_hz - centre_hz / hz).powi(2);
    power_to_db((u + a * damping) / (u + damping / a))
}

/// Goes downhill one coordinate at a time with halving steps: three numbers need no more.
fn descend(start: [f64; 3], cost: &impl Fn(&[f64; 3]) -> f64) -> [f64; 3] {
    let held = |mut at: [f64; 3]| {
        at.iter_mut().zip(RANGE).for_each(|(x, (low, high))| *x = x.clamp(low, high));
        at
    };
    let mut at = held(start);
    let mut steps = [4.0, 0.5, 0.5];
    while steps[0] > 1e-4 {
        let mut moved = false;
        for i in 0..3 {
            for way in [steps[i], -steps[i]] {
                let mut next = at;
                next[i] += way;
                let next = held(next);
                if cost(&next) < cost(&at) {
                    (at, moved) = (next, true);
                }
            }
        }
        if !moved {
            steps = steps.map(|step| 0.5 * step);
        }
    }
    at
}
