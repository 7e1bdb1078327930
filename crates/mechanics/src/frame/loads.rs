//! Loads as forces on the bodies.

use super::beam;
use super::factor::{Factored, Lost};
use super::model::{Frame, Load};
use crate::wrench::Wrench;
use glam::DVec3;

impl Factored<'_> {
    pub(super) fn right_hand_side(&self, load: &Load) -> Vec<f64> {
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
pub(super) fn member_load(frame: &Frame, load: &Load, member: usize) -> DVec3 {
    let own = load.specific_force * frame.members[member].beam.line_mass();
    load.line.iter().filter(|(m, _)| *m == member).fold(own, |sum, (_, w)| sum + *w)
}
