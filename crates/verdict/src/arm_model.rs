//! The arm of a rig as a chain of rigid bodies.

use crate::Fault;
use glam::{DMat3, DVec3};
use mechanics::arm::{Arm, Body, Carrier, Drag, DriveLimits, Geometry, Levelling, Motion, Pose, Section};
use mechanics::frame::{Frame, PointMass};
use mechanics::wrench::Wrench;
use rig::model::{self, Rig};

/// The arm, its motions, and the same arm cut at stations of the boom.
#[derive(Clone, Debug, PartialEq)]
pub struct ArmModel {
    /// The chain.
    pub chain: Arm,
    /// All motions that the drives can make; the first is still.
    pub motions: Vec<Motion>,
    /// Parked pose.
    pub parked: Pose,
    /// Stations of the boom for stress and bolts, with what hangs beyond each.
    pub cuts: Vec<Cut>,
    /// Farthest the tip reaches from the pivot, m.
    pub tip: f64,
}

/// A cut through the boom.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Index of the section that is cut, at its inner end.
    pub section: usize,
    /// Distance from the pivot, m.
    pub along: f64,
    /// Whether it is the tail that is cut.
    pub tail: bool,
    /// Bodies of the chain that lie beyond, by index.
    pub bodies: Vec<usize>,
    /// They alone, as an arm of its own.
    pub beyond: Arm,
}

impl Cut {
    /// Forces of what lies beyond on what lies before, from what [`Self::beyond`] does to the platform and to the boom's root in a
    /// pose: `N Vy Vz T My Mz`, boom axes (x ahead on the tail too), about the cut.
    ///
    /// In front the levelling linkage takes its share past the boom, which the actions at the boom's root know. On the tail
    /// nothing goes past it: what the part beyond does to the platform, it does through the cut.
    pub fn forces(&self, pose: Pose, on_platform: Wrench, boom_root: Wrench) -> [f64; 6] {
        if !self.tail {
            return boom_root.about(DVec3::ZERO, DVec3::X * self.along).to_array();
        }
        let boom = DMat3::from_rotation_z(pose.pan_rad) * DMat3::from_rotation_y(-pose.elevation_rad);
        let mast = DMat3::from_rotation_z(pose.pan_rad);
        let at = mast * self.beyond.geometry().pivot_m() + boom * (DVec3::X * self.along);
        let w = on_platform.about(DVec3::ZERO, at);
        let (f, m) = (boom.transpose() * w.force, boom.transpose() * w.moment);
        [f.x, f.y, f.z, m.x, m.y, m.z]
    }
}

fn drag_box(centre: DVec3, drag: Option<&model::Drag>) -> Result<Option<Drag>, Fault> {
    drag.map(|d| Drag::bluff_box(centre, d.areas, d.coefficient.value).map_err(Fault::from_error)).transpose()
}

fn push(bodies: &mut Vec<Body>, mass: f64, body: impl FnOnce() -> Result<Body, Fault>) -> Result<(), Fault> {
    if mass > 0.0 {
        bodies.push(body()?);
    }
    Ok(())
}

impl ArmModel {
    /// The chain of a rig's arm, if it has one.
    ///
    /// # Errors
    ///
    /// [`Fault`] where a number of the arm cannot be computed with.
    pub fn of(rig: &Rig) -> Result<Option<Self>, Fault> {
        let Some(arm) = &rig.arm else { return Ok(None) };
        let tip = arm.sections.iter().map(|s| s.span.0.max(s.span.1)).fold(0.0, f64::max);
        let geometry = Geometry::new(arm.pivot_height, tip).map_err(Fault::from_error)?;
        let mut fixed = Vec::new();
        let (base_mass, base_height) = (arm.base_mass.0.value, arm.base_mass.1);
        push(&mut fixed, base_mass, || {
            Body::point(base_mass, DVec3::Z * base_height, Carrier::Base).map_err(Fault::from_error)
        })?;
        let (head_mass, head_height) = (arm.head_mass.0.value, arm.head_mass.1);
        push(&mut fixed, head_mass, || {
            let mut b =
                Body::point(head_mass, DVec3::Z * head_height, Carrier::Mast).map_err(Fault::from_error)?;
            if arm.mast_diameter > 0.0 && arm.pivot_height > 0.0 {
                let top = DVec3::Z * arm.pivot_height;
                // A mast is a round tube across the flow: 1.2, as for the grid's tubes.
                b = b.with_drag(
                    Drag::rod(DVec3::ZERO, top, arm.mast_diameter, ROUND_DRAG).map_err(Fault::from_error)?,
                );
            }
            Ok(b)
        })?;
        let mut boom: Vec<(f64, Body)> = Vec::new();
        for s in &arm.sections {
            let (from, to) = (s.span.0.min(s.span.1), s.span.0.max(s.span.1));
            boom.push((s.span.0.max(s.span.1), section_body(&geometry, s, from, to)?));
        }
        let cw = &arm.counterweight;
        if cw.mass.value > 0.0 {
            let centre = DVec3::new(-cw.behind.value, 0.0, -cw.under);
            let mut b = Body::point(cw.mass.value, centre, Carrier::Boom).map_err(Fault::from_error)?;
            if let Some(d) = drag_box(centre, cw.drag.as_ref())? {
                b = b.with_drag(d);
            }
            boom.push((-cw.behind.value, b));
        }
        let carrier = if arm.levelled { Carrier::LevelTip } else { Carrier::FixedTip };
        let mut hanging = Vec::new();
        push(&mut hanging, arm.isolator.mass.value, || {
            Body::point(arm.isolator.mass.value, DVec3::ZERO, carrier).map_err(Fault::from_error)
        })?;
        push(&mut hanging, arm.payload.mass.value, || {
            let centre = arm.payload.centre;
            let mut b = Body::point(arm.payload.mass.value, centre, carrier).map_err(Fault::from_error)?;
            if let Some(d) = drag_box(centre, arm.payload.drag.as_ref())? {
                b = b.with_drag(d);
            }
            Ok(b)
        })?;
        let all: Vec<Body> = fixed
            .iter()
            .copied()
            .chain(boom.iter().map(|(_, b)| *b))
            .chain(hanging.iter().copied())
            .collect();
        let chain = Arm::new(geometry, Levelling::Linkage, all).map_err(Fault::from_error)?;
        let d = &arm.drives;
        let limits = DriveLimits {
            pan_rate_rps: d.pan_rate.value,
            pan_acc_rps2: d.pan_acceleration.value,
            pan_stop_rps2: d.pan_stop.value,
            tilt_rate_rps: d.tilt_rate.value,
            tilt_acc_rps2: d.tilt_acceleration.value,
            tilt_stop_rps2: d.tilt_stop.value,
        };
        let motions = limits.motions().map_err(Fault::from_error)?;
        let cuts = cuts(arm, &chain, (fixed.len(), boom.len()))?;
        let parked = Pose { pan_rad: arm.parked.0, elevation_rad: arm.parked.1 };
        Ok(Some(Self { chain, motions, parked, cuts, tip }))
    }
}

impl ArmModel {
    /// Fixes the bodies of the arm that `which` picks to a platform's node in a pose, as a stiff arm with locked drives has them.
    pub(crate) fn stand_on(
        &self,
        frame: &mut Frame,
        (node, base): (usize, DVec3),
        pose: Pose,
        which: fn(&Body) -> bool,
    ) {
        for body in self.chain.bodies().iter().filter(|b| which(b)) {
            let alone = Arm::new(*self.chain.geometry(), self.chain.levelling(), vec![*body]);
            let at = alone.and_then(|a| a.mass_centre_m(pose)).unwrap_or(DVec3::NAN);
            frame.masses.push(PointMass { node, mass_kg: body.mass_kg(), at: base + at });
        }
    }
}

/// A body of the front boom or of what hangs on its tip.
pub(crate) fn is_front(body: &Body) -> bool {
    match body.carrier() {
        Carrier::Boom => body.centre_m().x > 0.0,
        Carrier::LevelTip | Carrier::FixedTip => true,
        Carrier::Base | Carrier::Mast => false,
    }
}

/// Round bar across the flow below the critical Reynolds number \[from memory: Hoerner; Blevins\].
const ROUND_DRAG: f64 = 1.2;

fn section_body(geometry: &Geometry, s: &model::BoomSection, from: f64, to: f64) -> Result<Body, Fault> {
    let body = Body::boom_section(
        geometry,
        &Section { mass_kg: s.mass.value, start_m: from, length_m: to - from, centre_m: (to - from) / 2.0 },
    )
    .map_err(Fault::from_error)?;
    if s.diameter > 0.0 {
        let drag =
            Drag::rod(DVec3::X * from, DVec3::X * to, s.diameter, s.drag.value).map_err(Fault::from_error)?;
        return Ok(body.with_drag(drag));
    }
    Ok(body)
}

/// A cut at the inner end of every front section that has a section for stress or bolts, and of every tail section with bolts.
/// Of the chain's bodies those on the boom start at `first`, section by section; there are `count`, the counterweight last.
fn cuts(arm: &model::Arm, chain: &Arm, (first, count): (usize, usize)) -> Result<Vec<Cut>, Fault> {
    let ends = |s: &model::BoomSection| (s.span.0.min(s.span.1), s.span.0.max(s.span.1));
    let mut out = Vec::new();
    for (section, s) in arm.sections.iter().enumerate() {
        let (inner, outer) = ends(s);
        let tail = inner < -1e-9;
        if s.bolts.is_none() && (tail || s.section.is_none()) {
            continue;
        }
        let along = if tail { outer } else { inner };
        let sections = arm.sections.iter().enumerate().filter(|(_, other)| {
            let (from, to) = ends(other);
            if tail { to <= along + 1e-9 && from < 0.0 } else { from >= along - 1e-9 && to > 0.0 }
        });
        let sections = sections.map(|(k, _)| first + k);
        let bodies: Vec<usize> = if tail {
            let weight = first + arm.sections.len()..first + count;
            let beyond = |b: &usize| chain.bodies().get(*b).is_some_and(|b| b.centre_m().x <= along + 1e-9);
            sections.chain(weight.filter(beyond)).collect()
        } else {
            (first + count..chain.bodies().len()).chain(sections).collect()
        };
        let beyond: Vec<Body> = bodies.iter().filter_map(|b| chain.bodies().get(*b)).copied().collect();
        if !beyond.is_empty() {
            let beyond =
                Arm::new(*chain.geometry(), Levelling::Linkage, beyond).map_err(Fault::from_error)?;
            out.push(Cut { section, along, tail, bodies, beyond });
        }
    }
    Ok(out)
}
