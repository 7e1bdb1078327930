//! The arm in its pose, and what it reaches.

use super::{Body, Layer, Look, Solid, arc, edges};
use crate::view::{Part, Pose, Scene};
use glam::DVec3;
use rig::model::{Arm, Drag};
use std::f64::consts::{PI, TAU};

/// An isolator's or a payload's mark where no size is stated, m.
const MARK: f64 = 0.03;
/// A brace is drawn this thick, m.
const BRACE: f64 = 0.006;

/// Axes of the arm in a pose.
pub(crate) struct Turned {
    /// The boom's pivot.
    pub(crate) pivot: DVec3,
    /// Along the boom, to its left, square to both.
    boom: [DVec3; 3],
    /// The boom's heading on the level, its left, up.
    level: [DVec3; 3],
}

impl Turned {
    pub(crate) fn new(arm: &Arm, pose: Pose) -> Self {
        let (sp, cp) = pose.pan.sin_cos();
        let (se, ce) = pose.elevation.sin_cos();
        let (ahead, left) = (DVec3::new(cp, sp, 0.0), DVec3::new(-sp, cp, 0.0));
        let along = ahead * ce + DVec3::Z * se;
        Self {
            pivot: arm.base + DVec3::Z * arm.pivot_height,
            boom: [along, left, along.cross(left)],
            level: [ahead, left, DVec3::Z],
        }
    }

    pub(crate) fn on_boom(&self, along: f64) -> DVec3 {
        self.pivot + self.boom[0] * along
    }

    pub(crate) fn tip(&self, arm: &Arm) -> DVec3 {
        self.on_boom(reach_of_boom(arm).1)
    }

    fn payload_axes(&self, arm: &Arm) -> [DVec3; 3] {
        if arm.levelled { self.level } else { self.boom }
    }

    fn payload(&self, arm: &Arm) -> (DVec3, Body) {
        let axes = self.payload_axes(arm);
        let c = arm.payload.centre;
        let centre = self.tip(arm) + axes[0] * c.x + axes[1] * c.y + axes[2] * c.z;
        (centre, block(centre, axes, arm.payload.drag.as_ref()))
    }

    fn weight(&self, arm: &Arm) -> Body {
        let w = &arm.counterweight;
        let centre = self.on_boom(-w.behind.value) - self.boom[2] * w.under;
        block(centre, self.boom, w.drag.as_ref())
    }
}

/// Tail's and tip's ends along the boom, m.
fn reach_of_boom(arm: &Arm) -> (f64, f64) {
    arm.sections.iter().fold((0.0, 0.0), |(low, high), s| {
        (f64::min(low, s.span.0.min(s.span.1)), f64::max(high, s.span.0.max(s.span.1)))
    })
}

fn block(centre: DVec3, axes: [DVec3; 3], drag: Option<&Drag>) -> Body {
    let size = drag.and_then(|d| edges(d.areas)).unwrap_or(DVec3::splat(2.0 * MARK));
    Body::Block {
        centre,
        half: [axes[0] * (size.x / 2.0), axes[1] * (size.y / 2.0), axes[2] * (size.z / 2.0)],
    }
}

/// How far out of the mast's axis the tip with its payload comes, and the tail with its weight, m, in one elevation.
fn out_of_axis(arm: &Arm, elevation: f64) -> (f64, f64) {
    let turned = Turned::new(arm, Pose { pan: 0.0, elevation });
    let axis = turned.pivot.truncate();
    let far = |points: &[DVec3]| points.iter().map(|p| (p.truncate() - axis).length()).fold(0.0, f64::max);
    let thick = |tip: bool| {
        arm.sections
            .iter()
            .filter(|s| (f64::midpoint(s.span.0, s.span.1) > 0.0) == tip)
            .map(|s| s.diameter / 2.0)
            .fold(0.0, f64::max)
    };
    let (tail, tip) = reach_of_boom(arm);
    let end = |along: f64, r: f64| {
        let p = turned.on_boom(along);
        far(&[p + turned.boom[1] * r, p - turned.boom[1] * r])
    };
    let mut front = end(tip, thick(true));
    if arm.payload.mass.value > 0.0 {
        front = front.max(far(&turned.payload(arm).1.points()));
    }
    let mut back = end(tail, thick(false));
    if arm.counterweight.mass.value > 0.0 {
        back = back.max(far(&turned.weight(arm).points()));
    }
    (front, back)
}

/// The widest that tip and tail reach from the mast's axis over all elevations, m.
pub(crate) fn sweep(arm: &Arm) -> (f64, f64) {
    all_elevations(arm)
        .map(|e| out_of_axis(arm, e))
        .fold((0.0, 0.0), |(a, b), (c, d)| (f64::max(a, c), f64::max(b, d)))
}

/// The elevations it may have, both ends among them.
fn all_elevations(arm: &Arm) -> impl Iterator<Item = f64> {
    let (low, high) = arm.elevation;
    // Reach and height over elevation are sines: a fine row misses their tops by less than a thousandth.
    (0..=60)
        .map(move |k| low + (high - low) * f64::from(k) / 60.0)
        .chain((low <= 0.0 && high >= 0.0).then_some(0.0))
}

/// The highest point of the arm over its elevations.
pub(crate) fn highest(arm: &Arm, pan: f64) -> DVec3 {
    let mut points = Vec::new();
    for elevation in all_elevations(arm) {
        let turned = Turned::new(arm, Pose { pan, elevation });
        for s in &arm.sections {
            let rise = turned.boom[2] * (s.diameter / 2.0);
            points.extend([s.span.0, s.span.1].map(|along| turned.on_boom(along) + rise));
        }
        for brace in &arm.braces {
            points.push(turned.pivot + turned.boom[2] * brace.height + turned.boom[1] * brace.left);
        }
        if arm.payload.mass.value > 0.0 {
            points.extend(turned.payload(arm).1.points());
        }
        if arm.counterweight.mass.value > 0.0 {
            points.extend(turned.weight(arm).points());
        }
    }
    points.into_iter().max_by(|a, b| a.z.total_cmp(&b.z)).unwrap_or(arm.base + DVec3::Z * arm.pivot_height)
}

/// Whether it can turn all round.
pub(crate) fn all_round(arm: &Arm) -> bool {
    arm.pan.1 - arm.pan.0 >= TAU - 1e-6
}

fn sector(arm: &Arm, centre: DVec3, radius: f64, turned_by: f64) -> Body {
    let (from, to) = (arm.pan.0 + turned_by, arm.pan.1 + turned_by);
    if all_round(arm) {
        return Body::Disc { centre, normal: DVec3::Z, radius };
    }
    let mut line = vec![centre];
    line.extend(arc(centre, radius, (from, to)));
    line.push(centre);
    Body::Line(line)
}

/// Path of the tip over the elevations at the pose's pan.
fn elevations(arm: &Arm, pan: f64) -> Vec<DVec3> {
    let (low, high) = arm.elevation;
    (0..=24)
        .map(|k| low + (high - low) * f64::from(k) / 24.0)
        .map(|elevation| Turned::new(arm, Pose { pan, elevation }).tip(arm))
        .collect()
}

pub(super) fn add(out: &mut Vec<Solid>, scene: &Scene<'_>) {
    let Some(arm) = &scene.rig.arm else { return };
    let turned = Turned::new(arm, scene.pose);
    let mut put = |part, look, body| out.push(Solid { part: Some(part), layer: Layer::Arm, look, body });
    let mast = Body::Rod { a: arm.base, b: turned.pivot, radius: arm.mast_diameter / 2.0 };
    put(Part::Arm, Look::Mast, mast);
    for (i, s) in arm.sections.iter().enumerate() {
        let (a, b) = (turned.on_boom(s.span.0), turned.on_boom(s.span.1));
        put(Part::BoomSection(i), Look::Boom, Body::Rod { a, b, radius: s.diameter / 2.0 });
    }
    for brace in &arm.braces {
        let a = turned.pivot + turned.boom[2] * brace.height + turned.boom[1] * brace.left;
        let b = turned.on_boom(brace.along);
        put(Part::Arm, Look::Brace, Body::Rod { a: turned.pivot, b: a, radius: BRACE });
        put(Part::Arm, Look::Brace, Body::Rod { a, b, radius: BRACE });
    }
    if arm.counterweight.mass.value > 0.0 {
        put(Part::Arm, Look::Weight, turned.weight(arm));
    }
    let (tip, (centre, payload)) = (turned.tip(arm), turned.payload(arm));
    if arm.payload.mass.value > 0.0 {
        put(Part::Arm, Look::Payload, payload);
    }
    if arm.isolator.mass.value > 0.0 {
        // Drawn from the tip half way to the payload's middle: its own size is not in the file.
        let end = tip + (centre - tip).clamp_length_max(0.1);
        let end = if (end - tip).length() > 1e-3 { end } else { tip - DVec3::Z * MARK };
        put(Part::Arm, Look::Isolator, Body::Rod { a: tip, b: end, radius: MARK });
    }
    let (front, back) = sweep(arm);
    let mut put = |look, body| {
        out.push(Solid { part: Some(Part::Arm), layer: Layer::Sweep, look, body });
    };
    put(Look::TipSweep, sector(arm, turned.pivot, front, 0.0));
    put(Look::TailSweep, sector(arm, turned.pivot, back, PI));
    put(Look::Elevation, Body::Line(elevations(arm, scene.pose.pan)));
    for elevation in [arm.elevation.0, arm.elevation.1] {
        let other = Turned::new(arm, Pose { pan: scene.pose.pan, elevation });
        let (tail, tip) = reach_of_boom(arm);
        put(Look::OtherPose, Body::Line(vec![other.on_boom(tail), other.on_boom(tip)]));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::tests::example;

    #[test]
    fn the_tip_stands_where_pan_and_elevation_put_it() {
        let rig = example("estate-arm");
        let arm = rig.arm.as_ref().unwrap();
        let pose = Pose { pan: 90_f64.to_radians(), elevation: 30_f64.to_radians() };
        let tip = Turned::new(arm, pose).tip(arm);
        // 1.7 m of boom: 1.7 cos 30 to the left of the mast, 1.7 sin 30 over the pivot.
        let want = arm.base + DVec3::new(0.0, 1.7 * 0.75_f64.sqrt(), 0.52 + 0.85);
        assert!((tip - want).length() < 1e-9, "{tip}");
    }

    #[test]
    fn the_sweep_is_that_of_the_payloads_outer_corner() {
        let rig = example("estate-arm");
        let arm = rig.arm.as_ref().unwrap();
        let (tip, tail) = sweep(arm);
        // Level: the payload reaches 1.7 + 0.16 ahead and 0.13 sideways; the weight 0.6 + 0.06 and 0.1, the tail 0.65 and 0.04.
        assert!((tip - 1.86_f64.hypot(0.13)).abs() < 1e-9, "{tip}");
        // The weight hangs 20 mm low with half its 200 mm, so it comes a little farther out when the front is up.
        assert!(tail >= 0.66_f64.hypot(0.1) - 1e-9 && tail < 0.69, "{tail}");
    }
}
