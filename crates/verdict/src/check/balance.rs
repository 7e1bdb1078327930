//! How far the boom is from balance, and which plates at hand bring it nearest.

use super::once::{length, mass, refused};
use crate::balance::{NoPlan, Plan, Plans, WORTH_NM};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::state::elevation_words;
use mechanics::arm::TiltBalance;
use quantity::{Kind, both_kind};
use rig::model::Arm;
use rig::policy::CheckId;

const ID: (CheckId, PartRef) = (CheckId::TiltDrive, PartRef::Arm);

/// A note on the residual tilt moment over the elevation range and on the plates or the slide that mend it.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let (Some(model), Some(arm)) = (&ctx.arm, &ctx.rig.arm) else { return Vec::new() };
    match note(&TiltBalance::of(&model.chain), arm) {
        Ok(f) => vec![f],
        Err(e) => vec![refused(ID.0, ID.1, "arm.counterweight", e)],
    }
}

fn moment(nm: f64) -> String {
    both_kind(nm.abs(), Kind::Moment)
}

/// What to do, in words.
fn steps(plan: &Plan) -> String {
    let list = |plates: &[f64]| plates.iter().map(|p| mass(*p)).collect::<Vec<_>>().join(" + ");
    let mut out = Vec::new();
    if !plan.plates.on.is_empty() {
        out.push(format!("add {} to the counterweight", list(&plan.plates.on)));
    }
    if !plan.plates.off.is_empty() {
        out.push(format!("take {} off the counterweight", list(&plan.plates.off)));
    }
    if plan.slides_m != 0.0 {
        out.push(format!("slide it to {} behind the pivot", length(plan.behind_m)));
    }
    out.join(" and ")
}

fn note(balance: &TiltBalance, arm: &Arm) -> Result<Finding, NoPlan> {
    let plans = Plans::of(balance, arm)?;
    let (level, at, worst) = (plans.now.level_nm, plans.now.at_rad, plans.now.worst_nm);
    let heavy = if worst > 0.0 { "nose-heavy" } else { "tail-heavy" };
    let state = if worst.abs() < WORTH_NM {
        "boom in balance over its whole range".to_owned()
    } else {
        format!("{heavy} by {} at {}", moment(worst), elevation_words(at))
    };
    let lever = arm.counterweight.behind.value;
    let advice = plans.advice();
    let mend = if let Some(plan) = advice {
        format!("; {}: {} left", steps(plan), moment(plan.left.worst_nm))
    } else if level < -WORTH_NM && lever > 0.0 {
        format!(
            "; take {} off the counterweight, or move it nearer the pivot",
            mass(-level / (mechanics::STANDARD_GRAVITY * lever))
        )
    } else if worst.abs() >= WORTH_NM {
        "; no plate at hand brings it nearer".to_owned()
    } else {
        String::new()
    };
    let (added, behind, left) =
        advice.map_or((0.0, lever, worst), |p| (p.plates.kg, p.behind_m, p.left.worst_nm));
    let hand = HandCheck {
        formula: "tau = g (A cos e - B sin e + C);  a plate p behind by b, under by u: A - p b, B - p u",
        source: "virtual work of the weights; mechanics.md §3.4.6, §13.1",
        steps: vec![
            Step::new("level", "moment to hold the boom level, nose-heavy +", level, Kind::Moment),
            Step::new("at", "elevation where holding takes most", at, Kind::Angle),
            Step::new("worst", "moment there", worst, Kind::Moment),
            Step::new("p", "plates to add", added, Kind::Mass),
            Step::new("b", "counterweight behind the pivot", behind, Kind::Length),
            Step::new("left", "most to hold with them", left, Kind::Moment),
        ],
    };
    Ok(Finding::note(ID.0, ID.1, state + &mend).at("balance").hand(hand))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::structure::BuildOptions;
    use crate::testing::{context, fact, rig};
    use mechanics::STANDARD_GRAVITY as G;

    #[test]
    fn a_balanced_boom_is_said_to_be_one() {
        let rig = rig();
        let found = check(&context(&rig));
        assert_eq!(found[0].outcome, Outcome::Note);
        assert!(found[0].situation.starts_with("boom in balance"), "{}", found[0].situation);
    }

    #[test]
    fn the_plates_that_fit_best_are_named() {
        let mut rig = rig();
        // 3.3 kg short at 0.6 m: 1.98 kg m. Of 5, 2 and 1 kg, 2 + 1 leave 0.18 kg m.
        rig.arm.as_mut().unwrap().counterweight.mass.value -= 3.3;
        let found = check(&context(&rig));
        let steps = &found[0].hand.steps;
        assert!((steps[0].value - 1.98 * G).abs() < 1e-9);
        assert!((steps[3].value - 3.0).abs() < 1e-12 && (steps[5].value - 0.18 * G).abs() < 1e-9);
        assert!(found[0].situation.starts_with("nose-heavy"), "{}", found[0].situation);
        // A plate that overshoots by less than it mends is taken: 4.4 kg short, 5 leaves 0.6 too much.
        rig.arm.as_mut().unwrap().counterweight.mass.value -= 1.1;
        let found = check(&context(&rig));
        assert!((found[0].hand.steps[3].value - 5.0).abs() < 1e-12);
        assert!((found[0].hand.steps[5].value + 0.36 * G).abs() < 1e-9);
    }

    #[test]
    fn too_much_behind_comes_off() {
        let mut rig = rig();
        rig.arm.as_mut().unwrap().counterweight.mass.value += 2.0;
        let found = check(&context(&rig));
        assert!(found[0].situation.starts_with("tail-heavy"));
        assert!(
            found[0].situation.contains("take 2") && found[0].situation.contains("off"),
            "{}",
            found[0].situation
        );
        rig.arm.as_mut().unwrap().counterweight.behind = fact(f64::NAN);
        // The chain itself refuses that, so the context does.
        assert!(Context::new(&rig, BuildOptions::default()).is_err());
    }
}
