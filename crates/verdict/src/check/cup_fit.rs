//! Whether each cup fits where it stands: the crown under its lip, room around it, its stack height.

use super::once::{intact, refused};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use glam::DVec2;
use mechanics::cup::CupError;
use mechanics::cup::fit::{Circle, Crown, Outline};
use quantity::Kind;
use rig::fact::Fact;
use rig::model::{Cup, Panel};
use rig::policy::CheckId;

/// For each cup: the crown under its lip, the least room around it, and its stack height.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    for (c, cup) in ctx.rig.cups.iter().enumerate() {
        let part = PartRef::Cup(c);
        let Some(panel) = ctx.rig.panels.get(cup.panel) else { continue };
        let key = format!("cup.{}", cup.tag);
        out.push(crown(ctx, part, cup, panel).unwrap_or_else(|e| refused(CheckId::CupFit, part, &key, e)));
        out.push(room(ctx, part, cup, panel).unwrap_or_else(|e| refused(CheckId::CupFit, part, &key, e)));
        out.push(height(ctx, part, cup));
    }
    out
}

fn radius(fact: &Fact) -> Option<f64> {
    (!fact.value.is_infinite()).then_some(fact.value)
}

/// Sagitta of the crown over the sealed area against what the lip follows.
fn crown(ctx: &Context<'_>, part: PartRef, cup: &Cup, panel: &Panel) -> Result<Finding, CupError> {
    let crown = Crown::from_radii_m(radius(&panel.crown.0), radius(&panel.crown.1))?;
    let sagitta = crown.worst_sagitta_m(cup.seal_radius)?;
    let tight = panel.crown.0.value.abs().min(panel.crown.1.value.abs());
    let mut steps = vec![Step::new("r", "radius of the sealed area", cup.seal_radius, Kind::Length)];
    if tight.is_finite() {
        steps.push(Step::new("R", "smaller crown radius of the panel", tight, Kind::Length));
    }
    steps.push(Step::new("s", "r² / (2 R), 0 on a flat panel", sagitta, Kind::Length));
    steps.push(Step::new("follow", "what the lip follows", cup.lip_follow.value, Kind::Length));
    let hand = HandCheck {
        formula: "demand = s = r² / (2 R);  capacity = what the lip follows",
        source: "sagitta of a circle; mechanics.md §4.12",
        steps,
    };
    Ok(intact(ctx, (CheckId::CupFit, part), Kind::Length, sagitta, cup.lip_follow.value)
        .at("crown under the lip")
        .when(format!("panel {}", panel.tag))
        .hand(hand))
}

/// Least distance from the lip to a keep-out or the panel's edge against the clear distance that is wanted.
fn room(ctx: &Context<'_>, part: PartRef, cup: &Cup, panel: &Panel) -> Result<Finding, CupError> {
    let point = |p: (f64, f64)| DVec2::new(p.0, p.1);
    let circle = Circle::new(point(cup.place), cup.outer_radius)?;
    let sheet = Outline::rectangle(DVec2::ZERO, point(panel.size) / 2.0, 0.0)?;
    let mut least = (circle.gap_to_edge_m(&sheet), format!("edge of panel {}", panel.tag));
    for zone in &panel.keep_outs {
        let area = Outline::rectangle(point(zone.centre), point(zone.size) / 2.0, 0.0)?;
        let gap = circle.gap_to_keep_out_m(&area);
        if gap < least.0 {
            least = (gap, format!("{} on panel {}", zone.tag, panel.tag));
        }
    }
    let want = ctx.rig.policy.keep_clear.value;
    let hand = HandCheck {
        formula: "capacity = d - Ro;  demand = clear distance wanted",
        source: "geometry in the panel's plane; mechanics.md §4.12",
        steps: vec![
            Step::new(
                "d",
                "from the cup's middle to the nearest edge",
                least.0 + cup.outer_radius,
                Kind::Length,
            ),
            Step::new("Ro", "outer radius of the lip", cup.outer_radius, Kind::Length),
            Step::new("gap", "d - Ro, negative where it overlaps", least.0, Kind::Length),
            Step::new("want", "clear distance wanted", want, Kind::Length),
        ],
    };
    Ok(intact(ctx, (CheckId::CupFit, part), Kind::Length, want, least.0)
        .at("room around the lip")
        .when(format!("nearest is the {}", least.1))
        .hand(hand))
}

/// Stack height within what the part can do.
fn height(ctx: &Context<'_>, part: PartRef, cup: &Cup) -> Finding {
    let (low, high) = cup.height_range;
    // Too low: the part must be at least `low` tall and there is only `height`; too high: the other way round.
    let (demand, capacity) = if cup.height < low { (low, cup.height) } else { (cup.height, high) };
    // Rounding of a height worked out from coordinates is no misfit.
    let capacity = if (demand - capacity).abs() < 1e-9 { demand } else { capacity };
    let hand = HandCheck {
        formula: "least <= h <= greatest",
        source: "the part's own range; mechanics.md §4.12",
        steps: vec![
            Step::new("h", "panel to the clamp's middle", cup.height, Kind::Length),
            Step::new("least", "least height of the part", low, Kind::Length),
            Step::new("greatest", "greatest height of the part", high, Kind::Length),
        ],
    };
    intact(ctx, (CheckId::CupFit, part), Kind::Length, demand, capacity).at("stack height").hand(hand)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, fact, rig};
    use rig::model::KeepOut;

    fn of(found: &[Finding], cup: usize, place: &str) -> Finding {
        found.iter().find(|f| f.part == PartRef::Cup(cup) && f.place == place).unwrap().clone()
    }

    #[test]
    fn the_crown_is_measured_under_the_seal() {
        let mut rig = rig();
        rig.panels[0].crown.1 = fact(2.0);
        let f = of(&check(&context(&rig)), 0, "crown under the lip");
        // 0.11² / (2 x 2.0) = 3.025 mm against 6 mm.
        assert!((f.demand - 3.025e-3).abs() < 1e-12);
        assert!((f.margin.unwrap() - 6.0 / 3.025).abs() < 1e-9);
        rig.panels[0].crown.1 = fact(1.0);
        let f = of(&check(&context(&rig)), 0, "crown under the lip");
        assert_eq!(f.outcome, Outcome::Fails);
    }

    #[test]
    fn the_nearest_of_edge_and_keep_out_counts() {
        let mut rig = rig();
        // Half width 570, cup at 430 with a lip of 125: 15 mm to the edge against 20.
        let f = of(&check(&context(&rig)), 1, "room around the lip");
        assert!((f.capacity - 0.015).abs() < 1e-12 && f.outcome == Outcome::Fails);
        assert!(f.situation.contains("edge"), "{}", f.situation);
        rig.panels[0].size.1 = 1.4;
        // 700 - 430 - 125 = 145 mm to the edge; the aerial's side at 230 leaves 430 - 125 - 230 = 75 mm.
        rig.panels[0].keep_outs =
            vec![KeepOut { tag: "aerial".to_owned(), centre: (-0.5, 0.18), size: (0.1, 0.1) }];
        let f = of(&check(&context(&rig)), 1, "room around the lip");
        assert!((f.capacity - 0.075).abs() < 1e-12 && f.outcome == Outcome::Holds);
        assert!(f.situation.contains("aerial"));
        let f = of(&check(&context(&rig)), 2, "room around the lip");
        assert!((f.capacity - 0.145).abs() < 1e-12);
    }

    #[test]
    fn a_stack_out_of_its_range_fails_either_way() {
        let mut rig = rig();
        (rig.cups[0].height, rig.cups[1].height) = (0.1, 0.25);
        let found = check(&context(&rig));
        let f = of(&found, 0, "stack height");
        assert!((f.margin.unwrap() - 0.1 / 0.12).abs() < 1e-12 && f.outcome == Outcome::Fails);
        let f = of(&found, 1, "stack height");
        assert!((f.margin.unwrap() - 0.2 / 0.25).abs() < 1e-12 && f.outcome == Outcome::Fails);
        assert_eq!(of(&found, 2, "stack height").outcome, Outcome::Holds);
    }

    #[test]
    fn a_crown_that_is_no_crown_is_not_a_pass() {
        let mut rig = rig();
        rig.panels[0].crown.0 = fact(0.0);
        let found = check(&context(&rig));
        assert!(matches!(found[0].outcome, Outcome::NotChecked(_)));
    }
}
