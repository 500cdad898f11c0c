//! Which channel of the track a channel of a capture hears, and how two
//! channels of a capture stand to each other.

use std::f64::consts::{PI, TAU};

use super::blocks::{Blocks, MID_HZ};
use super::response::{Ears, Response};
use crate::analysis::bands::{low_thirds, third_edges};
use crate::signal::track::comb::Owner;
use crate::units::power_to_db;

/// What a channel of a capture hears.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hears {
    /// The track's left channel.
    Left,
    /// The track's right channel.
    Right,
    /// The sum of both.
    Sum,
    /// Both, but they do not add: a delay or a phase between them makes a comb filter.
    Unadding,
    /// Nothing of the track.
    Nothing,
}

/// What `blocks` hear, and with which gains.
pub fn ears(blocks: &Blocks) -> (Hears, Ears) {
    let power = |owner: Owner| {
        let mid = (0..blocks.lines.len()).filter(|&i| {
            blocks.lines[i].owner == owner && (MID_HZ.0..MID_HZ.1).contains(&blocks.lines[i].hz)
        });
        let (heard, played) = mid.fold((0.0, 0.0), |(h, p), i| {
            let row = &blocks.heard[i];
            let mean =
                row.iter().sum::<realfft::num_complex::Complex64>() / row.len().max(1) as f64;
            (h + mean.norm_sqr(), p + blocks.played[i].norm_sqr())
        });
        heard / played
    };
    let (left, right, both) = (power(Owner::Left), power(Owner::Right), power(Owner::Both));
    let one = |hears, left, right| (hears, Ears { both: Some(1.0), left, right });
    let difference_db = power_to_db(left / right.max(1e-30));
    if left.max(right).max(both) < 1e-14 {
        return one(Hears::Nothing, Some(1.0), Some(1.0));
    }
    if difference_db > 15.0 {
        return one(Hears::Left, Some(1.0), None);
    }
    if difference_db < -15.0 {
        return one(Hears::Right, None, Some(1.0));
    }
    // Re the mean of both channels: 0 dB when each arrives at half its amplitude.
    let (left, right) = (left.sqrt(), right.sqrt());
    let sum = left + right;
    let ears = Ears { both: Some(1.0), left: Some(left / sum), right: Some(right / sum) };
    if power_to_db(both / (sum * sum)).abs() <= 1.0 {
        (Hears::Sum, ears)
    } else {
        (Hears::Unadding, Ears { both: None, ..ears })
    }
}

/// How two channels of one capture stand to each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Relation {
    /// Whether the second is inverted; `None` when the phase depends on frequency.
    pub inverted: Option<bool>,
    /// How much later the second comes, ms; `None` when the phase depends on frequency.
    pub delay_ms: Option<f64>,
    /// r.m.s. of the phase that neither explains, degrees.
    pub residual_deg: f64,
    /// Level of the second re the first in the mid band, dB.
    pub level_db: f64,
    /// What adding the two loses against adding their amplitudes: (Hz, dB), from 12.5 to 160 Hz.
    pub sum_loss_db: Vec<(f64, f64)>,
}

/// A phase that wanders more than this is no delay, degrees.
const MOST_RESIDUAL_DEG: f64 = 10.0;

/// Compares two channels on the lines that both have; `None` when there are too few.
pub fn relation(first: &Response, second: &Response) -> Option<Relation> {
    let pairs: Vec<_> = first
        .lines
        .iter()
        .filter_map(|a| Some((a, second.lines.iter().find(|b| b.hz == a.hz)?)))
        .collect();
    let clear = |a: &super::response::LineValue| a.power > 30.0 * a.variance;
    let phases: Vec<(f64, f64)> = pairs
        .iter()
        .filter(|(a, b)| (40.0..1200.0).contains(&a.hz) && clear(a) && clear(b))
        .map(|(a, b)| (a.hz, (b.gain / a.gain).arg()))
        .collect();
    if phases.len() < 20 {
        return None;
    }
    let score =
        |delay_s: f64| phases.iter().map(|(hz, p)| (p + TAU * hz * delay_s).cos()).sum::<f64>();
    // Up to 27 ms: behind that music has an echo, not a delay.
    let coarse = (-540..=540).map(|i| f64::from(i) * 5e-5);
    let delay_s = coarse.max_by(|a, b| score(*a).abs().total_cmp(&score(*b).abs()))?;
    let inverted = score(delay_s) < 0.0;
    let left_over = |delay_s: f64, (hz, p): &(f64, f64)| {
        wrapped(p + TAU * hz * delay_s - if inverted { PI } else { 0.0 })
    };
    let slope = phases.iter().map(|x| left_over(delay_s, x) * x.0).sum::<f64>()
        / phases.iter().map(|x| x.0 * x.0).sum::<f64>();
    let delay_s = delay_s - slope / TAU;
    let mean =
        phases.iter().map(|x| left_over(delay_s, x).powi(2)).sum::<f64>() / phases.len() as f64;
    let residual_deg = mean.sqrt().to_degrees();
    let plain = residual_deg <= MOST_RESIDUAL_DEG;
    let sum_loss_db = low_thirds()
        .filter(|hz| *hz < 170.0)
        .filter_map(|hz| {
            let (low, high) = third_edges(hz);
            let inside: Vec<_> = pairs
                .iter()
                .filter(|(a, b)| (low..high).contains(&a.hz) && clear(a) && clear(b))
                .collect();
            let sum: f64 = inside.iter().map(|(a, b)| (a.gain + b.gain).norm_sqr()).sum();
            let most: f64 =
                inside.iter().map(|(a, b)| (a.gain.norm() + b.gain.norm()).powi(2)).sum();
            (!inside.is_empty()).then(|| (hz, power_to_db(sum / most)))
        })
        .collect();
    Some(Relation {
        inverted: plain.then_some(inverted),
        delay_ms: plain.then_some(1000.0 * delay_s),
        residual_deg,
        level_db: second.gain_db - first.gain_db,
        sum_loss_db,
    })
}

fn wrapped(phase: f64) -> f64 {
    phase - TAU * (phase / TAU).round()
}
