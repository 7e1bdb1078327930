//! What a frame is made of.

use super::beam::{self, Beam};
use core::fmt;
use glam::DVec3;

/// A straight member between two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// Node at its start.
    pub i: usize,
    /// Node at its end.
    pub j: usize,
    /// Section and material.
    pub beam: Beam,
    /// Vector that, with the member's axis, spans member x-z (see [`beam::axes`]).
    pub up: DVec3,
}

/// Which movements a joint lets go, in its own axes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Freedom {
    /// Sliding along each axis.
    pub slide: [bool; 3],
    /// Turning about each axis.
    pub turn: [bool; 3],
}

/// How two nodes are joined.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum JointKind {
    /// One rigid body.
    Rigid,
    /// Rigid but for some movements, about the axes whose unit vectors are given.
    Release {
        /// Three unit vectors, world axes, right-handed.
        axes: [DVec3; 3],
        /// What is let go.
        free: Freedom,
    },
}

/// A joint between two nodes, across any offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// One node; releases happen here.
    pub a: usize,
    /// The other.
    pub b: usize,
    /// How.
    pub kind: JointKind,
}

/// Six springs from a node to the ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// Node.
    pub node: usize,
    /// Unit vectors of its own axes, world.
    pub axes: [DVec3; 3],
    /// N/m along the axes, then N m/rad about them.
    pub k: [f64; 6],
}

/// One point of a strand's path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrandPoint {
    /// Place, m.
    pub at: DVec3,
    /// The node whose body carries it; `None` is the ground.
    pub node: Option<usize>,
}

/// A strap or stay with one tension along its path: `T = T0 + k dL`.
#[derive(Clone, Debug, PartialEq)]
pub struct Strand {
    /// Two or more points.
    pub path: Vec<StrandPoint>,
    /// N per m of stretch, whole length.
    pub k_n_per_m: f64,
    /// Tension as fitted, N.
    pub pretension_n: f64,
}

impl Strand {
    /// For each point, the derivative of the path's length by that point's place: `t_before - t_after`.
    pub fn gradient(&self) -> Vec<DVec3> {
        let n = self.path.len();
        let mut g = vec![DVec3::ZERO; n];
        for s in 0..n.saturating_sub(1) {
            let t = (self.path[s + 1].at - self.path[s].at).normalize_or_zero();
            g[s] -= t;
            g[s + 1] += t;
        }
        g
    }

    /// Length along the path, m.
    pub fn length(&self) -> f64 {
        self.path.windows(2).map(|w| (w[1].at - w[0].at).length()).sum()
    }
}

/// A mass carried by a node's body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointMass {
    /// Node.
    pub node: usize,
    /// kg.
    pub mass_kg: f64,
    /// Its centre, m.
    pub at: DVec3,
}

/// One basis load: everything acts at once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Load {
    /// Specific force on every mass, m/s² (gravity at rest: `(0, 0, -9.80665)`).
    pub specific_force: DVec3,
    /// Force (N) and moment (N m) at nodes, world axes, about the node.
    pub nodal: Vec<(usize, crate::wrench::Wrench)>,
    /// Uniform loads on members, N/m, world axes.
    pub line: Vec<(usize, DVec3)>,
    /// Factor on the strands' pretension.
    pub pretension: f64,
    /// Tension fitted to single strands besides, N.
    pub fitted: Vec<(usize, f64)>,
}

impl Load {
    /// Tension fitted to a strand under this load, before anything moves, N.
    pub fn fitted_n(&self, strand: usize, pretension_n: f64) -> f64 {
        let besides: f64 = self.fitted.iter().filter(|(s, _)| *s == strand).map(|(_, t)| t).sum();
        self.pretension * pretension_n + besides
    }
}

/// A frame: nodes, members, joints, supports, strands, masses.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Frame {
    /// Places, m.
    pub nodes: Vec<DVec3>,
    /// Members.
    pub members: Vec<Member>,
    /// Joints.
    pub joints: Vec<Joint>,
    /// Supports.
    pub supports: Vec<Support>,
    /// Strands.
    pub strands: Vec<Strand>,
    /// Masses.
    pub masses: Vec<PointMass>,
}

/// What is wrong with a frame before any solving.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FrameError {
    /// No nodes.
    Empty,
    /// A part names a node that is not there.
    NoSuchNode {
        /// The index named.
        node: usize,
    },
    /// A load names a member that is not there.
    NoSuchMember {
        /// The index named.
        member: usize,
    },
    /// A member has no length, an `up` that is no vector, or a section that is not sound.
    BadMember {
        /// Index.
        member: usize,
    },
    /// A number is not finite, or a stiffness or mass is negative.
    BadNumber,
    /// A strand has under two points or no length.
    BadStrand {
        /// Index.
        strand: usize,
    },
}

impl fmt::Display for FrameError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "the frame has no nodes"),
            Self::NoSuchNode { node } => write!(f, "a part names node {node}, which is not there"),
            Self::NoSuchMember { member } => write!(f, "a load names member {member}, which is not there"),
            Self::BadMember { member } => write!(f, "member {member} has no length or no sound section"),
            Self::BadNumber => {
                write!(f, "a number of the frame is not finite, or is negative where it cannot be")
            }
            Self::BadStrand { strand } => write!(f, "strand {strand} needs two points apart"),
        }
    }
}

impl core::error::Error for FrameError {}

impl Load {
    /// Checks the load's numbers, and that the parts it names are in the frame.
    ///
    /// # Errors
    ///
    /// The first fault found, as [`FrameError`].
    pub fn check(&self, frame: &Frame) -> Result<(), FrameError> {
        let number = |ok: bool| if ok { Ok(()) } else { Err(FrameError::BadNumber) };
        number(self.specific_force.is_finite() && self.pretension.is_finite())?;
        number(self.fitted.iter().all(|(_, t)| t.is_finite()))?;
        for (node, w) in &self.nodal {
            if *node >= frame.nodes.len() {
                return Err(FrameError::NoSuchNode { node: *node });
            }
            number(w.force.is_finite() && w.moment.is_finite())?;
        }
        for (member, w) in &self.line {
            if *member >= frame.members.len() {
                return Err(FrameError::NoSuchMember { member: *member });
            }
            number(w.is_finite())?;
        }
        Ok(())
    }
}

impl Frame {
    /// Adds a node and gives its index.
    pub fn node(&mut self, at: DVec3) -> usize {
        self.nodes.push(at);
        self.nodes.len() - 1
    }

    /// Checks indices and numbers.
    ///
    /// # Errors
    ///
    /// The first fault found, as [`FrameError`].
    pub fn check(&self) -> Result<(), FrameError> {
        let n = self.nodes.len();
        if n == 0 {
            return Err(FrameError::Empty);
        }
        let known = |node: usize| if node < n { Ok(()) } else { Err(FrameError::NoSuchNode { node }) };
        let number = |ok: bool| if ok { Ok(()) } else { Err(FrameError::BadNumber) };
        number(self.nodes.iter().all(|p| p.is_finite()))?;
        for (index, m) in self.members.iter().enumerate() {
            known(m.i)?;
            known(m.j)?;
            let length = (self.nodes[m.j] - self.nodes[m.i]).length();
            if length < 1e-6
                || !m.up.is_finite()
                || !m.beam.is_sound()
                || beam::axes(self.nodes[m.i], self.nodes[m.j], m.up).is_none()
            {
                return Err(FrameError::BadMember { member: index });
            }
        }
        for j in &self.joints {
            known(j.a)?;
            known(j.b)?;
            if let JointKind::Release { axes, .. } = j.kind {
                number(axes_are_sound(&axes))?;
            }
        }
        for s in &self.supports {
            known(s.node)?;
            number(axes_are_sound(&s.axes) && s.k.iter().all(|k| k.is_finite() && *k >= 0.0))?;
        }
        for (index, s) in self.strands.iter().enumerate() {
            for p in &s.path {
                number(p.at.is_finite())?;
                p.node.map_or(Ok(()), known)?;
            }
            if s.path.len() < 2 || s.length() < 1e-6 {
                return Err(FrameError::BadStrand { strand: index });
            }
            number(s.k_n_per_m.is_finite() && s.k_n_per_m >= 0.0 && s.pretension_n.is_finite())?;
        }
        for m in &self.masses {
            known(m.node)?;
            number(m.at.is_finite() && m.mass_kg.is_finite() && m.mass_kg >= 0.0)?;
        }
        Ok(())
    }

    /// Length of a member, m.
    pub fn member_length(&self, member: usize) -> f64 {
        let m = &self.members[member];
        (self.nodes[m.j] - self.nodes[m.i]).length()
    }

    /// Axes of a member as rows (see [`beam::axes`]).
    pub fn member_axes(&self, member: usize) -> [DVec3; 3] {
        let m = &self.members[member];
        beam::axes(self.nodes[m.i], self.nodes[m.j], m.up).unwrap_or([DVec3::X, DVec3::Y, DVec3::Z])
    }

    /// Mass of members and lumps, kg.
    pub fn mass(&self) -> f64 {
        let tubes: f64 =
            self.members.iter().enumerate().map(|(i, m)| m.beam.line_mass() * self.member_length(i)).sum();
        tubes + self.masses.iter().map(|m| m.mass_kg).sum::<f64>()
    }

    /// Sum of a load's forces and moments about `about`, straps' pretension left out (it is internal or against the car).
    pub fn total(&self, load: &Load, about: DVec3) -> crate::wrench::Wrench {
        let mut sum = crate::wrench::Wrench::ZERO;
        for (i, m) in self.members.iter().enumerate() {
            let mid = (self.nodes[m.i] + self.nodes[m.j]) / 2.0;
            let mut w = load.specific_force * m.beam.line_mass();
            for (_, line) in load.line.iter().filter(|(member, _)| *member == i) {
                w += *line;
            }
            sum += crate::wrench::Wrench::of_force_at(w * self.member_length(i), mid - about);
        }
        for m in &self.masses {
            sum += crate::wrench::Wrench::of_force_at(load.specific_force * m.mass_kg, m.at - about);
        }
        for (node, w) in &load.nodal {
            sum += w.about(self.nodes[*node], about);
        }
        sum
    }
}

fn axes_are_sound(axes: &[DVec3; 3]) -> bool {
    axes.iter().all(|a| a.is_finite() && (a.length() - 1.0).abs() < 1e-9)
        && (axes[0].cross(axes[1]) - axes[2]).length() < 1e-9
}
