//! What the outside checks and the property tests share.
#![allow(dead_code, reason = "each test file takes what it needs of the shared parts")]
#![allow(unreachable_pub, reason = "a module of several test programs")]

pub mod cases;
pub mod random_rig;
pub mod validation;

use glam::DVec3;
use mechanics::frame::{Beam, Frame, Load, Member, Support};
use mechanics::wrench::Wrench;

/// World axes.
pub const WORLD: [DVec3; 3] = [DVec3::X, DVec3::Y, DVec3::Z];

/// A spring so stiff beside the frames of these tests that it stands for a fixed foot (unit of the case, per unit).
///
/// `stiff` is some 1e7 times the stiffest member, so that a fixed foot gives by 1e-7 of what the member does.
pub const fn fixed(node: usize, stiff: f64) -> Support {
    Support { node, axes: WORLD, k: [stiff; 6] }
}

/// A foot held in some of the six movements.
pub const fn held(node: usize, k: [f64; 6]) -> Support {
    Support { node, axes: WORLD, k }
}

/// A member with the given `up`.
pub const fn member(i: usize, j: usize, beam: Beam, up: DVec3) -> Member {
    Member { i, j, beam, up }
}

/// A force at a node.
pub const fn force(node: usize, f: DVec3) -> (usize, Wrench) {
    (node, Wrench::new(f, DVec3::ZERO))
}

/// A load of nodal wrenches alone.
pub fn nodal(loads: &[(usize, Wrench)]) -> Load {
    Load { nodal: loads.to_vec(), ..Load::default() }
}

/// A run of members along `axis`, with nodes at the given stations; gives the nodes.
pub fn run(frame: &mut Frame, start: DVec3, axis: DVec3, stations: &[f64], beam: Beam) -> Vec<usize> {
    let nodes: Vec<usize> = stations.iter().map(|s| frame.node(start + axis * *s)).collect();
    for w in nodes.windows(2) {
        frame.members.push(member(w[0], w[1], beam, DVec3::Z));
    }
    nodes
}
