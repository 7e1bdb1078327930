//! How the forces of all supports and strands change when one of them gives: the columns that a contact answer needs.

use super::contact::LimitError;
use crate::frame::{Frame, Load, Lost, SolveError};
use crate::wrench::Wrench;
use core::fmt;
use glam::DVec3;

/// Largest difference of two entries that must be equal, as a share of the largest entry: what rounding of a solve leaves.
const SYMMETRY_TOL: f64 = 1e-6;

/// Why there are no influences.
#[derive(Clone, Debug, PartialEq)]
pub enum InfluenceError {
    /// The frame has no answer.
    Solve(SolveError),
    /// The matrix given is no influence: a wrong size, a lost number, or not symmetric.
    Matrix(LimitError),
}

impl fmt::Display for InfluenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Solve(e) => e.fmt(f),
            Self::Matrix(e) => e.fmt(f),
        }
    }
}

impl core::error::Error for InfluenceError {}

impl From<SolveError> for InfluenceError {
    fn from(e: SolveError) -> Self {
        Self::Solve(e)
    }
}

/// `A` of a frame: change of all forces per movement of one part, `F = F_linear + A p`.
///
/// ```text
/// support   f = -k (d - p)        p: how far its foot has given (m, rad, its own axes; third axis out of the panel)
/// strand    T = T0 + k (dL + p)   p: by how much it hangs loose, m
/// ```
///
/// A foot that gives by `p` acts on the free rig like the pair `k p` on the node and `k p` in the spring itself. `A` is
/// symmetric (Maxwell and Betti) and costs no negative work: `A = k - k G k` with `G` the give of the rig per unit force. It
/// has `pᵀ A p = 0` for what the rig can follow without strain: where nothing else holds, six movements as one piece.
///
/// # Source
///
/// Settlement of supports by the method of forces; derived in `docs/mechanics.md` §6.4.
#[derive(Clone, Debug, PartialEq)]
pub struct Influence {
    supports: usize,
    strands: usize,
    /// Row-major, six rows a support, then one a strand.
    a: Vec<f64>,
}

impl Influence {
    /// Of a frame with some parts lost: a lost part has nil rows and columns.
    ///
    /// # Errors
    ///
    /// [`InfluenceError`] where the frame can move freely, is at fault, or its answers are not each other's mirror.
    pub fn of(frame: &Frame, lost: &[Lost]) -> Result<Self, InfluenceError> {
        let (supports, strands) = (frame.supports.len(), frame.strands.len());
        let factored = frame.factor(lost)?;
        let mut loads = Vec::with_capacity(6 * supports + strands);
        for (index, s) in frame.supports.iter().enumerate() {
            let there = !lost.contains(&Lost::Support(index));
            for (d, k) in s.k.into_iter().enumerate() {
                let push = s.axes[d % 3] * if there { k } else { 0.0 };
                let w = if d < 3 { Wrench::new(push, DVec3::ZERO) } else { Wrench::new(DVec3::ZERO, push) };
                loads.push(Load { nodal: vec![(s.node, w)], ..Load::default() });
            }
        }
        for (index, s) in frame.strands.iter().enumerate() {
            loads.push(Load { fitted: vec![(index, s.k_n_per_m)], ..Load::default() });
        }
        let solution = factored.solve(&loads)?;
        let n = loads.len();
        let mut a = vec![0.0; n * n];
        for case in 0..n {
            for support in 0..supports {
                for (d, f) in solution.support(case, support).into_iter().enumerate() {
                    a[(6 * support + d) * n + case] = f;
                }
            }
            for strand in 0..strands {
                a[(6 * supports + strand) * n + case] = solution.tension(case, strand);
            }
            // The spring whose foot gives carries `k p` besides what the node's movement asks of it.
            if let Some(s) = frame.supports.get(case / 6)
                && !lost.contains(&Lost::Support(case / 6))
            {
                a[case * n + case] += s.k[case % 6];
            }
        }
        Self::new(supports, strands, a)
    }

    /// From the matrix itself, row-major: six rows a support (force along, across, out of the panel, then the moments), then
    /// one a strand. N/m, N/rad, N m/rad.
    ///
    /// # Errors
    ///
    /// [`InfluenceError::Matrix`] if its size is wrong, a number is not finite, or it is not symmetric.
    pub fn new(supports: usize, strands: usize, mut a: Vec<f64>) -> Result<Self, InfluenceError> {
        let n = 6 * supports + strands;
        let wrong =
            |what, value, needs| InfluenceError::Matrix(LimitError::OutOfRange { what, value, needs });
        if a.len() != n * n {
            #[expect(clippy::cast_precision_loss, reason = "a count to be shown")]
            let value = a.len() as f64;
            return Err(wrong("number of influences", value, "the square of the number of forces"));
        }
        if !a.iter().all(|v| v.is_finite()) {
            return Err(InfluenceError::Matrix(LimitError::NotFinite { what: "influence" }));
        }
        let largest = a.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        for i in 0..n {
            for j in 0..i {
                let (u, v) = (a[i * n + j], a[j * n + i]);
                if (u - v).abs() > SYMMETRY_TOL * largest {
                    return Err(wrong("difference of two mutual influences", u - v, "nil"));
                }
                let mean = f64::midpoint(u, v);
                (a[i * n + j], a[j * n + i]) = (mean, mean);
            }
        }
        Ok(Self { supports, strands, a })
    }

    /// How many supports there are.
    pub fn supports(&self) -> usize {
        self.supports
    }

    /// How many strands there are.
    pub fn strands(&self) -> usize {
        self.strands
    }

    /// How many forces there are: six a support, one a strand.
    pub fn count(&self) -> usize {
        6 * self.supports + self.strands
    }

    /// Change of force `i` per movement `j`; nil where there is none.
    pub fn at(&self, i: usize, j: usize) -> f64 {
        let n = self.count();
        if i < n && j < n { self.a.get(i * n + j).copied().unwrap_or(0.0) } else { 0.0 }
    }

    /// `A p`; a movement that is not given counts as nil.
    pub fn change(&self, p: &[f64]) -> Vec<f64> {
        (0..self.count()).map(|i| p.iter().enumerate().map(|(j, p)| self.at(i, j) * p).sum()).collect()
    }
}
