//! Linear equations of a symmetric, positive matrix.

/// The solution of `matrix`·x = `right`, by Cholesky's decomposition.
#[expect(clippy::indexing_slicing, reason = "rows and columns of one length")]
pub(crate) fn solve(matrix: &[Vec<f64>], right: &[f64]) -> Vec<f64> {
    let count = right.len();
    let mut lower = vec![vec![0.0; count]; count];
    let mut x = right.to_vec();
    for i in 0..count {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let rest = matrix[i][j] - known;
            lower[i][j] = if i == j { rest.max(f64::MIN_POSITIVE).sqrt() } else { rest / lower[j][j] };
        }
        let known: f64 = (0..i).map(|k| lower[i][k] * x[k]).sum();
        x[i] = (x[i] - known) / lower[i][i];
    }
    for i in (0..count).rev() {
        let known: f64 = (i + 1..count).map(|k| lower[k][i] * x[k]).sum();
        x[i] = (x[i] - known) / lower[i][i];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 4x + 2y = 8 and 2x + 3y = 8 have x = 1, y = 2.
    #[test]
    fn two_equations() {
        let x = solve(&[vec![4.0, 2.0], vec![2.0, 3.0]], &[8.0, 8.0]);
        assert!((x[0] - 1.0).abs() < 1e-15 && (x[1] - 2.0).abs() < 1e-15);
    }
}
