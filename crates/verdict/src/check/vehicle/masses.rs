//! Everything that weighs on the wheels, as points.

use crate::context::Context;
use glam::DVec3;
use mechanics::arm::Pose;
use mechanics::vehicle::VehicleError;
use mechanics::vehicle::loads::{Chassis, PointMass, laden};
use rig::model::{Hold, PathPoint, Rig};

/// Wheelbase and tracks.
pub(super) fn chassis(rig: &Rig) -> Result<Chassis, VehicleError> {
    let v = &rig.vehicle;
    Chassis::new(v.wheelbase.value, v.track_front.value, v.track_rear.value)
}

/// The car with nobody inside: the mass centre lies where its axles' shares balance, `x = -L m_r / m`.
pub(super) fn empty(rig: &Rig) -> PointMass {
    let v = &rig.vehicle;
    let (m, front) = (v.mass.value, v.front_axle.value);
    let behind = if m > 0.0 { v.wheelbase.value * (1.0 - front / m) } else { 0.0 };
    PointMass { mass_kg: m, at_m: DVec3::new(-behind, 0.0, v.centre_height.value) }
}

/// The car and what rides inside it.
pub(super) fn without_rig(rig: &Rig) -> Vec<PointMass> {
    let aboard = rig.vehicle.aboard.iter().map(|a| PointMass { mass_kg: a.mass.value, at_m: a.at });
    core::iter::once(empty(rig)).chain(aboard).collect()
}

/// Cups, tubes, clamps, legs, platforms, items, straps and tethers.
pub(super) fn rig_parts(ctx: &Context<'_>) -> Vec<PointMass> {
    let frame = &ctx.structure.frame;
    let mut parts: Vec<PointMass> = frame
        .members
        .iter()
        .enumerate()
        .map(|(i, m)| PointMass {
            mass_kg: m.beam.line_mass() * frame.member_length(i),
            at_m: (frame.nodes[m.i] + frame.nodes[m.j]) / 2.0,
        })
        .collect();
    parts.extend(frame.masses.iter().map(|m| PointMass { mass_kg: m.mass_kg, at_m: m.at }));
    // The frame leaves these out: they hang on the body, or lie along a path.
    let on_body = ctx.rig.items.iter().filter(|i| i.on == Hold::Body);
    parts.extend(on_body.map(|i| PointMass { mass_kg: i.mass.value, at_m: i.at }));
    parts.extend(ctx.rig.straps.iter().map(|s| PointMass { mass_kg: s.mass.value, at_m: middle(&s.path) }));
    parts
}

/// Mass of straps and tethers, kg.
pub(super) fn strap_mass(rig: &Rig) -> f64 {
    rig.straps.iter().map(|s| s.mass.value).sum()
}

/// Middle of a path of uniform mass.
fn middle(path: &[PathPoint]) -> DVec3 {
    let (mut length, mut sum) = (0.0, DVec3::ZERO);
    for w in path.windows(2) {
        let l = (w[1].at - w[0].at).length();
        length += l;
        sum += (w[0].at + w[1].at) * (0.5 * l);
    }
    if length > 0.0 { sum / length } else { path.first().map_or(DVec3::ZERO, |p| p.at) }
}

/// The arm in a pose, if there is one.
pub(super) fn arm(ctx: &Context<'_>, pose: Pose) -> Option<PointMass> {
    let (model, arm) = (ctx.arm.as_ref()?, ctx.rig.arm.as_ref()?);
    let at = model.chain.mass_centre_m(pose).unwrap_or(DVec3::NAN);
    Some(PointMass { mass_kg: model.chain.mass_kg(), at_m: arm.base + at })
}

/// Car, people and rig as one point; the arm comes on top pose by pose.
pub(super) fn without_arm(ctx: &Context<'_>) -> Result<PointMass, VehicleError> {
    let mut all = without_rig(ctx.rig);
    all.extend(rig_parts(ctx));
    laden(&all)
}

/// Everything in one pose.
pub(super) fn all(ctx: &Context<'_>, base: PointMass, pose: Pose) -> Result<PointMass, VehicleError> {
    let parts: Vec<PointMass> = core::iter::once(base).chain(arm(ctx, pose)).collect();
    laden(&parts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{context, rig};

    #[test]
    fn the_rig_weighs_what_its_parts_weigh() {
        let rig = rig();
        let ctx = context(&rig);
        let mass: f64 = rig_parts(&ctx).iter().map(|p| p.mass_kg).sum();
        // Cups 8, clamps 4, legs 2, platform 6, strap 1; tube area pi x 4 x 44.3 mm² = 556.7 mm², 4.64 m in all.
        let tubes = core::f64::consts::PI * 0.004 * 0.0443 * 2700.0 * 4.64;
        // Rounding of a few sums of kilograms.
        assert!((mass - 21.0 - tubes).abs() < 1e-9, "{mass}");
        let a = arm(&ctx, Pose::default()).unwrap();
        // 5 + 10 + 8 + 2.4 + 32.133 + 6.
        assert!((a.mass_kg - 63.533_333_333).abs() < 1e-6);
        // Balanced boom: the pan part stands over the mast, so the centre lies on it but for nothing.
        assert!((a.at_m.x + 2.0).abs() < 1e-9 && a.at_m.y.abs() < 1e-9);
    }

    #[test]
    fn the_empty_car_balances_on_its_axles() {
        let e = empty(&rig());
        // 675 of 1500 kg on the rear of 2.7 m.
        assert!((e.at_m.x + 1.215).abs() < 1e-12);
    }
}
