//! A smooth response through the lines of the comb, with its covariance.
//!
//! A line of a comb is not a band: where a response is steep, the mean of the
//! few lines that a band holds is off by up to 2 dB, and those of left and
//! right differ. So a curve is laid through all lines first (a smoothing spline
//! on log frequency: Wahba, *Spline Models for Observational Data*, 1990), as
//! stiff as the lines themselves ask by their likelihood, softer where the
//! curve bends; bands are then what pink noise would read through it.

use super::banded::{BANDS, Banded, Factor};
use crate::units::{db_to_power, power_to_db};

/// Lowest and highest node in Hz: all lines lie between.
const RANGE_HZ: (f64, f64) = (9.5, 1700.0);
/// Nodes per octave: between two of them a cubic is within 0.01 dB of a knee of 100 dB per octave².
const PER_OCTAVE: f64 = 16.0;
/// Error of a line that its scatter does not know, dB: the ripple of the filters to 12 kHz.
const LINE_DB: f64 = 0.01;
/// Bends tried, r.m.s. of a second difference in dB: from a straight line to a sharp resonance.
const BENDS_DB: [f64; 7] = [0.003, 0.01, 0.03, 0.1, 0.3, 1.0, 3.0];
/// Nodes on either side that share one bend (a quarter of an octave).
const NEAR: usize = 4;
/// A line further off than this many standard deviations is held by something else (hum, whine).
const FAR: f64 = 3.0;
/// Rounds of linearising: levels settle within 0.001 dB.
const ROUNDS: usize = 6;
/// Derivative of a power by its decibels, per power: ln 10 / 10.
const PER_DB: f64 = 0.230_258_509;

/// A measured power at a frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Frequency in Hz.
    pub hz: f64,
    /// Power with its noise taken off; may be negative.
    pub power: f64,
    /// Variance of the complex amplitude behind it: the noise's power.
    pub noise: f64,
}

/// A smooth response in dB over log frequency.
#[derive(Clone, Debug, PartialEq)]
pub struct Smooth {
    level_db: Vec<f64>,
    factor: Factor,
    /// How much larger the residuals are than their deviations say, as a variance, at least 1.
    spread: f64,
}

/// A level with its standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Level in dB.
    pub db: f64,
    /// Standard deviation in dB.
    pub sd_db: f64,
}

/// A functional of the nodes: first node and weights.
type Row = (usize, [f64; BANDS + 1]);

impl Smooth {
    /// Lays the curve through `readings`, rising in frequency.
    pub fn new(readings: &[Reading]) -> Self {
        let points: Vec<Point> = readings.iter().map(Point::new).collect();
        let start = first_guess(readings);
        let even = |bend: f64| vec![1.0 / (bend * bend); nodes() - 2];
        let tried = BENDS_DB.map(|bend| Fitted::new(&points, &even(bend), start.clone()));
        let [first, rest @ ..] = tried;
        let mut best = rest
            .into_iter()
            .fold(first, |best, next| if next.evidence > best.evidence { next } else { best });
        for _ in 0..3 {
            let stiffness = best.local_stiffness();
            best = Fitted::new(&points, &stiffness, best.level_db);
        }
        let spread = best.spread(&points);
        Self { level_db: best.level_db, factor: best.factor, spread }
    }

    /// The level at `hz`.
    pub fn at(&self, hz: f64) -> Level {
        let (from, weights) = row(hz);
        let db = weights.iter().enumerate().map(|(k, w)| w * self.level_db[from + k]).sum();
        let mut whole = vec![0.0; nodes()];
        whole[from..=from + BANDS].copy_from_slice(&weights);
        Level { db, sd_db: self.sd(&whole) }
    }

    /// What pink noise reads between two frequencies, per octave.
    pub fn pink(&self, hz: (f64, f64)) -> Level {
        let (db, weights) = self.band(hz);
        Level { db, sd_db: self.sd(&weights) }
    }

    /// The same re another band.
    pub fn pink_re(&self, hz: (f64, f64), reference_hz: (f64, f64)) -> Level {
        let ((a, mut weights), (b, other)) = (self.band(hz), self.band(reference_hz));
        weights.iter_mut().zip(&other).for_each(|(w, o)| *w -= o);
        Level { db: a - b, sd_db: self.sd(&weights) }
    }

    /// The level at `hz` re a band.
    pub fn at_re(&self, hz: f64, reference_hz: (f64, f64)) -> Level {
        let (from, weights) = row(hz);
        let (reference, mut whole) = self.band(reference_hz);
        whole.iter_mut().for_each(|w| *w = -*w);
        let mut db = -reference;
        for (k, w) in weights.iter().enumerate() {
            db += w * self.level_db[from + k];
            whole[from + k] += w;
        }
        Level { db, sd_db: self.sd(&whole) }
    }

    /// Mean power of a band over log frequency in dB, and its slope by each node.
    fn band(&self, hz: (f64, f64)) -> (f64, Vec<f64>) {
        let octaves = (hz.1 / hz.0).log2();
        // The middle rule at a fortieth of an octave: 0.001 dB at 48 dB per octave.
        let count = (40.0 * octaves).ceil().max(1.0);
        let (mut sum, mut weights) = (0.0, vec![0.0; nodes()]);
        for i in 0..count as usize {
            let (from, w) = row(hz.0 * (octaves * (i as f64 + 0.5) / count).exp2());
            let db: f64 = (0..=BANDS).map(|k| w[k] * self.level_db[from + k]).sum();
            let power = db_to_power(db);
            sum += power;
            (0..=BANDS).for_each(|k| weights[from + k] += power * w[k]);
        }
        weights.iter_mut().for_each(|w| *w /= sum.max(1e-300));
        (power_to_db(sum / count), weights)
    }

    fn sd(&self, weights: &[f64]) -> f64 {
        (self.spread * self.factor.variance(weights)).max(0.0).sqrt()
    }
}

/// How many nodes there are.
fn nodes() -> usize {
    ((RANGE_HZ.1 / RANGE_HZ.0).log2() * PER_OCTAVE).ceil() as usize + 1
}

/// The nodes that tell the level at `hz`: a cubic through the four around it (Lagrange).
fn row(hz: f64) -> Row {
    let place = ((hz / RANGE_HZ.0).log2() * PER_OCTAVE).clamp(0.0, nodes() as f64 - 1.0);
    let from = (place.floor() as usize).saturating_sub(1).min(nodes() - 1 - BANDS);
    let x = place - from as f64;
    let weight = |k: usize| {
        let k = k as f64;
        (0..=BANDS).map(|m| m as f64).filter(|m| *m != k).map(|m| (x - m) / (k - m)).product()
    };
    (from, std::array::from_fn(weight))
}

/// A straight start: the readings' powers, held above a tenth of their noise, between them.
fn first_guess(readings: &[Reading]) -> Vec<f64> {
    let known = readings.iter().map(|r| (r.hz, power_to_db(r.power.max(0.1 * r.noise))));
    let curve = crate::curve::Curve::new(known);
    let hz = |i: usize| RANGE_HZ.0 * (i as f64 / PER_OCTAVE).exp2();
    (0..nodes()).map(|i| curve.at(hz(i)).unwrap_or(0.0)).collect()
}

/// A reading beside the nodes that tell it.
struct Point {
    row: Row,
    power: f64,
    noise: f64,
}

impl Point {
    fn new(reading: &Reading) -> Self {
        Self { row: row(reading.hz), power: reading.power, noise: reading.noise }
    }

    fn told_db(&self, level_db: &[f64]) -> f64 {
        let (from, weights) = self.row;
        weights.iter().zip(&level_db[from..]).map(|(w, db)| w * db).sum()
    }

    /// What the level says here: its power, the slope of that by dB, and the variance of a reading.
    fn expected(&self, db: f64) -> (f64, f64, f64) {
        let power = db_to_power(db);
        let own = PER_DB * LINE_DB * power;
        let variance = 2.0 * power * self.noise + self.noise * self.noise + own * own;
        (power, PER_DB * power, variance.max(1e-300))
    }

    /// The residual in standard deviations.
    fn off(&self, level_db: &[f64]) -> f64 {
        let (power, _, variance) = self.expected(self.told_db(level_db));
        (self.power - power) / variance.sqrt()
    }
}

/// A curve of one stiffness.
struct Fitted {
    level_db: Vec<f64>,
    factor: Factor,
    stiffness: Vec<f64>,
    evidence: f64,
}

impl Fitted {
    fn new(points: &[Point], stiffness: &[f64], mut level_db: Vec<f64>) -> Self {
        let mut factor = None;
        for _ in 0..ROUNDS {
            let (matrix, right) = linearised(points, stiffness, &level_db);
            let new = matrix.factor();
            let step = new.solve(&right);
            // Far from the solution a power says little about its decibels: in small steps.
            level_db.iter_mut().zip(&step).for_each(|(x, s)| *x += s.clamp(-6.0, 6.0));
            factor = Some(new);
        }
        let factor = factor.expect("there are rounds");
        let misfit: f64 = points.iter().map(|p| loss(p.off(&level_db))).sum();
        let bend: f64 = bends(&level_db).zip(stiffness).map(|(d, s)| s * d * d).sum();
        let prior: f64 = stiffness.iter().map(|s| s.ln()).sum();
        let evidence = -0.5 * (misfit + bend + factor.log_determinant() - prior);
        Self { level_db, factor, stiffness: stiffness.to_vec(), evidence }
    }

    /// How stiff each stretch is by its own bends, what is not known of them counted.
    fn local_stiffness(&self) -> Vec<f64> {
        let bent: Vec<f64> = bends(&self.level_db)
            .enumerate()
            .map(|(i, d)| {
                let mut row = vec![0.0; nodes()];
                row[i..i + 3].copy_from_slice(&[1.0, -2.0, 1.0]);
                d * d + self.factor.variance(&row)
            })
            .collect();
        let of = |i: usize| {
            let near = &bent[i.saturating_sub(NEAR)..(i + NEAR + 1).min(bent.len())];
            // Two parts of the whole curve's own keep a stretch without lines in measure.
            let mean =
                (near.iter().sum::<f64>() + 2.0 / self.stiffness[i]) / (near.len() + 2) as f64;
            1.0 / mean.max(BENDS_DB[0] * BENDS_DB[0])
        };
        (0..bent.len()).map(of).collect()
    }

    fn spread(&self, points: &[Point]) -> f64 {
        let sum: f64 = points.iter().map(|p| loss(p.off(&self.level_db))).sum();
        (sum / points.len().max(1) as f64).max(1.0)
    }
}

/// Second differences of the nodes.
fn bends(level_db: &[f64]) -> impl Iterator<Item = f64> {
    level_db.windows(3).map(|w| w[0] - 2.0 * w[1] + w[2])
}

/// The square of a residual, growing only linearly beyond [`FAR`] (Huber 1964).
fn loss(off: f64) -> f64 {
    if off.abs() <= FAR { off * off } else { FAR * (2.0 * off.abs() - FAR) }
}

/// Matrix and right side of a Gauss–Newton step.
fn linearised(points: &[Point], stiffness: &[f64], level_db: &[f64]) -> (Banded, Vec<f64>) {
    let mut matrix = Banded::new(nodes());
    // A thousandth of a decibel to the minus second: nothing where anything is known.
    matrix.add_diagonal(1e-6);
    let mut right = vec![0.0; nodes()];
    for point in points {
        let (from, weights) = point.row;
        let (power, slope, variance) = point.expected(point.told_db(level_db));
        let off = (point.power - power) / variance.sqrt();
        let hold = (FAR / off.abs().max(1e-9)).min(1.0);
        matrix.add(from, &weights, hold * slope * slope / variance);
        let pull = hold * slope * (point.power - power) / variance;
        (0..=BANDS).for_each(|k| right[from + k] += weights[k] * pull);
    }
    for (i, (s, d)) in stiffness.iter().zip(bends(level_db)).enumerate() {
        matrix.add(i, &[1.0, -2.0, 1.0], *s);
        [1.0, -2.0, 1.0].iter().enumerate().for_each(|(k, w)| right[i + k] -= s * d * w);
    }
    (matrix, right)
}
