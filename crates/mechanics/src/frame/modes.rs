//! Natural frequencies of a frame with its masses.

use super::beam;
use super::error::SolveError;
use super::factor::{Factored, node_movement_of};
use super::model::Frame;
use core::f64::consts::TAU;
use faer::linalg::triangular_solve::solve_lower_triangular_in_place;
use faer::{Mat, Par, Side};
use glam::DVec3;

/// One way of shaking.
#[derive(Clone, Debug)]
pub struct Mode {
    /// Hz.
    pub frequency_hz: f64,
    /// Movement of each node, scaled so that the largest is 1.
    pub shape: Vec<DVec3>,
}

/// Eigenvalue, as a share of the largest, under which a movement has no mass: rounding leaves some `n` times 1e-16, a few
/// 1e-14 for a rig; a real mode above 3e6 times the lowest frequency would be needed to fall under it.
const NO_MASS: f64 = 1e-13;

impl Factored<'_> {
    /// The `count` lowest natural frequencies, with consistent mass of the members and the lumps as points.
    ///
    /// `K phi = (2 pi f)² M phi`, solved as the largest eigenvalues of `L⁻¹ M L⁻ᵀ` with `K = L Lᵀ`, which needs no
    /// positive mass at every node. Movements without mass are no modes, so there can be fewer than `count`.
    ///
    /// # Errors
    ///
    /// [`SolveError::Residual`] where the eigenvalues cannot be found.
    pub fn modes(&self, count: usize) -> Result<Vec<Mode>, SolveError> {
        self.own()?.own_modes(count)
    }

    fn own_modes(&self, count: usize) -> Result<Vec<Mode>, SolveError> {
        let mut modes = Vec::new();
        for (frequency_hz, q) in self.unit_modes(count)? {
            let shape = node_movement_of(self, &q);
            let largest = shape.iter().map(|s| s.length()).fold(0.0, f64::max);
            let shape = shape.into_iter().map(|s| if largest > 0.0 { s / largest } else { s }).collect();
            modes.push(Mode { frequency_hz, shape });
        }
        Ok(modes)
    }

    /// The `count` lowest frequencies, Hz, each with its movement over the independent unknowns, scaled so that `qᵀ M q = 1`.
    pub(super) fn unit_modes(&self, count: usize) -> Result<Vec<(f64, Vec<f64>)>, SolveError> {
        let n = self.unknowns();
        let m = self.mass_matrix();
        let scale = self.scaling();
        let mut a = Mat::from_fn(n, n, |i, j| m[i * n + j] * scale[i] * scale[j]);
        let l = self.lower();
        solve_lower_triangular_in_place(l, a.as_mut(), Par::Seq);
        let mut a = a.transpose().to_owned();
        solve_lower_triangular_in_place(l, a.as_mut(), Par::Seq);
        let a = Mat::from_fn(n, n, |i, j| f64::midpoint(a[(i, j)], a[(j, i)]));
        let eigen = a
            .self_adjoint_eigen(Side::Lower)
            .map_err(|_| SolveError::Residual { relative: f64::INFINITY })?;
        let mut modes = Vec::new();
        let least = (0..n).map(|k| eigen.S()[k]).fold(0.0, f64::max) * NO_MASS;
        for k in (0..n).rev().take(count) {
            let mu = eigen.S()[k];
            if mu <= least || !mu.is_finite() {
                break;
            }
            // phi = L⁻ᵀ psi, back through the scaling; phiᵀ K phi = 1, so phiᵀ M phi = mu.
            let mut psi = Mat::from_fn(n, 1, |i, _| eigen.U()[(i, k)]);
            faer::linalg::triangular_solve::solve_upper_triangular_in_place(
                l.transpose(),
                psi.as_mut(),
                Par::Seq,
            );
            let unit = 1.0 / mu.sqrt();
            let q: Vec<f64> = (0..n).map(|i| psi[(i, 0)] * scale[i] * unit).collect();
            modes.push((1.0 / (TAU * mu.sqrt()), q));
        }
        Ok(modes)
    }
}

/// Element masses and lumps as `(rows, matrix)` pairs are put together by the solver; this gives one element's.
pub(crate) fn member_mass(frame: &Frame, member: usize) -> beam::Element {
    beam::mass(&frame.members[member].beam, frame.member_length(member))
}
