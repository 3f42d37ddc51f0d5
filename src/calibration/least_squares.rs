//! Levenberg–Marquardt for a few unknowns: small and dense, independent of the focus law.
//!
//! Source: D. W. Marquardt, "An algorithm for least-squares estimation of nonlinear parameters", J. SIAM 11 (1963)
//! 431-441: damped normal equations whose damping is scaled by their own diagonal.

/// Unknowns of a fit.
pub(super) type Vector<const N: usize> = [f64; N];
/// A matrix over the unknowns.
pub(super) type Matrix<const N: usize> = [[f64; N]; N];

/// One weighted residual, in standard errors, and its slope along each unknown.
#[derive(Clone, Copy, Debug)]
pub(super) struct Observation<const N: usize> {
    pub residual: f64,
    pub slope: Vector<N>,
}

/// Where the sum of squares is least.
#[derive(Clone, Debug)]
pub(super) struct Minimum<const N: usize> {
    pub at: Vector<N>,
    pub chi_square: f64,
    /// Inverse of the normal equations: variances and covariances in absolute terms.
    pub covariance: Matrix<N>,
}

/// Steps after which a fit that has not converged is given up; well-posed fits take about ten.
const STEP_LIMIT: usize = 200;

/// Minimises the squares of `rows` from `start`. `rows` gives `None` where the model does not exist, which ends a
/// step but not the search. `None` when the start is such a place or the equations are singular.
pub(super) fn minimise<const N: usize>(
    start: Vector<N>,
    rows: impl Fn(&Vector<N>) -> Option<Vec<Observation<N>>>,
) -> Option<Minimum<N>> {
    let mut at = start;
    let mut current = rows(&at)?;
    let mut chi_square = sum_of_squares(&current);
    let mut damping = 1e-3;
    for _ in 0..STEP_LIMIT {
        let (normal, gradient) = normal_equations(&current);
        let mut damped = normal;
        for (i, row) in damped.iter_mut().enumerate() {
            row[i] += damping * normal[i][i];
        }
        let step = inverse(&damped).map(|inverse| times(&inverse, &gradient));
        let trial = step.map(|step| std::array::from_fn(|i| at[i] - step[i]));
        let tried = trial.and_then(|trial| rows(&trial).map(|rows| (trial, rows)));
        match tried {
            Some((trial, trial_rows)) if sum_of_squares(&trial_rows) <= chi_square => {
                let fallen = chi_square - sum_of_squares(&trial_rows);
                at = trial;
                current = trial_rows;
                chi_square -= fallen;
                damping = (damping * 0.1).max(1e-12);
                if fallen <= 1e-11 * (1.0 + chi_square) && damping <= 1e-4 {
                    break;
                }
            }
            _ if damping > 1e12 => break,
            _ => damping *= 10.0,
        }
    }
    let covariance = inverse(&normal_equations(&current).0)?;
    Some(Minimum { at, chi_square, covariance })
}

fn sum_of_squares<const N: usize>(rows: &[Observation<N>]) -> f64 {
    rows.iter().map(|row| row.residual * row.residual).sum()
}

fn normal_equations<const N: usize>(rows: &[Observation<N>]) -> (Matrix<N>, Vector<N>) {
    let mut normal = [[0.0; N]; N];
    let mut gradient = [0.0; N];
    for row in rows {
        for (i, slope) in row.slope.iter().enumerate() {
            gradient[i] += slope * row.residual;
            for (sum, other) in normal[i].iter_mut().zip(&row.slope) {
                *sum += slope * other;
            }
        }
    }
    (normal, gradient)
}

pub(super) fn times<const N: usize>(matrix: &Matrix<N>, vector: &Vector<N>) -> Vector<N> {
    std::array::from_fn(|i| (0..N).map(|j| matrix[i][j] * vector[j]).sum())
}

/// `vector' matrix vector`: the variance of a quantity with this slope along each unknown.
pub(super) fn quadratic<const N: usize>(matrix: &Matrix<N>, vector: &Vector<N>) -> f64 {
    times(matrix, vector).iter().zip(vector).map(|(a, b)| a * b).sum()
}

/// Inverse of a symmetric positive matrix, scaled to a unit diagonal first, by elimination with pivoting.
pub(super) fn inverse<const N: usize>(matrix: &Matrix<N>) -> Option<Matrix<N>> {
    let mut scale = [0.0; N];
    for i in 0..N {
        scale[i] = matrix[i][i].sqrt().recip();
        if !scale[i].is_finite() {
            return None;
        }
    }
    let mut left: Matrix<N> = std::array::from_fn(|i| std::array::from_fn(|j| matrix[i][j] * scale[i] * scale[j]));
    let mut right: Matrix<N> = std::array::from_fn(|i| std::array::from_fn(|j| if i == j { 1.0 } else { 0.0 }));
    for column in 0..N {
        let pivot = (column..N).max_by(|a, b| left[*a][column].abs().total_cmp(&left[*b][column].abs()))?;
        left.swap(column, pivot);
        right.swap(column, pivot);
        let divisor = left[column][column];
        if divisor.abs() < 1e-15 {
            return None;
        }
        for j in 0..N {
            left[column][j] /= divisor;
            right[column][j] /= divisor;
        }
        for i in (0..N).filter(|i| *i != column) {
            let factor = left[i][column];
            for j in 0..N {
                left[i][j] -= factor * left[column][j];
                right[i][j] -= factor * right[column][j];
            }
        }
    }
    Some(std::array::from_fn(|i| std::array::from_fn(|j| right[i][j] * scale[i] * scale[j])))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    /// y = p0 + p1 x + p2 x^2 + p3 x^3 through `y`, each with unit error.
    fn cubic(y: &[f64]) -> Minimum<4> {
        minimise([0.0; 4], |p| {
            let rows = y.iter().enumerate().map(|(i, y)| {
                let x = i as f64;
                let slope = [1.0, x, x * x, x * x * x];
                Observation { residual: slope.iter().zip(p).map(|(s, p)| s * p).sum::<f64>() - y, slope }
            });
            Some(rows.collect())
        })
        .unwrap()
    }

    #[test]
    fn an_exact_cubic_is_found() {
        let y: Vec<f64> = (0..6).map(f64::from).map(|x| 1.0 - 2.0 * x + 0.5 * x * x + 0.1 * x * x * x).collect();
        let fit = cubic(&y);
        for (found, expected) in fit.at.iter().zip([1.0, -2.0, 0.5, 0.1]) {
            assert_close(*found, expected, 1e-9);
        }
        assert_close(fit.chi_square, 0.0, 1e-15);
    }

    #[test]
    fn the_covariance_is_that_of_a_linear_fit() {
        // numpy 2.4: inv(V.T @ V) for V = vander([0..5], 4, increasing=True)
        let fit = cubic(&[0.0, 1.0, 0.0, 2.0, 1.0, 0.0]);
        assert_close(fit.covariance[0][0], 0.960_317_460_317, 1e-9);
        assert_close(fit.covariance[3][3], 0.015_432_098_765, 1e-9);
    }

    #[test]
    fn a_model_that_does_not_exist_at_the_start_is_given_up() {
        assert!(minimise([0.0; 4], |_| None).is_none());
    }
}
