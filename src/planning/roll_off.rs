//! What kind of roll-off it is: fits of all common high-passes, and what can
//! be said when several, or none, fit.
//!
//! Models are compared by the Bayesian information criterion (Schwarz 1978).
//! All within 6 of the best stay in play: intervals are their union, a slope is
//! named only when they agree on it.

use super::fit::{Fit, fit};
use super::response::Response;
use super::statistics::{chi_square_exceeds, median, student_95};

/// A model is in play within this distance of the best, in BIC.
const NEAR_BIC: f64 = 6.0;
/// A fit is no fit when chance explains its residuals less often than this.
const LEAST_CHANCE: f64 = 0.001;
/// Ripple is correlated over frequency: variances are larger than independent residuals say.
/// Found by simulation; without it the intervals cover 93 to 95 %, with it 98.
const CORRELATION: f64 = 1.6;
/// Values less sure than this are left out, dB.
const MOST_SD_DB: f64 = 2.5;

/// A kind of roll-off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// No roll-off.
    Flat,
    /// Butterworth of order 1 to 6.
    Butterworth(u8),
    /// Linkwitz-Riley of order 2, 4 or 6.
    LinkwitzRiley(u8),
    /// Second order with a quality factor of its own.
    SecondOrder,
}

impl Family {
    /// Every kind that is tried.
    pub const ALL: [Self; 11] = [
        Self::Flat,
        Self::Butterworth(1),
        Self::Butterworth(2),
        Self::Butterworth(3),
        Self::Butterworth(4),
        Self::Butterworth(5),
        Self::Butterworth(6),
        Self::LinkwitzRiley(2),
        Self::LinkwitzRiley(4),
        Self::LinkwitzRiley(6),
        Self::SecondOrder,
    ];

    /// Order of the slope: 6 dB per octave each.
    pub fn order(self) -> u8 {
        match self {
            Self::Flat => 0,
            Self::Butterworth(n) | Self::LinkwitzRiley(n) => n,
            Self::SecondOrder => 2,
        }
    }

    /// Level in dB re the flat part at `ratio` = corner over frequency, with quality `q` where the
    /// kind has one.
    pub fn level_db(self, ratio: f64, q: f64) -> f64 {
        match self {
            Self::Flat => 0.0,
            Self::Butterworth(n) => -10.0 * (1.0 + ratio.powi(2 * i32::from(n))).log10(),
            Self::LinkwitzRiley(n) => -20.0 * (1.0 + ratio.powi(i32::from(n))).log10(),
            Self::SecondOrder => {
                -10.0 * ((1.0 - ratio * ratio).powi(2) + (ratio / q).powi(2)).log10()
            }
        }
    }

    fn unknowns(self) -> usize {
        match self {
            Self::Flat => 1,
            Self::SecondOrder => 3,
            _ => 2,
        }
    }
}

/// A value with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Best value.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// One kind of roll-off, fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The kind.
    pub family: Family,
    /// Level of the flat part in dB.
    pub gain_db: f64,
    /// Corner in Hz.
    pub corner_hz: f64,
    /// Quality factor; 1 where the kind has none.
    pub q: f64,
    /// How much worse than the best, in BIC.
    pub bic_over_best: f64,
    fit: Fit,
}

/// What the slope is.
#[derive(Clone, Debug, PartialEq)]
pub enum Slope {
    /// No roll-off in the range measured.
    Flat,
    /// One slope of this order (6 dB per octave each).
    Single(u8),
    /// One of these orders.
    Undecided(Vec<u8>),
    /// No single slope fits: local slopes as (Hz, dB per octave, standard deviation).
    NoSingle(Vec<(f64, f64, f64)>),
}

/// A point of a response: frequency in Hz, level in dB, standard deviation in dB.
pub type Point = (f64, f64, f64);

/// What can be said about a roll-off.
#[derive(Clone, Debug, PartialEq)]
pub struct RollOff {
    /// Its slope.
    pub slope: Slope,
    /// The kinds in play, best first.
    pub candidates: Vec<Candidate>,
    /// Where the level is 3, 6 and 10 dB below the flat part, Hz; `None` where it is not within
    /// reach of the data.
    pub fall_hz: [Option<Interval>; 3],
}

/// The falls that [`RollOff::fall_hz`] tells, dB.
pub const FALLS_DB: [f64; 3] = [3.0, 6.0, 10.0];

/// The points of a response that a fit takes: every line to 250 Hz, every fourth to 1 kHz.
pub fn points(response: &Response) -> Vec<Point> {
    let lines = response
        .lines
        .iter()
        .filter(|l| l.hz < 250.0)
        .chain(response.lines.iter().filter(|l| (250.0..1000.0).contains(&l.hz)).step_by(4));
    lines.filter_map(|l| l.level_db().map(|(db, sd)| (l.hz, db, sd))).collect()
}

/// Fits all kinds to `points`; `floor_db` is the error that the standard deviations do not know
/// (ripple of the response itself; a codec's).
pub fn roll_off(points: &[Point], floor_db: f64) -> RollOff {
    let data: Vec<Point> = points
        .iter()
        .filter(|p| p.2 <= MOST_SD_DB)
        .map(|(hz, db, sd)| (*hz, *db, sd.hypot(floor_db)))
        .collect();
    let count = data.len() as f64;
    let lowest = data.first().map_or(f64::MAX, |p| p.0);
    let mut all: Vec<Candidate> = Family::ALL
        .into_iter()
        .filter(|family| data.len() > family.unknowns() + 3)
        .map(|family| candidate(family, &data))
        .filter(|c| c.family == Family::Flat || c.fall_hz(3.0) >= 0.8 * lowest)
        .collect();
    let bic = |c: &Candidate| c.fit.cost + c.family.unknowns() as f64 * count.ln();
    let best = all.iter().map(bic).fold(f64::MAX, f64::min);
    all.iter_mut().for_each(|c| {
        c.bic_over_best = c.fit.cost + c.family.unknowns() as f64 * count.ln() - best
    });
    all.sort_by(|a, b| a.bic_over_best.total_cmp(&b.bic_over_best));
    all.retain(|c| c.bic_over_best <= NEAR_BIC);
    let Some(first) = all.first() else {
        return RollOff {
            slope: Slope::Undecided(Vec::new()),
            candidates: all,
            fall_hz: [None; 3],
        };
    };
    let freedom = count - first.family.unknowns() as f64;
    if chi_square_exceeds(first.fit.cost, freedom) < LEAST_CHANCE {
        let fall_hz = FALLS_DB.map(|fall| crossing(&data, fall));
        return RollOff { slope: Slope::NoSingle(local_slopes(&data)), candidates: all, fall_hz };
    }
    let mut orders: Vec<u8> = all.iter().map(|c| c.family.order()).collect();
    orders.sort_unstable();
    orders.dedup();
    let slope = match orders[..] {
        [0] => Slope::Flat,
        [one] => Slope::Single(one),
        _ => Slope::Undecided(orders),
    };
    let fall_hz = FALLS_DB.map(|fall| united(&all, fall, freedom));
    RollOff { slope, candidates: all, fall_hz }
}

impl Candidate {
    /// Where this fit has fallen by `fall_db`, in Hz; 0 for a flat one.
    pub fn fall_hz(&self, fall_db: f64) -> f64 {
        match self.family {
            Family::Flat => 0.0,
            family => self.corner_hz / fall_ratio(family, self.q, fall_db),
        }
    }

    /// Level in dB at `hz`, the flat part's gain counted.
    pub fn level_db(&self, hz: f64) -> f64 {
        self.gain_db + self.family.level_db(self.corner_hz / hz, self.q)
    }

    /// Standard deviation of ln(fall_hz), by the delta method.
    fn fall_sd(&self, fall_db: f64) -> f64 {
        let mut slope = vec![0.0, 1.0];
        if self.family == Family::SecondOrder {
            let step = 1e-3;
            let at = |ln_q: f64| -fall_ratio(self.family, ln_q.exp(), fall_db).ln();
            slope.push((at(self.q.ln() + step) - at(self.q.ln() - step)) / (2.0 * step));
        }
        let c = &self.fit.covariance;
        let n = slope.len();
        let variance: f64 = (0..n)
            .flat_map(|i| (0..n).map(move |j| (i, j)))
            .map(|(i, j)| slope[i] * slope[j] * c[i][j])
            .sum();
        variance.max(0.0).sqrt()
    }
}

/// Corner over frequency where a kind has fallen by `fall_db`: bisection from the far end of the slope.
fn fall_ratio(family: Family, q: f64, fall_db: f64) -> f64 {
    let fallen = |ratio: f64| family.level_db(ratio, q) < -fall_db;
    let mut low =
        (1..400).map(|i| f64::from(i) * 0.02).find(|r| fallen(*r)).map_or(7.98, |r| r - 0.02);
    let mut high = if fallen(low + 0.02) { low + 0.02 } else { 1e3 };
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if fallen(middle) { high = middle } else { low = middle }
    }
    low
}

fn candidate(family: Family, data: &[Point]) -> Candidate {
    let top = median(data.iter().rev().take(12).map(|p| p.1));
    let unpack =
        |x: &[f64]| (x[0], x.get(1).map_or(1.0, |f| f.exp()), x.get(2).map_or(1.0, |q| q.exp()));
    let residuals = |x: &[f64]| -> Vec<f64> {
        let (gain, corner, q) = unpack(x);
        data.iter().map(|(hz, db, sd)| (gain + family.level_db(corner / hz, q) - db) / sd).collect()
    };
    let bounds = [(-60.0, 60.0), (5f64.ln(), 500f64.ln()), (0.5f64.ln(), 2f64.ln())];
    let n = family.unknowns();
    let starts: &[f64] = if n == 1 { &[30.0] } else { &[30.0, 60.0, 110.0, 180.0] };
    let fits =
        starts.iter().map(|hz| fit(&[top, hz.ln(), 0.8f64.ln()][..n], &bounds[..n], residuals));
    let fit = fits.min_by(|a, b| a.cost.total_cmp(&b.cost)).expect("there is a start");
    let (gain_db, corner_hz, q) = unpack(&fit.at);
    Candidate { family, gain_db, corner_hz, q, bic_over_best: 0.0, fit }
}

/// The union of the intervals of all kinds in play.
fn united(all: &[Candidate], fall_db: f64, freedom: f64) -> Option<Interval> {
    let value = all.first().filter(|c| c.family != Family::Flat)?.fall_hz(fall_db);
    let ends = all.iter().filter(|c| c.family != Family::Flat).map(|c| {
        let spread = (c.fit.cost / freedom).max(1.0) * CORRELATION;
        let half = c.fall_sd(fall_db) * spread.sqrt() * student_95(freedom);
        (c.fall_hz(fall_db) * (-half).exp(), c.fall_hz(fall_db) * half.exp())
    });
    let (low, high) = ends.fold((f64::MAX, 0f64), |(l, h), e| (l.min(e.0), h.max(e.1)));
    Some(Interval { value, low, high })
}

/// Means and slopes over a third of an octave on either side of each point.
fn local(data: &[Point], hz: f64) -> Option<(f64, f64, f64)> {
    let near: Vec<(f64, f64, f64)> = data
        .iter()
        .map(|(f, db, sd)| ((f / hz).log2(), *db, 1.0 / (sd * sd)))
        .filter(|p| p.0.abs() < 1.0 / 3.0)
        .collect();
    let sum =
        |value: &dyn Fn(&(f64, f64, f64)) -> f64| near.iter().map(|p| p.2 * value(p)).sum::<f64>();
    let (w, x, y) = (sum(&|_| 1.0), sum(&|p| p.0), sum(&|p| p.1));
    let (xx, xy) = (sum(&|p| p.0 * p.0), sum(&|p| p.0 * p.1));
    let spread = w * xx - x * x;
    if near.len() < 4 || spread <= 0.0 {
        return None;
    }
    let slope = (w * xy - x * y) / spread;
    Some(((y - slope * x) / w, slope, (w / spread).sqrt()))
}

fn local_slopes(data: &[Point]) -> Vec<(f64, f64, f64)> {
    super::noise::thirds()
        .filter(|hz| *hz < 260.0)
        .filter_map(|hz| local(data, hz).map(|(_, slope, sd)| (hz, slope, sd)))
        .collect()
}

/// Where the smoothed response first falls by `fall_db` re its middle from 250 Hz up, from above.
fn crossing(data: &[Point], fall_db: f64) -> Option<Interval> {
    let top = median(data.iter().filter(|p| p.0 > 250.0).map(|p| p.1));
    let steps: Vec<f64> = (0..260).map(|i| 250.0 * (-f64::from(i) / 60.0).exp2()).collect();
    let below = |shift: f64| {
        let level = |hz: f64| local(data, hz).map(|(db, ..)| db + shift);
        steps.iter().copied().find(|hz| level(*hz).is_some_and(|db| db < top - fall_db))
    };
    let value = below(0.0)?;
    let error = data
        .iter()
        .filter(|p| (value / 1.3..value * 1.3).contains(&p.0))
        .map(|p| p.2)
        .fold(0.0, f64::max);
    let ends = [below(2.0 * error), below(-2.0 * error)];
    Some(Interval {
        value,
        low: ends[0].unwrap_or(value / 1.1),
        high: ends[1].unwrap_or(value * 1.1),
    })
}
