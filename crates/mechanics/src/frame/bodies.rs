//! Which nodes move as one, and how a point of a body moves (`docs/mechanics.md` §2.2).

use super::model::{Frame, JointKind};
use glam::DVec3;

/// Which body a node belongs to, and the bodies' reference points.
#[derive(Clone)]
pub(super) struct Bodies {
    pub(super) of: Vec<usize>,
    pub(super) origin: Vec<DVec3>,
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
    pub(super) fn new(frame: &Frame) -> Self {
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
    pub(super) fn to_point(&self, node: usize, at: DVec3) -> [[f64; 6]; 6] {
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

    pub(super) fn count(&self) -> usize {
        self.origin.len() * 6
    }
}

pub(super) fn movement(bodies: &Bodies, node: usize, at: DVec3, axes: &[DVec3; 3]) -> Vec<Vec<(usize, f64)>> {
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

pub(super) const WORLD: [DVec3; 3] = [DVec3::X, DVec3::Y, DVec3::Z];

pub(super) fn node_movement(frame: &Frame, bodies: &Bodies, u: &[f64], node: usize) -> (DVec3, DVec3) {
    let b = bodies.of[node];
    let v = |o: usize| DVec3::new(u[b * 6 + o], u[b * 6 + o + 1], u[b * 6 + o + 2]);
    let (slide, turn) = (v(0), v(3));
    (slide + turn.cross(frame.nodes[node] - bodies.origin[b]), turn)
}
