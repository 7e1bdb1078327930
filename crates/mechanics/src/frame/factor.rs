//! A frame factored for one set of losses, or the movement that nothing resists (`docs/mechanics.md` §2.7).

use super::assemble::{Assembly, assemble_stiffness, expand, member_rows, reduce, releases};
use super::bodies::{Bodies, WORLD, node_movement};
use super::eliminate::Elimination;
use super::error::{Mechanism, SolveError};
use super::model::{Frame, FrameError};
use super::reading::Reading;
use super::stress::Stress;
use super::without::Update;
use faer::linalg::solvers::Llt;
use faer::{Mat, Side};
use glam::DVec3;
use std::sync::Arc;

/// A support or strand taken away before solving.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lost {
    /// Support by index.
    Support(usize),
    /// Strand by index, its pretension with it.
    Strand(usize),
}

/// Pivot of the unit-diagonal stiffness under which a movement counts as free. Rounding leaves 1e-16 to 1e-13; a cup on
/// the softest sheet beside the stiffest short tube leaves 1e-8.
const FREE_PIVOT: f64 = 1e-11;

/// A frame whose stiffness is factored for one set of losses.
#[derive(Clone)]
pub struct Factored<'a> {
    pub(super) frame: &'a Frame,
    pub(super) lost: Vec<Lost>,
    pub(super) bodies: Bodies,
    pub(super) elimination: Option<Elimination>,
    /// Forces whose geometric stiffness is in `k`.
    pub(super) stress: Option<Stress>,
    /// Stiffness over the independent unknowns, row-major, unscaled.
    pub(super) k: Vec<f64>,
    pub(super) n: usize,
    pub(super) scale: Vec<f64>,
    pub(super) llt: Arc<Llt<f64>>,
    /// Springs taken away since.
    pub(super) update: Option<Update>,
    pub(super) reading: Arc<Reading>,
}

/// The stiffness scaled to a unit diagonal, its scaling, and its factor if all is held.
struct Scaled {
    matrix: Mat<f64>,
    scale: Vec<f64>,
    llt: Option<Llt<f64>>,
}

fn scaled(k: &[f64], n: usize) -> Scaled {
    let scale: Vec<f64> = (0..n)
        .map(|d| {
            let v = k[d * n + d];
            if v > 0.0 { 1.0 / v.sqrt() } else { 1.0 }
        })
        .collect();
    let matrix = Mat::from_fn(n, n, |i, j| k[i * n + j] * scale[i] * scale[j]);
    let sound = |llt: &Llt<f64>| (0..n).all(|d| llt.L()[(d, d)].powi(2) > FREE_PIVOT);
    let llt = matrix.llt(Side::Lower).ok().filter(sound);
    Scaled { matrix, scale, llt }
}

impl Frame {
    /// Assembles and factors the stiffness with some supports or strands lost.
    ///
    /// # Errors
    ///
    /// [`SolveError::Frame`] for a faulty frame, [`SolveError::Mechanism`] where something can move freely.
    pub fn factor(&self, lost: &[Lost]) -> Result<Factored<'_>, SolveError> {
        self.check()?;
        let bodies = Bodies::new(self);
        let full = bodies.count();
        let k = assemble_stiffness(self, &bodies, lost);
        let elimination = releases(self, &bodies);
        let (k, n) = reduce(k, full, elimination.as_ref());
        if !k.iter().all(|v| v.is_finite()) {
            return Err(FrameError::BadNumber.into());
        }
        let Scaled { matrix, scale, llt } = scaled(&k, n);
        let lost = lost.to_vec();
        match llt {
            Some(llt) => {
                let reading = Arc::new(Reading::of(self, &bodies));
                let (llt, stress, update) = (Arc::new(llt), None, None);
                Ok(Factored {
                    frame: self,
                    lost,
                    bodies,
                    elimination,
                    stress,
                    k,
                    n,
                    scale,
                    llt,
                    update,
                    reading,
                })
            }
            None => Err(SolveError::Mechanism(Box::new(free_movement(
                self,
                &bodies,
                elimination.as_ref(),
                &matrix,
                &scale,
            )))),
        }
    }
}

impl<'a> Factored<'a> {
    /// The same frame under the forces of a state: with the geometric stiffness that they give, so that answers and
    /// frequencies are those of the loaded frame.
    ///
    /// Forces found from answers of this (P-delta) change little with one more round. See [`Stress`] for what counts.
    ///
    /// # Errors
    ///
    /// [`SolveError::Buckled`] where the forces are beyond what buckles the frame, [`SolveError::Frame`] if one is no number.
    pub fn stressed(&self, stress: &Stress) -> Result<Factored<'a>, SolveError> {
        let (kg, n) = reduce(self.geometric_full(stress), self.bodies.count(), self.elimination.as_ref());
        if !stress.is_finite() || !kg.iter().all(|v| v.is_finite()) {
            return Err(FrameError::BadNumber.into());
        }
        let k: Vec<f64> = self.k.iter().zip(&kg).map(|(a, b)| a + b).collect();
        let Scaled { scale, llt, .. } = scaled(&k, n);
        let mut sum = self.stress.clone().unwrap_or_default();
        sum.add(stress, 1.0);
        let llt = Arc::new(llt.ok_or(SolveError::Buckled)?);
        Ok(Factored { stress: Some(sum), k, n, scale, llt, update: None, ..self.clone() })
    }
}

/// The softest movement of a stiffness that would not factor.
fn free_movement(
    frame: &Frame,
    bodies: &Bodies,
    elimination: Option<&Elimination>,
    scaled: &Mat<f64>,
    scale: &[f64],
) -> Mechanism {
    let n = scale.len();
    let q: Vec<f64> = match scaled.self_adjoint_eigen(Side::Lower) {
        Ok(e) => (0..n).map(|d| e.U()[(d, 0)] * scale[d]).collect(),
        Err(_) => vec![1.0; n],
    };
    let u = expand(elimination, bodies.count(), &q);
    let moved: Vec<(DVec3, DVec3)> =
        (0..frame.nodes.len()).map(|node| node_movement(frame, bodies, &u, node)).collect();
    let size = |m: &(DVec3, DVec3)| m.0.length().max(m.1.length());
    let (node, largest) = moved
        .iter()
        .map(size)
        .enumerate()
        .fold((0, 0.0), |best: (usize, f64), (i, s)| if s > best.1 { (i, s) } else { best });
    let largest = if largest > 0.0 { largest } else { 1.0 };
    let moving = (0..moved.len()).filter(|i| size(&moved[*i]) > 0.1 * largest).collect();
    let (slide, turn) = moved.get(node).copied().unwrap_or_default();
    Mechanism { node, slide: slide / largest, turn: turn / largest, moving }
}

impl Factored<'_> {
    /// How many independent unknowns there are.
    pub fn unknowns(&self) -> usize {
        self.n
    }

    /// The stiffness over the independent unknowns, row-major: for tests of symmetry.
    pub fn stiffness(&self) -> &[f64] {
        &self.k
    }

    /// Mass over the independent unknowns, row-major.
    pub(crate) fn mass_matrix(&self) -> Vec<f64> {
        reduce(self.full_mass(), self.bodies.count(), self.elimination.as_ref()).0
    }

    /// Mass over all bodies' unknowns, row-major.
    pub(super) fn full_mass(&self) -> Vec<f64> {
        let frame = self.frame;
        let full = self.bodies.count();
        let mut a = Assembly { bodies: &self.bodies, n: full, k: vec![0.0; full * full] };
        for index in 0..frame.members.len() {
            let rows = member_rows(frame, &self.bodies, index);
            let m = super::modes::member_mass(frame, index);
            a.add(&rows, |i, j| m[i][j]);
        }
        for m in &frame.masses {
            let rows = a.movement(m.node, m.at, &WORLD);
            a.add(&rows[..3], |i, j| if i == j { m.mass_kg } else { 0.0 });
        }
        a.k
    }

    /// Scaling that gives the stiffness a unit diagonal.
    pub(crate) fn scaling(&self) -> &[f64] {
        &self.scale
    }

    /// Lower factor of the scaled stiffness; of [`Self::own`] alone.
    pub(crate) fn lower(&self) -> faer::MatRef<'_, f64> {
        self.llt.L()
    }
}

/// Movement of every node for a vector of independent unknowns.
pub(crate) fn node_movement_of(factored: &Factored<'_>, q: &[f64]) -> Vec<DVec3> {
    let u = expand(factored.elimination.as_ref(), factored.bodies.count(), q);
    (0..factored.frame.nodes.len())
        .map(|node| node_movement(factored.frame, &factored.bodies, &u, node).0)
        .collect()
}
