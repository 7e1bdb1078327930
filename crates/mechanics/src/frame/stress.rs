//! The forces of a state that give a frame its geometric stiffness (`docs/mechanics.md` §2.9).

use super::assemble::{Constraint, assemble_stiffness, constraints};
use super::factor::{Factored, Lost};
use super::geometric::lever;
use super::model::Load;
use super::solution::Solution;
use faer::{Mat, Side};
use glam::DVec3;

/// Forces of one state, linear in its loads: to be summed as loads are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stress {
    /// Tension in each member, N: the mean along it, compression negative.
    pub axial_n: Vec<f64>,
    /// Tension in each strand, N.
    pub strand_n: Vec<f64>,
    /// For each body what the forces on it away from its origin add to the stiffness of its turns, N m per rad.
    pub(super) lever_nm: Vec<[[f64; 3]; 3]>,
}

/// An eigenvalue of the constraints' Gram matrix under this share of the largest is a constraint made twice.
const REDUNDANT: f64 = 1e-10;

fn add_lever(to: &mut [[f64; 3]; 3], with: &[[f64; 3]; 3], factor: f64) {
    for (row, other) in to.iter_mut().zip(with) {
        for (a, b) in row.iter_mut().zip(other) {
            *a += factor * b;
        }
    }
}

fn add_all(to: &mut Vec<f64>, with: &[f64], factor: f64) {
    to.resize(to.len().max(with.len()), 0.0);
    for (a, b) in to.iter_mut().zip(with) {
        *a += factor * b;
    }
}

impl Stress {
    /// Axial forces of the members alone, tension positive.
    pub fn of_axial(axial_n: &[f64]) -> Self {
        Self { axial_n: axial_n.to_vec(), ..Self::default() }
    }

    /// Adds `factor` times another state's forces.
    pub fn add(&mut self, other: &Self, factor: f64) {
        add_all(&mut self.axial_n, &other.axial_n, factor);
        add_all(&mut self.strand_n, &other.strand_n, factor);
        self.lever_nm.resize(self.lever_nm.len().max(other.lever_nm.len()), [[0.0; 3]; 3]);
        for (a, b) in self.lever_nm.iter_mut().zip(&other.lever_nm) {
            add_lever(a, b, factor);
        }
    }

    /// The sum of states, each times its factor.
    pub fn sum(states: &[Self], factors: &[f64]) -> Self {
        let mut out = Self::default();
        for (s, f) in states.iter().zip(factors) {
            out.add(s, *f);
        }
        out
    }

    /// Moves a force that a load gave to a node to where it really acts, m: a weight carried high on the node's body tips it.
    pub fn carry(&mut self, factored: &Factored<'_>, node: usize, force_n: DVec3, at: DVec3) {
        let (Some(body), Some(from)) = (factored.bodies.of.get(node), factored.frame.nodes.get(node)) else {
            return;
        };
        self.lever_nm.resize(self.lever_nm.len().max(body + 1), [[0.0; 3]; 3]);
        if let Some(l) = self.lever_nm.get_mut(*body) {
            add_lever(l, &lever(force_n, at - *from), 1.0);
        }
    }

    /// Whether every number is finite.
    pub fn is_finite(&self) -> bool {
        let numbers = self.axial_n.iter().chain(&self.strand_n);
        numbers.chain(self.lever_nm.iter().flatten().flatten()).all(|v| v.is_finite())
    }
}

/// Forces of the releases' constraints: rows `C`, and the inverse of `C Cᵀ` on what is not made twice.
struct Constraints {
    rows: Vec<Constraint>,
    inverse: Vec<f64>,
}

impl Constraints {
    fn of(factored: &Factored<'_>) -> Option<Self> {
        let rows = constraints(factored.frame, &factored.bodies);
        let n = rows.len();
        if n == 0 {
            return None;
        }
        let dot = |i: usize, j: usize| rows[i].row.iter().zip(&rows[j].row).map(|(a, b)| a * b).sum::<f64>();
        let gram = Mat::from_fn(n, n, dot);
        let e = gram.self_adjoint_eigen(Side::Lower).ok()?;
        let least = e.S()[n - 1].abs() * REDUNDANT;
        let mut inverse = vec![0.0; n * n];
        for k in (0..n).filter(|k| e.S()[*k] > least) {
            for i in 0..n {
                for j in 0..n {
                    inverse[i * n + j] += e.U()[(i, k)] * e.U()[(j, k)] / e.S()[k];
                }
            }
        }
        Some(Self { rows, inverse })
    }

    /// Forces that keep the constraints against the actions `left` that nothing else balances: least in squares.
    fn forces(&self, left: &[f64]) -> Vec<f64> {
        let n = self.rows.len();
        let c: Vec<f64> =
            self.rows.iter().map(|c| -c.row.iter().zip(left).map(|(a, b)| a * b).sum::<f64>()).collect();
        self.inverse.chunks_exact(n).map(|row| row.iter().zip(&c).map(|(a, b)| a * b).sum()).collect()
    }
}

impl Solution<'_> {
    /// The forces of every case as the stress of the frame, to find what they add to its stiffness.
    ///
    /// Forces alone count; a moment given to a node is taken to keep what it does as the node turns. Where joints make a
    /// constraint twice, the smallest forces that keep it stand for it.
    pub fn stresses(&self) -> Vec<Stress> {
        let constraints = Constraints::of(self.of);
        // Only joints that let something go need the whole balance of the bodies.
        let mut k = Vec::new();
        if constraints.is_some() {
            k = assemble_stiffness(self.of.frame, &self.of.bodies, &self.of.lost);
            if let Some(under) = &self.of.stress {
                add_all(&mut k, &self.of.geometric_full(under), 1.0);
            }
        }
        (0..self.loads.len()).map(|case| self.stress_of(case, constraints.as_ref(), &k)).collect()
    }

    fn stress_of(&self, case: usize, constraints: Option<&Constraints>, k: &[f64]) -> Stress {
        let (frame, bodies) = (self.of.frame, &self.of.bodies);
        let load: &Load = &self.loads[case];
        let mut lever_nm = vec![[[0.0; 3]; 3]; bodies.origin.len()];
        let mut act = |body: usize, f: DVec3, at: DVec3| {
            add_lever(&mut lever_nm[body], &lever(f, at - bodies.origin[body]), 1.0);
        };
        let mut axial_n = Vec::with_capacity(frame.members.len());
        for (index, m) in frame.members.iter().enumerate() {
            let (i, j) = self.member_ends(case, index);
            axial_n.push(f64::midpoint(-i[0], j[0]));
            let axes = frame.member_axes(index);
            for (node, f) in [(m.i, i), (m.j, j)] {
                let f = axes[0] * f[0] + axes[1] * f[1] + axes[2] * f[2];
                act(bodies.of[node], -f, frame.nodes[node]);
            }
        }
        for (index, s) in frame.supports.iter().enumerate() {
            let f = self.support(case, index);
            act(
                bodies.of[s.node],
                s.axes[0] * f[0] + s.axes[1] * f[1] + s.axes[2] * f[2],
                frame.nodes[s.node],
            );
        }
        let mut strand_n = Vec::with_capacity(frame.strands.len());
        for (index, s) in frame.strands.iter().enumerate() {
            let pull =
                if self.of.lost.contains(&Lost::Strand(index)) { 0.0 } else { self.tension(case, index) };
            strand_n.push(pull);
            for (p, g) in s.path.iter().zip(s.gradient()) {
                if let Some(node) = p.node {
                    act(bodies.of[node], -g * pull, p.at);
                }
            }
        }
        for m in &frame.masses {
            act(bodies.of[m.node], load.specific_force * m.mass_kg, m.at);
        }
        for (node, w) in &load.nodal {
            act(bodies.of[*node], w.force, frame.nodes[*node]);
        }
        if let Some(c) = constraints {
            let (f, u) = (self.of.right_hand_side(load), &self.u[case]);
            let left: Vec<f64> = k
                .chunks_exact(u.len())
                .zip(&f)
                .map(|(row, f)| f - row.iter().zip(u).map(|(a, b)| a * b).sum::<f64>())
                .collect();
            for (force, joint) in c.forces(&left).iter().zip(&c.rows) {
                if let Some((at, axis)) = joint.slide {
                    act(joint.b, axis * *force, at);
                    act(joint.a, axis * -force, at);
                }
            }
        }
        Stress { axial_n, strand_n, lever_nm }
    }
}
