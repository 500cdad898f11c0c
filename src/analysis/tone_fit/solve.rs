//! A small symmetric positive system, by Cholesky's factors.

/// The solution of `matrix`·x = `right`; only the lower triangle of `matrix` is
/// read. `None` when its columns do not tell the unknowns apart.
pub(super) fn solve(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Option<Vec<f64>> {
    let size = right.len();
    for i in 0..size {
        let diagonal = matrix[i][i];
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| matrix[i][k] * matrix[j][k]).sum();
            let rest = matrix[i][j] - known;
            if i != j {
                matrix[i][j] = rest / matrix[j][j];
            } else if rest > 1e-13 * diagonal {
                matrix[i][i] = rest.sqrt();
            } else {
                return None;
            }
        }
    }
    for i in 0..size {
        let known: f64 = (0..i).map(|k| matrix[i][k] * right[k]).sum();
        right[i] = (right[i] - known) / matrix[i][i];
    }
    for i in (0..size).rev() {
        let known: f64 = (i + 1..size).map(|k| matrix[k][i] * right[k]).sum();
        right[i] = (right[i] - known) / matrix[i][i];
    }
    Some(right)
}
