//! Rig and boom as one structure between car body and isolator.

use crate::Fault;
use crate::arm_model::{ArmModel, is_front};
use crate::boom::BoomFrame;
use crate::finding::Need;
use crate::isolator::is_there;
use crate::structure::{BuildOptions, Structure};
use glam::DVec3;
use mechanics::frame::{Frame, Joint, JointKind, Lost, Member, PointMass, Strand, StrandPoint};
use mechanics::road::quarter_car::Corner;
use mechanics::shaking::carry::ShakenMode;
use rig::model::{Arm, Hold, Rig};

/// The quarter car of a rig's car.
pub(crate) fn corner(rig: &Rig) -> Corner {
    let ride = &rig.vehicle.ride;
    Corner {
        sprung_kg: ride.sprung_corner.value,
        unsprung_kg: ride.unsprung_corner.value,
        spring_n_m: ride.spring.value,
        damper_n_s_m: ride.damper.value,
        tyre_n_m: ride.tyre.value,
    }
}

/// Axes of the boom in the parked pose: along it, left, square to both.
pub(crate) fn boom_axes(arm: &Arm) -> [DVec3; 3] {
    let (pan, elevation) = arm.parked;
    let along = DVec3::new(pan.cos(), pan.sin(), 0.0) * elevation.cos() + DVec3::Z * elevation.sin();
    let left = DVec3::new(-pan.sin(), pan.cos(), 0.0);
    [along, left, along.cross(left)]
}

/// A rig with its arm as one frame.
struct Built {
    frame: Frame,
    structure: Structure,
    /// Nodes at the boom's pivot and at its tip.
    arm: Option<(usize, usize)>,
    /// What keeps the boom from being known: then it counts as stiff.
    need: Option<Need>,
}

/// The frame with the arm on its platform in the parked pose: mast and tail stiff, the front boom as it bends. Without the payload
/// where an isolator floats it, because over the isolator's own frequency that stays behind.
fn build(rig: &Rig) -> Result<Built, Fault> {
    let structure = Structure::new(rig, BuildOptions::default());
    let mut out = Built { frame: structure.frame.clone(), structure, arm: None, need: None };
    let Some(arm) = &rig.arm else { return Ok(out) };
    let mut light = rig.clone();
    if let Some(a) = &mut light.arm
        && is_there(a)
    {
        a.payload.mass.value = 0.0;
    }
    let (Some(model), Some(light)) = (ArmModel::of(&light)?, &light.arm) else { return Ok(out) };
    let Some(platform) = out.structure.platform_node.get(arm.platform).copied() else { return Ok(out) };
    let axes = boom_axes(arm);
    let at = arm.base + DVec3::Z * arm.pivot_height;
    let pivot = out.frame.node(at);
    out.frame.joints.push(Joint { a: platform, b: pivot, kind: JointKind::Rigid });
    let on = (platform, arm.base);
    let parked = arm.parked.1;
    let tip = match BoomFrame::of(&on_the_tip(light), parked) {
        Ok(boom) => {
            let slack = boom.at_rest(parked, &[]).map_err(Fault::from_error)?.lost;
            model.stand_on(&mut out.frame, on, model.parked, |b| !is_front(b));
            add_boom(&mut out.frame, (&boom.frame, &slack), pivot, &|p| {
                at + axes[0] * p.x + axes[1] * p.y + axes[2] * p.z
            }) + boom.tip
        }
        Err(section) => {
            out.need = Some(Need {
                what: format!("tube of boom section {section}"),
                key: format!("arm.section.{section}.tube"),
                settle: "measure outer diameter and wall".to_owned(),
            });
            model.stand_on(&mut out.frame, on, model.parked, |_| true);
            let tip = out.frame.node(at + axes[0] * model.tip);
            out.frame.joints.push(Joint { a: platform, b: tip, kind: JointKind::Rigid });
            tip
        }
    };
    out.arm = Some((pivot, tip));
    Ok(out)
}

/// The arm with a levelled payload as a point on the tip: the linkage keeps it upright and takes its moment past the boom.
fn on_the_tip(arm: &Arm) -> Arm {
    let mut out = arm.clone();
    if out.levelled {
        out.levelled = false;
        out.payload.centre = DVec3::ZERO;
        out.payload.drag = None;
    }
    out
}

/// Puts the boom's frame on the pivot; gives what its node numbers are to be raised by. `place` takes boom axes to the vehicle's.
fn add_boom(
    frame: &mut Frame,
    (boom, slack): (&Frame, &[Lost]),
    pivot: usize,
    place: &dyn Fn(DVec3) -> DVec3,
) -> usize {
    let first = frame.nodes.len();
    let turn = |v: DVec3| place(v) - place(DVec3::ZERO);
    for p in &boom.nodes {
        frame.node(place(*p));
    }
    frame.joints.push(Joint { a: pivot, b: first, kind: JointKind::Rigid });
    for j in &boom.joints {
        let kind = match &j.kind {
            JointKind::Release { axes, free } => JointKind::Release { axes: axes.map(turn), free: *free },
            JointKind::Rigid => JointKind::Rigid,
        };
        frame.joints.push(Joint { a: j.a + first, b: j.b + first, kind });
    }
    for m in &boom.members {
        frame.members.push(Member { i: m.i + first, j: m.j + first, beam: m.beam, up: turn(m.up) });
    }
    for m in &boom.masses {
        frame.masses.push(PointMass { node: m.node + first, mass_kg: m.mass_kg, at: place(m.at) });
    }
    for (_, s) in boom.strands.iter().enumerate().filter(|(i, _)| !slack.contains(&Lost::Strand(*i))) {
        // What stands on the ground in the boom's own frame stands on the mast.
        let path = s
            .path
            .iter()
            .map(|p| StrandPoint { at: place(p.at), node: Some(p.node.map_or(pivot, |n| n + first)) })
            .collect();
        frame.strands.push(Strand { path, k_n_per_m: s.k_n_per_m, pretension_n: 0.0 });
    }
    first
}

/// The lowest frequencies of the rig with the arm on it, boom bending, payload afloat, Hz.
pub(crate) fn lowest(rig: &Rig, count: usize) -> Result<Vec<f64>, Fault> {
    let built = build(rig)?;
    let factored = built.frame.factor(&[]).map_err(Fault::from_error)?;
    let modes = factored.modes(count).map_err(Fault::from_error)?;
    Ok(modes.iter().map(|m| m.frequency_hz).collect())
}

/// Modes of rig and boom driven by the car body's movement at the origin of the vehicle axes.
pub(crate) struct Seen {
    /// As seen at the pivot, or at the camera of a rig without arm.
    pub(crate) near: (Vec<ShakenMode>, DVec3),
    /// As seen at the boom's tip.
    pub(crate) tip: Option<(Vec<ShakenMode>, DVec3)>,
    /// What keeps the boom from being known.
    pub(crate) need: Option<Need>,
}

/// The modes up to a frequency; `camera` is what holds the camera of a rig without arm, and where it is.
pub(crate) fn modes(rig: &Rig, camera: Option<(Hold, DVec3)>, highest_hz: f64) -> Result<Seen, Fault> {
    let mut built = build(rig)?;
    let holder = match (built.arm, camera) {
        (Some((pivot, _)), _) => Some(pivot),
        (None, Some((on, at))) => {
            let holder = match on {
                Hold::Tube { tube, s } => {
                    let stations =
                        built.structure.tubes.get(tube).map(|t| t.stations.as_slice()).unwrap_or_default();
                    stations
                        .iter()
                        .min_by(|a, b| (a.0 - s).abs().total_cmp(&(b.0 - s).abs()))
                        .map(|(_, n)| *n)
                }
                Hold::Platform(p) => built.structure.platform_node.get(p).copied(),
                Hold::Cup(c) => built.structure.cup_node.get(c).copied(),
                // Fixed to the car itself: nothing of the rig comes between.
                Hold::Body => None,
            };
            let Some(holder) = holder else {
                return Ok(Seen { near: (Vec::new(), at), tip: None, need: None });
            };
            let eye = built.frame.node(at);
            built.frame.joints.push(Joint { a: holder, b: eye, kind: JointKind::Rigid });
            Some(eye)
        }
        (None, None) => None,
    };
    let Some(eye) = holder else {
        return Err(Fault {
            what: "which item is the camera is not known: name it in [camera] as item = \"...\"".to_owned(),
        });
    };
    let factored = built.frame.factor(&[]).map_err(Fault::from_error)?;
    let see = |node: usize| -> Result<(Vec<ShakenMode>, DVec3), Fault> {
        let modes = factored.shaken_modes(highest_hz, node, DVec3::ZERO).map_err(Fault::from_error)?;
        Ok((modes, built.frame.nodes.get(node).copied().unwrap_or_default()))
    };
    let near = see(eye)?;
    let tip = match built.arm {
        Some((_, tip)) => Some(see(tip)?),
        None => None,
    };
    Ok(Seen { near, tip, need: built.need })
}

/// The same rig with a boom that bends half as much.
pub(crate) fn stiffer_boom(rig: &Rig, factor: f64) -> Rig {
    let mut rig = rig.clone();
    if let Some(arm) = &mut rig.arm {
        for section in arm.sections.iter_mut().filter_map(|s| s.section.as_mut()) {
            section.material.e_pa *= factor;
            section.material.g_pa *= factor;
        }
        for brace in &mut arm.braces {
            brace.ea *= factor;
        }
    }
    rig
}
