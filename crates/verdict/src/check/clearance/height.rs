//! How high, how wide and how long the car is with its rig, against bridges and lines.

use super::moving::{Moving, body, brace_tops, solids, standing};
use crate::check::once::{intact, length, pose_words, poses_used};
use crate::check::solid::Solid;
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use glam::DVec3;
use mechanics::arm::Pose;
use quantity::Kind;
use rig::policy::CheckId;

const ID: (CheckId, PartRef) = (CheckId::Clearance, PartRef::Rig);
const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;

/// Distance to keep from an overhead line, m, for a vehicle whose parts are raised near it.
///
/// `10 ft` up to 50 kV, and `4 in` more for every 10 kV over that, in proportion.
///
/// # Source
///
/// 29 CFR 1910.333(c)(3)(iii)(A) \[looked up: a training provider's transcription\]; `docs/mechanics.md` §4.14. Cranes have
/// steps of their own, 29 CFR 1926.1408 table A, which ask for more between the steps.
pub(super) fn line_distance_m(volts: f64) -> f64 {
    10.0 * FOOT + 4.0 * INCH * ((volts.abs() - 50e3) / 10e3).max(0.0)
}

/// Box around rig and arm over the poses that are used.
struct Extent {
    low: DVec3,
    high: DVec3,
    highest: Pose,
    parked_top: f64,
}

fn extent(ctx: &Context<'_>) -> Extent {
    let rig = ctx.rig;
    let (mut low, mut high) = Solid::Block(body(rig)).bounds();
    let mut still_top = high.z;
    for (_, solid) in standing(rig) {
        let (a, b) = solid.bounds();
        (low, high) = (low.min(a), high.max(b));
        still_top = still_top.max(b.z);
    }
    let mut e = Extent { low, high, highest: ctx.parked(), parked_top: still_top };
    if let Some(arm) = &rig.arm {
        // The head's own top is not stated; the pivot is the least that it reaches.
        still_top = still_top.max(arm.base.z + arm.pivot_height);
        e.high.z = e.high.z.max(still_top);
        let around = |pose: Pose| {
            let mut b = (DVec3::INFINITY, DVec3::NEG_INFINITY);
            let parts = Moving::ALL.iter().flat_map(|m| solids(arm, *m, pose)).map(|s| s.bounds());
            for (l, h) in parts.chain(brace_tops(arm, pose).into_iter().map(|p| (p, p))) {
                b = (b.0.min(l), b.1.max(h));
            }
            b
        };
        for pose in poses_used(ctx) {
            let (l, h) = around(pose);
            if h.z > e.high.z {
                e.highest = pose;
            }
            (e.low, e.high) = (e.low.min(l), e.high.max(h));
        }
        e.parked_top = still_top.max(around(ctx.parked()).1.z);
    }
    e
}

pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let e = extent(ctx);
    vec![bridge(ctx, &e), line(ctx, &e), sweep(ctx, &e)]
}

fn top_words(ctx: &Context<'_>, e: &Extent) -> String {
    if ctx.arm.is_some() {
        format!("highest: {}; parked {}", pose_words(e.highest), length(e.parked_top))
    } else {
        "car and rig".to_owned()
    }
}

fn bridge(ctx: &Context<'_>, e: &Extent) -> Finding {
    let (top, headroom) = (e.high.z, ctx.rig.policy.headroom.value);
    let Some(posted) = &ctx.rig.site.clearance else {
        let write = length(top + headroom);
        let text = format!(
            "overall height {} ({}); write {write} on the dash: no posted clearance on the route is stated",
            length(top),
            top_words(ctx, e)
        );
        return Finding::note(ID.0, ID.1, text).at("overall height");
    };
    let hand = HandCheck {
        formula: "demand = H + headroom;  capacity = lowest posted clearance",
        source: "geometry; mechanics.md §4.14",
        steps: vec![
            Step::new("H", "highest point over the road, worst pose", top, Kind::Length),
            Step::new("headroom", "what you want left for bounce and error", headroom, Kind::Length),
            Step::new("demand", "H + headroom", top + headroom, Kind::Length),
            Step::new("capacity", "lowest posted clearance on the route", posted.value, Kind::Length),
        ],
    };
    intact(ctx, ID, Kind::Length, top + headroom, posted.value)
        .at("overall height")
        .when(top_words(ctx, e))
        .hand(hand)
}

fn line(ctx: &Context<'_>, e: &Extent) -> Finding {
    let (top, headroom) = (e.high.z, ctx.rig.policy.headroom.value);
    let Some((height, volts)) = &ctx.rig.site.overhead_line else {
        let need = length(top + headroom + line_distance_m(0.0));
        let text = format!(
            "no overhead line is stated; up to 50 kV stay away from any line lower than {need} over the road"
        );
        return Finding::note(ID.0, ID.1, text).at("overhead line");
    };
    let away = line_distance_m(volts.value);
    let demand = top + headroom + away;
    let hand = HandCheck {
        formula: "demand = H + headroom + D;  D = 10 ft + 4 in (U - 50 kV) / 10 kV;  capacity = height of the line",
        source: "29 CFR 1910.333(c)(3)(iii)(A); mechanics.md §4.14",
        steps: vec![
            Step::new("H", "highest point over the road, worst pose", top, Kind::Length),
            Step::new("headroom", "what you want left on top of the rule", headroom, Kind::Length),
            Step::new("U", "voltage of the line", volts.value, Kind::Voltage),
            Step::new("D", "distance to keep from it", away, Kind::Length),
            Step::new("demand", "H + headroom + D", demand, Kind::Length),
            Step::new("capacity", "lowest point of the line over the road", height.value, Kind::Length),
        ],
    };
    intact(ctx, ID, Kind::Length, demand, height.value).at("overhead line").when(top_words(ctx, e)).hand(hand)
}

fn sweep(ctx: &Context<'_>, e: &Extent) -> Finding {
    let (low, high) = Solid::Block(body(ctx.rig)).bounds();
    let beyond = [
        ("ahead", "beyond the front bumper", e.high.x - high.x),
        ("left", "beyond the left side", e.high.y - high.y),
        ("right", "beyond the right side", low.y - e.low.y),
        ("behind", "beyond the rear bumper", low.x - e.low.x),
    ];
    let words: Vec<String> =
        beyond.iter().map(|(word, _, d)| format!("{word} {}", length(d.max(0.0)))).collect();
    let steps =
        beyond.iter().map(|(word, text, d)| Step::new(word, *text, d.max(0.0), Kind::Length)).collect();
    Finding::note(ID.0, ID.1, format!("rig and arm reach beyond the body: {}", words.join(", ")))
        .at("widest sweep")
        .hand(HandCheck {
            formula: "reach of the outermost part less half the car's width (or its bumper)",
            source: "geometry; mechanics.md §4.14",
            steps,
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, fact, manoeuvre, rig};
    use rig::model::ArmUse;

    #[test]
    fn distances_to_lines_are_the_published_ones() {
        // 29 CFR 1910.333: 10.00, 11.67, 12.73, 17.50, 21.67, 25.00 ft.
        for (kv, feet) in
            [(11.0, 10.0), (50.0, 10.0), (100.0, 11.6667), (132.0, 12.7333), (275.0, 17.5), (500.0, 25.0)]
        {
            assert!((line_distance_m(kv * 1e3) / FOOT - feet).abs() < 1e-4, "{kv}");
        }
    }

    #[test]
    fn the_highest_pose_counts_under_a_bridge() {
        let mut rig = rig();
        // Pivot 2.25 m, boom 2 m at 35°, section radius 40 mm: rod ends are round. Tail and counterweight stay lower; the
        // payload hangs 0.2 under the tip and is 0.3 high.
        let tip = 2.25 + 2.0 * 35.0_f64.to_radians().sin() + 0.04;
        rig.site.clearance = Some(fact(4.0));
        let found = check(&context(&rig));
        assert!((found[0].demand - tip - 0.3).abs() < 1e-9, "{}", found[0].demand);
        assert_eq!(found[0].outcome, Outcome::Holds);
        rig.site.clearance = Some(fact(3.7));
        assert_eq!(check(&context(&rig))[0].outcome, Outcome::Fails);
        rig.site.clearance = None;
        let found = check(&context(&rig));
        assert_eq!(found[0].outcome, Outcome::Note);
        assert!(found[0].situation.contains("on the dash"));
        // Parked throughout, level: the counterweight, 0.2 high at 2.25, tops the boom.
        rig.manoeuvres = vec![manoeuvre("parked", 0.0, 0.0, ArmUse::Parked)];
        rig.site.clearance = Some(fact(3.7));
        let found = check(&context(&rig));
        assert!((found[0].demand - 2.35 - 0.3).abs() < 1e-9, "{}", found[0].demand);
    }

    #[test]
    fn a_line_asks_for_its_distance_on_top() {
        let mut rig = rig();
        rig.arm = None;
        rig.site.overhead_line = Some((fact(5.5), fact(132e3)));
        let f = &check(&context(&rig))[1];
        // Platform top at 1.75; 12 ft 8.8 in = 3.88112 m; 0.3 m headroom.
        assert!((f.demand - 1.75 - 0.3 - 3.88112).abs() < 1e-9, "{}", f.demand);
        assert_eq!(f.outcome, Outcome::Fails);
        rig.site.overhead_line = None;
        assert_eq!(check(&context(&rig))[1].outcome, Outcome::Note);
    }

    #[test]
    fn the_sweep_is_given_on_all_sides() {
        let rig = rig();
        let f = &check(&context(&rig))[2];
        let steps = &f.hand.steps;
        // Tip 2 m and half the payload's 0.3 m beyond the mast at -2: ahead of the bumper by 2.15 - 2.9, so nothing.
        assert!(steps[0].value.abs() < 1e-12);
        // Sideways the corner reaches farthest at 85°, in steps of 5°: 2.15 sin 85° + 0.125 cos 85°; both sides alike.
        let (s, c) = 85.0_f64.to_radians().sin_cos();
        let reach = 2.15 * s + 0.125 * c;
        let near = |k: usize, v: f64| (steps[k].value - v).abs() < 1e-9;
        assert!(near(1, reach - 0.9) && near(2, reach - 0.9), "{steps:?}");
        // Behind: -2 - reach against -3.7.
        assert!(near(3, reach - 1.7));
    }
}
