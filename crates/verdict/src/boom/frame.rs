//! The front of the boom as a frame in boom axes, x from the pivot.

use crate::structure::{BuildOptions, beam_of};
use core::fmt;
use glam::{DMat3, DVec3};
use mechanics::frame::{
    Beam, Frame, Freedom, Joint, JointKind, Member, PointMass, Strand, StrandPoint, Support,
};
use rig::model::{Arm, BoomSection, Drag};

/// Stiffness of what is taken as stiff (the pivot, the levelling linkage), N/m and N m/rad: 1e5 times a boom's own, so that
/// it adds under 1e-4 to an answer.
const CLAMPED: f64 = 1e11;
/// Ends of sections nearer than this meet, m.
pub(crate) const MEET_M: f64 = 1e-6;
/// How far over the tip a node without mass stands that tells how the tip twists, m.
pub(crate) const MARK_M: f64 = 0.1;

/// What the frame of a boom lacks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Missing {
    /// A section whose tube is not stated, by its tag.
    Tube(String),
    /// No section here, m along the boom in millimetres.
    Gap(String),
}

impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Tube(tag) | Self::Gap(tag) => f.write_str(tag),
        }
    }
}

impl core::error::Error for Missing {}

/// The front of the boom, clamped at the pivot, with what hangs on its tip and its braces.
///
/// Sections are beams between their ends with their own tube and their stated mass per length. A levelled payload hangs on a
/// node of its own that turns about the tilt axis on the tip and is held upright by the linkage, so that its moment about
/// that axis goes past the boom; its weight to the side twists the boom. Braces are strands from above the pivot to the
/// boom's axis: they pull and never push.
///
/// `docs/mechanics.md` §13.7.
#[derive(Clone, Debug)]
pub struct BoomFrame {
    /// The frame; strand `i` is brace [`Self::brace_of`]`[i]`.
    pub frame: Frame,
    /// Nodes on the boom's axis, from the pivot out.
    pub axis: Vec<usize>,
    /// The tip's node.
    pub tip: usize,
    /// A node [`MARK_M`] over the tip, fixed to it.
    pub(crate) mark: usize,
    /// Pivot to tip, m.
    pub length_m: f64,
    /// Isolator and payload, kg.
    pub tip_kg: f64,
    /// Their inertia about the boom's axis at the tip, kg m².
    pub tip_twist_kgm2: f64,
    /// Index of each strand's brace in the rig; one behind the pivot or past the tip is left out.
    pub brace_of: Vec<usize>,
}

/// Section that counts between two places: of those that overlap, the one that bends most.
fn softest(sections: &[&BoomSection], at: f64) -> Result<Option<Beam>, Missing> {
    let mut beam: Option<Beam> = None;
    for s in sections.iter().filter(|s| s.span.0.min(s.span.1) < at && s.span.0.max(s.span.1) > at) {
        let this = s
            .section
            .as_ref()
            .and_then(|x| beam_of(x, BuildOptions::default()))
            .ok_or_else(|| Missing::Tube(s.tag.clone()))?;
        if beam.is_none_or(|b| this.e_pa * this.iy_m4 < b.e_pa * b.iy_m4) {
            beam = Some(this);
        }
    }
    Ok(beam)
}

/// Edges of the box that a drag's face areas belong to, m; none where an area is nought.
fn edges(drag: Option<&Drag>) -> Option<DVec3> {
    let a = drag?.areas;
    let (l, w, h) = ((a.y * a.z / a.x).sqrt(), (a.x * a.z / a.y).sqrt(), (a.x * a.y / a.z).sqrt());
    let edges = DVec3::new(l, w, h);
    (edges.is_finite() && edges.min_element() > 0.0).then_some(edges)
}

/// Places of eight equal masses with the mass centre and the inertia of a uniform box: its corners drawn in by `sqrt(3)`.
fn corners(edges: DVec3) -> impl Iterator<Item = DVec3> {
    let d = edges / (2.0 * 3.0_f64.sqrt());
    let sign = |k: u8, bit: u8| if k & bit == 0 { -1.0 } else { 1.0 };
    (0..8_u8).map(move |k| d * DVec3::new(sign(k, 1), sign(k, 2), sign(k, 4)))
}

impl BoomFrame {
    /// Builds it for a boom at an elevation (rad), or says what is not known.
    ///
    /// # Errors
    ///
    /// [`Missing`] names the section without a tube, or the place without a section.
    pub fn of(arm: &Arm, elevation_rad: f64) -> Result<Self, Missing> {
        let front: Vec<&BoomSection> =
            arm.sections.iter().filter(|s| s.span.0.max(s.span.1) > MEET_M).collect();
        let mut places = vec![0.0];
        places.extend(front.iter().flat_map(|s| [s.span.0, s.span.1]).filter(|x| *x > 0.0));
        let length = places.iter().copied().fold(0.0, f64::max);
        places.extend(arm.braces.iter().map(|b| b.along).filter(|x| *x > 0.0 && *x < length));
        places.sort_by(f64::total_cmp);
        places.dedup_by(|b, a| *b - *a < MEET_M);
        let mut frame = Frame::default();
        let axis: Vec<usize> = places.iter().map(|x| frame.node(DVec3::X * *x)).collect();
        for (nodes, w) in axis.windows(2).zip(places.windows(2)) {
            let ([i, j], [a, b]) = (nodes, w) else { continue };
            let mid = f64::midpoint(*a, *b);
            // A gap between sections has no known tube either.
            let Some(mut beam) = softest(&front, mid)? else {
                return Err(Missing::Gap(format!("at {mid:.3} m")));
            };
            // The stated mass of all sections there, couplings and fittings included, in place of the tube's own.
            let line: f64 = front
                .iter()
                .filter(|s| s.span.0.min(s.span.1) < mid && s.span.0.max(s.span.1) > mid)
                .map(|s| s.mass.value / (s.span.1 - s.span.0).abs())
                .sum();
            beam.density_kg_m3 = line / beam.area_m2;
            frame.members.push(Member { i: *i, j: *j, beam, up: DVec3::Z });
        }
        let root = axis.first().copied().unwrap_or(0);
        let tip = axis.last().copied().unwrap_or(0);
        let axes = [DVec3::X, DVec3::Y, DVec3::Z];
        frame.supports.push(Support { node: root, axes, k: [CLAMPED; 6] });
        let at = DVec3::X * length;
        let mark = frame.node(at + DVec3::Z * MARK_M);
        frame.joints.push(Joint { a: tip, b: mark, kind: JointKind::Rigid });
        // Mast axes (of a levelled load) to boom axes.
        let (hung, turn) = if arm.levelled {
            let hung = frame.node(at);
            let free = Freedom { turn: [false, true, false], ..Freedom::default() };
            frame.joints.push(Joint { a: tip, b: hung, kind: JointKind::Release { axes, free } });
            frame.supports.push(Support { node: hung, axes, k: [0.0, 0.0, 0.0, 0.0, CLAMPED, 0.0] });
            (hung, DMat3::from_rotation_y(elevation_rad))
        } else {
            (tip, DMat3::IDENTITY)
        };
        let mut out = Self {
            frame,
            axis,
            tip,
            mark,
            length_m: length,
            tip_kg: arm.isolator.mass.value + arm.payload.mass.value,
            tip_twist_kgm2: 0.0,
            brace_of: Vec::new(),
        };
        out.hang(hung, arm.isolator.mass.value, at);
        let payload = arm.payload.mass.value;
        match edges(arm.payload.drag.as_ref()) {
            Some(edges) => corners(edges)
                .for_each(|c| out.hang(hung, payload / 8.0, at + turn * (arm.payload.centre + c))),
            None => out.hang(hung, payload, at + turn * arm.payload.centre),
        }
        out.braces(arm);
        Ok(out)
    }

    fn hang(&mut self, node: usize, mass_kg: f64, at: DVec3) {
        if mass_kg > 0.0 {
            self.frame.masses.push(PointMass { node, mass_kg, at });
            self.tip_twist_kgm2 += mass_kg * (at.y * at.y + at.z * at.z);
        }
    }

    fn braces(&mut self, arm: &Arm) {
        for (index, b) in arm.braces.iter().enumerate() {
            if !(b.along > 0.0 && b.along <= self.length_m + MEET_M) {
                continue;
            }
            let off = |n: &usize| self.frame.nodes.get(*n).map_or(f64::INFINITY, |p| (p.x - b.along).abs());
            let node = self.axis.iter().copied().min_by(|p, q| off(p).total_cmp(&off(q))).unwrap_or(self.tip);
            let (top, foot) = (DVec3::new(0.0, b.left, b.height), DVec3::X * b.along);
            let path = vec![StrandPoint { at: top, node: None }, StrandPoint { at: foot, node: Some(node) }];
            let stretch = (foot - top).length();
            let k_n_per_m = if stretch > 0.0 { b.ea / stretch } else { 0.0 };
            self.frame.strands.push(Strand { path, k_n_per_m, pretension_n: 0.0 });
            self.brace_of.push(index);
        }
    }

    /// Mass of the front sections, kg.
    pub fn front_kg(&self) -> f64 {
        self.frame.mass() - self.tip_kg
    }

    /// Bending stiffness `E I` and twisting stiffness `G J` of the section at the pivot, N m².
    pub fn root_stiffness_nm2(&self) -> (f64, f64) {
        self.frame
            .members
            .first()
            .map_or((0.0, 0.0), |m| (m.beam.e_pa * m.beam.iy_m4, m.beam.g_pa * m.beam.j_m4))
    }
}
