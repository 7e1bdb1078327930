//! Where the arm's parts are in a pose, and what stands still around them.

use crate::check::solid::{Block, Rod, Solid, edges_from_areas};
use crate::parts::PartRef;
use glam::{DMat3, DVec3};
use mechanics::arm::Pose;
use rig::model::{Arm, Rig};

/// A part of the arm that sweeps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Moving {
    /// Payload.
    Payload,
    /// Counterweight.
    Counterweight,
    /// Boom and tail.
    Boom,
}

impl Moving {
    /// All of them.
    pub(super) const ALL: [Self; 3] = [Self::Payload, Self::Counterweight, Self::Boom];

    /// Its word.
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Payload => "payload",
            Self::Counterweight => "counterweight",
            Self::Boom => "boom",
        }
    }
}

/// Whether a size that its gaps need is missing.
pub(super) fn size_missing(arm: &Arm, what: Moving) -> bool {
    let unknown = |mass: f64, drag: Option<&rig::model::Drag>| {
        mass > 0.0 && drag.and_then(|d| edges_from_areas(d.areas)).is_none()
    };
    match what {
        Moving::Payload => unknown(arm.payload.mass.value, arm.payload.drag.as_ref()),
        Moving::Counterweight => unknown(arm.counterweight.mass.value, arm.counterweight.drag.as_ref()),
        Moving::Boom => false,
    }
}

/// Turns of mast and boom, and the pivot, in vehicle axes.
fn frames(arm: &Arm, pose: Pose) -> (DMat3, DMat3, DVec3) {
    let mast = DMat3::from_rotation_z(pose.pan_rad);
    let boom = mast * DMat3::from_rotation_y(-pose.elevation_rad);
    (mast, boom, arm.base + DVec3::Z * arm.pivot_height)
}

/// Farthest point of the boom from its pivot, m.
fn tip(arm: &Arm) -> f64 {
    arm.sections.iter().map(|s| s.span.0.max(s.span.1)).fold(0.0, f64::max)
}

fn axes(turn: DMat3) -> [DVec3; 3] {
    [turn.x_axis, turn.y_axis, turn.z_axis]
}

/// The solids of one part in a pose; a box whose size is not stated counts as a point.
pub(super) fn solids(arm: &Arm, what: Moving, pose: Pose) -> Vec<Solid> {
    let (mast, boom, pivot) = frames(arm, pose);
    let block = |centre: DVec3, turn: DMat3, drag: Option<&rig::model::Drag>| {
        let size = drag.and_then(|d| edges_from_areas(d.areas)).unwrap_or(DVec3::ZERO);
        vec![Solid::Block(Block { centre, axes: axes(turn), half: size / 2.0 })]
    };
    match what {
        Moving::Payload if arm.payload.mass.value > 0.0 => {
            let turn = if arm.levelled { mast } else { boom };
            let centre = pivot + boom * (DVec3::X * tip(arm)) + turn * arm.payload.centre;
            block(centre, turn, arm.payload.drag.as_ref())
        }
        Moving::Counterweight if arm.counterweight.mass.value > 0.0 => {
            let at = DVec3::new(-arm.counterweight.behind.value, 0.0, -arm.counterweight.under);
            block(pivot + boom * at, boom, arm.counterweight.drag.as_ref())
        }
        Moving::Payload | Moving::Counterweight => Vec::new(),
        Moving::Boom => {
            let rod = |s: &rig::model::BoomSection| {
                let at = |x: f64| pivot + boom * (DVec3::X * x);
                Solid::Rod(Rod { a: at(s.span.0), b: at(s.span.1), radius: s.diameter / 2.0 })
            };
            arm.sections.iter().map(rod).collect()
        }
    }
}

/// Upper ends of braces in a pose.
pub(super) fn brace_tops(arm: &Arm, pose: Pose) -> Vec<DVec3> {
    let (_, boom, pivot) = frames(arm, pose);
    arm.braces.iter().map(|b| pivot + boom * DVec3::new(0.0, b.left, b.height)).collect()
}

/// Tubes, platforms, legs and items that the arm might touch. Legs and items of no stated size count by their axis or centre.
pub(super) fn standing(rig: &Rig) -> Vec<(PartRef, Solid)> {
    let mut out = Vec::new();
    for (i, t) in rig.tubes.iter().enumerate() {
        out.push((PartRef::Tube(i), Solid::Rod(Rod { a: t.a, b: t.b, radius: t.section.outer / 2.0 })));
    }
    for (i, p) in rig.platforms.iter().enumerate() {
        out.push((PartRef::Platform(i), Solid::Block(Block::platform(p))));
    }
    for (i, item) in rig.items.iter().enumerate() {
        let size = item.drag.as_ref().and_then(|d| edges_from_areas(d.areas)).unwrap_or(DVec3::ZERO);
        out.push((PartRef::Item(i), Solid::Block(Block::upright(item.at, size))));
    }
    for (i, leg) in rig.legs.iter().enumerate() {
        if let Some(t) = rig.tubes.get(leg.foot.0) {
            let radius = leg.section.as_ref().map_or(0.0, |s| s.outer / 2.0);
            out.push((PartRef::Leg(i), Solid::Rod(Rod { a: t.point(leg.foot.1), b: leg.top, radius })));
        }
    }
    out
}

/// The car as a box from bumper to bumper, as high as it is anywhere.
pub(super) fn body(rig: &Rig) -> Block {
    let o = &rig.vehicle.outline;
    let middle = o.front_overhang.value - o.length.value / 2.0;
    let size = DVec3::new(o.length.value, o.width.value, o.height.value);
    Block::upright(DVec3::new(middle, 0.0, o.height.value / 2.0), size)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{arm, context, rig};

    #[test]
    fn parts_stand_where_the_chain_puts_them() {
        // The same payload, counterweight and tip as the chain of bodies: centre of all boom and tip masses.
        let rig = rig();
        let ctx = context(&rig);
        let pose = Pose { pan_rad: 0.7, elevation_rad: 0.4 };
        let a = rig.arm.as_ref().unwrap();
        let tip = ctx.arm.as_ref().unwrap().chain.tip_position_m(pose).unwrap() + a.base;
        let (centre, _) = solids(a, Moving::Payload, pose)[0].ball();
        assert!((centre - tip + DVec3::Z * 0.2).length() < 1e-12);
        let (low, high) = solids(a, Moving::Boom, pose)[0].bounds();
        assert!((high - tip).abs().min_element() < 0.041 && low.z < high.z);
    }

    #[test]
    fn a_box_without_a_size_is_a_missing_fact() {
        let mut a = arm();
        assert!(!size_missing(&a, Moving::Payload));
        a.payload.drag = None;
        assert!(size_missing(&a, Moving::Payload) && !size_missing(&a, Moving::Counterweight));
    }

    #[test]
    fn the_body_reaches_from_bumper_to_bumper() {
        let (low, high) = Solid::Block(body(&rig())).bounds();
        assert!((low - DVec3::new(-3.7, -0.9, 0.0)).length() < 1e-12);
        assert!((high - DVec3::new(0.9, 0.9, 1.5)).length() < 1e-12);
    }
}
