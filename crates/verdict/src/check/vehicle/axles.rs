//! Gross mass and axle loads against the car's plate.

use super::masses::{all, arm, chassis, rig_parts, without_arm, without_rig};
use crate::check::once::{intact, mass, need, pose_words, poses_used, refused};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::arm::Pose;
use mechanics::vehicle::VehicleError;
use mechanics::vehicle::loads::{Chassis, Motion, PointMass, ground_loads};
use quantity::Kind;
use rig::fact::Fact;
use rig::model::Manoeuvre;
use rig::policy::CheckId;

/// Car, people, rig and arm against the gross limit.
pub(in crate::check) fn gross_mass(ctx: &Context<'_>) -> Vec<Finding> {
    let part = PartRef::Vehicle;
    let Some(limit) = &ctx.rig.vehicle.gross_limit else {
        let need = need(
            "greatest allowed mass of the car",
            "vehicle.gross_limit",
            "read the car's plate, usually on the door pillar",
        );
        return vec![Finding::not_checked(CheckId::GrossMass, part, need)];
    };
    let car = ctx.rig.vehicle.mass.value;
    let sum = |parts: &[PointMass]| parts.iter().map(|p| p.mass_kg).sum::<f64>();
    let aboard = sum(&without_rig(ctx.rig)) - car;
    let rig = sum(&rig_parts(ctx));
    let arm = arm(ctx, ctx.parked()).map_or(0.0, |a| a.mass_kg);
    let total = car + aboard + rig + arm;
    let hand = HandCheck {
        formula: "demand = car + aboard + rig + arm;  capacity = gross limit",
        source: "the car's plate; mechanics.md §4.8",
        steps: vec![
            Step::new("car", "the car with nobody inside", car, Kind::Mass),
            Step::new("aboard", "people and things inside", aboard, Kind::Mass),
            Step::new("rig", "cups, tubes, clamps, platform, items, straps", rig, Kind::Mass),
            Step::new("arm", "arm with payload and counterweight", arm, Kind::Mass),
            Step::new("demand", "all together", total, Kind::Mass),
            Step::new("capacity", "gross limit", limit.value, Kind::Mass),
        ],
    };
    vec![intact(ctx, (CheckId::GrossMass, part), Kind::Mass, total, limit.value).when("standing").hand(hand)]
}

/// Front and rear axle standing, each in its worst pose, and a note on the front axle under the hardest braking.
pub(in crate::check) fn axle_load(ctx: &Context<'_>) -> Vec<Finding> {
    axles(ctx).unwrap_or_else(|e| vec![refused(CheckId::AxleLoad, PartRef::Vehicle, "vehicle", e)])
}

struct Worst {
    load_kg: f64,
    pose: Pose,
    centre: PointMass,
}

fn axles(ctx: &Context<'_>) -> Result<Vec<Finding>, VehicleError> {
    let (chassis, base) = (chassis(ctx.rig)?, without_arm(ctx)?);
    let start = || Worst { load_kg: f64::NEG_INFINITY, pose: ctx.parked(), centre: base };
    let (mut front, mut rear) = (start(), start());
    for pose in poses_used(ctx) {
        let centre = all(ctx, base, pose)?;
        let loads = ground_loads(&centre, &chassis, &Motion::default())?;
        for (worst, load) in [(&mut front, loads.front_n), (&mut rear, loads.rear_n)] {
            let load_kg = load / STANDARD_GRAVITY;
            if load_kg > worst.load_kg {
                *worst = Worst { load_kg, pose, centre };
            }
        }
    }
    let v = &ctx.rig.vehicle;
    let mut out = vec![
        axle(ctx, "front axle", "front_axle_limit", v.front_axle_limit.as_ref(), &front),
        axle(ctx, "rear axle", "rear_axle_limit", v.rear_axle_limit.as_ref(), &rear),
    ];
    let hardest = ctx.rig.manoeuvres.iter().min_by(|a, b| a.forward.value.total_cmp(&b.forward.value));
    if let Some(m) = hardest.filter(|m| m.forward.value < 0.0) {
        out.push(braking(ctx, m, &front.centre, &chassis)?);
    }
    Ok(out)
}

/// Note on the front axle in the hardest braking, with everything as in its worst standing pose.
fn braking(
    ctx: &Context<'_>,
    m: &Manoeuvre,
    centre: &PointMass,
    chassis: &Chassis,
) -> Result<Finding, VehicleError> {
    let v = &ctx.rig.vehicle;
    let motion = Motion {
        acceleration_m_s2: DVec3::new(m.forward.value, 0.0, 0.0),
        grade_rad: m.grade,
        bank_rad: m.bank,
    };
    let braked = ground_loads(centre, chassis, &motion)?.front_n / STANDARD_GRAVITY;
    let limit = v
        .front_axle_limit
        .as_ref()
        .map_or(String::new(), |l| format!("; the plate's {} is for standing load", mass(l.value)));
    let text = format!("{}: the front axle carries {}{limit}", m.tag, mass(braked));
    let hand = HandCheck {
        formula: "N_f = m [g (L + x) - a h] / L on a level road, a negative when braking",
        source: "moment balance, Gillespie 1992 ch. 1 [from memory]; mechanics.md §4.8",
        steps: vec![
            Step::new("m", "laden mass", centre.mass_kg, Kind::Mass),
            Step::new("a", "acceleration forward", m.forward.value, Kind::Acceleration),
            Step::new("h", "height of the laden mass centre", centre.at_m.z, Kind::Length),
            Step::new("x", "laden mass centre, ahead of the front axle", centre.at_m.x, Kind::Length),
            Step::new("L", "wheelbase", v.wheelbase.value, Kind::Length),
            Step::new("N_f/g", "front axle then", braked, Kind::Mass),
        ],
    };
    Ok(Finding::note(CheckId::AxleLoad, PartRef::Vehicle, text).at("front axle under braking").hand(hand))
}

fn axle(ctx: &Context<'_>, name: &str, key: &str, limit: Option<&Fact>, worst: &Worst) -> Finding {
    let part = PartRef::Vehicle;
    let Some(limit) = limit else {
        let need = need(
            format!("greatest allowed load of the {name}"),
            format!("vehicle.{key}"),
            "read the car's plate, usually on the door pillar",
        );
        return Finding::not_checked(CheckId::AxleLoad, part, need).at(name);
    };
    let words = if ctx.arm.is_some() {
        format!("standing, {}", pose_words(worst.pose))
    } else {
        "standing".to_owned()
    };
    let hand = HandCheck {
        formula: "front = m (L + x) / L;  rear = m - front;  capacity = the plate's",
        source: "moment balance; mechanics.md §4.8",
        steps: vec![
            Step::new("m", "laden mass", worst.centre.mass_kg, Kind::Mass),
            Step::new("x", "laden mass centre, ahead of the front axle", worst.centre.at_m.x, Kind::Length),
            Step::new("L", "wheelbase", ctx.rig.vehicle.wheelbase.value, Kind::Length),
            Step::new("demand", "on this axle", worst.load_kg, Kind::Mass),
            Step::new("capacity", "limit of this axle", limit.value, Kind::Mass),
        ],
    };
    intact(ctx, (CheckId::AxleLoad, part), Kind::Mass, worst.load_kg, limit.value)
        .at(name)
        .when(words)
        .hand(hand)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, fact, rig};

    /// Rounding of sums of a few tonnes.
    const KG: f64 = 1e-6;

    #[test]
    fn gross_mass_adds_up() {
        let mut rig = rig();
        rig.arm = None;
        let ctx = context(&rig);
        let f = &gross_mass(&ctx)[0];
        assert!((f.demand - 1500.0 - ctx.structure.frame.mass() - 1.0).abs() < KG);
        rig.vehicle.gross_limit = Some(fact(1520.0));
        assert_eq!(gross_mass(&context(&rig))[0].outcome, Outcome::Fails);
        rig.vehicle.gross_limit = None;
        assert!(matches!(gross_mass(&context(&rig))[0].outcome, Outcome::NotChecked(_)));
    }

    #[test]
    fn a_load_at_a_known_place_shares_by_its_lever() {
        let mut rig = rig();
        rig.arm = None;
        let rest = axle_load(&context(&rig));
        // 270 kg 0.9 m behind the front axle of 2.7 m: 180 front, 90 rear.
        let crew =
            rig::model::Aboard { tag: "crew".to_owned(), mass: fact(270.0), at: DVec3::new(-0.9, 0.0, 0.6) };
        rig.vehicle.aboard.push(crew);
        let laden = axle_load(&context(&rig));
        assert!((laden[0].demand - rest[0].demand - 180.0).abs() < KG);
        assert!((laden[1].demand - rest[1].demand - 90.0).abs() < KG);
        assert!((laden[0].margin.unwrap() - 1100.0 / laden[0].demand).abs() < 1e-12);
    }

    #[test]
    fn the_worst_pose_of_an_unbalanced_arm_is_over_the_axle() {
        let mut rig = rig();
        rig.arm.as_mut().unwrap().counterweight.mass = fact(12.133_333_333_333);
        let found = axle_load(&context(&rig));
        // 12 kg m nose-heavy, swung from ahead to behind: 2 x 12 / 2.7 kg moves between the axles.
        assert!(found[0].situation.contains("straight ahead, level"), "{}", found[0].situation);
        assert!(found[1].situation.contains("straight back, level"), "{}", found[1].situation);
        let mass = found[0].hand.steps[0].value;
        assert!((found[0].demand + found[1].demand - mass - 24.0 / 2.7).abs() < 1e-5);
    }

    #[test]
    fn braking_loads_the_front() {
        let mut rig = rig();
        rig.arm = None;
        let found = axle_load(&context(&rig));
        let (m, h) = (found[0].hand.steps[0].value, found[2].hand.steps[2].value);
        let braked = found[2].hand.steps[5].value;
        // m a h / (L g).
        let moved = m * 8.0 * h / (2.7 * STANDARD_GRAVITY);
        assert!((braked - found[0].demand - moved).abs() < KG);
        assert_eq!(found[2].outcome, Outcome::Note);
        rig.vehicle.front_axle_limit = None;
        assert!(matches!(axle_load(&context(&rig))[0].outcome, Outcome::NotChecked(_)));
    }
}
