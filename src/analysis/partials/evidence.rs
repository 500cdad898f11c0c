//! Whether a fitted line is one: it must stand out of the noise around it, and
//! lie where it was fitted.

use realfft::num_complex::Complex;
use std::f64::consts::TAU;

use crate::analysis::tone_fit::{Lines, Sine, Weight, hann_spectrum, project};
use crate::units::db_to_gain;

/// A line must exceed the median of the noise bins around it by this much:
/// noise does so once in 60 000 lines (its power is distributed exponentially).
const STANDS_OUT_DB: f64 = 12.0;

/// Below this, re the tone, lines are the rounding of 32-bit float samples (half a
/// step of 24 bits is −151 dB), not of what made the signal.
const TRUSTED_DB: f64 = -150.0;

/// How far around a line below the tone the neighbourhood reaches, as a ratio: half an octave.
const CROWD: f64 = 1.5;

/// A line below the tone stands at least this far over all that is unexplained there, dB: twice in
/// amplitude (a judgement, no source).
const OVER_CROWD_DB: f64 = 6.0;

/// Bins on either side that show the noise around a line, nearest to farthest;
/// nearer ones belong to the line itself.
const AROUND: std::ops::RangeInclusive<usize> = 3..=10;

/// A line shows half its height one bin beside it; one that lies a third of a
/// bin off shows this share of it on that side.
const BESIDE: f64 = 0.8;

/// The mains keep to their frequency within this share (0.2 Hz in 50: the
/// steady limit in the European grid, Regulation (EU) 2017/1485; from memory).
const MAINS_SHARE: f64 = 0.004;

/// Highest harmonic of the mains taken for possible hum.
const MAINS_ORDERS: f64 = 12.0;

/// What a fit has left over, and what it says about each line.
pub(super) struct Evidence {
    left_over: Vec<f64>,
    noise: Vec<f64>,
    sample_rate_hz: f64,
}

impl Evidence {
    /// From what `lines` leave over of `samples`.
    pub(super) fn new(samples: &[f64], sample_rate_hz: f64, lines: &Lines) -> Self {
        let mut left_over = lines.left_over(samples, sample_rate_hz);
        let noise = hann_spectrum(&left_over);
        let weights = Weight::Hann.all(left_over.len());
        left_over.iter_mut().zip(weights).for_each(|(x, weight)| *x *= weight);
        Self { left_over, noise, sample_rate_hz }
    }

    /// Whether a line counts.
    pub(super) fn holds(&self, line: &Sine, tone: &Sine) -> bool {
        line.amplitude > tone.amplitude * db_to_gain(TRUSTED_DB)
            && self.stands_out(line)
            && self.lies_there(line)
    }

    /// Whether a line is well above the noise around it.
    fn stands_out(&self, line: &Sine) -> bool {
        line.amplitude > self.floor(line.hz) * db_to_gain(STANDS_OUT_DB)
    }

    /// Whether nothing unexplained within a factor of [`CROWD`] comes near the line: what a codec
    /// leaves below a tone does (AAC and Vorbis at 64 kbit/s, up to 33 dB over its own half; tried
    /// by hand). Mains lines are known by their place and are no crowd.
    pub(super) fn stands_alone(&self, line: &Sine) -> bool {
        let per_bin = self.sample_rate_hz / self.left_over.len() as f64;
        let seconds = 1.0 / per_bin;
        let bin = |hz: f64| (hz / per_bin).round() as usize;
        let own = bin(line.hz);
        let last = self.noise.len().saturating_sub(1);
        let crowd = (bin(line.hz / CROWD).max(1)..=bin(line.hz * CROWD).min(last))
            .filter(|i| i.abs_diff(own) >= *AROUND.start())
            .filter(|i| !near_mains(*i as f64 * per_bin, seconds))
            .map(|i| self.noise[i])
            .fold(0.0, f64::max);
        line.amplitude > crowd * db_to_gain(OVER_CROWD_DB)
    }

    /// Median amplitude of the noise bins around `hz`.
    fn floor(&self, hz: f64) -> f64 {
        let centre = (hz / self.sample_rate_hz * self.left_over.len() as f64).round() as usize;
        let mut around: Vec<f64> = AROUND
            .flat_map(|distance| [centre.checked_sub(distance), Some(centre + distance)])
            .filter_map(|bin| self.noise.get(bin.filter(|bin| *bin > 0)?).copied())
            .collect();
        around.sort_by(f64::total_cmp);
        around.get(around.len() / 2).copied().unwrap_or(0.0)
    }

    /// Whether the line and what is left over beside it peak at the line.
    fn lies_there(&self, line: &Sine) -> bool {
        let length = self.left_over.len();
        // A projection turns the other way than the line's own phase.
        let own = Complex::from_polar(line.amplitude, -TAU * line.middle_turns);
        let scale = 2.0 / Weight::Hann.sum(0.0, length);
        [-1.0, 1.0].into_iter().all(|bins| {
            let theta = TAU * (line.hz / self.sample_rate_hz + bins / length as f64);
            let beside = project(&self.left_over, theta) * scale + 0.5 * own;
            beside.norm() <= BESIDE * line.amplitude
        })
    }
}

/// Whether mains hum could stand at `hz`, seen over `seconds`.
pub(super) fn near_mains(hz: f64, seconds: f64) -> bool {
    [50.0, 60.0].into_iter().any(|mains_hz| {
        let order = (hz / mains_hz).round().clamp(1.0, MAINS_ORDERS);
        (hz - order * mains_hz).abs() <= MAINS_SHARE * order * mains_hz + 1.0 / seconds
    })
}
