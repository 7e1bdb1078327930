//! The factor on a state's forces at which a frame buckles (`docs/mechanics.md` §2.10).

use super::assemble::{expand, reduce};
use super::bodies::{movement, node_movement};
use super::error::SolveError;
use super::factor::{Factored, Lost};
use super::lanczos;
use super::model::FrameError;
use super::stress::Stress;
use faer::linalg::triangular_solve::{solve_lower_triangular_in_place, solve_upper_triangular_in_place};
use faer::{Mat, Par, Side};
use glam::DVec3;

/// How a frame buckles under the forces of a state.
#[derive(Clone, Debug)]
pub struct Critical {
    /// `alpha_cr`: the state's forces times this make the frame buckle.
    pub factor: f64,
    /// Movement of each node, scaled so that the largest is 1.
    pub shape: Vec<DVec3>,
    /// Movement of the bodies, scaled so that its elastic work `uᵀ K u` is 1.
    u: Vec<f64>,
}

/// An inverse factor under this share of the largest (of either sign) is rounding: some `n` times 1e-16.
const ROUNDING: f64 = 1e-11;
/// A factor above this is no buckling that anyone asks for.
const NEVER: f64 = 1e9;

/// An answer by iteration is proved by what is still stiff this share under it.
const PROOF: f64 = 1e-6;

impl Factored<'_> {
    /// The least factor `alpha > 0` with `det(K + alpha Kg) = 0`; `None` where the forces only stiffen the frame.
    ///
    /// `K phi = -alpha Kg phi` is solved as the largest eigenvalue `1/alpha` of `-L⁻¹ Kg L⁻ᵀ` with `K = L Lᵀ`. `K` is positive
    /// definite, so all eigenvalues are real whatever the signs in `Kg`. The largest is found by iteration and proved: just
    /// under `alpha` the matrix `K + alpha Kg` still has a Cholesky factor, so no lower factor was missed. Without that proof
    /// all eigenvalues are worked out.
    ///
    /// # Errors
    ///
    /// [`SolveError::Frame`] if a force is no number; [`SolveError::Residual`] where the eigenvalues cannot be found.
    pub fn critical(&self, stress: &Stress) -> Result<Option<Critical>, SolveError> {
        if self.update.is_some() {
            return self.own()?.critical(stress);
        }
        let minus = self.minus_geometric(stress)?;
        let found =
            match self.by_iteration(&minus).filter(|(mu, _)| self.is_stiff_at(&minus, (1.0 - PROOF) / mu)) {
                Some(found) => Some(found),
                None => self.by_all(minus)?,
            };
        Ok(found.map(|(mu, psi)| self.critical_of(mu, &psi)))
    }

    /// Largest eigenvalue and vector by Lanczos; `None` where it is not positive or does not settle.
    fn by_iteration(&self, minus: &Mat<f64>) -> Option<(f64, Vec<f64>)> {
        let l = self.lower();
        let (mu, psi) = lanczos::largest(self.n, |v| {
            let mut x = Mat::from_fn(v.len(), 1, |i, _| v[i]);
            solve_upper_triangular_in_place(l.transpose(), x.as_mut(), Par::Seq);
            let mut y = minus * &x;
            solve_lower_triangular_in_place(l, y.as_mut(), Par::Seq);
            (0..v.len()).map(|i| y[(i, 0)]).collect()
        })?;
        (mu * NEVER > 1.0).then_some((mu, psi))
    }

    /// Whether `K + alpha Kg` is positive definite: then it is so all the way from 0.
    fn is_stiff_at(&self, minus: &Mat<f64>, alpha: f64) -> bool {
        let (n, scale) = (self.n, self.scaling());
        let sum = Mat::from_fn(n, n, |i, j| self.k[i * n + j] * scale[i] * scale[j] - alpha * minus[(i, j)]);
        sum.llt(Side::Lower).is_ok()
    }

    /// `-Kg` of the frame as it is solved.
    fn minus_geometric(&self, stress: &Stress) -> Result<Mat<f64>, SolveError> {
        if !stress.is_finite() {
            return Err(FrameError::BadNumber.into());
        }
        let (n, full) = (self.n, self.bodies.count());
        let (kg, _) = reduce(self.geometric_full(stress), full, self.elimination.as_ref());
        if !kg.iter().all(|v| v.is_finite()) {
            return Err(SolveError::Residual { relative: f64::INFINITY });
        }
        let scale = self.scaling();
        Ok(Mat::from_fn(n, n, |i, j| -kg[i * n + j] * scale[i] * scale[j]))
    }

    /// Whether the least factor of a state's forces is over `alpha`, not negative: one Cholesky factor of `K + alpha Kg` says so.
    ///
    /// # Errors
    ///
    /// As [`Self::critical`].
    pub fn stands(&self, stress: &Stress, alpha: f64) -> Result<bool, SolveError> {
        if self.update.is_some() {
            return self.own()?.stands(stress, alpha);
        }
        Ok(self.is_stiff_at(&self.minus_geometric(stress)?, alpha))
    }

    /// Largest eigenvalue and vector out of all of them; `None` where it is not positive.
    fn by_all(&self, mut a: Mat<f64>) -> Result<Option<(f64, Vec<f64>)>, SolveError> {
        let (n, l) = (self.n, self.lower());
        solve_lower_triangular_in_place(l, a.as_mut(), Par::Seq);
        let mut a = a.transpose().to_owned();
        solve_lower_triangular_in_place(l, a.as_mut(), Par::Seq);
        let a = Mat::from_fn(n, n, |i, j| f64::midpoint(a[(i, j)], a[(j, i)]));
        let lost = || SolveError::Residual { relative: f64::INFINITY };
        let eigen = a.self_adjoint_eigen(Side::Lower).map_err(|_| lost())?;
        let Some(last) = n.checked_sub(1) else { return Ok(None) };
        let (least, mu) = (eigen.S()[0], eigen.S()[last]);
        if !mu.is_finite() {
            return Err(lost());
        }
        let buckles = mu > ROUNDING * least.abs() && mu * NEVER > 1.0;
        Ok(buckles.then(|| (mu, (0..n).map(|i| eigen.U()[(i, last)]).collect())))
    }

    /// The shape that belongs to an eigenvector.
    fn critical_of(&self, mu: f64, psi: &[f64]) -> Critical {
        let mut phi = Mat::from_fn(self.n, 1, |i, _| psi[i]);
        solve_upper_triangular_in_place(self.lower().transpose(), phi.as_mut(), Par::Seq);
        let q: Vec<f64> = self.scaling().iter().enumerate().map(|(i, s)| phi[(i, 0)] * s).collect();
        let u = expand(self.elimination.as_ref(), self.bodies.count(), &q);
        let shape: Vec<DVec3> = (0..self.frame.nodes.len())
            .map(|node| node_movement(self.frame, &self.bodies, &u, node).0)
            .collect();
        let largest = shape.iter().map(|s| s.length()).fold(0.0, f64::max);
        let shape = shape.into_iter().map(|s| if largest > 0.0 { s / largest } else { s }).collect();
        Critical { factor: 1.0 / mu, shape, u }
    }

    /// How much of a shape's elastic work is in the supports, from 0 to 1: near 1 the frame tips on its feet as a whole.
    pub fn support_share(&self, shape: &Critical) -> f64 {
        if shape.u.len() != self.bodies.count() {
            return f64::NAN;
        }
        let mut sum = 0.0;
        for (index, s) in self.frame.supports.iter().enumerate() {
            if !self.lost.contains(&Lost::Support(index)) {
                let rows = movement(&self.bodies, s.node, self.frame.nodes[s.node], &s.axes);
                for (row, k) in rows.iter().zip(s.k) {
                    let d: f64 = row.iter().map(|(c, v)| shape.u[*c] * v).sum();
                    sum += k * d * d;
                }
            }
        }
        sum
    }

    /// A bound from above on another state's critical factor: that of this shape (Rayleigh's quotient); `None` where the
    /// state's forces hold the shape back.
    ///
    /// The shape must be of this frame. The bound is exact for the state that the shape belongs to.
    pub fn bound(&self, shape: &Critical, stress: &Stress) -> Option<f64> {
        let work = -self.shape_work(shape, stress);
        (work > 0.0).then(|| 1.0 / work)
    }

    /// `uᵀ Kg u` of a shape whose elastic work is 1: linear in the stress, and minus the inverse of [`Self::bound`].
    pub fn shape_work(&self, shape: &Critical, stress: &Stress) -> f64 {
        if shape.u.len() == self.bodies.count() { self.geometric_work(stress, &shape.u) } else { f64::NAN }
    }
}
