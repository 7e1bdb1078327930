//! Members, supports and strands put together over the bodies' unknowns, and what releases take out (`docs/mechanics.md`
//! §2.2 to §2.5).

use super::beam;
use super::bodies::{Bodies, WORLD, movement};
use super::eliminate::{Elimination, eliminate};
use super::factor::Lost;
use super::model::{Frame, JointKind};
use faer::Mat;
use glam::DVec3;

/// A dense symmetric matrix being put together.
pub(super) struct Assembly<'a> {
    pub(super) bodies: &'a Bodies,
    pub(super) n: usize,
    pub(super) k: Vec<f64>,
}

impl Assembly<'_> {
    /// Adds `Bᵀ S B` for a small symmetric `s` on movements `rows`, each a sparse row over the bodies' unknowns.
    pub(super) fn add(&mut self, rows: &[Vec<(usize, f64)>], s: impl Fn(usize, usize) -> f64) {
        for (a, row_a) in rows.iter().enumerate() {
            for (b, row_b) in rows.iter().enumerate() {
                let value = s(a, b);
                if value != 0.0 {
                    for (i, gi) in row_a {
                        for (j, gj) in row_b {
                            self.k[i * self.n + j] += gi * value * gj;
                        }
                    }
                }
            }
        }
    }

    /// Rows that give a node's movement at `at` along and about three unit vectors.
    pub(super) fn movement(&self, node: usize, at: DVec3, axes: &[DVec3; 3]) -> Vec<Vec<(usize, f64)>> {
        movement(self.bodies, node, at, axes)
    }
}

pub(super) fn assemble_stiffness(frame: &Frame, bodies: &Bodies, lost: &[Lost]) -> Vec<f64> {
    let n = bodies.count();
    let mut a = Assembly { bodies, n, k: vec![0.0; n * n] };
    for (index, m) in frame.members.iter().enumerate() {
        let rows = member_rows(frame, bodies, index);
        let k = beam::stiffness(&m.beam, frame.member_length(index));
        a.add(&rows, |i, j| k[i][j]);
    }
    for (index, s) in frame.supports.iter().enumerate() {
        if !lost.contains(&Lost::Support(index)) {
            let rows = a.movement(s.node, frame.nodes[s.node], &s.axes);
            a.add(&rows, |i, j| if i == j { s.k[i] } else { 0.0 });
        }
    }
    for (index, s) in frame.strands.iter().enumerate() {
        if !lost.contains(&Lost::Strand(index)) {
            let row = strand_row(frame, bodies, index);
            a.add(&[row], |_, _| s.k_n_per_m);
        }
    }
    a.k
}

/// Rows of a member's twelve end movements in member axes.
pub(super) fn member_rows(frame: &Frame, bodies: &Bodies, member: usize) -> Vec<Vec<(usize, f64)>> {
    let m = &frame.members[member];
    let axes = frame.member_axes(member);
    let mut rows = movement(bodies, m.i, frame.nodes[m.i], &axes);
    rows.extend(movement(bodies, m.j, frame.nodes[m.j], &axes));
    rows
}

/// Row of a strand's change of length.
pub(super) fn strand_row(frame: &Frame, bodies: &Bodies, strand: usize) -> Vec<(usize, f64)> {
    let s = &frame.strands[strand];
    let mut row = Vec::new();
    for (p, g) in s.path.iter().zip(s.gradient()) {
        if let Some(node) = p.node {
            let m = movement(bodies, node, p.at, &WORLD);
            for (axis, value) in [(0, g.x), (1, g.y), (2, g.z)] {
                row.extend(m[axis].iter().map(|(c, v)| (*c, v * value)));
            }
        }
    }
    row
}

/// One movement that a release joint does not let go.
pub(super) struct Constraint {
    /// Its row over the bodies' unknowns: movement of `b` less that of `a`.
    pub(super) row: Vec<f64>,
    /// The bodies.
    pub(super) a: usize,
    pub(super) b: usize,
    /// Place and direction of a slide that is held; none for a turn.
    pub(super) slide: Option<(DVec3, DVec3)>,
}

/// Constraints of all releases between different bodies.
pub(super) fn constraints(frame: &Frame, bodies: &Bodies) -> Vec<Constraint> {
    let n = bodies.count();
    let mut out = Vec::new();
    for j in &frame.joints {
        let JointKind::Release { axes, free } = j.kind else { continue };
        let (a, b) = (bodies.of[j.a], bodies.of[j.b]);
        if a == b {
            continue;
        }
        let at = frame.nodes[j.a];
        let on_a = movement(bodies, j.a, at, &axes);
        let on_b = movement(bodies, j.b, at, &axes);
        for d in 0..6 {
            let is_free = if d < 3 { free.slide[d] } else { free.turn[d - 3] };
            if !is_free {
                let mut row = vec![0.0; n];
                on_a[d].iter().for_each(|(c, v)| row[*c] -= v);
                on_b[d].iter().for_each(|(c, v)| row[*c] += v);
                out.push(Constraint { row, a, b, slide: (d < 3).then(|| (at, axes[d])) });
            }
        }
    }
    out
}

/// What the constraints of all releases make dependent.
pub(super) fn releases(frame: &Frame, bodies: &Bodies) -> Option<Elimination> {
    let rows: Vec<Vec<f64>> = constraints(frame, bodies).into_iter().map(|c| c.row).collect();
    (!rows.is_empty()).then(|| eliminate(rows, bodies.count()))
}

pub(super) fn reduce(k: Vec<f64>, full: usize, elimination: Option<&Elimination>) -> (Vec<f64>, usize) {
    let Some(e) = elimination else { return (k, full) };
    let t = Mat::from_fn(full, e.width, |i, j| e.t[i * e.width + j]);
    let km = Mat::from_fn(full, full, |i, j| k[i * full + j]);
    let reduced = t.transpose() * &km * &t;
    let n = e.width;
    let mut out = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..n {
            out[i * n + j] = f64::midpoint(reduced[(i, j)], reduced[(j, i)]);
        }
    }
    (out, n)
}

pub(super) fn expand(elimination: Option<&Elimination>, full: usize, q: &[f64]) -> Vec<f64> {
    match elimination {
        None => q.to_vec(),
        Some(e) => (0..full).map(|i| (0..e.width).map(|j| e.t[i * e.width + j] * q[j]).sum()).collect(),
    }
}
