//! Rolling over: the laden, rolling car against the side acceleration that is planned, and the wheels that stay down.

use super::masses::{all, chassis, without_arm, without_rig};
use crate::actions::gravity;
use crate::check::once::{intact, pose_words, poses_of, refused};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::arm::Pose;
use mechanics::vehicle::VehicleError;
use mechanics::vehicle::loads::{Chassis, GroundLoads, Motion, PointMass, ground_loads, laden};
use mechanics::vehicle::stability::{
    Rollover, compliant_threshold_g, roll_rate_rad_g, static_stability_factor,
};
use quantity::Kind;
use rig::model::Manoeuvre;
use rig::policy::CheckId;

const ID: (CheckId, PartRef) = (CheckId::Rollover, PartRef::Vehicle);

/// Threshold of the rolling car against the planned side acceleration, the wheel that unloads most, and the stability
/// factor before and after as a note.
pub(in crate::check) fn rollover(ctx: &Context<'_>) -> Vec<Finding> {
    worst(ctx).unwrap_or_else(|e| match e {
        VehicleError::FallsOver { .. } => vec![intact(ctx, ID, Kind::Number, 1.0, 0.0).when(e.to_string())],
        other => vec![refused(ID.0, ID.1, "vehicle", other)],
    })
}

/// A manoeuvre and a pose with what they ask and what there is.
struct Case<'a> {
    demand: f64,
    capacity: f64,
    manoeuvre: &'a Manoeuvre,
    pose: Pose,
    threshold: Threshold,
}

/// The threshold towards one side and what it is made of.
#[derive(Clone, Copy)]
struct Threshold {
    track: f64,
    centre: PointMass,
    roll_axis: f64,
    roll_rate: f64,
    side_g: f64,
}

fn worst(ctx: &Context<'_>) -> Result<Vec<Finding>, VehicleError> {
    let (chassis, base) = (chassis(ctx.rig)?, without_arm(ctx)?);
    let mut tip: Option<Case<'_>> = None;
    let mut lift: Option<(Case<'_>, &'static str)> = None;
    for m in &ctx.rig.manoeuvres {
        let side = side_g(m);
        for pose in poses_of(ctx, m.arm) {
            let centre = all(ctx, base, pose)?;
            let threshold = threshold(ctx, &chassis, centre, side)?;
            let case = |demand: f64, capacity: f64| Case { demand, capacity, manoeuvre: m, pose, threshold };
            let now = case(side.abs(), threshold.side_g);
            if tip.as_ref().is_none_or(|t| now.demand * t.capacity > t.demand * now.capacity) {
                tip = Some(now);
            }
            let (shed, standing, which) = lightest(&centre, &chassis, m)?;
            if lift.as_ref().is_none_or(|(t, _)| shed * t.capacity > t.demand * standing) {
                lift = Some((case(shed, standing), which));
            }
        }
    }
    let mut out = Vec::new();
    if let Some(t) = &tip {
        out.push(tipping(ctx, t));
    }
    if let Some((t, which)) = &lift {
        out.push(lifting(ctx, t, which));
    }
    out.push(before_and_after(ctx, &chassis, base)?);
    Ok(out)
}

/// Side acceleration that the car feels over the weight it feels, + pushing to the left: bank and grade included, the
/// road's own bumps left out, as they are over before a car can roll.
fn side_g(m: &Manoeuvre) -> f64 {
    let q = gravity(m.grade, m.bank) - DVec3::new(m.forward.value, m.left.value, 0.0);
    q.y / q.z.abs()
}

/// Threshold towards the side that `side` pushes to. A mass centre that lies `y` to that side leaves `T - 2 y` of the
/// track; all of the laden car counts as body on its springs, which is the safe side.
fn threshold(
    ctx: &Context<'_>,
    chassis: &Chassis,
    centre: PointMass,
    side: f64,
) -> Result<Threshold, VehicleError> {
    let ride = &ctx.rig.vehicle.ride;
    let towards = if side < 0.0 { -1.0 } else { 1.0 };
    let track = chassis.track_at(centre.at_m.x) - 2.0 * centre.at_m.y * towards;
    let height = centre.at_m.z;
    let roll_axis = ride.roll_axis_height.value.clamp(0.0, height.max(0.0));
    let overturning = centre.mass_kg * STANDARD_GRAVITY * (height - roll_axis);
    let roll_rate = roll_rate_rad_g(overturning, ride.roll_stiffness.value)?;
    let side_g = compliant_threshold_g(&Rollover {
        track_m: track,
        height_m: height,
        roll_centre_m: roll_axis,
        roll_rate_rad_g: roll_rate,
    })?;
    Ok(Threshold { track, centre, roll_axis, roll_rate, side_g })
}

/// Load that leaves the axle or side that unloads most, its load standing still, and which it is.
fn lightest(
    centre: &PointMass,
    chassis: &Chassis,
    m: &Manoeuvre,
) -> Result<(f64, f64, &'static str), VehicleError> {
    let motion = Motion {
        acceleration_m_s2: DVec3::new(m.forward.value, m.left.value, 0.0),
        grade_rad: m.grade,
        bank_rad: m.bank,
    };
    let rest = ground_loads(centre, chassis, &Motion::default())?;
    let moved = ground_loads(centre, chassis, &motion)?;
    let all = |l: &GroundLoads| [l.front_n, l.rear_n, l.left_n, l.right_n];
    let names = ["front axle", "rear axle", "left wheels", "right wheels"];
    let mut worst = (f64::NEG_INFINITY, 1.0, names[0]);
    for ((r, n), name) in all(&rest).into_iter().zip(all(&moved)).zip(names) {
        if (r - n) * worst.1 > worst.0 * r {
            worst = (r - n, r, name);
        }
    }
    Ok(worst)
}

fn words(ctx: &Context<'_>, c: &Case<'_>) -> String {
    if ctx.arm.is_some() {
        format!("{}; {}", c.manoeuvre.tag, pose_words(c.pose))
    } else {
        c.manoeuvre.tag.clone()
    }
}

fn tipping(ctx: &Context<'_>, c: &Case<'_>) -> Finding {
    let t = &c.threshold;
    let hand = HandCheck {
        formula: "capacity = (T / 2h) / (1 + R (1 - hr / h));  R = W / (K - W), W = m g (h - hr);  demand = side g",
        source: "Gillespie 1992 ch. 9 [from memory]; mechanics.md §4.9",
        steps: vec![
            Step::new("m", "laden mass, rig and arm included", t.centre.mass_kg, Kind::Mass),
            Step::new("h", "height of the laden mass centre", t.centre.at_m.z, Kind::Length),
            Step::new("y", "laden mass centre, left of the middle", t.centre.at_m.y, Kind::Length),
            Step::new("T", "track there, less 2 y towards the outside", t.track, Kind::Length),
            Step::new("hr", "height of the roll axis", t.roll_axis, Kind::Length),
            Step::new(
                "K",
                "roll stiffness of the car",
                ctx.rig.vehicle.ride.roll_stiffness.value,
                Kind::RotationalStiffness,
            ),
            Step::new("R", "roll per g, W / (K - W)", t.roll_rate, Kind::Angle),
            Step::new("capacity", "side acceleration at which the inside lifts, g", c.capacity, Kind::Number),
            Step::new("demand", "side acceleration planned, bank included, g", c.demand, Kind::Number),
        ],
    };
    intact(ctx, ID, Kind::Number, c.demand, c.capacity)
        .at("side acceleration in g")
        .when(words(ctx, c))
        .hand(hand)
}

fn lifting(ctx: &Context<'_>, c: &Case<'_>, which: &'static str) -> Finding {
    let hand = HandCheck {
        formula: "capacity = load standing still;  demand = load that the manoeuvre takes off;  nothing lifts while demand < capacity",
        source: "moment balance about the tyres; mechanics.md §4.8",
        steps: vec![
            Step::new("capacity", "load standing still on a level road", c.capacity, Kind::Force),
            Step::new("demand", "load taken off by acceleration, grade and bank", c.demand, Kind::Force),
            Step::new("left", "capacity - demand", c.capacity - c.demand, Kind::Force),
        ],
    };
    let demand = c.demand.max(0.0);
    intact(ctx, ID, Kind::Force, demand, c.capacity).at(which).when(words(ctx, c)).hand(hand)
}

/// Stability factor of the car with its people, and with rig and arm parked.
fn before_and_after(ctx: &Context<'_>, chassis: &Chassis, base: PointMass) -> Result<Finding, VehicleError> {
    let before = laden(&without_rig(ctx.rig))?;
    let after = all(ctx, base, ctx.parked())?;
    let factor = |c: &PointMass| static_stability_factor(chassis.track_at(c.at_m.x), c.at_m.z);
    let (ssf0, ssf1) = (factor(&before)?, factor(&after)?);
    let text = format!("static stability factor {ssf0:.3} without the rig, {ssf1:.3} with it, arm parked");
    Ok(Finding::note(ID.0, ID.1, text).at("stability factor").hand(HandCheck {
        formula: "SSF = T / (2 h)",
        source: "NHTSA, 65 FR 34998 (2000); mechanics.md §4.9",
        steps: vec![
            Step::new("h0", "height of the mass centre without the rig", before.at_m.z, Kind::Length),
            Step::new("h1", "height of the mass centre with it", after.at_m.z, Kind::Length),
            Step::new("SSF0", "without the rig", ssf0, Kind::Number),
            Step::new("SSF1", "with it", ssf1, Kind::Number),
        ],
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, fact, manoeuvre, rig};
    use rig::model::{Aboard, ArmUse, Rig};

    /// A bare car whose mass centre is set by one weightless rig: only the car counts.
    fn bare(height: f64) -> Rig {
        let mut rig = rig();
        rig.arm = None;
        rig.manoeuvres = vec![manoeuvre("bend", 0.0, 0.5 * STANDARD_GRAVITY, ArmUse::Still)];
        let mass = { context(&rig).structure.frame.mass() + 1.0 };
        // Take the rig's 30-odd kg out again with a mass centre that leaves the whole at `height`.
        let rig_z: f64 = {
            let ctx = context(&rig);
            let parts = super::super::masses::rig_parts(&ctx);
            parts.iter().map(|p| p.mass_kg * p.at_m.z).sum()
        };
        rig.vehicle.centre_height = fact((height * (1500.0 + mass) - rig_z) / 1500.0);
        rig
    }

    #[test]
    fn the_threshold_is_the_published_one() {
        // Gillespie ch. 9 form, check value: T 1.5, h 0.55, hr 0.15, R 0.10 rad/g gives 1.27119 [from memory; computed].
        let mut rig = bare(0.55);
        let ctx = context(&rig);
        let found = rollover(&ctx);
        let w = found[0].hand.steps[0].value * STANDARD_GRAVITY * 0.4;
        rig.vehicle.ride.roll_stiffness = fact(w * 11.0); // R = W / (11 W - W) = 0.1
        let found = rollover(&context(&rig));
        assert!((found[0].hand.steps[6].value - 0.1).abs() < 1e-9);
        assert!((found[0].capacity - 1.27119).abs() < 5e-6, "{}", found[0].capacity);
        assert!((found[0].demand - 0.5).abs() < 1e-12);
        // Required 1.5 by default.
        assert!((found[0].margin.unwrap() - 1.27119 / 0.75).abs() < 1e-5);
    }

    #[test]
    fn what_hangs_outside_of_the_bend_lowers_it() {
        let mut rig = bare(0.55);
        let even = rollover(&context(&rig))[0].capacity;
        // A left bend pushes to the right.
        let at = |y: f64| Aboard { tag: "b".to_owned(), mass: fact(50.0), at: DVec3::new(-1.2, y, 0.55) };
        rig.vehicle.aboard = vec![at(-0.9)];
        let outside = rollover(&context(&rig));
        assert!(outside[0].capacity < even);
        let y = 50.0 * 0.9 / outside[0].hand.steps[0].value;
        assert!((outside[0].hand.steps[3].value - (1.5 - 2.0 * y)).abs() < 1e-3);
        rig.vehicle.aboard = vec![at(0.9)];
        assert!(rollover(&context(&rig))[0].capacity > even);
    }

    #[test]
    fn a_bank_counts_into_the_side_acceleration() {
        let mut m = manoeuvre("bank", 0.0, 0.0, ArmUse::Still);
        m.bank = 0.1_f64.atan();
        // Left side up: pushes to the right with g sin over g cos.
        assert!((side_g(&m) + 0.1).abs() < 1e-12);
        m.left = fact(2.0);
        assert!(side_g(&m) < -0.1);
    }

    #[test]
    fn the_side_that_unloads_is_named() {
        let rig = bare(0.55);
        let found = rollover(&context(&rig));
        assert_eq!(found[1].place, "left wheels");
        // m a h / T over m g / 2 = 0.5 x 0.55 x 2 / 1.5.
        assert!((found[1].demand / found[1].capacity - 0.5 * 0.55 * 2.0 / 1.5).abs() < 1e-9);
        let ssf = &found[2];
        assert_eq!(ssf.outcome, Outcome::Note);
        assert!((ssf.hand.steps[3].value - 1.5 / 1.1).abs() < 1e-9);
    }

    #[test]
    fn a_car_that_its_springs_cannot_hold_fails() {
        let mut rig = bare(0.55);
        rig.vehicle.ride.roll_stiffness = fact(3e3);
        assert_eq!(rollover(&context(&rig))[0].outcome, Outcome::Fails);
        rig.vehicle.track_front = fact(f64::NAN);
        assert!(matches!(rollover(&context(&rig))[0].outcome, Outcome::NotChecked(_)));
    }
}
