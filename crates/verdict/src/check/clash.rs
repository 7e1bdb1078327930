//! Two parts in one place.

use super::once::{intact, worst_or_failing};
use super::solid::{Block, Rod, Solid, between_segments};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use quantity::Kind;
use rig::model::Hold;
use rig::policy::CheckId;

/// Room along a tube from the middle of one clamp, foot or cup head to the next: common practice, no source.
const ALONG_TUBE_M: f64 = 0.06;
/// Half the thickness of a leg or cup stem whose section is not stated: common practice, no source.
const STEM_RADIUS_M: f64 = 0.02;
/// Rounding that a lie of one tube on another may have, m.
const TOUCH_M: f64 = 1e-4;

/// Cups over one another, tubes through one another, platforms or legs through cups, two clamps in one place: every pair
/// that fails, or the nearest pair of each sort.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    [cups(ctx), tubes(ctx), stems(ctx), along_tubes(ctx)].into_iter().flat_map(worst_or_failing).collect()
}

fn pair(
    ctx: &Context<'_>,
    (a, b): (PartRef, PartRef),
    (need, have): (f64, f64),
    text: (&'static str, &'static str),
) -> Finding {
    let hand = HandCheck {
        formula: "capacity = distance between them;  demand = the least that leaves both their room",
        source: "geometry; mechanics.md §4.15",
        steps: vec![
            Step::new("demand", text.0, need, Kind::Length),
            Step::new("capacity", text.1, have, Kind::Length),
            Step::new("gap", "capacity - demand", have - need, Kind::Length),
        ],
    };
    intact(ctx, (CheckId::Clash, a), Kind::Length, need, have)
        .at(format!("with {}", b.name(ctx.rig)))
        .hand(hand)
}

fn cups(ctx: &Context<'_>) -> Vec<Finding> {
    let cups = &ctx.rig.cups;
    let mut out = Vec::new();
    for (i, a) in cups.iter().enumerate() {
        for (j, b) in cups.iter().enumerate().skip(i + 1) {
            let sizes = (a.outer_radius + b.outer_radius, a.at.distance(b.at));
            let words = ("outer radii of both lips", "between the cups' middles");
            out.push(pair(ctx, (PartRef::Cup(i), PartRef::Cup(j)), sizes, words));
        }
    }
    out
}

fn tubes(ctx: &Context<'_>) -> Vec<Finding> {
    let tubes = &ctx.rig.tubes;
    let clamped = |i: usize, j: usize| {
        ctx.rig.clamps.iter().any(|c| [(i, j), (j, i)].contains(&(c.first.0, c.second.0)))
    };
    let mut out = Vec::new();
    for (i, a) in tubes.iter().enumerate() {
        for (j, b) in tubes.iter().enumerate().skip(i + 1) {
            if clamped(i, j) {
                continue;
            }
            let touch = f64::midpoint(a.section.outer, b.section.outer);
            let apart = between_segments(a.a, a.b, b.a, b.b) + TOUCH_M;
            let words = ("half of both diameters", "between the tubes' axes where they are nearest");
            out.push(pair(ctx, (PartRef::Tube(i), PartRef::Tube(j)), (touch, apart), words));
        }
    }
    out
}

/// Stem of a cup from panel to head.
fn stem(cup: &rig::model::Cup) -> Rod {
    let radius = cup.stem.as_ref().map_or(STEM_RADIUS_M, |s| s.outer / 2.0);
    Rod { a: cup.at, b: cup.head, radius }
}

/// Platforms and legs against cups that do not hold them.
fn stems(ctx: &Context<'_>) -> Vec<Finding> {
    let rig = ctx.rig;
    let mut out = Vec::new();
    for (c, cup) in rig.cups.iter().enumerate() {
        let stem = stem(cup);
        let mut against = |part: PartRef, other: Solid, need: f64| {
            // Distance between axes and faces: the gap with the radii put back.
            let have = Solid::Rod(stem).gap(&other) + need;
            let words = ("half the thickness of both", "between their axes or faces where they are nearest");
            out.push(pair(ctx, (PartRef::Cup(c), part), (need, have), words));
        };
        for (p, platform) in rig.platforms.iter().enumerate() {
            if cup.holds != Hold::Platform(p) {
                against(PartRef::Platform(p), Solid::Block(Block::platform(platform)), stem.radius);
            }
        }
        for (l, leg) in rig.legs.iter().enumerate() {
            if let Some(tube) = rig.tubes.get(leg.foot.0) {
                let radius = leg.section.as_ref().map_or(STEM_RADIUS_M, |s| s.outer / 2.0);
                let rod = Solid::Rod(Rod { a: tube.point(leg.foot.1), b: leg.top, radius });
                against(PartRef::Leg(l), rod, stem.radius + radius);
            }
        }
    }
    out
}

/// Neighbours along each tube: clamps, feet and cup heads.
fn along_tubes(ctx: &Context<'_>) -> Vec<Finding> {
    let rig = ctx.rig;
    let mut out = Vec::new();
    for t in 0..rig.tubes.len() {
        let mut on: Vec<(f64, PartRef)> = Vec::new();
        for (c, clamp) in rig.clamps.iter().enumerate() {
            let jaws = [clamp.first, clamp.second];
            on.extend(jaws.iter().filter(|(tube, _)| *tube == t).map(|(_, s)| (*s, PartRef::Clamp(c))));
        }
        let feet = rig.legs.iter().enumerate().filter(|(_, l)| l.foot.0 == t);
        on.extend(feet.map(|(l, leg)| (leg.foot.1, PartRef::Leg(l))));
        for (c, cup) in rig.cups.iter().enumerate() {
            if let Hold::Tube { tube, s } = cup.holds
                && tube == t
            {
                on.push((s, PartRef::Cup(c)));
            }
        }
        on.sort_by(|a, b| a.0.total_cmp(&b.0));
        for w in on.windows(2) {
            let words =
                ("room that two clamps, feet or heads need: common practice, no source", "along the tube");
            let f = pair(ctx, (w[0].1, w[1].1), (ALONG_TUBE_M, w[1].0 - w[0].0), words);
            out.push(f.when(format!("on {}", PartRef::Tube(t).name(rig))));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, rig};
    use glam::DVec3;

    fn failing(found: &[Finding]) -> Vec<String> {
        let bad = found.iter().filter(|f| f.outcome == Outcome::Fails);
        bad.map(|f| format!("{:?} {}", f.part, f.place)).collect()
    }

    #[test]
    fn a_sound_rig_has_one_line_a_sort() {
        let rig = rig();
        let found = check(&context(&rig));
        assert_eq!(found.len(), 4);
        assert!(failing(&found).is_empty(), "{found:#?}");
        // Cups 860 mm apart across, lips of 250 mm.
        assert!((found[0].margin.unwrap() - 0.86 / 0.25).abs() < 1e-9);
    }

    #[test]
    fn cups_over_one_another_are_both_named() {
        let mut rig = rig();
        rig.cups[1].at = rig.cups[0].at + DVec3::X * 0.24;
        let bad = failing(&check(&context(&rig)));
        assert_eq!(bad, ["Cup(0) with cup FR"]);
    }

    #[test]
    fn a_tube_through_another_needs_a_clamp_or_room() {
        let mut rig = rig();
        let mut bar = rig.tubes[0].clone();
        "X".clone_into(&mut bar.tag);
        // 40 mm over LL and LR, 48.3 needed.
        let z = rig.tubes[2].a.z + 0.04;
        (bar.a, bar.b) = (DVec3::new(-2.3, 0.4, z), DVec3::new(-2.3, -0.4, z));
        rig.tubes.push(bar);
        assert_eq!(failing(&check(&context(&rig))), ["Tube(2) with tube X", "Tube(3) with tube X"]);
        // Lying on them it touches, which is no clash.
        rig.tubes[4].a.z += 0.0083;
        rig.tubes[4].b.z += 0.0083;
        assert!(failing(&check(&context(&rig))).is_empty());
    }

    #[test]
    fn clamps_and_heads_need_room_along_a_tube() {
        let mut rig = rig();
        rig.clamps[0].first.1 = 0.18; // 50 mm from the cup's head at 130.
        let bad = failing(&check(&context(&rig)));
        assert_eq!(bad, ["Cup(0) with clamp K1"]);
    }

    #[test]
    fn a_platform_through_a_cup_is_seen() {
        let mut rig = rig();
        rig.platforms[0].at = DVec3::new(-1.4, 0.3, 1.58);
        let bad = failing(&check(&context(&rig)));
        assert!(bad.contains(&"Cup(0) with platform base".to_owned()), "{bad:?}");
    }
}
