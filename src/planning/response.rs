//! A response with its confidence, from the comb of one section.
//!
//! The scatter over blocks does not see distortion: the lines a channel was
//! not given do, and are added to the variance. Without them a recording that
//! barely clips reads up to 2 dB wrong with a claimed error of 0.04 dB.

use realfft::num_complex::Complex64;

use super::blocks::{Blocks, MID_HZ};
use super::smooth::{Reading, Smooth};
use super::statistics::{NORMAL_95, median, student_95};
use crate::analysis::bands::{low_thirds, third_edges};
use crate::curve::Curve;
use crate::signal::track::comb::Owner;
use crate::units::{db_to_power, power_to_db};

/// Bands are shown above this signal-to-noise ratio of the measurement, dB.
pub const LEAST_SNR_DB: f64 = 10.0;

/// No band is told surer than this, dB: the ripple of the filters to the grid.
const LEAST_SD_DB: f64 = 0.05;
/// A line whose scatter is so many times its neighbours' has something on it: by chance in
/// 1 of 10 000 for four blocks.
const STANDS_OUT: f64 = 5.0;
/// Below this level re the mid band a curve may bend between two lines (a notch, the foot of an
/// elliptic filter), dB.
const DEEP_DB: f64 = -25.0;
/// Share of a band's depth below that by which its lines then leave it unknown.
const DEEP_SHARE: f64 = 0.05;
/// Places of a band at which straight stretches between its lines are read.
const PLACES: usize = 24;
/// Power below the mean of the lines that is not looked at, as a ratio (−100 dB).
const RESOLUTION: f64 = 1e-10;

/// The gain at which a channel of a capture hears each kind of line; `None` for lines that are
/// not its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ears {
    /// Lines of both channels.
    pub both: Option<f64>,
    /// Lines of the left channel alone.
    pub left: Option<f64>,
    /// Lines of the right channel alone.
    pub right: Option<f64>,
}

impl Ears {
    /// Hears nothing.
    pub const NONE: Self = Self { both: None, left: None, right: None };

    /// The gain for lines of this owner.
    pub fn hears(&self, owner: Owner) -> Option<f64> {
        match owner {
            Owner::Both => self.both,
            Owner::Left => self.left,
            Owner::Right => self.right,
            Owner::Nobody => None,
        }
    }
}

/// One line of a response.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineValue {
    /// Frequency in Hz.
    pub hz: f64,
    /// Complex gain, capture over track.
    pub gain: Complex64,
    /// |gain|² with the noise taken off, re the mid band; may be negative.
    pub power: f64,
    /// Variance of the complex gain, re the mid band's power: noise and distortion.
    pub variance: f64,
    /// Power the line was played at, the weight in a band.
    pub weight: f64,
}

impl LineValue {
    /// Standard deviation of `power`.
    pub fn power_sd(&self) -> f64 {
        let clean = self.power.max(0.0);
        (2.0 * clean * self.variance + self.variance * self.variance).sqrt()
    }

    /// Level in dB re the mid band and its standard deviation; `None` when noise hides it.
    pub fn level_db(&self) -> Option<(f64, f64)> {
        (self.power > 0.0).then(|| (power_to_db(self.power), 4.343 * self.power_sd() / self.power))
    }
}

/// One third-octave band of a response.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandValue {
    /// Exact mid frequency in Hz (IEC 61260-1, base 10).
    pub hz: f64,
    /// Level in dB re the mid band.
    pub db: f64,
    /// Standard deviation in dB.
    pub sd_db: f64,
    /// Half the two-sided 95 % interval in dB.
    pub half_95_db: f64,
    /// Signal-to-noise ratio of the measurement in dB.
    pub snr_db: f64,
    /// The level is below this, dB: the value and two standard deviations.
    pub less_than_db: f64,
}

impl BandValue {
    /// Whether there is anything to say but "less than".
    pub fn is_shown(&self) -> bool {
        self.snr_db > LEAST_SNR_DB
    }
}

/// The response at one level.
#[derive(Clone, Debug, PartialEq)]
pub struct Response {
    /// The lines heard, rising in frequency.
    pub lines: Vec<LineValue>,
    /// The curve through the lines, dB from the track's file to the capture's.
    pub smooth: Smooth,
    /// Gain of the mid band from the track's file to the capture's, dB.
    pub gain_db: f64,
    /// Power on the free lines re the power of the lines heard, dB.
    pub distortion_db: f64,
    /// Blocks, or pairs of blocks, that were averaged.
    pub averages: usize,
    /// Scatter of single blocks as power per bin of 0.5 Hz in dBFS, line by line (Hz, dBFS).
    pub noise_dbfs: Vec<(f64, f64)>,
}

impl Response {
    /// The response that `ears` hear. `pairs` takes the scatter over pairs of blocks: right for a
    /// device that halves, whose octave part turns over from block to block.
    pub fn new(blocks: &Blocks, ears: &Ears, pairs: bool) -> Self {
        let size = if pairs { 2 } else { 1 };
        let all: Vec<Averaged> =
            (0..blocks.lines.len()).map(|i| averaged(&blocks.heard[i], size)).collect();
        let own: Vec<(usize, f64)> =
            (0..all.len()).filter_map(|i| Some((i, ears.hears(blocks.lines[i].owner)?))).collect();
        let noise = local_noise(&own.iter().map(|(i, _)| all[*i].variance).collect::<Vec<_>>());
        let heard = own.iter().map(|(i, _)| all[*i].mean.norm_sqr()).sum::<f64>();
        // Nothing is told finer than the filters to the grid let it (stop band 90 dB down).
        let least = RESOLUTION * heard / own.len().max(1) as f64;
        let distortion = Distortion::new(blocks, &all, ears);
        let mut lines: Vec<LineValue> = own
            .iter()
            .zip(&noise)
            .map(|((i, ear), noise)| {
                let (line, played) = (&blocks.lines[*i], blocks.played[*i]);
                let weight = played.norm_sqr();
                let gain = all[*i].mean / (played * *ear);
                let variance = (noise + distortion.at(line.hz)).max(least) / (weight * ear * ear);
                LineValue { hz: line.hz, gain, power: gain.norm_sqr() - variance, variance, weight }
            })
            .collect();
        let (smooth, gain_db) = relative(&mut lines);
        let free = distortion.total * all.len() as f64 / distortion.points.len().max(1) as f64;
        let count = size as f64 * all[0].count as f64;
        Self {
            lines,
            smooth,
            gain_db,
            distortion_db: power_to_db(free / heard.max(1e-30)),
            averages: all[0].count,
            noise_dbfs: own
                .iter()
                .zip(&noise)
                .map(|((i, _), n)| (blocks.lines[*i].hz, power_to_db(n * count)))
                .collect(),
        }
    }

    /// Third-octave bands from 12.5 Hz to 1 kHz.
    pub fn bands(&self) -> Vec<BandValue> {
        low_thirds().map(|hz| self.band(hz)).collect()
    }

    /// What pink noise would read in the third-octave band around `hz`, re the mid band.
    pub fn band(&self, hz: f64) -> BandValue {
        let (from, to) = third_edges(hz);
        let told = self.smooth.pink_re((from, to), MID_HZ);
        // Where a band holds no line of its own its neighbours tell its noise.
        let inside = |l: &&LineValue| (from / 1.06..to * 1.06).contains(&l.hz);
        let lines: Vec<&LineValue> = self.lines.iter().filter(inside).collect();
        let count = lines.len().max(1) as f64;
        let noise = lines.iter().map(|l| l.variance).sum::<f64>() / count;
        let power = lines.iter().map(|l| l.power).sum::<f64>() / count;
        let sd = lines.iter().map(|l| l.power_sd().powi(2)).sum::<f64>().sqrt() / count;
        let sd_db =
            told.sd_db.max(LEAST_SD_DB).hypot(self.unresolved_db((from, to), &lines, told.db));
        let freedom = (2 * self.averages.saturating_sub(1).max(1) * lines.len().max(1)) as f64;
        BandValue {
            hz,
            db: told.db,
            sd_db,
            half_95_db: sd_db * student_95(freedom),
            snr_db: power_to_db(db_to_power(told.db) / noise.max(1e-30)),
            less_than_db: power_to_db((power.max(0.0) + 2.0 * sd).max(1e-12)),
        }
    }

    /// What the curve may have missed of the band around `hz` that it tells at `level_db`, as a
    /// deviation in dB: deep down a response can bend faster than the lines follow each other, and
    /// the curve swings between them. Straight stretches from line to line tell by how much.
    fn unresolved_db(&self, hz: (f64, f64), lines: &[&LineValue], level_db: f64) -> f64 {
        let level = |l: &&LineValue| (l.hz, power_to_db(l.power.max(RESOLUTION)));
        let straight = Curve::new(lines.iter().map(level));
        let place = |i: usize| hz.0 * (hz.1 / hz.0).powf((i as f64 + 0.5) / PLACES as f64);
        let powers = (0..PLACES).filter_map(|i| straight.at(place(i))).map(db_to_power);
        let told_db = power_to_db(powers.sum::<f64>() / PLACES as f64);
        let depth_db = DEEP_DB - told_db.min(level_db);
        if lines.is_empty() || depth_db < 0.0 {
            return 0.0;
        }
        ((told_db - level_db) / NORMAL_95).hypot(DEEP_SHARE * depth_db)
    }

    /// The smooth response: (Hz, dB re the mid band), 24 points an octave from 10.5 Hz to 1.6 kHz.
    pub fn curve(&self) -> Vec<(f64, f64)> {
        (0..175)
            .map(|i| 10.5 * (f64::from(i) / 24.0).exp2())
            .map(|hz| (hz, self.smooth.at_re(hz, MID_HZ).db))
            .collect()
    }

    /// Divides out what a loop-back take hears at the same lines: player and recorder alone.
    /// Lines where the loop-back itself is weak (below −20 dB or 20 dB signal to noise) go.
    pub fn without(&self, loop_back: &Response) -> Self {
        let mut lines = Vec::new();
        for line in &self.lines {
            let Some(own) = loop_back.lines.iter().find(|l| l.hz == line.hz) else { continue };
            if own.power < 0.01 || own.power < 100.0 * own.variance {
                continue;
            }
            let variance =
                line.variance / own.power + own.variance * line.power.max(0.0) / own.power.powi(2);
            let power = line.power / own.power;
            lines.push(LineValue { gain: line.gain / own.gain, power, variance, ..*line });
        }
        let (smooth, scale_db) = relative(&mut lines);
        let gain_db = self.gain_db - loop_back.gain_db + scale_db;
        Self { lines, gain_db, smooth, ..self.clone() }
    }
}

/// Lays the smooth curve and brings the lines to its mid band, whose level in dB it tells.
fn relative(lines: &mut [LineValue]) -> (Smooth, f64) {
    let reading = |l: &LineValue| Reading { hz: l.hz, power: l.power, noise: l.variance };
    let smooth = Smooth::new(&lines.iter().map(reading).collect::<Vec<_>>());
    let mid_db = smooth.pink(MID_HZ).db;
    let mid = db_to_power(mid_db);
    for line in lines {
        line.power /= mid;
        line.variance /= mid;
    }
    (smooth, mid_db)
}

#[derive(Clone, Copy)]
struct Averaged {
    mean: Complex64,
    /// Variance of the mean.
    variance: f64,
    count: usize,
}

fn averaged(row: &[Complex64], size: usize) -> Averaged {
    let values: Vec<Complex64> =
        row.chunks_exact(size).map(|c| c.iter().sum::<Complex64>() / size as f64).collect();
    let n = values.len() as f64;
    let mean = values.iter().sum::<Complex64>() / n;
    let scatter: f64 = values.iter().map(|v| (v - mean).norm_sqr()).sum();
    Averaged { mean, variance: scatter / (n * (n - 1.0)).max(1.0), count: values.len() }
}

/// The noise at each line: the mean of five neighbours on either side, those that stand out left
/// out; a line that stands out (hum) keeps its own.
fn local_noise(values: &[f64]) -> Vec<f64> {
    (0..values.len())
        .map(|i| {
            let near = &values[i.saturating_sub(5)..(i + 6).min(values.len())];
            let most = STANDS_OUT * median(near.iter().copied());
            let (sum, count) = near
                .iter()
                .filter(|v| **v <= most)
                .fold((0.0, 0.0), |(sum, count), v| (sum + v, count + 1.0));
            let local = sum / f64::max(count, 1.0);
            if values[i] > STANDS_OUT * local { values[i] } else { local }
        })
        .collect()
}

/// Power on the lines that the channel was not given, over frequency.
struct Distortion {
    points: Vec<(f64, f64)>,
    total: f64,
}

impl Distortion {
    fn new(blocks: &Blocks, all: &[Averaged], ears: &Ears) -> Self {
        let read = |wanted: &dyn Fn(Owner) -> bool| -> Vec<(f64, f64)> {
            let which = (0..all.len()).filter(|&i| wanted(blocks.lines[i].owner));
            which
                .map(|i| (blocks.lines[i].hz, (all[i].mean.norm_sqr() - all[i].variance).max(0.0)))
                .collect()
        };
        let total = |points: &[(f64, f64)]| points.iter().map(|p| p.1).sum::<f64>();
        let empty = read(&|owner| owner == Owner::Nobody);
        let unheard = read(&|owner| ears.hears(owner).is_none());
        // Where the other channel's own lines leak in they say nothing about distortion.
        let mean = |points: &[(f64, f64)]| total(points) / points.len().max(1) as f64;
        let points = if mean(&unheard) > 4.0 * mean(&empty) { empty } else { unheard };
        let total = total(&points);
        let near = |i: usize| {
            let at = |k: usize| points[k.min(points.len() - 1)].1;
            (points[i].0, 0.25 * at(i.saturating_sub(1)) + 0.5 * at(i) + 0.25 * at(i + 1))
        };
        let points = (0..points.len()).map(near).collect();
        Self { points, total }
    }

    /// Between two free lines linear over log frequency, flat beyond.
    fn at(&self, hz: f64) -> f64 {
        let next = self.points.partition_point(|p| p.0 < hz);
        match (next.checked_sub(1).map(|i| self.points[i]), self.points.get(next)) {
            (Some(a), Some(b)) => a.1 + (hz / a.0).ln() / (b.0 / a.0).ln() * (b.1 - a.1),
            (Some(a), None) => a.1,
            (None, Some(b)) => b.1,
            (None, None) => 0.0,
        }
    }
}
