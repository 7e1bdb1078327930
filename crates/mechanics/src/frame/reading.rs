//! What is read from every answer, worked out once for a frame: the forces at a member's ends per unit of its bodies' movements.

use super::assemble::{member_rows, strand_row};
use super::beam::{self, Element};
use super::bodies::Bodies;
use super::model::Frame;
use glam::DVec3;

/// One member.
#[derive(Clone)]
pub(super) struct Ends {
    /// First unknown of the bodies at i and at j.
    bodies: [usize; 2],
    /// Forces at both ends, member axes, per unit of the twelve movements of the two bodies.
    per_movement: Element,
    pub(super) axes: [DVec3; 3],
    pub(super) length: f64,
}

/// All members and strands.
#[derive(Clone, Default)]
pub(super) struct Reading {
    pub(super) ends: Vec<Ends>,
    /// Change of each strand's length, as a row over the bodies' unknowns.
    pub(super) strands: Vec<Vec<(usize, f64)>>,
}

impl Reading {
    pub(super) fn of(frame: &Frame, bodies: &Bodies) -> Self {
        let ends = (0..frame.members.len()).map(|m| Ends::of(frame, bodies, m)).collect();
        let strands = (0..frame.strands.len()).map(|s| strand_row(frame, bodies, s)).collect();
        Self { ends, strands }
    }
}

impl Ends {
    fn of(frame: &Frame, bodies: &Bodies, member: usize) -> Self {
        let m = &frame.members[member];
        let length = frame.member_length(member);
        let k = beam::stiffness(&m.beam, length);
        let first = [bodies.of[m.i] * 6, bodies.of[m.j] * 6];
        let mut per_movement = [[0.0; 12]; 12];
        for (end, row) in member_rows(frame, bodies, member).into_iter().enumerate() {
            let body = end / 6;
            for (c, v) in row {
                for (target, k) in per_movement.iter_mut().zip(&k) {
                    target[6 * body + c - first[body]] += k[end] * v;
                }
            }
        }
        Self { bodies: first, per_movement, axes: frame.member_axes(member), length }
    }

    /// Forces at both ends, member axes, for the bodies' movements.
    pub(super) fn forces(&self, u: &[f64]) -> [f64; 12] {
        let [i, j] = self.bodies;
        let (a, b) = (&u[i..i + 6], &u[j..j + 6]);
        core::array::from_fn(|row| {
            let (of_a, of_b) = self.per_movement[row].split_at(6);
            let dot = |k: &[f64], d: &[f64]| k.iter().zip(d).map(|(k, d)| k * d).sum::<f64>();
            dot(of_a, a) + dot(of_b, b)
        })
    }
}
