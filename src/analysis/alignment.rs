//! How a signal that comes back stands to the one that was sent: delay to a fraction of a sample, gain,
//! likeness.
//!
//! The whole samples are those of the strongest normalised cross-correlation. The fraction is the slope of
//! the phase between both, weighted by their common power; a phase that falls with frequency, as a
//! high-pass far below leaves it, is fitted beside it and is no delay.

use super::transfer::correlation::{add_energy, correlate};
use realfft::RealFftPlanner;
use std::f64::consts::TAU;

/// A second likeness this near to the highest makes the delay ambiguous: a tone repeats itself.
const AMBIGUOUS: f64 = 0.95;

/// Peaks nearer than this are one, in seconds: wider than the main lobe of low-passed noise.
const ONE_PEAK_S: f64 = 0.002;

/// Frequencies that tell the fraction, Hz: above what couplings turn, below what filters do.
const TELLING_HZ: (f64, f64) = (300.0, 8000.0);

/// How a returned signal stands to a sent one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alignment {
    /// How far it lies behind, in samples.
    pub delay_samples: f64,
    /// True when other delays explain it as well, as with a steady tone.
    pub is_ambiguous: bool,
    /// Share of the amplitude that is the sent signal's, 0..1.
    pub likeness: f64,
    /// Gain of that share in dB.
    pub gain_db: f64,
    /// Whether it is turned over.
    pub is_inverted: bool,
}

/// Aligns `returned`, which begins with `sent` and is longer, for delays up to the difference;
/// `None` when one of them is silent.
pub fn align(sent: &[f32], returned: &[f32], sample_rate_hz: f64) -> Option<Alignment> {
    let delays = returned.len().checked_sub(sent.len())? + 1;
    let own: f64 = sent.iter().map(|x| f64::from(*x).powi(2)).sum();
    let mut energy = vec![0.0; delays];
    add_energy(sent.len(), returned, &mut energy);
    let loudest = energy.iter().fold(0.0, |a: f64, b| a.max(*b));
    if own <= 0.0 || loudest <= 0.0 {
        return None;
    }
    // The transform there and back is as many times too large as it is long.
    let length = (returned.len() + returned.len() % 2) as f64;
    let common: Vec<f64> =
        correlate(sent, returned).into_iter().take(delays).map(|c| c / length).collect();
    let likeness = |i: usize| common[i].abs() / (own * energy[i].max(1e-6 * loudest)).sqrt();
    let all: Vec<f64> = (0..delays).map(likeness).collect();
    let best = (0..delays).max_by(|a, b| all[*a].total_cmp(&all[*b]))?;
    let apart = (ONE_PEAK_S * sample_rate_hz) as usize;
    let second =
        (0..delays).filter(|i| i.abs_diff(best) > apart).map(|i| all[i]).fold(0.0, f64::max);
    let is_ambiguous = second > AMBIGUOUS * all[best];
    let sign = common[best].signum();
    let fraction = match is_ambiguous {
        true => 0.0,
        false => fraction(sent, &returned[best..best + sent.len()], sign, sample_rate_hz),
    };
    Some(Alignment {
        delay_samples: best as f64 + fraction,
        is_ambiguous,
        likeness: all[best].min(1.0),
        gain_db: 20.0 * (common[best].abs() / own).max(1e-15).log10(),
        is_inverted: sign < 0.0,
    })
}

/// How far `returned` lies behind `sent` beyond whole samples, −1..1.
fn fraction(sent: &[f32], returned: &[f32], sign: f64, sample_rate_hz: f64) -> f64 {
    let length = sent.len() - sent.len() % 2;
    let forward = RealFftPlanner::<f64>::new().plan_fft_forward(length);
    let spectrum = |signal: &[f32], sign: f64| {
        let window = |i: usize| 0.5 - 0.5 * (TAU * i as f64 / length as f64).cos();
        let mut input: Vec<f64> = signal[..length]
            .iter()
            .enumerate()
            .map(|(i, x)| sign * f64::from(*x) * window(i))
            .collect();
        let mut output = forward.make_output_vec();
        forward.process(&mut input, &mut output).expect("the work space has the plan's lengths");
        output
    };
    let (x, y) = (spectrum(sent, 1.0), spectrum(returned, sign));
    let bin = |hz: f64| (hz * length as f64 / sample_rate_hz) as usize;
    let (from, to) = (bin(TELLING_HZ.0).max(1), bin(TELLING_HZ.1).min(x.len() - 1));
    // Least squares of the phase on −ωτ + c/ω, a turn of a quarter and more left to the whole samples.
    let [mut ww, mut w_i, mut ii, mut pw, mut pi] = [0.0f64; 5];
    for k in from..to {
        let product = y[k] * x[k].conj();
        let (weight, phase) = (product.norm(), product.arg());
        let omega = TAU * k as f64 / length as f64;
        ww += weight * omega * omega;
        w_i += weight;
        ii += weight / (omega * omega);
        pw += weight * phase * omega;
        pi += weight * phase / omega;
    }
    let determinant = ww * ii - w_i * w_i;
    match determinant > 1e-9 * ww * ii {
        true => (-(pw * ii - pi * w_i) / determinant).clamp(-1.0, 1.0),
        false => 0.0,
    }
}
