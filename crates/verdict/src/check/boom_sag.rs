//! Sag of the boom's tip under its own weight and payload, and its first bending frequency, with and without braces.

use super::once::{intact, length, need, refused};
use crate::boom::{BoomFrame, nearest_to_level};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use mechanics::STANDARD_GRAVITY;
use mechanics::frame::SolveError;
use quantity::Kind;
use rig::model::Arm;
use rig::policy::CheckId;

const ID: (CheckId, PartRef) = (CheckId::BoomSag, PartRef::Arm);

/// Sag with the braces that are fitted against the limit, and notes on sag and frequency with and without them.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let Some(arm) = &ctx.rig.arm else { return Vec::new() };
    let boom = match BoomFrame::of(arm, nearest_to_level(arm)) {
        Ok(boom) => boom,
        Err(missing) => {
            let need = need(
                format!("tube of boom section {missing}"),
                format!("arm.section.{missing}.tube"),
                "measure outer diameter and wall",
            );
            return vec![if arm.sag_limit.is_some() {
                Finding::not_checked(ID.0, ID.1, need)
            } else {
                Finding::note(ID.0, ID.1, format!("sag is not known: {} is not stated", need.what))
            }];
        }
    };
    findings(ctx, arm, &boom).unwrap_or_else(|e| vec![refused(ID.0, ID.1, "arm", e)])
}

fn findings(ctx: &Context<'_>, arm: &Arm, boom: &BoomFrame) -> Result<Vec<Finding>, SolveError> {
    let elevation = nearest_to_level(arm);
    let all: Vec<usize> = (0..boom.frame.strands.len()).collect();
    let (bare, fitted) = (boom.at_rest(elevation, &all)?, boom.at_rest(elevation, &[])?);
    let (bare_m, fitted_m) = (bare.sag_m, fitted.sag_m);
    let braced = !boom.frame.strands.is_empty();
    let at = if elevation == 0.0 { "boom level" } else { "boom nearest to level" };
    let with = if braced { "with braces" } else { "no braces" };
    let hand = hand(boom, bare_m, fitted_m, elevation);
    let mut out = Vec::new();
    let idle = if fitted.slack == 0 {
        String::new()
    } else {
        format!("; {} of its braces hang slack", fitted.slack)
    };
    match &arm.sag_limit {
        Some(limit) => out.push(
            intact(ctx, ID, Kind::Length, fitted_m.abs(), limit.value)
                .at("tip")
                .when(format!("{at}, {with}{idle}"))
                .hand(hand),
        ),
        None => out.push(
            Finding::note(ID.0, ID.1, format!("tip sags {}: {at}, {with}{idle}", length(fitted_m)))
                .at("tip")
                .hand(hand),
        ),
    }
    if braced {
        let text = format!("without its braces the tip would sag {}", length(bare_m));
        out.push(Finding::note(ID.0, ID.1, text).at("tip without braces"));
    }
    for (lost, name, shown) in [(&fitted.lost, with, true), (&bare.lost, "without braces", braced)] {
        if let (true, Some(f)) = (shown, boom.ways(lost)?.up_down_hz) {
            let text = format!("first bending up and down {f:.1} Hz, {name}, payload rigid on the tip");
            out.push(Finding::note(ID.0, ID.1, text).at("bending frequency").hand(HandCheck {
                formula: "one uniform tube: f = sqrt(3 E I / (L³ (M + 0.2357 m))) / 2 pi; stepped: frame analysis",
                source: "Rayleigh's cantilever with a tip mass; mechanics.md §13.8",
                steps: vec![
                    Step::new("L", "pivot to tip", boom.length_m, Kind::Length),
                    Step::new("M", "isolator and payload", boom.tip_kg, Kind::Mass),
                    Step::new("m", "front of the boom", boom.frame.mass() - boom.tip_kg, Kind::Mass),
                    Step::new("f", "first frequency", f, Kind::Frequency),
                ],
            }));
        }
    }
    Ok(out)
}

fn hand(boom: &BoomFrame, bare: f64, fitted: f64, elevation: f64) -> HandCheck {
    let (ei, _) = boom.root_stiffness_nm2();
    let own = boom.front_kg();
    let uniform =
        STANDARD_GRAVITY * elevation.cos() * boom.length_m.powi(3) * (boom.tip_kg / 3.0 + own / 8.0) / ei;
    HandCheck {
        formula: "one uniform tube: sag = g L³ (M / 3 + m / 8) cos e / (E I); stepped and braced: frame analysis",
        source: "cantilever under tip load and own weight; mechanics.md §13.8",
        steps: vec![
            Step::new("L", "pivot to tip", boom.length_m, Kind::Length),
            Step::new("M", "isolator and payload", boom.tip_kg, Kind::Mass),
            Step::new("m", "front of the boom", own, Kind::Mass),
            Step::new("first", "sag if the root section ran to the tip", uniform, Kind::Length),
            Step::new("bare", "sag without braces, from the frame", bare, Kind::Length),
            Step::new("sag", "sag as fitted, from the frame", fitted, Kind::Length),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{boom_section, context, fact, rig, tube_section};
    use rig::model::{Brace, Rig};

    fn single() -> Rig {
        let mut rig = rig();
        let arm = rig.arm.as_mut().unwrap();
        arm.sections = vec![boom_section("front", 0.0, 2.0), boom_section("tail", 0.0, -0.6)];
        rig
    }

    fn tip(found: &[Finding]) -> f64 {
        found[0].hand.steps[5].value
    }

    #[test]
    fn a_uniform_boom_sags_as_a_cantilever() {
        let rig = single();
        let found = check(&context(&rig));
        // 80 x 3 mm: I = pi (80⁴ - 74⁴) / 64 mm⁴. Tip 6 kg, own 8 kg over 2 m.
        let i = core::f64::consts::PI * (0.08_f64.powi(4) - 0.074_f64.powi(4)) / 64.0;
        let bend = STANDARD_GRAVITY * 8.0 * (6.0 / 3.0 + 8.0 / 8.0) / (70e9 * i);
        // Shear adds V L / (G A kappa): under 0.5 % on a boom this slender; the clamp 1e-5.
        let sag = tip(&found);
        assert!(sag > bend && sag < 1.005 * bend, "{sag} {bend}");
        assert!((found[0].hand.steps[3].value / bend - 1.0).abs() < 1e-9);
        assert_eq!(found[0].outcome, Outcome::Note);
    }

    #[test]
    fn a_limit_decides() {
        let mut rig = single();
        let sag = tip(&check(&context(&rig)));
        rig.arm.as_mut().unwrap().sag_limit = Some(fact(sag * 1.5));
        let f = &check(&context(&rig))[0];
        assert!(f.outcome == Outcome::Holds && (f.margin.unwrap() - 1.5).abs() < 1e-9);
        rig.arm.as_mut().unwrap().sag_limit = Some(fact(sag * 0.5));
        assert_eq!(check(&context(&rig))[0].outcome, Outcome::Fails);
        rig.arm.as_mut().unwrap().sections[0].section = None;
        assert!(matches!(check(&context(&rig))[0].outcome, Outcome::NotChecked(_)));
        rig.arm.as_mut().unwrap().sag_limit = None;
        assert_eq!(check(&context(&rig))[0].outcome, Outcome::Note);
    }

    #[test]
    fn a_step_down_sags_more() {
        let mut rig = single();
        let before = tip(&check(&context(&rig)));
        let arm = rig.arm.as_mut().unwrap();
        arm.sections[0].span = (0.0, 1.0);
        arm.sections[0].mass = fact(4.0);
        let mut thin = boom_section("thin", 1.0, 2.0);
        thin.section = Some(tube_section(0.06, 0.003));
        arm.sections.push(thin);
        let after = tip(&check(&context(&rig)));
        // Mohr by hand for the tip load P and the line load w, I1 to 1 m and I2 beyond; E I in kN m²:
        // sag = P/3 [(8 - 1) / EI1 + 1 / EI2] + w/8 [(16 - 1) / EI1 + 1 / EI2].
        let ei = |d: f64, t: f64| 70e9 * core::f64::consts::PI * (d.powi(4) - (d - 2.0 * t).powi(4)) / 64.0;
        let (e1, e2) = (ei(0.08, 0.003), ei(0.06, 0.003));
        let (p, w) = (6.0 * STANDARD_GRAVITY, 4.0 * STANDARD_GRAVITY);
        let hand = p / 3.0 * (7.0 / e1 + 1.0 / e2) + w / 8.0 * (15.0 / e1 + 1.0 / e2);
        // Shear again adds under 0.5 %.
        assert!(after > hand && after < 1.005 * hand, "{after} {hand}");
        assert!(after > before);
        // A gap between sections is not bridged by a guess.
        rig.arm.as_mut().unwrap().sections.last_mut().unwrap().span = (1.1, 2.0);
        assert!(check(&context(&rig))[0].situation.contains("not known"));
    }

    #[test]
    fn a_brace_from_above_lifts_and_one_from_below_hangs_slack() {
        let mut rig = single();
        let bare = tip(&check(&context(&rig)));
        let brace = |height: f64| Brace { tag: "B".to_owned(), along: 2.0, height, left: 0.0, ea: 1e6 };
        rig.arm.as_mut().unwrap().braces = vec![brace(0.5)];
        let found = check(&context(&rig));
        let braced = tip(&found);
        // By hand: tip stiffness 3 E I / L³ beside E A sin² a / l; sin a = 0.5 / l, l = sqrt(4.25). The boom's own
        // shortening under the brace's push is left out of the hand value: under 2 %.
        let i = core::f64::consts::PI * (0.08_f64.powi(4) - 0.074_f64.powi(4)) / 64.0;
        let k = 3.0 * 70e9 * i / 8.0;
        let l = 4.25_f64.sqrt();
        let kb = 1e6 / l * (0.5 / l).powi(2);
        assert!((braced / (bare * k / (k + kb)) - 1.0).abs() < 0.02, "{braced} {bare}");
        assert_eq!(found.len(), 4, "sag, sag without, frequency with and without");
        rig.arm.as_mut().unwrap().braces = vec![brace(-0.5)];
        let found = check(&context(&rig));
        assert!((tip(&found) - bare).abs() < 1e-9 && found[0].situation.contains("slack"));
    }
}
