//! A part taken away from a frame that is factored already (`docs/mechanics.md` §2.7).

use super::SolveError;
use super::assemble::strand_row;
use super::bodies::movement;
use super::factor::{Factored, Lost};
use faer::linalg::solvers::{Llt, Solve};
use faer::{Mat, Side};
use std::borrow::Cow;

/// Least pivot of the small matrix, of 1, that is taken: under it so little is left to hold the part's place that the
/// frame is put together anew, which also tells a mechanism.
const LEAST_PIVOT: f64 = 1e-6;

/// What taking springs away changes in an answer: `K' = K - B Bᵀ`, so `K'⁻¹ f = x + Y C⁻¹ Bᵀ x` with `x = K⁻¹ f`,
/// `Y = K⁻¹ B` and `C = I - Bᵀ Y` (Sherman, Morrison and Woodbury; Golub and Van Loan, *Matrix Computations*, §2.1.4
/// \[from memory\]).
#[derive(Clone)]
pub(super) struct Update {
    b: Mat<f64>,
    y: Mat<f64>,
    core: Llt<f64>,
}

impl Update {
    /// Corrects answers of the whole frame, scaled unknowns.
    pub(super) fn correct(&self, x: &mut Mat<f64>) {
        let moved = self.core.solve(self.b.transpose() * &*x);
        *x += &self.y * moved;
    }
}

impl<'a> Factored<'a> {
    /// The same frame with more supports and strands lost, by an update of the factor instead of a new one.
    ///
    /// The answers are those of [`super::Frame::factor`] to rounding: they are refined and their residual is checked in the
    /// same way. Where a part holds almost alone what it holds, this factors anew.
    ///
    /// # Errors
    ///
    /// As for [`super::Frame::factor`].
    pub fn without(&self, lost: &[Lost]) -> Result<Factored<'a>, SolveError> {
        let mut all = self.lost.clone();
        all.extend(lost.iter().filter(|l| !self.lost.contains(l)));
        let anew = || self.frame.factor(&all);
        if self.update.is_some() || self.stress.is_some() {
            return anew();
        }
        let columns: Vec<Vec<f64>> =
            all.iter().skip(self.lost.len()).flat_map(|l| self.springs(*l)).collect();
        if columns.is_empty() {
            return Ok(Factored { lost: all, ..self.clone() });
        }
        let (n, m) = (self.n, columns.len());
        let mut k = self.k.clone();
        for column in &columns {
            for (i, a) in column.iter().enumerate().filter(|(_, a)| **a != 0.0) {
                for (target, b) in k[i * n..(i + 1) * n].iter_mut().zip(column) {
                    *target -= a * b;
                }
            }
        }
        let b = Mat::from_fn(n, m, |i, j| columns[j][i] * self.scale[i]);
        let y = self.llt.solve(&b);
        let by = b.transpose() * &y;
        let c =
            Mat::from_fn(m, m, |i, j| f64::from(u8::from(i == j)) - f64::midpoint(by[(i, j)], by[(j, i)]));
        match c.llt(Side::Lower) {
            Ok(core) if (0..m).all(|d| core.L()[(d, d)].powi(2) > LEAST_PIVOT) => {
                let update = Some(Update { b, y, core });
                Ok(Factored { lost: all, k, update, ..self.clone() })
            }
            _ => anew(),
        }
    }

    /// The springs of a part over the independent unknowns, each times the root of its stiffness.
    fn springs(&self, lost: Lost) -> Vec<Vec<f64>> {
        let rows: Vec<(Vec<(usize, f64)>, f64)> = match lost {
            Lost::Support(index) => {
                let Some(s) = self.frame.supports.get(index) else { return Vec::new() };
                let rows = movement(&self.bodies, s.node, self.frame.nodes[s.node], &s.axes);
                rows.into_iter().zip(s.k).collect()
            }
            Lost::Strand(index) => {
                let Some(s) = self.frame.strands.get(index) else { return Vec::new() };
                vec![(strand_row(self.frame, &self.bodies, index), s.k_n_per_m)]
            }
        };
        rows.into_iter()
            .filter(|(_, k)| *k > 0.0)
            .map(|(row, k)| {
                let mut full = vec![0.0; self.bodies.count()];
                for (c, v) in row {
                    full[c] += v * k.sqrt();
                }
                self.contract(&full)
            })
            .collect()
    }

    /// Itself, or itself factored anew where it stands on an update: for what needs the factor and not only answers.
    pub(super) fn own(&self) -> Result<Cow<'_, Self>, SolveError> {
        match self.update {
            None => Ok(Cow::Borrowed(self)),
            Some(_) => self.frame.factor(&self.lost).map(Cow::Owned),
        }
    }
}
