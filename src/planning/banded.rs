//! Symmetric positive matrices with three bands beside the diagonal, by
//! Cholesky's factors: what a smooth curve through many points needs, in time
//! that grows with the points alone.

/// Bands on either side of the diagonal.
pub(super) const BANDS: usize = 3;

/// A matrix; row i holds its elements (i, i), (i, i − 1) … (i, i − 3).
#[derive(Clone, Debug)]
pub(super) struct Banded(Vec<[f64; BANDS + 1]>);

/// The lower factor of a [`Banded`] matrix, in the same layout.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Factor(Vec<[f64; BANDS + 1]>);

impl Banded {
    /// A matrix of zeros.
    pub(super) fn new(size: usize) -> Self {
        Self(vec![[0.0; BANDS + 1]; size])
    }

    /// Adds `weight` times the outer product of a row whose elements stand from column `from` on.
    pub(super) fn add(&mut self, from: usize, row: &[f64], weight: f64) {
        for i in 0..row.len() {
            for j in 0..=i {
                self.0[from + i][i - j] += weight * row[i] * row[j];
            }
        }
    }

    /// Adds to the diagonal.
    pub(super) fn add_diagonal(&mut self, value: f64) {
        self.0.iter_mut().for_each(|row| row[0] += value);
    }

    /// Its factor; what rounding makes negative counts as barely positive.
    pub(super) fn factor(mut self) -> Factor {
        let a = &mut self.0;
        for i in 0..a.len() {
            for k in (0..=BANDS.min(i)).rev() {
                let j = i - k;
                let reach = (BANDS - k).min(j);
                let known: f64 = (1..=reach).map(|m| a[i][k + m] * a[j][m]).sum();
                let left = a[i][k] - known;
                a[i][k] = if k == 0 { left.max(1e-14).sqrt() } else { left / a[j][0] };
            }
        }
        Factor(self.0)
    }
}

impl Factor {
    /// Solves for `right`.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let l = &self.0;
        let mut x = right.to_vec();
        for i in 0..x.len() {
            let known: f64 = (1..=BANDS.min(i)).map(|k| l[i][k] * x[i - k]).sum();
            x[i] = (x[i] - known) / l[i][0];
        }
        for i in (0..x.len()).rev() {
            let reach = BANDS.min(x.len() - 1 - i);
            let known: f64 = (1..=reach).map(|k| l[i + k][k] * x[i + k]).sum();
            x[i] = (x[i] - known) / l[i][0];
        }
        x
    }

    /// What the inverse makes of `row` on both sides: a variance.
    pub(super) fn variance(&self, row: &[f64]) -> f64 {
        self.solve(row).iter().zip(row).map(|(a, b)| a * b).sum()
    }

    /// Logarithm of the matrix's determinant.
    pub(super) fn log_determinant(&self) -> f64 {
        self.0.iter().map(|row| 2.0 * row[0].ln()).sum()
    }
}
