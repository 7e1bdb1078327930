//! The rig and the boom as what shakes between car body and isolator.

use crate::Fault;
use crate::arm_model::ArmModel;
use crate::check::boom_sag;
use crate::finding::Need;
use crate::isolator::is_there;
use crate::structure::{BuildOptions, Structure};
use glam::DVec3;
use mechanics::frame::{Frame, Joint, JointKind};
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

/// The arm as it shakes: without its payload where an isolator floats it, because that stays behind over its own frequency.
pub(crate) fn shaken_arm(arm: &Arm) -> Arm {
    let mut arm = arm.clone();
    if is_there(&arm) {
        arm.payload.mass.value = 0.0;
    }
    arm
}

/// The frame with the bodies of the arm on its platform in the parked pose.
fn frame(rig: &Rig) -> Result<(Structure, Frame), Fault> {
    let structure = Structure::new(rig, BuildOptions::default());
    let mut frame = structure.frame.clone();
    let mut light = rig.clone();
    light.arm = rig.arm.as_ref().map(shaken_arm);
    if let (Some(model), Some(arm)) = (ArmModel::of(&light)?, &rig.arm)
        && let Some(node) = structure.platform_node.get(arm.platform).copied()
    {
        model.stand_on(&mut frame, node, arm.base, model.parked);
    }
    Ok((structure, frame))
}

/// The lowest frequencies of the rig with the arm on it, payload afloat, Hz.
pub(crate) fn lowest(rig: &Rig, count: usize) -> Result<Vec<f64>, Fault> {
    let (_, frame) = frame(rig)?;
    let factored = frame.factor(&[]).map_err(Fault::from_error)?;
    let modes = factored.modes(count).map_err(Fault::from_error)?;
    Ok(modes.iter().map(|m| m.frequency_hz).collect())
}

/// The rig's modes as a point of it sees them, driven by the car body's movement at the origin of the vehicle axes.
pub(crate) fn modes(rig: &Rig, on: Hold, at: DVec3, highest_hz: f64) -> Result<Vec<ShakenMode>, Fault> {
    let (structure, mut frame) = frame(rig)?;
    let holder = match on {
        Hold::Tube { tube, s } => {
            let stations = structure.tubes.get(tube).map(|t| t.stations.as_slice()).unwrap_or_default();
            stations.iter().min_by(|a, b| (a.0 - s).abs().total_cmp(&(b.0 - s).abs())).map(|(_, n)| *n)
        }
        Hold::Platform(p) => structure.platform_node.get(p).copied(),
        Hold::Cup(c) => structure.cup_node.get(c).copied(),
        // Fixed to the car itself: nothing of the rig comes between.
        Hold::Body => None,
    };
    let Some(holder) = holder else { return Ok(Vec::new()) };
    let eye = frame.node(at);
    frame.joints.push(Joint { a: holder, b: eye, kind: JointKind::Rigid });
    let factored = frame.factor(&[]).map_err(Fault::from_error)?;
    factored.shaken_modes(highest_hz, eye, DVec3::ZERO).map_err(Fault::from_error)
}

/// The boom in its own axes: modes as its tip sees them, driven by the pivot's movement, and its length.
pub(crate) fn boom(arm: &Arm, highest_hz: f64) -> Result<Result<(Vec<ShakenMode>, f64), Need>, Fault> {
    match boom_sag::shaken(&shaken_arm(arm), highest_hz) {
        Ok(found) => found.map(Ok).map_err(Fault::from_error),
        Err(section) => Ok(Err(Need {
            what: format!("tube of boom section {section}"),
            key: format!("arm.section.{section}.tube"),
            settle: "measure outer diameter and wall".to_owned(),
        })),
    }
}

/// First bending frequency of the boom up and down, Hz, where its tubes are known.
pub(crate) fn boom_hz(rig: &Rig) -> Result<Option<f64>, Fault> {
    let Some(arm) = &rig.arm else { return Ok(None) };
    let Ok((modes, _)) = boom(arm, 1e3)? else { return Ok(None) };
    let upright = modes.iter().find(|m| m.pull[2].abs() > m.pull[1].abs().max(m.pull[0].abs()));
    Ok(upright.map(|m| m.frequency_hz))
}
