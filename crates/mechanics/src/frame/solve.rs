//! Answers to loads, checked by their residual (`docs/mechanics.md` §2.7).

use super::assemble::expand;
use super::error::SolveError;
use super::factor::Factored;
use super::model::Load;
use super::solution::Solution;
use faer::linalg::solvers::Solve;
use faer::{Mat, MatRef};

/// Largest residual, as a share of the largest load, that an answer may have.
const RESIDUAL_LIMIT: f64 = 1e-8;

impl Factored<'_> {
    /// Answers to any number of loads at once.
    ///
    /// # Errors
    ///
    /// [`SolveError::Frame`] if a load is no number or names a part that is not there; [`SolveError::Residual`] if an answer
    /// misses equilibrium by more than `1e-8` of its largest load.
    pub fn solve(&self, loads: &[Load]) -> Result<Solution<'_>, SolveError> {
        loads.iter().try_for_each(|l| l.check(self.frame))?;
        let full = self.bodies.count();
        let rhs: Vec<Vec<f64>> = loads.iter().map(|l| self.right_hand_side(l)).collect();
        let reduced: Vec<Vec<f64>> = rhs.iter().map(|f| self.contract(f)).collect();
        let mut x = self.back(&reduced);
        let mut residual = self.residual(&reduced, &x);
        let correction = self.back(&residual);
        for (q, d) in x.iter_mut().zip(&correction) {
            for (a, b) in q.iter_mut().zip(d) {
                *a += b;
            }
        }
        residual = self.residual(&reduced, &x);
        let mut worst = 0.0_f64;
        for (f, r) in reduced.iter().zip(&residual) {
            // `max` passes over a NaN, so the numbers are looked at one by one.
            if !f.iter().chain(r).all(|v| v.is_finite()) {
                return Err(SolveError::Residual { relative: f64::INFINITY });
            }
            let size = f.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
            let miss = r.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
            worst = worst.max(if size > 0.0 { miss / size } else { 0.0 });
        }
        if worst > RESIDUAL_LIMIT {
            return Err(SolveError::Residual { relative: worst });
        }
        let u = x.iter().map(|q| expand(self.elimination.as_ref(), full, q)).collect();
        Ok(Solution { of: self, loads: loads.to_vec(), u, worst_residual: worst })
    }

    fn back(&self, rhs: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let b = Mat::from_fn(self.n, rhs.len(), |i, j| rhs[j][i] * self.scale[i]);
        let mut y = self.llt.solve(&b);
        if let Some(update) = &self.update {
            update.correct(&mut y);
        }
        (0..rhs.len()).map(|j| (0..self.n).map(|i| y[(i, j)] * self.scale[i]).collect()).collect()
    }

    fn residual(&self, rhs: &[Vec<f64>], x: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let k = MatRef::from_row_major_slice(&self.k, self.n, self.n);
        let moved = Mat::from_fn(self.n, x.len(), |i, j| x[j][i]);
        let held = k * moved;
        rhs.iter().enumerate().map(|(j, f)| (0..self.n).map(|i| f[i] - held[(i, j)]).collect()).collect()
    }

    pub(super) fn contract(&self, f: &[f64]) -> Vec<f64> {
        match &self.elimination {
            None => f.to_vec(),
            Some(e) => (0..e.width)
                .map(|j| f.iter().enumerate().map(|(i, v)| e.t[i * e.width + j] * v).sum())
                .collect(),
        }
    }
}
