//! How far the boom is from balance, and which plates at hand bring it nearest.

use super::once::{mass, refused};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::state::elevation_words;
use mechanics::arm::{ArmError, TiltBalance};
use quantity::{Kind, both_kind};
use rig::model::Counterweight;
use rig::policy::CheckId;

const ID: (CheckId, PartRef) = (CheckId::TiltDrive, PartRef::Arm);
/// Plates that are tried in every combination; more would take long and help nobody.
const MOST_PLATES: usize = 16;
/// A gain smaller than this is not worth a plate, N m.
const WORTH_NM: f64 = 0.05;

/// A note on the residual tilt moment over the elevation range and on the plates to add.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let (Some(model), Some(arm)) = (&ctx.arm, &ctx.rig.arm) else { return Vec::new() };
    let balance = TiltBalance::of(&model.chain);
    match note(&balance, &arm.counterweight, arm.elevation) {
        Ok(f) => vec![f],
        Err(e) => vec![refused(ID.0, ID.1, "arm.counterweight", e)],
    }
}

/// The same boom with more mass on its counterweight.
fn with(balance: &TiltBalance, cw: &Counterweight, kg: f64) -> TiltBalance {
    TiltBalance {
        along_kgm: balance.along_kgm - kg * cw.behind.value,
        above_kgm: balance.above_kgm - kg * cw.under,
        level_kgm: balance.level_kgm,
    }
}

/// The plates that leave least to hold over the range (fewest of those that do as well), and the moment left.
fn best_plates(
    balance: &TiltBalance,
    cw: &Counterweight,
    range: (f64, f64),
) -> Result<(Vec<f64>, f64), ArmError> {
    let plates: Vec<f64> =
        cw.plates.iter().copied().filter(|p| p.is_finite() && *p > 0.0).take(MOST_PLATES).collect();
    let mut best = (Vec::new(), balance.worst_torque_nm(range.0, range.1)?.1);
    for chosen in 1_u32..(1_u32 << plates.len()) {
        let pick: Vec<f64> =
            plates.iter().enumerate().filter(|(i, _)| chosen & (1 << i) != 0).map(|(_, p)| *p).collect();
        let left = with(balance, cw, pick.iter().sum()).worst_torque_nm(range.0, range.1)?.1;
        let gain = best.1.abs() - left.abs();
        if gain > WORTH_NM || (gain > -1e-9 && pick.len() < best.0.len()) {
            best = (pick, left);
        }
    }
    Ok(best)
}

fn note(balance: &TiltBalance, cw: &Counterweight, range: (f64, f64)) -> Result<Finding, ArmError> {
    let level = balance.torque_nm(0.0)?;
    let (at, worst) = balance.worst_torque_nm(range.0, range.1)?;
    let (plates, left) = best_plates(balance, cw, range)?;
    let moment = |nm: f64| both_kind(nm.abs(), Kind::Moment);
    let heavy = if worst > 0.0 { "nose-heavy" } else { "tail-heavy" };
    let state = if worst.abs() < WORTH_NM {
        "boom in balance over its whole range".to_owned()
    } else {
        format!("{heavy} by {} at {}", moment(worst), elevation_words(at))
    };
    let added: f64 = plates.iter().sum();
    let lever = cw.behind.value;
    let mend = if !plates.is_empty() {
        let list: Vec<String> = plates.iter().map(|p| mass(*p)).collect();
        format!("; add {} to the counterweight: {} left", list.join(" + "), moment(left))
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
    let hand = HandCheck {
        formula: "tau = g (A cos e - B sin e + C);  a plate p behind by b, under by u: A - p b, B - p u",
        source: "virtual work of the weights; mechanics.md §3.4.6, §4.18",
        steps: vec![
            Step::new("level", "moment to hold the boom level, nose-heavy +", level, Kind::Moment),
            Step::new("at", "elevation where holding takes most", at, Kind::Angle),
            Step::new("worst", "moment there", worst, Kind::Moment),
            Step::new("p", "plates to add", added, Kind::Mass),
            Step::new("b", "counterweight behind the pivot", lever, Kind::Length),
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
