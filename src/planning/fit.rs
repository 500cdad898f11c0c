//! Least squares for few unknowns: Levenberg–Marquardt held inside a box
//! (Levenberg 1944, Marquardt 1963; the step is projected onto the bounds).
//!
//! Own code because every fit here needs bounds, which general libraries do
//! not know: with a quality factor free to fall to zero a second-order roll-off
//! imitates a first-order one.

use crate::numeric::solve;

/// What a fit found.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fit {
    /// The unknowns.
    pub(super) at: Vec<f64>,
    /// Sum of the squared residuals.
    pub(super) cost: f64,
    /// Covariance of the unknowns for residuals of variance 1; an unknown held by its bound
    /// counts as known.
    pub(super) covariance: Vec<Vec<f64>>,
}

/// Minimises the squares of `residuals` from `start`, each unknown inside its (low, high).
pub(super) fn fit(
    start: &[f64],
    bounds: &[(f64, f64)],
    residuals: impl Fn(&[f64]) -> Vec<f64>,
) -> Fit {
    let inside =
        |x: &[f64]| -> Vec<f64> { x.iter().zip(bounds).map(|(x, b)| x.clamp(b.0, b.1)).collect() };
    let mut at = inside(start);
    let mut r = residuals(&at);
    let mut cost = square_sum(&r);
    let mut damping = 1e-3;
    for _ in 0..40 {
        let slopes = slopes(&at, bounds, &r, &residuals);
        let (matrix, gradient) = normal(&slopes, &r);
        let free = free(&at, bounds, &gradient);
        let mut better = false;
        for _ in 0..8 {
            let step = solve_free(&matrix, &gradient, &free, damping);
            let next = inside(&at.iter().zip(&step).map(|(x, s)| x - s).collect::<Vec<_>>());
            let next_r = residuals(&next);
            let next_cost = square_sum(&next_r);
            if next_cost < cost {
                better = cost - next_cost > 1e-10 * cost + 1e-14;
                (at, r, cost) = (next, next_r, next_cost);
                damping = (damping * 0.3).max(1e-12);
                break;
            }
            damping *= 5.0;
        }
        if !better {
            break;
        }
    }
    let slopes = slopes(&at, bounds, &r, &residuals);
    let (matrix, gradient) = normal(&slopes, &r);
    let free = free(&at, bounds, &gradient);
    let covariance = (0..at.len())
        .map(|k| {
            let unit: Vec<f64> = (0..at.len()).map(|i| f64::from(i == k && free[k])).collect();
            solve_free(&matrix, &unit, &free, 0.0)
        })
        .collect();
    Fit { at, cost, covariance }
}

fn square_sum(r: &[f64]) -> f64 {
    r.iter().map(|x| x * x).sum()
}

/// Differences of the residuals for a small step of each unknown, away from a near bound.
fn slopes(
    at: &[f64],
    bounds: &[(f64, f64)],
    r: &[f64],
    residuals: &impl Fn(&[f64]) -> Vec<f64>,
) -> Vec<Vec<f64>> {
    (0..at.len())
        .map(|k| {
            let size = 1e-6 * at[k].abs().max(1.0);
            let step = if at[k] + size > bounds[k].1 { -size } else { size };
            let mut moved = at.to_vec();
            moved[k] += step;
            residuals(&moved).iter().zip(r).map(|(a, b)| (a - b) / step).collect()
        })
        .collect()
}

fn normal(slopes: &[Vec<f64>], r: &[f64]) -> (Vec<Vec<f64>>, Vec<f64>) {
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let matrix = slopes.iter().map(|a| slopes.iter().map(|b| dot(a, b)).collect()).collect();
    (matrix, slopes.iter().map(|a| dot(a, r)).collect())
}

/// Which unknowns may move: not those that would leave the box.
fn free(at: &[f64], bounds: &[(f64, f64)], gradient: &[f64]) -> Vec<bool> {
    at.iter()
        .zip(bounds)
        .zip(gradient)
        .map(|((x, b), g)| !(*x <= b.0 && *g > 0.0 || *x >= b.1 && *g < 0.0))
        .collect()
}

fn solve_free(matrix: &[Vec<f64>], right: &[f64], free: &[bool], damping: f64) -> Vec<f64> {
    let which: Vec<usize> = (0..free.len()).filter(|&i| free[i]).collect();
    let cell = |i: usize, j: usize| {
        let damp = if i == j { 1.0 + damping } else { 1.0 };
        matrix[i][j] * damp + f64::from(i == j) * 1e-12
    };
    let part = which.iter().map(|&i| which.iter().map(|&j| cell(i, j)).collect()).collect();
    let solved = solve(part, which.iter().map(|&i| right[i]).collect());
    let mut x = vec![0.0; free.len()];
    which.iter().zip(solved).for_each(|(&i, value)| x[i] = value);
    x
}
