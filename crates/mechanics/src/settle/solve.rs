//! Symmetric systems of up to seven unknowns: normal equations, scaled to a unit diagonal.

use faer::linalg::solvers::{Llt, Solve};
use faer::{Mat, Side};

/// Most unknowns.
pub(super) const MOST: usize = 7;

/// A vector; entries past the count are zero.
pub(super) type Column = [f64; MOST];

/// Symmetric positive definite matrix of the first `n` rows and columns.
#[derive(Debug, Clone, Copy)]
pub(super) struct Square {
    pub(super) n: usize,
    pub(super) a: [Column; MOST],
}

impl Square {
    pub(super) fn zero(n: usize) -> Self {
        Self { n: n.min(MOST), a: [[0.0; MOST]; MOST] }
    }

    /// Adds `j jᵀ`.
    pub(super) fn add(&mut self, j: &Column) {
        for (row, ji) in self.a.iter_mut().zip(j).take(self.n) {
            for (a, jk) in row.iter_mut().zip(j).take(self.n) {
                *a += ji * jk;
            }
        }
    }

    /// The matrix scaled to a unit diagonal, factored, and the scales; `None` when it is as good as singular.
    fn factor(&self) -> Option<(Llt<f64>, Column)> {
        let mut scale = [0.0; MOST];
        for (i, s) in scale.iter_mut().enumerate().take(self.n) {
            let d = self.a[i][i];
            if !(d > 0.0 && d.is_finite()) {
                return None;
            }
            *s = 1.0 / d.sqrt();
        }
        let scaled = Mat::from_fn(self.n, self.n, |i, k| self.a[i][k] * scale[i] * scale[k]);
        let llt = scaled.llt(Side::Lower).ok()?;
        // Of a unit diagonal this much must be left, else two unknowns cannot be told apart.
        let apart = (0..self.n).all(|i| llt.L()[(i, i)].powi(2) > 1e-13);
        apart.then_some((llt, scale))
    }

    /// Solves `A x = b`.
    pub(super) fn solve(&self, b: &Column) -> Option<Column> {
        let (llt, scale) = self.factor()?;
        let y = llt.solve(Mat::from_fn(self.n, 1, |i, _| b[i] * scale[i]));
        let mut x = [0.0; MOST];
        for (i, x) in x.iter_mut().enumerate().take(self.n) {
            *x = y[(i, 0)] * scale[i];
        }
        x.iter().all(|v| v.is_finite()).then_some(x)
    }

    /// The inverse.
    pub(super) fn inverse(&self) -> Option<Self> {
        let mut out = Self::zero(self.n);
        for i in 0..self.n {
            let mut unit = [0.0; MOST];
            unit[i] = 1.0;
            out.a[i] = self.solve(&unit)?;
        }
        Some(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_solved_gives_the_right_side_again() {
        let mut a = Square::zero(5);
        for k in 0..9 {
            let mut j = [0.0; MOST];
            for (i, v) in j.iter_mut().enumerate().take(5) {
                *v = f64::from(k * (k + 3) + 1).sqrt().sin() * 10_f64.powi(i32::try_from(i).unwrap() - 2)
                    + (f64::from(k) * (i as f64 + 1.0)).cos() * 10_f64.powi(i32::try_from(i).unwrap() - 2);
            }
            a.add(&j);
        }
        let b = [1.0, -2.0, 3.0, 0.5, 7.0, 0.0, 0.0];
        let x = a.solve(&b).unwrap();
        let inverse = a.inverse().unwrap();
        for (i, want) in b.into_iter().enumerate().take(5) {
            let row: f64 = (0..5).map(|k| a.a[i][k] * x[k]).sum();
            // Scaled to a unit diagonal the matrix is well conditioned: some digits are lost, not nine.
            assert!((row - want).abs() < 1e-7, "{row} {want}");
            let one: f64 = (0..5).map(|k| a.a[i][k] * inverse.a[k][i]).sum();
            assert!((one - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn unknowns_that_cannot_be_told_apart_give_nothing() {
        let mut a = Square::zero(2);
        for k in 0..5 {
            let v = f64::from(k);
            a.add(&[v, 2.0 * v, 0.0, 0.0, 0.0, 0.0, 0.0]);
        }
        assert!(a.solve(&[1.0; MOST]).is_none());
        assert!(Square::zero(2).inverse().is_none());
    }
}
