//! Assembly, factorisation, and answers of a frame.

use super::beam::{self, Element, Internal};
use super::eliminate::{Elimination, eliminate};
use super::model::{Frame, FrameError, JointKind, Load};
use crate::wrench::Wrench;
use core::fmt;
use faer::linalg::solvers::{Llt, Solve};
use faer::{Mat, Side};
use glam::DVec3;

/// A support or strand taken away before solving.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lost {
    /// Support by index.
    Support(usize),
    /// Strand by index, its pretension with it.
    Strand(usize),
}

/// A movement that nothing resists.
#[derive(Clone, Debug, PartialEq)]
pub struct Mechanism {
    /// The node that moves most.
    pub node: usize,
    /// How it moves, scaled so that the largest movement in the frame (m, or rad at 1 m) is 1.
    pub slide: DVec3,
    /// How it turns.
    pub turn: DVec3,
    /// Every node that moves by more than a tenth of that.
    pub moving: Vec<usize>,
}

/// Why a frame has no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum SolveError {
    /// The frame itself is at fault.
    Frame(FrameError),
    /// Something can move freely.
    Mechanism(Box<Mechanism>),
    /// The residual check failed: the numbers are too far apart to trust.
    Residual {
        /// Largest residual over largest load.
        relative: f64,
    },
}

impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Frame(e) => e.fmt(f),
            Self::Mechanism(m) => write!(f, "node {} can move freely", m.node),
            Self::Residual { relative } => write!(f, "equilibrium is missed by {relative:.1e} of the load"),
        }
    }
}

impl core::error::Error for SolveError {}

impl From<FrameError> for SolveError {
    fn from(e: FrameError) -> Self {
        Self::Frame(e)
    }
}

/// Largest residual, as a share of the largest load, that an answer may have.
const RESIDUAL_LIMIT: f64 = 1e-8;
/// Pivot of the unit-diagonal stiffness under which a movement counts as free. Rounding leaves 1e-16 to 1e-13; a cup on
/// the softest sheet beside the stiffest short tube leaves 1e-8.
const FREE_PIVOT: f64 = 1e-11;

/// Which body a node belongs to, and the bodies' reference points.
struct Bodies {
    of: Vec<usize>,
    origin: Vec<DVec3>,
}

/// The first node of the body that `n` belongs to, shortening the way there.
fn root(parent: &mut [usize], mut n: usize) -> usize {
    while parent[n] != n {
        parent[n] = parent[parent[n]];
        n = parent[n];
    }
    n
}

impl Bodies {
    fn new(frame: &Frame) -> Self {
        let mut parent: Vec<usize> = (0..frame.nodes.len()).collect();
        for j in frame.joints.iter().filter(|j| matches!(j.kind, JointKind::Rigid)) {
            let (a, b) = (root(&mut parent, j.a), root(&mut parent, j.b));
            parent[a.max(b)] = a.min(b);
        }
        let mut index = vec![usize::MAX; frame.nodes.len()];
        let mut of = Vec::with_capacity(frame.nodes.len());
        let mut origin = Vec::new();
        for n in 0..frame.nodes.len() {
            let r = root(&mut parent, n);
            if index[r] == usize::MAX {
                index[r] = origin.len();
                origin.push(frame.nodes[r]);
            }
            of.push(index[r]);
        }
        Self { of, origin }
    }

    /// `u_p = u_b + theta x (p - o)`: rows of the 6 x 6 that takes the body's movement to a point's.
    fn to_point(&self, node: usize, at: DVec3) -> [[f64; 6]; 6] {
        let r = at - self.origin[self.of[node]];
        let mut g = [[0.0; 6]; 6];
        for (d, row) in g.iter_mut().enumerate() {
            row[d] = 1.0;
        }
        // theta x r
        g[0][4] = r.z;
        g[0][5] = -r.y;
        g[1][3] = -r.z;
        g[1][5] = r.x;
        g[2][3] = r.y;
        g[2][4] = -r.x;
        g
    }

    fn count(&self) -> usize {
        self.origin.len() * 6
    }
}

/// A dense symmetric matrix being put together.
struct Assembly<'a> {
    bodies: &'a Bodies,
    n: usize,
    k: Vec<f64>,
}

impl Assembly<'_> {
    /// Adds `Bᵀ S B` for a small symmetric `s` on movements `rows`, each a sparse row over the bodies' unknowns.
    fn add(&mut self, rows: &[Vec<(usize, f64)>], s: impl Fn(usize, usize) -> f64) {
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
    fn movement(&self, node: usize, at: DVec3, axes: &[DVec3; 3]) -> Vec<Vec<(usize, f64)>> {
        movement(self.bodies, node, at, axes)
    }
}

fn movement(bodies: &Bodies, node: usize, at: DVec3, axes: &[DVec3; 3]) -> Vec<Vec<(usize, f64)>> {
    let g = bodies.to_point(node, at);
    let base = bodies.of[node] * 6;
    let mut rows = Vec::with_capacity(6);
    for part in [0, 3] {
        for axis in axes {
            let row = (0..6)
                .map(|c| (base + c, axis.x * g[part][c] + axis.y * g[part + 1][c] + axis.z * g[part + 2][c]))
                .filter(|(_, v)| *v != 0.0)
                .collect();
            rows.push(row);
        }
    }
    rows
}

const WORLD: [DVec3; 3] = [DVec3::X, DVec3::Y, DVec3::Z];

/// A frame whose stiffness is factored for one set of losses.
pub struct Factored<'a> {
    frame: &'a Frame,
    lost: Vec<Lost>,
    bodies: Bodies,
    elimination: Option<Elimination>,
    /// Stiffness over the independent unknowns, row-major, unscaled.
    k: Vec<f64>,
    n: usize,
    scale: Vec<f64>,
    llt: Llt<f64>,
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
        let scale: Vec<f64> = (0..n)
            .map(|d| {
                let v = k[d * n + d];
                if v > 0.0 { 1.0 / v.sqrt() } else { 1.0 }
            })
            .collect();
        let scaled = Mat::from_fn(n, n, |i, j| k[i * n + j] * scale[i] * scale[j]);
        let sound = |llt: &Llt<f64>| (0..n).all(|d| llt.L()[(d, d)].powi(2) > FREE_PIVOT);
        match scaled.llt(Side::Lower) {
            Ok(llt) if sound(&llt) => {
                Ok(Factored { frame: self, lost: lost.to_vec(), bodies, elimination, k, n, scale, llt })
            }
            _ => Err(SolveError::Mechanism(Box::new(free_movement(
                self,
                &bodies,
                elimination.as_ref(),
                &scaled,
                &scale,
            )))),
        }
    }
}

fn assemble_stiffness(frame: &Frame, bodies: &Bodies, lost: &[Lost]) -> Vec<f64> {
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
fn member_rows(frame: &Frame, bodies: &Bodies, member: usize) -> Vec<Vec<(usize, f64)>> {
    let m = &frame.members[member];
    let axes = frame.member_axes(member);
    let mut rows = movement(bodies, m.i, frame.nodes[m.i], &axes);
    rows.extend(movement(bodies, m.j, frame.nodes[m.j], &axes));
    rows
}

/// Row of a strand's change of length.
fn strand_row(frame: &Frame, bodies: &Bodies, strand: usize) -> Vec<(usize, f64)> {
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

/// Constraint rows of all releases between different bodies.
fn releases(frame: &Frame, bodies: &Bodies) -> Option<Elimination> {
    let n = bodies.count();
    let mut rows = Vec::new();
    for j in &frame.joints {
        let JointKind::Release { axes, free } = j.kind else { continue };
        if bodies.of[j.a] == bodies.of[j.b] {
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
                rows.push(row);
            }
        }
    }
    (!rows.is_empty()).then(|| eliminate(rows, n))
}

fn reduce(k: Vec<f64>, full: usize, elimination: Option<&Elimination>) -> (Vec<f64>, usize) {
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

fn expand(elimination: Option<&Elimination>, full: usize, q: &[f64]) -> Vec<f64> {
    match elimination {
        None => q.to_vec(),
        Some(e) => (0..full).map(|i| (0..e.width).map(|j| e.t[i * e.width + j] * q[j]).sum()).collect(),
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

fn node_movement(frame: &Frame, bodies: &Bodies, u: &[f64], node: usize) -> (DVec3, DVec3) {
    let b = bodies.of[node];
    let v = |o: usize| DVec3::new(u[b * 6 + o], u[b * 6 + o + 1], u[b * 6 + o + 2]);
    let (slide, turn) = (v(0), v(3));
    (slide + turn.cross(frame.nodes[node] - bodies.origin[b]), turn)
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
        let y = self.llt.solve(&b);
        (0..rhs.len()).map(|j| (0..self.n).map(|i| y[(i, j)] * self.scale[i]).collect()).collect()
    }

    fn residual(&self, rhs: &[Vec<f64>], x: &[Vec<f64>]) -> Vec<Vec<f64>> {
        rhs.iter()
            .zip(x)
            .map(|(f, q)| {
                (0..self.n)
                    .map(|i| {
                        let row = &self.k[i * self.n..(i + 1) * self.n];
                        f[i] - row.iter().zip(q).map(|(a, b)| a * b).sum::<f64>()
                    })
                    .collect()
            })
            .collect()
    }

    fn contract(&self, f: &[f64]) -> Vec<f64> {
        match &self.elimination {
            None => f.to_vec(),
            Some(e) => (0..e.width)
                .map(|j| f.iter().enumerate().map(|(i, v)| e.t[i * e.width + j] * v).sum())
                .collect(),
        }
    }

    fn right_hand_side(&self, load: &Load) -> Vec<f64> {
        let frame = self.frame;
        let mut f = vec![0.0; self.bodies.count()];
        let mut push = |node: usize, at: DVec3, w: Wrench| {
            let base = self.bodies.of[node] * 6;
            let moved = w.about(at, self.bodies.origin[self.bodies.of[node]]).to_array();
            for (d, v) in moved.iter().enumerate() {
                f[base + d] += v;
            }
        };
        for (index, m) in frame.members.iter().enumerate() {
            let w = member_load(frame, load, index);
            if w != DVec3::ZERO {
                let axes = frame.member_axes(index);
                let e = beam::uniform(beam::into_axes(&axes, w), frame.member_length(index));
                for (end, node) in [(0, m.i), (6, m.j)] {
                    let force = beam::out_of_axes(&axes, DVec3::new(e[end], e[end + 1], e[end + 2]));
                    let moment = beam::out_of_axes(&axes, DVec3::new(e[end + 3], e[end + 4], e[end + 5]));
                    push(node, frame.nodes[node], Wrench::new(force, moment));
                }
            }
        }
        for m in &frame.masses {
            push(m.node, m.at, Wrench::new(load.specific_force * m.mass_kg, DVec3::ZERO));
        }
        for (node, w) in &load.nodal {
            push(*node, frame.nodes[*node], *w);
        }
        for (index, s) in frame.strands.iter().enumerate() {
            let pull = load.fitted_n(index, s.pretension_n);
            if pull != 0.0 && !self.lost.contains(&Lost::Strand(index)) {
                for (p, g) in s.path.iter().zip(s.gradient()) {
                    if let Some(node) = p.node {
                        push(node, p.at, Wrench::new(-g * pull, DVec3::ZERO));
                    }
                }
            }
        }
        f
    }
}

/// Uniform load on a member in world axes, N/m.
fn member_load(frame: &Frame, load: &Load, member: usize) -> DVec3 {
    let own = load.specific_force * frame.members[member].beam.line_mass();
    load.line.iter().filter(|(m, _)| *m == member).fold(own, |sum, (_, w)| sum + *w)
}

/// Answers to a set of loads.
pub struct Solution<'a> {
    of: &'a Factored<'a>,
    loads: Vec<Load>,
    u: Vec<Vec<f64>>,
    /// Largest residual over largest load, of all cases.
    pub worst_residual: f64,
}

impl Solution<'_> {
    /// Movement (m) and rotation (rad) of a node, world axes.
    pub fn node(&self, case: usize, node: usize) -> (DVec3, DVec3) {
        node_movement(self.of.frame, &self.of.bodies, &self.u[case], node)
    }

    /// Force and moment that the ground exerts ON the rig at a support, in the support's own axes, about its node.
    pub fn support(&self, case: usize, support: usize) -> [f64; 6] {
        if self.of.lost.contains(&Lost::Support(support)) {
            return [0.0; 6];
        }
        let s = &self.of.frame.supports[support];
        let (slide, turn) = self.node(case, s.node);
        let (d, r) = (beam::into_axes(&s.axes, slide), beam::into_axes(&s.axes, turn));
        [-s.k[0] * d.x, -s.k[1] * d.y, -s.k[2] * d.z, -s.k[3] * r.x, -s.k[4] * r.y, -s.k[5] * r.z]
    }

    /// Tension in a strand, N: as fitted (times the load's factor) and the change; negative means that it would be slack.
    pub fn tension(&self, case: usize, strand: usize) -> f64 {
        if self.of.lost.contains(&Lost::Strand(strand)) {
            return 0.0;
        }
        let s = &self.of.frame.strands[strand];
        let row = strand_row(self.of.frame, &self.of.bodies, strand);
        let stretch: f64 = row.iter().map(|(c, v)| self.u[case][*c] * v).sum();
        self.loads[case].fitted_n(strand, s.pretension_n) + s.k_n_per_m * stretch
    }

    /// Actions of the nodes ON the member's ends, member axes: `[Fx Fy Fz Mx My Mz]` at i and at j.
    pub fn member_ends(&self, case: usize, member: usize) -> ([f64; 6], [f64; 6]) {
        let frame = self.of.frame;
        let length = frame.member_length(member);
        let k: Element = beam::stiffness(&frame.members[member].beam, length);
        let w = beam::into_axes(&frame.member_axes(member), member_load(frame, &self.loads[case], member));
        let equivalent = beam::uniform(w, length);
        let rows = member_rows(frame, &self.of.bodies, member);
        let d: Vec<f64> =
            rows.iter().map(|row| row.iter().map(|(c, v)| self.u[case][*c] * v).sum()).collect();
        let f: [f64; 12] =
            core::array::from_fn(|i| k[i].iter().zip(&d).map(|(a, b)| a * b).sum::<f64>() - equivalent[i]);
        (core::array::from_fn(|i| f[i]), core::array::from_fn(|i| f[i + 6]))
    }

    /// Uniform load on a member (weight and line loads), N/m, member axes.
    pub fn line_load(&self, case: usize, member: usize) -> DVec3 {
        let frame = self.of.frame;
        beam::into_axes(&frame.member_axes(member), member_load(frame, &self.loads[case], member))
    }

    /// Internal forces `x_m` from end i of a member.
    pub fn internal(&self, case: usize, member: usize, x_m: f64) -> Internal {
        let frame = self.of.frame;
        let w = beam::into_axes(&frame.member_axes(member), member_load(frame, &self.loads[case], member));
        beam::internal(self.member_ends(case, member).0, w, x_m)
    }

    /// What the rest of the world does on the members that end at a node: sum of [`Self::member_ends`], world axes, about
    /// the node.
    pub fn on_members(&self, case: usize, node: usize) -> Wrench {
        let frame = self.of.frame;
        let mut sum = Wrench::ZERO;
        for (index, m) in frame.members.iter().enumerate() {
            if m.i != node && m.j != node {
                continue;
            }
            let (i, j) = self.member_ends(case, index);
            let axes = frame.member_axes(index);
            for (end, f) in [(m.i, i), (m.j, j)] {
                if end == node {
                    let w = Wrench::from_array(f);
                    sum += Wrench::new(beam::out_of_axes(&axes, w.force), beam::out_of_axes(&axes, w.moment));
                }
            }
        }
        sum
    }
}

/// Movement of every node for a vector of independent unknowns.
pub(crate) fn node_movement_of(factored: &Factored<'_>, q: &[f64]) -> Vec<DVec3> {
    let u = expand(factored.elimination.as_ref(), factored.bodies.count(), q);
    (0..factored.frame.nodes.len())
        .map(|node| node_movement(factored.frame, &factored.bodies, &u, node).0)
        .collect()
}

impl Factored<'_> {
    /// Mass over the independent unknowns, row-major.
    pub(crate) fn mass_matrix(&self) -> Vec<f64> {
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
        reduce(a.k, full, self.elimination.as_ref()).0
    }

    /// Scaling that gives the stiffness a unit diagonal.
    pub(crate) fn scaling(&self) -> &[f64] {
        &self.scale
    }

    /// Lower factor of the scaled stiffness.
    pub(crate) fn lower(&self) -> faer::MatRef<'_, f64> {
        self.llt.L()
    }
}
