//! Parts by their words: tag, name for a machine, and the point that stands for them.

use super::{Part, Scene};
use glam::DVec3;
use rig::Rig;

/// A clamp is drawn as large as this around the crossing, m (drawn size, no source).
pub(crate) const CLAMP: f64 = 0.038;

/// Every part of a rig, the most important first.
pub fn parts(rig: &Rig) -> Vec<Part> {
    let mut out: Vec<Part> = (0..rig.cups.len()).map(Part::Cup).collect();
    out.extend(rig.arm.is_some().then_some(Part::Arm));
    out.extend((0..rig.tubes.len()).map(Part::Tube));
    out.extend((0..rig.platforms.len()).map(Part::Platform));
    out.extend((0..rig.straps.len()).map(Part::Strap));
    out.extend((0..rig.items.len()).map(Part::Item));
    out.extend((0..rig.clamps.len()).map(Part::Clamp));
    out.extend((0..rig.legs.len()).map(Part::Leg));
    out.extend(rig.arm.iter().flat_map(|a| (0..a.sections.len()).map(Part::BoomSection)));
    out
}

/// Its tag as the file has it.
pub(crate) fn tag(rig: &Rig, part: Part) -> String {
    let found = match part {
        Part::Cup(i) => rig.cups.get(i).map(|p| &p.tag),
        Part::Tube(i) => rig.tubes.get(i).map(|p| &p.tag),
        Part::Clamp(i) => rig.clamps.get(i).map(|p| &p.tag),
        Part::Leg(i) => rig.legs.get(i).map(|p| &p.tag),
        Part::Platform(i) => rig.platforms.get(i).map(|p| &p.tag),
        Part::Strap(i) => rig.straps.get(i).map(|p| &p.tag),
        Part::Item(i) => rig.items.get(i).map(|p| &p.tag),
        Part::BoomSection(i) => rig.arm.as_ref().and_then(|a| a.sections.get(i)).map(|p| &p.tag),
        Part::Arm => return "arm".to_owned(),
    };
    found.cloned().unwrap_or_default()
}

/// What it is: `cup`, `boom section`.
pub(crate) const fn kind(part: Part) -> &'static str {
    match part {
        Part::Cup(_) => "cup",
        Part::Tube(_) => "tube",
        Part::Clamp(_) => "clamp",
        Part::Leg(_) => "leg",
        Part::Platform(_) => "platform",
        Part::Strap(_) => "strap",
        Part::Item(_) => "item",
        Part::Arm => "arm",
        Part::BoomSection(_) => "section",
    }
}

/// How a page finds it in a drawing: `cup-FL`; the arm is `arm`.
pub fn mark(rig: &Rig, part: Part) -> String {
    match part {
        Part::Arm => "arm".to_owned(),
        part => format!("{}-{}", kind(part), tag(rig, part)),
    }
}

/// The point that stands for it; none for a part that is not there.
pub(crate) fn anchor(rig: &Rig, part: Part) -> Option<DVec3> {
    match part {
        Part::Cup(i) => rig.cups.get(i).map(|c| c.at),
        Part::Tube(i) => rig.tubes.get(i).map(|t| (t.a + t.b) / 2.0),
        Part::Clamp(i) => {
            let c = rig.clamps.get(i)?;
            let on = |(tube, s): (usize, f64)| rig.tubes.get(tube).map(|t| t.point(s));
            Some((on(c.first)? + on(c.second)?) / 2.0)
        }
        Part::Leg(i) => {
            let l = rig.legs.get(i)?;
            Some((rig.tubes.get(l.foot.0)?.point(l.foot.1) + l.top) / 2.0)
        }
        Part::Platform(i) => rig.platforms.get(i).map(|p| p.at),
        Part::Strap(i) => {
            let path = &rig.straps.get(i)?.path;
            let longest = path
                .windows(2)
                .max_by(|a, b| a[0].at.distance(a[1].at).total_cmp(&b[0].at.distance(b[1].at)))?;
            Some((longest[0].at + longest[1].at) / 2.0)
        }
        Part::Item(i) => rig.items.get(i).map(|p| p.at),
        Part::Arm => rig.arm.as_ref().map(|a| a.base + DVec3::Z * a.pivot_height),
        Part::BoomSection(_) => None,
    }
}

/// Where a part is, for those that move with the pose as well.
pub(crate) fn place(scene: &Scene<'_>, part: Part) -> Option<DVec3> {
    let (Part::BoomSection(i), Some(arm)) = (part, &scene.rig.arm) else { return anchor(scene.rig, part) };
    let span = arm.sections.get(i)?.span;
    let (sp, cp) = scene.pose.pan.sin_cos();
    let (se, ce) = scene.pose.elevation.sin_cos();
    let along = DVec3::new(cp * ce, sp * ce, se);
    Some(arm.base + DVec3::Z * arm.pivot_height + along * f64::midpoint(span.0, span.1))
}
