//! What the bass does when the volume rises: a fixed high-pass, an EQ that
//! follows the volume, a limiter, or several of them.
//!
//! The whole trick: a limiter knows the level that arrives (volume and signal
//! together), an EQ knows the volume knob alone. So levels inside one step
//! separate them, and nothing else does.

use crate::numeric::solve;

/// Uncertainty that no reading goes below, dB.
const FLOOR_DB: f64 = 0.2;
/// Below this range over all steps and levels the bass counts as fixed, dB.
const FIXED_DB: f64 = 1.0;

/// The best explanation must beat the second by this, in BIC.
const LEAST_LEAD: f64 = 10.0;
/// χ² per reading above which no explanation is one.
const MOST_MISFIT: f64 = 3.0;

/// The bass at one volume step and one level of the track.
#[derive(Clone, Debug, PartialEq)]
pub struct BassReading {
    /// Volume, dB of gain in the mid band.
    pub volume_db: f64,
    /// Level of the track, peak in dBFS.
    pub level_dbfs: f64,
    /// The bands, (Hz, dB re the mid band, standard deviation in dB), the same at every reading.
    pub bands: Vec<(f64, f64, f64)>,
}

/// What the bass depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dependence {
    /// Neither volume nor level: a fixed high-pass.
    Fixed,
    /// The volume: an EQ that follows it.
    Volume,
    /// The level that arrives: a limiter.
    Limiter,
    /// Both.
    Both,
    /// The volume, by a cause that cannot be told.
    VolumeCauseUndecided,
    /// The level, by a cause that cannot be told.
    LevelCauseUndecided,
    /// Not to be told from these captures.
    Undecided,
}

impl Dependence {
    /// What would decide an undecided verdict; `None` for a decided one.
    pub fn needs(self) -> Option<&'static str> {
        match self {
            Self::Undecided => Some(
                "captures at four or more volume steps, each with all three levels clear of noise and clipping, would decide",
            ),
            Self::VolumeCauseUndecided => {
                Some("captures at higher volume steps, where the effect is stronger, would decide")
            }
            Self::LevelCauseUndecided => {
                Some("captures at four or more volume steps would decide what does it")
            }
            _ => None,
        }
    }

    /// Whether it is said that the level matters.
    pub fn has_level(self) -> bool {
        matches!(self, Self::Limiter | Self::Both | Self::LevelCauseUndecided)
    }
}

/// The verdict on all readings.
#[derive(Clone, Debug, PartialEq)]
pub struct VolumeVerdict {
    /// What the bass depends on.
    pub dependence: Dependence,
    /// Largest range of a band over all readings, dB.
    pub range_db: f64,
    /// Largest difference of a band between the loudest and the quietest level of one step, dB.
    pub level_difference_db: f64,
    /// Volume steps that were captured and could be read.
    pub steps: usize,
    /// Whether levels of one step differ for sure.
    pub level_seen: bool,
    /// Whether the bass rises with the volume instead of falling.
    pub rises: bool,
    /// The explanations tried, with their BIC, best first.
    pub tried: Vec<(Dependence, f64)>,
}

/// Explains `readings`.
pub fn explain(readings: &[BassReading]) -> VolumeVerdict {
    let Some(table) = Table::new(readings) else {
        return VolumeVerdict {
            dependence: Dependence::Undecided,
            range_db: 0.0,
            level_difference_db: 0.0,
            steps: 0,
            level_seen: false,
            rises: false,
            tried: Vec::new(),
        };
    };
    let mut tried: Vec<(Dependence, f64)> = vec![
        (Dependence::Fixed, table.bic(false, None)),
        (Dependence::Volume, table.bic(true, None)),
    ];
    if table.levels > 1 {
        let best = |free: bool| {
            table.hinges().iter().map(|h| table.bic(free, Some(h))).fold(f64::MAX, f64::min)
        };
        tried.push((Dependence::Limiter, best(false)));
        tried.push((Dependence::Both, best(true)));
    }
    tried.sort_by(|a, b| a.1.total_cmp(&b.1));
    VolumeVerdict {
        dependence: table.verdict(&tried),
        range_db: table.range().0,
        level_difference_db: table.inside().0,
        steps: table.steps,
        level_seen: table.level_seen(),
        rises: table.rises(),
        tried,
    }
}

impl Table<'_> {
    /// What the explanations tried, best first, allow to be said.
    fn verdict(&self, tried: &[(Dependence, f64)]) -> Dependence {
        let (range_db, range_sd_db) = self.range();
        let level_seen = self.level_seen();
        if self.steps < 2 {
            // One step says nothing of others; that its levels differ is seen.
            return if level_seen {
                Dependence::LevelCauseUndecided
            } else {
                Dependence::Undecided
            };
        }
        if self.outputs_differ() {
            return Dependence::Undecided;
        }
        if range_db < FIXED_DB && !level_seen {
            // Not by scatter alone: what may hide in it must be small as well.
            let sure = 2.0 * range_sd_db < FIXED_DB;
            return if sure { Dependence::Fixed } else { Dependence::Undecided };
        }
        if self.levels < 2 {
            return Dependence::VolumeCauseUndecided;
        }
        let clear = tried[1].1 - tried[0].1 >= LEAST_LEAD && self.misfit(tried[0]) <= MOST_MISFIT;
        match tried[0].0 {
            Dependence::Volume if clear && !level_seen => Dependence::Volume,
            cause @ (Dependence::Limiter | Dependence::Both) if clear && level_seen => cause,
            Dependence::Limiter | Dependence::Both | Dependence::Volume if clear && !level_seen => {
                Dependence::VolumeCauseUndecided
            }
            _ if level_seen && !self.quiet_steps_differ() => Dependence::LevelCauseUndecided,
            _ => Dependence::Undecided,
        }
    }

    /// Whether the levels of one step differ for sure.
    fn level_seen(&self) -> bool {
        let (most, sd) = self.inside();
        most > 0.5 && most > 3.0 * sd
    }

    /// Whether the quietest level already differs from step to step.
    fn quiet_steps_differ(&self) -> bool {
        let quietest = self.readings.iter().map(|r| r.level_dbfs).fold(f64::MAX, f64::min);
        let quiet = |i: &usize| self.readings[*i].level_dbfs < quietest + 0.1;
        let which: Vec<usize> = (0..self.readings.len()).filter(quiet).collect();
        let (most, sd) = self.largest(|a, b| which.contains(&a) && which.contains(&b));
        most > 0.5 && most > 3.0 * sd
    }

    /// Whether takes at one volume and one level differ: other outputs, not other steps.
    fn outputs_differ(&self) -> bool {
        let level = |i: usize| self.readings[i].level_dbfs;
        let (most, sd) =
            self.largest(|a, b| self.step[a] == self.step[b] && (level(a) - level(b)).abs() < 0.1);
        most > FIXED_DB && most > 3.0 * sd
    }

    /// Whether the bass of the loudest step is above that of the quietest, at the quietest level.
    fn rises(&self) -> bool {
        let volume = |i: &usize| self.readings[*i].volume_db;
        let all = || 0..self.readings.len();
        let bass = |i: usize| self.readings[i].bands.iter().map(|b| b.1).sum::<f64>();
        let (Some(low), Some(high)) = (
            all().min_by(|a, b| volume(a).total_cmp(&volume(b))),
            all().max_by(|a, b| volume(a).total_cmp(&volume(b))),
        ) else {
            return false;
        };
        bass(high) > bass(low)
    }
}

/// The readings, band by band.
struct Table<'a> {
    readings: &'a [BassReading],
    /// Index of each reading's volume step.
    step: Vec<usize>,
    steps: usize,
    levels: usize,
    bands: usize,
}

impl<'a> Table<'a> {
    fn new(readings: &'a [BassReading]) -> Option<Self> {
        let bands = readings.first()?.bands.len();
        if bands == 0 || readings.len() < 2 || readings.iter().any(|r| r.bands.len() != bands) {
            return None;
        }
        // Takes of one step differ by less than half a decibel of gain.
        let mut volumes: Vec<f64> = readings.iter().map(|r| r.volume_db).collect();
        volumes.sort_by(f64::total_cmp);
        volumes.dedup_by(|a, b| (*a - *b).abs() < 0.5);
        let near = |v: f64| {
            let far = |i: &usize| (volumes[*i] - v).abs();
            (0..volumes.len()).min_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or(0)
        };
        let mut levels: Vec<i64> = readings.iter().map(|r| (10.0 * r.level_dbfs) as i64).collect();
        levels.sort_unstable();
        levels.dedup();
        let step = readings.iter().map(|r| near(r.volume_db)).collect();
        Some(Self { readings, step, steps: volumes.len(), levels: levels.len(), bands })
    }

    fn sd(&self, reading: usize, band: usize) -> f64 {
        self.readings[reading].bands[band].2.max(FLOOR_DB)
    }

    /// Every hinge: how far the level that arrives is above a threshold, saturating or not; behind
    /// the volume, and before it.
    fn hinges(&self) -> Vec<Vec<f64>> {
        let behind = self.readings.iter().map(|r| r.volume_db + r.level_dbfs).collect();
        let before = self.readings.iter().map(|r| r.level_dbfs).collect();
        [hinges(behind), hinges(before)].concat()
    }

    /// BIC of: a curve (one, or free per step), and a hinge that only takes away.
    fn bic(&self, free: bool, hinge: Option<&Vec<f64>>) -> f64 {
        let cost: f64 = (0..self.bands).map(|band| self.cost(band, free, hinge)).sum();
        let curves = if free { self.steps } else { 1 };
        let unknowns =
            self.bands * (curves + usize::from(hinge.is_some())) + 2 * usize::from(hinge.is_some());
        cost + unknowns as f64 * ((self.bands * self.readings.len()) as f64).ln()
    }

    /// Weighted least squares of one band.
    fn cost(&self, band: usize, free: bool, hinge: Option<&Vec<f64>>) -> f64 {
        let curves = if free { self.steps } else { 1 };
        let row = |i: usize| {
            let mut row = vec![0.0; curves];
            row[if free { self.step[i] } else { 0 }] = 1.0;
            row.extend(hinge.map(|h| h[i]));
            row
        };
        let rows: Vec<Vec<f64>> = (0..self.readings.len()).map(row).collect();
        let at = self.solve(band, &rows);
        if hinge.is_some() && at[curves] > 0.0 {
            return self.cost(band, free, None);
        }
        self.residual(band, &rows, &at)
    }

    fn solve(&self, band: usize, rows: &[Vec<f64>]) -> Vec<f64> {
        let n = rows[0].len();
        let sum = |value: &dyn Fn(usize) -> f64| -> f64 {
            (0..rows.len()).map(|i| value(i) / self.sd(i, band).powi(2)).sum()
        };
        let matrix =
            (0..n).map(|a| (0..n).map(|b| sum(&|i| rows[i][a] * rows[i][b])).collect()).collect();
        solve(
            matrix,
            (0..n).map(|a| sum(&|i| rows[i][a] * self.readings[i].bands[band].1)).collect(),
        )
    }

    fn residual(&self, band: usize, rows: &[Vec<f64>], at: &[f64]) -> f64 {
        let miss = |i: usize| {
            let told: f64 = rows[i].iter().zip(at).map(|(r, x)| r * x).sum();
            ((self.readings[i].bands[band].1 - told) / self.sd(i, band)).powi(2)
        };
        (0..rows.len()).map(miss).sum()
    }

    fn misfit(&self, tried: (Dependence, f64)) -> f64 {
        let count = (self.bands * self.readings.len()) as f64;
        let hinge = matches!(tried.0, Dependence::Limiter | Dependence::Both);
        let curves =
            if matches!(tried.0, Dependence::Volume | Dependence::Both) { self.steps } else { 1 };
        let unknowns = self.bands * (curves + usize::from(hinge)) + 2 * usize::from(hinge);
        (tried.1 - unknowns as f64 * count.ln()) / count
    }

    /// The largest difference of a band over all readings, and its standard deviation.
    fn range(&self) -> (f64, f64) {
        self.largest(|_, _| true)
    }

    /// The largest difference between the levels of one step, and its standard deviation.
    fn inside(&self) -> (f64, f64) {
        let level = |i: usize| self.readings[i].level_dbfs;
        self.largest(|a, b| self.step[a] == self.step[b] && (level(a) - level(b)).abs() > 0.1)
    }

    /// The largest difference of a band between two readings of a kind, with its deviation; of
    /// differences that scatter may make the surest counts.
    fn largest(&self, pair: impl Fn(usize, usize) -> bool) -> (f64, f64) {
        let mut most = (0.0, f64::MAX);
        for a in 0..self.readings.len() {
            for b in (0..a).filter(|&b| pair(a, b)) {
                for band in 0..self.bands {
                    let [x, y] = [a, b].map(|i| self.readings[i].bands[band]);
                    let one = ((x.1 - y.1).abs(), x.2.hypot(y.2));
                    // What counts is how far it surely is.
                    if one.0 - 2.0 * one.1 > most.0 - 2.0 * most.1 {
                        most = one;
                    }
                }
            }
        }
        if most.1 == f64::MAX { (0.0, 0.0) } else { most }
    }
}

fn hinges(arrives: Vec<f64>) -> Vec<Vec<f64>> {
    let low = arrives.iter().copied().fold(f64::MAX, f64::min).floor() as i64;
    let high = arrives.iter().copied().fold(f64::MIN, f64::max).ceil() as i64;
    (low..high)
        .flat_map(|threshold| [0.0, 0.08].map(|bend| (threshold as f64, bend)))
        .map(|(threshold, bend)| {
            let over = |x: &f64| (x - threshold).max(0.0);
            arrives.iter().map(over).map(|u| u / (1.0 + bend * u)).collect()
        })
        .collect()
}
