//! Least squares and spectra, written for the tests alone.

use realfft::RealFftPlanner;
use realfft::num_complex::Complex64;
use std::f64::consts::{PI, TAU};

/// 20·lg.
pub(crate) fn db(ratio: f64) -> f64 {
    20.0 * ratio.abs().max(1e-20).log10()
}

/// Blackman-Harris, 4 terms (Harris 1978), periodic.
pub(crate) fn blackman_harris(n: usize) -> Vec<f64> {
    let term = |i: usize, k: f64| (TAU * k * i as f64 / n as f64).cos();
    (0..n)
        .map(|i| 0.35875 - 0.48829 * term(i, 1.0) + 0.14128 * term(i, 2.0) - 0.01168 * term(i, 3.0))
        .collect()
}

/// Inner product.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Solves A·x = b by elimination with pivoting.
pub(crate) fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Vec<f64> {
    let n = b.len();
    for i in 0..n {
        let pivot = (i..n).max_by(|&p, &q| a[p][i].abs().total_cmp(&a[q][i].abs())).unwrap();
        a.swap(i, pivot);
        b.swap(i, pivot);
        for row in i + 1..n {
            let factor = a[row][i] / a[i][i];
            let (above, below) = a.split_at_mut(row);
            below[0].iter_mut().zip(&above[i]).for_each(|(x, y)| *x -= factor * y);
            b[row] -= factor * b[i];
        }
    }
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|column| a[i][column] * b[column]).sum();
        b[i] = (b[i] - known) / a[i][i];
    }
    b
}

/// The best combination of `basis` for `y`, and what is left of `y`.
pub(crate) fn least_squares(basis: &[Vec<f64>], y: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let gram = basis.iter().map(|a| basis.iter().map(|b| dot(a, b)).collect()).collect();
    let weights = solve(gram, basis.iter().map(|a| dot(a, y)).collect());
    let mut rest = y.to_vec();
    for (weight, wave) in weights.iter().zip(basis) {
        rest.iter_mut().zip(wave).for_each(|(rest, wave)| *rest -= weight * wave);
    }
    (weights, rest)
}

/// Tones fitted under a window: their amplitudes, and the windowed rest's r.m.s. value re that
/// of the tones.
pub(crate) struct Tones {
    pub(crate) amplitudes: Vec<f64>,
    pub(crate) rest: Vec<f64>,
    pub(crate) rest_db: f64,
}

/// Fits tones of exactly `hz` to `y`, weighed by `window`.
pub(crate) fn tones(y: &[f64], rate_hz: f64, hz: &[f64], window: &[f64]) -> Tones {
    let wave = |hz: f64, shift: f64| -> Vec<f64> {
        let step = TAU * hz / rate_hz;
        window.iter().enumerate().map(|(i, w)| w * (step * i as f64 + shift).cos()).collect()
    };
    let basis: Vec<_> = hz.iter().flat_map(|&hz| [wave(hz, 0.0), wave(hz, -PI / 2.0)]).collect();
    let windowed: Vec<_> = y.iter().zip(window).map(|(y, w)| y * w).collect();
    let (weights, rest) = least_squares(&basis, &windowed);
    let amplitudes = weights.chunks(2).map(|pair| pair[0].hypot(pair[1])).collect();
    let (all, left) = (dot(&windowed, &windowed), dot(&rest, &rest));
    Tones { amplitudes, rest, rest_db: 0.5 * db(left / (all - left).max(1e-6 * all)) }
}

/// The amplitude of the strongest line below `to_hz` in a signal already windowed.
pub(crate) fn strongest_line(windowed: &[f64], window: &[f64], rate_hz: f64, to_hz: f64) -> f64 {
    let mut input = windowed.to_vec();
    let mut bins = vec![Complex64::default(); input.len() / 2 + 1];
    RealFftPlanner::new().plan_fft_forward(input.len()).process(&mut input, &mut bins).unwrap();
    let most = (to_hz * window.len() as f64 / rate_hz) as usize;
    let gain: f64 = window.iter().sum();
    bins[..most].iter().map(|bin| 2.0 * bin.norm() / gain).fold(0.0, f64::max)
}

/// The envelope: the length of the analytic signal (whole-signal transform, so it sees ahead).
pub(crate) fn envelope(y: &[f64]) -> Vec<f64> {
    let n = y.len();
    let mut planner = RealFftPlanner::new();
    let mut input = y.to_vec();
    let mut bins = vec![Complex64::default(); n / 2 + 1];
    planner.plan_fft_forward(n).process(&mut input, &mut bins).unwrap();
    bins.iter_mut().for_each(|bin| *bin *= Complex64::new(0.0, -1.0));
    bins[0] = Complex64::default();
    bins[n / 2] = Complex64::default();
    let mut turned = vec![0.0; n];
    planner.plan_fft_inverse(n).process(&mut bins, &mut turned).unwrap();
    y.iter().zip(turned).map(|(y, turned)| y.hypot(turned / n as f64)).collect()
}
