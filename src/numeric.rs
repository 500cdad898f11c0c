//! Mathematics that several modules need: the windowed sinc's parts, linear equations, and sums of
//! products.

use std::f64::consts::PI;
use std::iter::Sum;
use std::ops::{Add, Mul};

/// sin(πx)/(πx), 1 at zero.
pub fn sinc(x: f64) -> f64 {
    if x == 0.0 { 1.0 } else { libm::sin(PI * x) / (PI * x) }
}

/// The Kaiser window of shape `beta` at `x`: 1 at zero, 0 from ±1 outwards (Kaiser & Schafer, IEEE
/// Trans. ASSP 28, 1980).
pub fn kaiser(x: f64, beta: f64) -> f64 {
    if x.abs() >= 1.0 { 0.0 } else { bessel_i0(beta * (1.0 - x * x).sqrt()) / bessel_i0(beta) }
}

/// The modified Bessel function of order zero, by its power series, to double precision.
pub fn bessel_i0(x: f64) -> f64 {
    let quarter = x * x / 4.0;
    let (mut sum, mut term, mut k) = (1.0, 1.0, 1.0);
    while term > 1e-17 * sum {
        term *= quarter / (k * k);
        sum += term;
        k += 1.0;
    }
    sum
}

/// Solves `matrix`·x = `right` by elimination with pivoting; a singular unknown comes out 0.
pub fn solve(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let n = right.len();
    for k in 0..n {
        let pivot = (k..n).max_by(|a, b| matrix[*a][k].abs().total_cmp(&matrix[*b][k].abs()));
        let pivot = pivot.unwrap_or(k);
        matrix.swap(k, pivot);
        right.swap(k, pivot);
        if matrix[k][k].abs() < 1e-300 {
            continue;
        }
        for i in k + 1..n {
            let share = matrix[i][k] / matrix[k][k];
            let (above, below) = matrix.split_at_mut(i);
            below[0][k..].iter_mut().zip(&above[k][k..]).for_each(|(x, y)| *x -= share * y);
            right[i] -= share * right[k];
        }
    }
    let mut x = vec![0.0; n];
    for k in (0..n).rev() {
        let known: f64 = (k + 1..n).map(|j| matrix[k][j] * x[j]).sum();
        x[k] = if matrix[k][k].abs() < 1e-300 { 0.0 } else { (right[k] - known) / matrix[k][k] };
    }
    x
}

/// A sum of products over the shorter of two stretches, in `LANES` sums that a compiler can run side
/// by side: one alone would wait for itself.
pub fn dot<T, const LANES: usize>(a: &[T], b: &[T]) -> T
where
    T: Copy + Default + Mul<Output = T> + Add<Output = T> + Sum,
{
    let length = a.len().min(b.len());
    let (a, a_rest) = a[..length].as_chunks::<LANES>();
    let (b, b_rest) = b[..length].as_chunks::<LANES>();
    let mut lanes = [T::default(); LANES];
    for (x, y) in a.iter().zip(b) {
        for lane in 0..LANES {
            lanes[lane] = lanes[lane] + x[lane] * y[lane];
        }
    }
    let rest: T = a_rest.iter().zip(b_rest).map(|(x, y)| *x * *y).sum();
    lanes.into_iter().sum::<T>() + rest
}

/// Lowest and highest of some samples, (`MAX`, `MIN`) where there are none; what is no number is
/// passed over. In lanes that a processor can work on side by side.
pub fn extremes(samples: &[f64]) -> (f64, f64) {
    const LANES: usize = 8;
    let (mut low, mut high) = ([f64::MAX; LANES], [f64::MIN; LANES]);
    for part in samples.chunks(LANES) {
        for ((low, high), x) in low.iter_mut().zip(&mut high).zip(part) {
            *low = if *x < *low { *x } else { *low };
            *high = if *x > *high { *x } else { *high };
        }
    }
    (low.into_iter().fold(f64::MAX, f64::min), high.into_iter().fold(f64::MIN, f64::max))
}
