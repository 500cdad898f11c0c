//! What kind of roll-off it is: fits of all common high-passes, and what can
//! be said when several, or none, fit.
//!
//! Models are compared by the Bayesian information criterion (Schwarz 1978).
//! All within 6 of the best stay in play: intervals are their union, a slope is
//! named only when they agree on it, enough of it was seen, and no other common
//! shape explains it. Where no kind fits, the smooth curve itself tells where
//! the response has fallen.

use super::family::{Family, fall_ratio};
use super::fit::{Fit, fit};
use super::response::Response;
use super::smooth::{Reading, Smooth};
use super::statistics::{NORMAL_95, chi_square_exceeds, median, student_95};
use crate::analysis::bands::low_thirds;
use crate::units::db_to_power;

/// A model is in play within this distance of the best, in BIC.
const NEAR_BIC: f64 = 6.0;
/// A fit is no fit when chance explains its residuals less often than this.
const LEAST_CHANCE: f64 = 0.001;
/// Ripple is correlated over frequency: variances are larger than independent residuals say.
/// Found by simulation; without it the intervals cover 93 to 95 %, with it 98.
const CORRELATION: f64 = 1.6;
/// Values less sure than this are left out, dB.
const MOST_SD_DB: f64 = 2.5;
/// A slope is named when at least so much of the fall was seen, dB: less is a knee, not a slope.
const LEAST_FALL_DB: f64 = 6.0;
/// Where the flat part is read when no kind tells it, Hz.
const FLAT_HZ: (f64, f64) = (600.0, 1200.0);
/// Steps in which a curve is searched for its falls, per octave.
const PER_OCTAVE: f64 = 96.0;
/// A curve's own error that its covariance does not know, dB.
const CURVE_DB: f64 = 0.05;

/// How far a frequency told may be off by what no scatter shows, as a share: a radio is no filter
/// of a handbook.
const OWN_ERROR: f64 = 0.0075;

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
    /// Its shape (a quality factor, or what the family says); 1 where the kind has none.
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
    /// One of these orders, or too little of it was seen to name one.
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

/// The points of a response that a fit takes: every line to 250 Hz, every fourth to 1.3 kHz.
pub fn points(response: &Response) -> Vec<Point> {
    let lines = response
        .lines
        .iter()
        .filter(|l| l.hz < 250.0)
        .chain(response.lines.iter().filter(|l| (250.0..1300.0).contains(&l.hz)).step_by(4));
    lines.filter_map(|l| l.level_db().map(|(db, sd)| (l.hz, db, sd))).collect()
}

/// Fits all kinds to `points`; `floor_db` is the error that the standard deviations do not know
/// (ripple of the response itself; a codec's).
pub fn roll_off(points: &[Point], floor_db: f64) -> RollOff {
    let sure: Vec<Point> = points.iter().filter(|p| p.2 <= MOST_SD_DB).copied().collect();
    let data: Vec<Point> = sure.iter().map(|(hz, db, sd)| (*hz, *db, sd.hypot(floor_db))).collect();
    let all = in_play(&data);
    let lowest = data.first().map_or(f64::MAX, |p| p.0);
    let curve = Falling::new(&sure);
    let freedom = |c: &Candidate| data.len() as f64 - c.family.unknowns() as f64;
    let fits = |c: &&Candidate| chi_square_exceeds(c.fit.cost, freedom(c)) >= LEAST_CHANCE;
    let named = all.iter().find(|c| !c.family.is_witness()).filter(fits);
    let Some(named) = named.cloned() else {
        let unknown_db = if floor_db > 2.0 * CURVE_DB { floor_db / 2.0 } else { CURVE_DB };
        let told = |fall| Some(curve.fall(fall, None, unknown_db)?.with_own_error());
        let fall_hz = FALLS_DB.map(told);
        let slope = match all.first() {
            None => Slope::Undecided(Vec::new()),
            // A witness with a slope of its own: there is one, but no kind to name it by.
            Some(best) if matches!(best.family, Family::Chebyshev(_)) && fits(&best) => {
                Slope::Undecided(vec![best.family.order()])
            }
            Some(_) => Slope::NoSingle(local_slopes(&data)),
        };
        return RollOff { slope, candidates: near(all), fall_hz };
    };
    let in_play = near(all);
    let fall_hz = FALLS_DB.map(|fall| {
        let told = united(&named, &in_play, fall, freedom(&named)).filter(|t| t.value >= lowest)?;
        // Where the curve itself says otherwise, both are in play.
        let seen = curve.fall(fall, Some(named.gain_db), floor_db);
        let told = match seen {
            Some(seen) if told.value < seen.low || told.value > seen.high => told.with(seen),
            _ => told,
        };
        Some(told.with_own_error())
    });
    RollOff { slope: slope(&named, &in_play, lowest), candidates: in_play, fall_hz }
}

/// The kinds within reach of the best; the best comes first.
fn near(mut all: Vec<Candidate>) -> Vec<Candidate> {
    all.retain(|c| c.bic_over_best <= NEAR_BIC);
    all
}

/// The slope that the kinds in play agree on, when enough of it lies above `lowest` hertz.
fn slope(named: &Candidate, all: &[Candidate], lowest: f64) -> Slope {
    // What falls below the range measured only is flat within it.
    let seen = |c: &&Candidate| c.family.has_order() && c.fall_hz(3.0) >= lowest;
    let flat = all.iter().any(|c| c.family == Family::Flat);
    let mut orders: Vec<u8> = all.iter().filter(seen).map(|c| c.family.order()).collect();
    if flat && orders.is_empty() {
        return Slope::Flat;
    }
    if orders.is_empty() {
        orders = all.iter().filter(|c| c.family.has_order()).map(|c| c.family.order()).collect();
    }
    if flat {
        orders.push(0);
    }
    let alone = named.bic_over_best > NEAR_BIC;
    orders.extend(alone.then(|| named.family.order()));
    orders.sort_unstable();
    orders.dedup();
    let mut falling = all.iter().filter(|c| c.family.has_order());
    let deep = falling.all(|c| c.fall_hz(LEAST_FALL_DB) >= lowest);
    match orders[..] {
        // A witness that does better leaves it open.
        [one] if deep && !alone => Slope::Single(one),
        _ => Slope::Undecided(orders),
    }
}

/// All kinds fitted, best first.
fn in_play(data: &[Point]) -> Vec<Candidate> {
    let count = data.len() as f64;
    let mut all: Vec<Candidate> = Family::ALL
        .into_iter()
        .filter(|family| data.len() > family.unknowns() + 3)
        .map(|family| candidate(family, data))
        .collect();
    let bic = |c: &Candidate| c.fit.cost + c.family.unknowns() as f64 * count.ln();
    let best = all.iter().map(bic).fold(f64::MAX, f64::min);
    all.iter_mut().for_each(|c| c.bic_over_best = bic(c) - best);
    all.sort_by(|a, b| a.bic_over_best.total_cmp(&b.bic_over_best));
    all
}

impl Interval {
    /// Wide enough for another one as well.
    fn with(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high), ..self }
    }

    /// Wide enough for [`OWN_ERROR`] as well.
    fn with_own_error(self) -> Self {
        let wider = |end: f64| (end / self.value).ln().hypot(OWN_ERROR).exp();
        let (low, high) = (self.value / wider(self.low), self.value * wider(self.high));
        Self { low, high, ..self }
    }
}

impl Candidate {
    /// Where this fit has fallen by `fall_db`, in Hz; 0 for one that never does.
    pub fn fall_hz(&self, fall_db: f64) -> f64 {
        self.corner_hz / fall_ratio(self.family, self.q, fall_db)
    }

    /// Level in dB at `hz`, the flat part's gain counted.
    pub fn level_db(&self, hz: f64) -> f64 {
        self.gain_db + self.family.level_db(self.corner_hz / hz, self.q)
    }

    /// Standard deviation of ln(fall_hz), by the delta method.
    fn fall_sd(&self, fall_db: f64) -> f64 {
        let mut slope = vec![0.0, 1.0];
        if self.family.unknowns() == 3 {
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
        if variance.is_finite() { variance.max(0.0).sqrt() } else { 1.0 }
    }
}

fn candidate(family: Family, data: &[Point]) -> Candidate {
    let top = median(data.iter().rev().take(12).map(|p| p.1));
    let unpack =
        |x: &[f64]| (x[0], x.get(1).map_or(1.0, |f| f.exp()), x.get(2).map_or(1.0, |q| q.exp()));
    let residuals = |x: &[f64]| -> Vec<f64> {
        let (gain, corner, q) = unpack(x);
        data.iter().map(|(hz, db, sd)| (gain + family.level_db(corner / hz, q) - db) / sd).collect()
    };
    let [least, most, start] = family.shapes().map(f64::ln);
    let bounds = [(-60.0, 60.0), (3f64.ln(), 500f64.ln()), (least, most)];
    let n = family.unknowns();
    // Beside fixed starts the place where the data themselves have fallen by 3 dB.
    let fallen = data.iter().rfind(|p| p.1 < top - 3.0).map_or(15.0, |p| p.0);
    let starts: &[f64] = match n {
        1 => &[30.0],
        2 => &[fallen, 30.0, 100.0],
        _ => &[fallen, 0.6 * fallen, 1.6 * fallen],
    };
    let fits = starts.iter().map(|hz| fit(&[top, hz.ln(), start][..n], &bounds[..n], residuals));
    let fit = fits.min_by(|a, b| a.cost.total_cmp(&b.cost)).expect("there is a start");
    let (gain_db, corner_hz, q) = unpack(&fit.at);
    Candidate { family, gain_db, corner_hz, q, bic_over_best: 0.0, fit }
}

/// The union of the intervals of all kinds in play.
fn united(named: &Candidate, all: &[Candidate], fall_db: f64, freedom: f64) -> Option<Interval> {
    let value = Some(named.fall_hz(fall_db)).filter(|hz| *hz > 0.0)?;
    let others = all.iter().filter(|c| c.family.has_order() && c.fall_hz(fall_db) > 0.0);
    let ends = others.chain([named]).map(|c| {
        let spread = (c.fit.cost / freedom).max(1.0) * CORRELATION;
        let half = (c.fall_sd(fall_db) * spread.sqrt() * student_95(freedom)).min(1.0);
        (c.fall_hz(fall_db) * (-half).exp(), c.fall_hz(fall_db) * half.exp())
    });
    let (low, high) = ends.fold((f64::MAX, 0f64), |(l, h), e| (l.min(e.0), h.max(e.1)));
    Some(Interval { value, low, high })
}

/// A response as a curve that is searched for its falls.
struct Falling {
    smooth: Smooth,
    lowest_hz: f64,
    flat_db: f64,
    flat_sd_db: f64,
}

impl Falling {
    fn new(data: &[Point]) -> Self {
        let reading = |(hz, db, sd): &Point| {
            let power = db_to_power(*db);
            // The variance of an amplitude whose power has this deviation.
            Reading { hz: *hz, power, noise: power * (sd / 4.343).powi(2) / 2.0 }
        };
        let smooth = Smooth::new(&data.iter().map(reading).collect::<Vec<_>>());
        let flat = smooth.pink(FLAT_HZ);
        // What is not flat there makes the flat part less sure.
        let ends = [FLAT_HZ.0, FLAT_HZ.1].map(|hz| smooth.at(hz).db - flat.db);
        let bent = ends[0].abs().max(ends[1].abs()) / 2.0;
        let lowest_hz = data.first().map_or(f64::MAX, |p| p.0);
        Self { smooth, lowest_hz, flat_db: flat.db, flat_sd_db: flat.sd_db.hypot(bent) }
    }

    /// Where the curve first falls by `fall_db` for good, from above, re `flat_db` when it is known.
    fn fall(&self, fall_db: f64, flat_db: Option<f64>, unknown_db: f64) -> Option<Interval> {
        let (flat, flat_sd) = flat_db.map_or((self.flat_db, self.flat_sd_db), |db| (db, 0.0));
        let count = ((1000.0 / self.lowest_hz).log2() * PER_OCTAVE) as usize;
        let steps = || (0..=count).map(|i| 1000.0 * (-(i as f64) / PER_OCTAVE).exp2());
        let crossing = |deviations: f64| {
            steps().find(|hz| {
                let told = self.smooth.at(*hz);
                let sd = told.sd_db.hypot(flat_sd).hypot(unknown_db);
                told.db + deviations * sd < flat - fall_db
            })
        };
        let value = crossing(0.0)?;
        // A curve that may not fall in the range at all may fall anywhere below.
        let low = crossing(NORMAL_95).unwrap_or(0.5 * self.lowest_hz);
        Some(Interval { value, low, high: crossing(-NORMAL_95)? })
    }
}

/// Means and slopes over a third of an octave on either side of each point.
fn local(data: &[Point], hz: f64) -> Option<(f64, f64)> {
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
    (near.len() >= 4 && spread > 0.0).then(|| ((w * xy - x * y) / spread, (w / spread).sqrt()))
}

fn local_slopes(data: &[Point]) -> Vec<(f64, f64, f64)> {
    low_thirds()
        .filter(|hz| *hz < 260.0)
        .filter_map(|hz| local(data, hz).map(|(slope, sd)| (hz, slope, sd)))
        .collect()
}
