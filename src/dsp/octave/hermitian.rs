//! Hermitian equations of a few unknowns, by Cholesky's way.

use super::phasor::Phasor;
use num_complex::Complex64;

/// Rows of columns.
pub(super) type Matrix<const N: usize> = [[Complex64; N]; N];

/// Pivots below this share of their diagonal are rounding.
const SINGULAR: f64 = 1e-13;

/// Turns a Hermitian matrix, of which the lower triangle is given, into L with L·Lᴴ = A; answers
/// with how many columns that went well for.
pub(super) fn factor<const N: usize>(a: &mut Matrix<N>, count: usize) -> usize {
    for j in 0..count {
        let diagonal = a[j][j].re;
        let pivot = diagonal - a[j][..j].iter().map(Complex64::norm_sqr).sum::<f64>();
        if pivot.is_nan() || pivot <= SINGULAR * diagonal {
            return j;
        }
        let inverse = 1.0 / pivot.sqrt();
        a[j][j] = (pivot * inverse).into();
        for i in j + 1..count {
            let before = a[i][..j].iter().zip(&a[j][..j]).map(|(x, y)| x * y.conj());
            a[i][j] = (a[i][j] - before.sum::<Complex64>()) * inverse;
        }
    }
    count
}

/// Solves L·y = b in place.
pub(super) fn forward<const N: usize>(l: &Matrix<N>, b: &mut [Complex64; N], count: usize) {
    for i in 0..count {
        for k in 0..i {
            b[i] -= l[i][k] * b[k];
        }
        b[i] /= l[i][i].re;
    }
}

/// Solves Lᴴ·x = y in place.
pub(super) fn backward<const N: usize>(l: &Matrix<N>, y: &mut [Complex64; N], count: usize) {
    for i in (0..count).rev() {
        for k in i + 1..count {
            y[i] -= l[k][i].conj() * y[k];
        }
        y[i] /= l[i][i].re;
    }
}

/// Solves A·x = b in place; false if A is singular.
pub(super) fn solve<const N: usize>(
    a: &mut Matrix<N>,
    b: &mut [Complex64; N],
    count: usize,
) -> bool {
    let regular = factor(a, count) == count;
    if regular {
        forward(a, b, count);
        backward(a, b, count);
    }
    regular
}

/// The power that a solution explains.
pub(super) fn explained(right: &[Complex64], solution: &[Complex64], count: usize) -> f64 {
    right[..count].iter().zip(solution).map(|(right, best)| right.along(*best)).sum()
}
