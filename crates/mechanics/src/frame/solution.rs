//! What is read from an answer: movements, actions of supports, tensions, forces in members.

use super::assemble::member_rows;
use super::beam::{self, Internal};
use super::bodies::node_movement;
use super::factor::{Factored, Lost};
use super::geometric;
use super::loads::member_load;
use super::model::Load;
use crate::wrench::Wrench;
use glam::DVec3;

/// Answers to a set of loads.
pub struct Solution<'a> {
    pub(super) of: &'a Factored<'a>,
    pub(super) loads: Vec<Load>,
    pub(super) u: Vec<Vec<f64>>,
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
        let stretch: f64 = self.of.reading.strands[strand].iter().map(|(c, v)| self.u[case][*c] * v).sum();
        self.loads[case].fitted_n(strand, s.pretension_n) + s.k_n_per_m * stretch
    }

    /// Actions of the nodes ON the member's ends, axes of the unmoved member (under stress they turn with it, see §2.9): `[Fx Fy Fz Mx My Mz]` at i and at j.
    pub fn member_ends(&self, case: usize, member: usize) -> ([f64; 6], [f64; 6]) {
        let (frame, u) = (self.of.frame, &self.u[case]);
        let ends = &self.of.reading.ends[member];
        let mut f = ends.forces(u);
        if let Some(tension) = self.of.stress.as_ref().and_then(|s| s.axial_n.get(member)) {
            let k = geometric::stiffness(&frame.members[member].beam, ends.length, *tension);
            let rows = member_rows(frame, &self.of.bodies, member);
            let d: Vec<f64> = rows.iter().map(|row| row.iter().map(|(c, v)| u[*c] * v).sum()).collect();
            for (f, k) in f.iter_mut().zip(&k) {
                *f += k.iter().zip(&d).map(|(a, b)| a * b).sum::<f64>();
            }
        }
        let equivalent = beam::uniform(self.line_load(case, member), ends.length);
        f.iter_mut().zip(equivalent).for_each(|(f, e)| *f -= e);
        (core::array::from_fn(|i| f[i]), core::array::from_fn(|i| f[i + 6]))
    }

    /// Uniform load on a member (weight and line loads), N/m, member axes.
    pub fn line_load(&self, case: usize, member: usize) -> DVec3 {
        let load = member_load(self.of.frame, &self.loads[case], member);
        beam::into_axes(&self.of.reading.ends[member].axes, load)
    }

    /// Internal forces `x_m` from end i of a member.
    pub fn internal(&self, case: usize, member: usize, x_m: f64) -> Internal {
        beam::internal(self.member_ends(case, member).0, self.line_load(case, member), x_m)
    }

    /// Movement (m) of a point of a member's axis `x_m` from its end i, world axes; of a frame without stress.
    pub fn bent(&self, case: usize, member: usize, x_m: f64) -> DVec3 {
        let (m, axes) = (&self.of.frame.members[member], &self.of.reading.ends[member].axes);
        let (slide, turn) = self.node(case, m.i);
        let start = (beam::into_axes(axes, slide), beam::into_axes(axes, turn));
        let (on_i, _) = self.member_ends(case, member);
        beam::out_of_axes(axes, beam::bent(&m.beam, start, on_i, self.line_load(case, member), x_m))
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
            let axes = self.of.reading.ends[index].axes;
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
