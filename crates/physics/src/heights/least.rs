//! Least squares over a handful of unknowns, without allocation.

/// The normal equations of `sum w (row . x - value)^2`, gathered row by row.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Normal<const N: usize> {
    matrix: [[f64; N]; N],
    right: [f64; N],
}

impl<const N: usize> Normal<N> {
    pub(crate) const fn new() -> Self {
        Self {
            matrix: [[0.0; N]; N],
            right: [0.0; N],
        }
    }

    /// Adds one row with its weight.
    pub(crate) fn add(&mut self, row: [f64; N], value: f64, weight: f64) {
        for ((line, right), a) in self.matrix.iter_mut().zip(&mut self.right).zip(row) {
            for (cell, b) in line.iter_mut().zip(row) {
                *cell += weight * a * b;
            }
            *right += weight * a * value;
        }
    }

    /// The sums of each unknown's own squares.
    pub(crate) fn diagonal(&self) -> [f64; N] {
        let mut out = [0.0; N];
        for (i, (cell, line)) in out.iter_mut().zip(&self.matrix).enumerate() {
            *cell = line.get(i).copied().unwrap_or(0.0);
        }
        out
    }

    /// The solution. None when the rows do not fix every unknown.
    pub(crate) fn solve(&self) -> Option<[f64; N]> {
        self.solve_for(self.right)
    }

    /// The solution for another right-hand side, `sum w row value`.
    // Indices keep the two triangular sweeps readable; all run below N.
    #[allow(clippy::needless_range_loop)]
    pub(crate) fn solve_for(&self, right: [f64; N]) -> Option<[f64; N]> {
        let lower = self.cholesky()?;
        let mut x = right;
        for i in 0..N {
            for j in 0..i {
                x[i] -= lower[i][j] * x[j];
            }
            x[i] /= lower[i][i];
        }
        for i in (0..N).rev() {
            for j in i + 1..N {
                x[i] -= lower[j][i] * x[j];
            }
            x[i] /= lower[i][i];
        }
        x.iter().all(|v| v.is_finite()).then_some(x)
    }

    /// The inverse of the matrix: the covariance of the unknowns when the weights are inverse variances.
    pub(crate) fn inverse(&self) -> Option<[[f64; N]; N]> {
        let mut out = [[0.0; N]; N];
        for (i, column) in out.iter_mut().enumerate() {
            let mut unit = [0.0; N];
            if let Some(one) = unit.get_mut(i) {
                *one = 1.0;
            }
            *column = self.solve_for(unit)?;
        }
        Some(out)
    }

    #[allow(clippy::needless_range_loop)]
    fn cholesky(&self) -> Option<[[f64; N]; N]> {
        let mut lower = [[0.0; N]; N];
        for i in 0..N {
            for j in 0..=i {
                let mut sum = self.matrix[i][j];
                for k in 0..j {
                    sum -= lower[i][k] * lower[j][k];
                }
                if i == j {
                    // A pivot that is all rounding means a combination of unknowns that no row fixes. Written so that
                    // a NaN fails too.
                    let fixed = sum > 1e-12 * self.matrix[i][i] && sum.is_finite();
                    if !fixed {
                        return None;
                    }
                    lower[i][i] = sum.sqrt();
                } else {
                    lower[i][j] = sum / lower[j][j];
                }
            }
        }
        Some(lower)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_through_points_and_its_inverse() {
        let mut n = Normal::<3>::new();
        for (x, y) in [(0.0, 1.0), (1.0, 0.5), (2.0, -1.0), (3.0, 4.0)] {
            n.add([1.0, x, y], 2.0 - 3.0 * x + 0.5 * y, 1.5);
        }
        let x = n.solve().unwrap();
        for (got, wanted) in x.iter().zip([2.0, -3.0, 0.5]) {
            assert!((got - wanted).abs() < 1e-12);
        }
        let inverse = n.inverse().unwrap();
        for (i, line) in n.matrix.iter().enumerate() {
            for (j, column) in inverse.iter().enumerate() {
                let sum: f64 = line.iter().zip(column).map(|(a, b)| a * b).sum();
                assert!((sum - f64::from(u8::from(i == j))).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn what_is_not_fixed_is_not_answered() {
        let mut n = Normal::<2>::new();
        n.add([1.0, 2.0], 1.0, 1.0);
        assert_eq!(n.solve(), None);
        n.add([f64::NAN, 2.0], 1.0, 1.0);
        assert_eq!(n.solve(), None);
    }
}
