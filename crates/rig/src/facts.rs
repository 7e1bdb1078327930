//! Every fact of a model.

use crate::fact::Fact;
use crate::isolator::Unit;
use crate::model::{Arm, Bolts, Drag, Rig, Section, Vertical};

/// Calls `visit` on every fact of the model, in the order of the file format.
pub fn facts_mut(rig: &mut Rig, visit: &mut dyn FnMut(&mut Fact)) {
    let mut each = |list: Vec<Option<&mut Fact>>| list.into_iter().flatten().for_each(&mut *visit);
    let s = &mut rig.site;
    each(vec![
        Some(&mut s.altitude),
        Some(&mut s.temperature),
        Some(&mut s.gust),
        s.highest.as_mut(),
        s.hottest.as_mut(),
        Some(&mut s.over_roof),
        s.clearance.as_mut(),
    ]);
    if let Some((height, voltage)) = &mut s.overhead_line {
        each(vec![Some(height), Some(voltage)]);
    }
    let v = &mut rig.vehicle;
    each(vec![
        Some(&mut v.mass),
        Some(&mut v.front_axle),
        Some(&mut v.wheelbase),
        Some(&mut v.track_front),
        Some(&mut v.track_rear),
        Some(&mut v.centre_height),
        v.roof_rating.as_mut(),
        v.gross_limit.as_mut(),
        v.front_axle_limit.as_mut(),
        v.rear_axle_limit.as_mut(),
        Some(&mut v.outline.length),
        Some(&mut v.outline.width),
        Some(&mut v.outline.height),
        Some(&mut v.outline.front_overhang),
        Some(&mut v.ride.sprung_corner),
        Some(&mut v.ride.unsprung_corner),
        Some(&mut v.ride.spring),
        Some(&mut v.ride.damper),
        Some(&mut v.ride.tyre),
        Some(&mut v.ride.roll_stiffness),
        Some(&mut v.ride.roll_axis_height),
    ]);
    for aboard in &mut v.aboard {
        each(vec![Some(&mut aboard.mass)]);
    }
    for p in &mut rig.panels {
        each(vec![
            Some(&mut p.crown.0),
            Some(&mut p.crown.1),
            Some(&mut p.friction),
            Some(&mut p.stiffness),
            Some(&mut p.rocking),
            p.pull_limit.as_mut(),
            p.push_limit.as_mut(),
        ]);
    }
    for c in &mut rig.cups {
        each(vec![
            Some(&mut c.mass),
            c.vacuum.as_mut(),
            Some(&mut c.loss),
            Some(&mut c.axial),
            Some(&mut c.shear),
            Some(&mut c.rocking),
            Some(&mut c.torsional),
            c.pull_rating.as_mut(),
            c.shear_rating.as_mut(),
            Some(&mut c.lip_follow),
        ]);
    }
    for t in &mut rig.tubes {
        each(section(&mut t.section));
    }
    for c in &mut rig.clamps {
        each(vec![Some(&mut c.mass), c.slip.as_mut(), c.twist.as_mut(), Some(&mut c.torque)]);
    }
    for p in &mut rig.platforms {
        each(vec![Some(&mut p.mass), Some(&mut p.drag)]);
    }
    for l in &mut rig.legs {
        each(vec![Some(&mut l.mass), l.slip.as_mut(), l.twist.as_mut()]);
        each(l.section.as_mut().map(section).unwrap_or_default());
        each(l.bolts.as_mut().map(bolts).unwrap_or_default());
    }
    for s in &mut rig.straps {
        each(vec![Some(&mut s.capacity), Some(&mut s.stretch), Some(&mut s.pretension), Some(&mut s.mass)]);
    }
    for i in &mut rig.items {
        each(vec![Some(&mut i.mass), drag(&mut i.drag)]);
    }
    if let Some(a) = &mut rig.arm {
        each(arm(a));
    }
    if let Some(p) = &mut rig.power {
        each(p.facts_mut().into_iter().map(Some).collect());
    }
    if let Some(c) = &mut rig.camera {
        each(c.facts_mut());
    }
    for m in &mut rig.manoeuvres {
        each(vec![Some(&mut m.speed), Some(&mut m.forward), Some(&mut m.left), m.yaw_rate.as_mut()]);
        match &mut m.vertical {
            Vertical::Range(f) => each(vec![Some(f)]),
            Vertical::Road => {}
            Vertical::Kerb { height, length } => each(vec![Some(height), Some(length)]),
        }
    }
    let p = &mut rig.policy;
    each(vec![
        Some(&mut p.retention.forward),
        Some(&mut p.retention.rearward),
        Some(&mut p.retention.sideways),
        Some(&mut p.retention.upward),
        Some(&mut p.peak_factor),
        p.sway_limit.as_mut(),
        Some(&mut p.keep_clear),
        Some(&mut p.headroom),
        Some(&mut p.pump_ultimate),
    ]);
}

fn bolts(b: &mut Bolts) -> Vec<Option<&mut Fact>> {
    vec![Some(&mut b.torque), Some(&mut b.thread_friction), Some(&mut b.face_friction)]
}

fn section(s: &mut Section) -> Vec<Option<&mut Fact>> {
    vec![Some(&mut s.drag), Some(&mut s.material.yield_pa)]
}

fn drag(d: &mut Option<Drag>) -> Option<&mut Fact> {
    d.as_mut().map(|d| &mut d.coefficient)
}

fn arm(a: &mut Arm) -> Vec<Option<&mut Fact>> {
    let mut out = vec![Some(&mut a.base_mass.0), Some(&mut a.head_mass.0), a.sag_limit.as_mut()];
    for s in &mut a.sections {
        out.extend([Some(&mut s.mass), Some(&mut s.drag)]);
        out.extend(s.section.as_mut().map(section).unwrap_or_default());
        out.extend(s.bolts.as_mut().map(bolts).unwrap_or_default());
    }
    let c = &mut a.counterweight;
    out.extend([Some(&mut c.mass), Some(&mut c.behind), drag(&mut c.drag)]);
    out.extend([Some(&mut a.isolator.mass), a.isolator.frequency.as_mut()]);
    out.extend(a.isolator.unit.facts_mut());
    out.extend([Some(&mut a.payload.mass), drag(&mut a.payload.drag)]);
    let d = &mut a.drives;
    out.extend([
        Some(&mut d.pan_rate),
        Some(&mut d.pan_acceleration),
        Some(&mut d.pan_stop),
        d.pan_torque.as_mut(),
        Some(&mut d.tilt_rate),
        Some(&mut d.tilt_acceleration),
        Some(&mut d.tilt_stop),
        d.tilt_torque.as_mut(),
    ]);
    out
}

/// Copies of the facts that are assumed and that a check may rest on, in file order, each key once. None rests on the camera or on
/// the isolator's unit.
pub fn assumed(rig: &Rig) -> Vec<Fact> {
    let mut out: Vec<Fact> = Vec::new();
    let mut rig = rig.clone();
    rig.camera = None;
    if let Some(arm) = &mut rig.arm {
        arm.isolator.unit = Unit::default();
    }
    facts_mut(&mut rig, &mut |fact| {
        if fact.is_assumed() && !out.iter().any(|f| f.key == fact.key) {
            out.push(fact.clone());
        }
    });
    out
}
