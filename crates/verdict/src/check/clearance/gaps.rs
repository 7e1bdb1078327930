//! Gaps of payload, counterweight and boom to the car, the ground and the rig over the whole range of the arm.

use super::moving::{Moving, body, size_missing, solids, standing};
use crate::check::once::{intact, length, need, pose_words, poses_used};
use crate::check::solid::{Block, Solid};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use glam::DVec3;
use mechanics::arm::Pose;
use quantity::Kind;
use rayon::prelude::*;
use rig::model::{Arm, Panel};
use rig::policy::CheckId;

/// Spacing of the points that look for panels, m.
const LOOK_M: f64 = 0.05;
/// A point deeper under a sheet than this lies inside the car (the body's gap sees it) or on its far side, m.
const UNDER_M: f64 = 0.3;
/// A panel whose normal leans from upright by less than 70° covers the body under it.
const COVERS: f64 = 0.34;

const ID: (CheckId, PartRef) = (CheckId::Clearance, PartRef::Arm);

/// The least gap seen, where and in which pose.
#[derive(Clone, Copy)]
struct Least<T> {
    gap: f64,
    pose: Pose,
    at: DVec3,
    what: T,
}

impl<T: Copy> Least<T> {
    fn keep(slot: &mut Option<Self>, gap: f64, pose: Pose, at: DVec3, what: T) {
        if slot.as_ref().is_none_or(|s| gap < s.gap || gap.is_nan()) {
            *slot = Some(Self { gap, pose, at, what });
        }
    }
}

#[derive(Clone, Copy, Default)]
struct Gaps {
    panel: Option<Least<usize>>,
    body: Option<Least<()>>,
    ground: Option<Least<()>>,
    rig: Option<Least<PartRef>>,
}

/// For each moving part: least gap to panels, to the body's outline, to the ground and to the rig.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let Some(arm) = &ctx.rig.arm else { return Vec::new() };
    let poses = poses_used(ctx);
    let mut out = Vec::new();
    for what in Moving::ALL {
        if size_missing(arm, what) {
            let key = if what == Moving::Payload { "payload.size" } else { "arm.counterweight.size" };
            let need = need(
                format!("size of the {}", what.word()),
                key,
                "measure its length, width and height, with what sticks out",
            );
            out.push(Finding::not_checked(ID.0, ID.1, need).at(format!("gaps of the {}", what.word())));
        } else {
            out.extend(findings(ctx, what, &gaps(ctx, arm, what, &poses)));
        }
    }
    out
}

/// Height of a point over a panel's crowned sheet, if it stands over (or just under) it.
fn over(panel: &Panel, p: DVec3) -> Option<f64> {
    let d = p - panel.centre;
    let (a, b) = (d.dot(panel.ea), d.dot(panel.eb));
    if a.abs() > panel.size.0 / 2.0 || b.abs() > panel.size.1 / 2.0 {
        return None;
    }
    let fall = a * a / (2.0 * panel.crown.0.value) + b * b / (2.0 * panel.crown.1.value);
    let w = d.dot(panel.normal) + fall;
    (w > -UNDER_M).then_some(w)
}

/// Poses that one worker takes at a time.
const TOGETHER: usize = 64;
/// How much nearer, m, a solid must be able to come than the least gap so far to be looked at: rounding is far less.
const NEARER_M: f64 = 1e-9;

/// Gaps of a part in some poses. Of equal gaps the first pose's counts.
fn gaps(ctx: &Context<'_>, arm: &Arm, what: Moving, poses: &[Pose]) -> Gaps {
    let (car, rig): (Block, _) = (body(ctx.rig), standing(ctx.rig));
    // The poses that may come nearest show how near it is at least, so that hardly any other is looked at.
    let each = |pose: &Pose| solids(arm, what, *pose);
    let least = |bound: &(dyn Fn(&Solid) -> f64 + Sync)| {
        let of_pose = |pose: &Pose| each(pose).iter().map(bound).fold(f64::INFINITY, f64::min);
        poses.par_iter().map(|p| (of_pose(p), *p)).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, pose)| pose)
    };
    let panels = &ctx.rig.panels;
    let nearest = [
        least(&|s| s.lowest(DVec3::Z)),
        least(&|s| body_bound(&car, s)),
        least(&|s| panels.iter().map(|p| panel_bound(p, s)).fold(f64::INFINITY, f64::min)),
        least(&|s| rig.iter().map(|(_, other)| balls_apart(s, other)).fold(f64::INFINITY, f64::min)),
    ];
    let mut shown = Gaps::default();
    for pose in nearest.into_iter().flatten() {
        for solid in each(&pose) {
            shown.look(panels, &car, pose, &solid, &Known::default());
            shown.look_at_rig(&rig, pose, &solid, &Known::default());
        }
    }
    let known = Known::of(&shown);
    let some: Vec<Gaps> = poses
        .par_chunks(TOGETHER)
        .map(|poses| {
            let mut g = Gaps::default();
            for pose in poses {
                for solid in each(pose) {
                    g.look(panels, &car, *pose, &solid, &known);
                    g.look_at_rig(&rig, *pose, &solid, &known);
                }
            }
            g
        })
        .collect();
    some.into_iter().fold(Gaps::default(), Gaps::or_nearer)
}

/// A distance that two solids are at least apart.
fn balls_apart(solid: &Solid, other: &Solid) -> f64 {
    let ((from, reach), (to, r)) = (solid.ball(), other.ball());
    from.distance(to) - reach - r
}

/// A distance that a solid is at least away from the car's body.
fn body_bound(car: &Block, solid: &Solid) -> f64 {
    let (centre, reach) = solid.ball();
    car.distance(centre) - reach
}

/// A distance that a solid is at least over a panel: one that is not hollow lies under its tangent plane.
fn panel_bound(panel: &Panel, solid: &Solid) -> f64 {
    let hollow = !(panel.crown.0.value > 0.0 && panel.crown.1.value > 0.0);
    if hollow { f64::NEG_INFINITY } else { solid.lowest(panel.normal) - panel.centre.dot(panel.normal) }
}

/// Gaps that are known to occur; endless where none is.
struct Known {
    panel: f64,
    body: f64,
    ground: f64,
    rig: f64,
}

impl Known {
    fn of(g: &Gaps) -> Self {
        fn gap<T>(l: Option<&Least<T>>) -> f64 {
            l.map_or(f64::INFINITY, |l| l.gap)
        }
        Self {
            panel: gap(g.panel.as_ref()),
            body: gap(g.body.as_ref()),
            ground: gap(g.ground.as_ref()),
            rig: gap(g.rig.as_ref()),
        }
    }
}

impl Default for Known {
    fn default() -> Self {
        Self::of(&Gaps::default())
    }
}

impl Gaps {
    /// The least of two, the first where they are equal.
    fn or_nearer(mut self, other: Self) -> Self {
        fn take<T: Copy>(slot: &mut Option<Least<T>>, other: Option<Least<T>>) {
            if let Some(Least { gap, pose, at, what }) = other {
                Least::keep(slot, gap, pose, at, what);
            }
        }
        take(&mut self.panel, other.panel);
        take(&mut self.body, other.body);
        take(&mut self.ground, other.ground);
        take(&mut self.rig, other.rig);
        self
    }

    /// Gaps of a solid to panels, body and ground, if it could come nearer to one of them than what is known.
    fn look(&mut self, panels: &[Panel], car: &Block, pose: Pose, solid: &Solid, known: &Known) {
        let own = Known::of(self);
        let far = |bound: f64, known: f64, own: f64| bound > known.min(own) + NEARER_M;
        if far(solid.lowest(DVec3::Z), known.ground, own.ground)
            && far(body_bound(car, solid), known.body, own.body)
            && panels.iter().all(|p| far(panel_bound(p, solid), known.panel, own.panel))
        {
            return;
        }
        for (p, radius) in solid.points(LOOK_M) {
            let mut covered = false;
            for (i, panel) in panels.iter().enumerate() {
                if let Some(w) = over(panel, p) {
                    covered |= panel.normal.z > COVERS;
                    Least::keep(&mut self.panel, w - radius, pose, p, i);
                }
            }
            if !covered {
                Least::keep(&mut self.body, car.distance(p) - radius, pose, p, ());
            }
            Least::keep(&mut self.ground, p.z - radius, pose, p, ());
        }
    }

    /// Gaps of a solid to what stands on the car; what is farther away than what is known is passed over.
    fn look_at_rig(&mut self, rig: &[(PartRef, Solid)], pose: Pose, solid: &Solid, known: &Known) {
        let centre = solid.ball().0;
        for (part, other) in rig {
            let least = known.rig.min(Known::of(self).rig) + NEARER_M;
            let far = balls_apart(solid, other) > least || solid.apart(other) > least;
            if !far {
                Least::keep(&mut self.rig, solid.gap(other), pose, centre, *part);
            }
        }
    }
}

fn finding(ctx: &Context<'_>, place: String, gap: f64, pose: Pose) -> Finding {
    let want = ctx.rig.policy.keep_clear.value;
    let hand = HandCheck {
        formula: "capacity = least gap over the whole range;  demand = clear distance wanted",
        source: "geometry, pose by pose in steps of 5°; mechanics.md §4.14",
        steps: vec![
            Step::new("bearing", "pan of that pose, left +", pose.pan_rad, Kind::Angle),
            Step::new("elevation", "elevation of that pose", pose.elevation_rad, Kind::Angle),
            Step::new("gap", "least gap, negative where they overlap", gap, Kind::Length),
            Step::new("want", "clear distance wanted", want, Kind::Length),
        ],
    };
    intact(ctx, ID, Kind::Length, want, gap).at(place).when(pose_words(pose)).hand(hand)
}

fn findings(ctx: &Context<'_>, what: Moving, g: &Gaps) -> Vec<Finding> {
    let word = what.word();
    let mut out = Vec::new();
    if let Some(l) = &g.panel {
        let panel = PartRef::Panel(l.what).name(ctx.rig);
        out.push(finding(ctx, format!("{word} to {panel}"), l.gap, l.pose));
    }
    if let Some(l) = &g.body {
        let place = format!("{word} to the car's body");
        out.push(if l.gap >= ctx.rig.policy.keep_clear.value {
            finding(ctx, place, l.gap, l.pose)
        } else {
            // The box around the car is higher than bonnet and windows: what is there is a missing fact.
            let o = l.at - ctx.rig.vehicle.datum;
            let side = if o.y < 0.0 { "right" } else { "left" };
            let need = need(
                format!(
                    "shape of the car under the {word}, {} aft and {} {side} of the datum, where it is {} over the \
                     road ({})",
                    length(-o.x),
                    length(o.y.abs()),
                    length(l.at.z),
                    pose_words(l.pose)
                ),
                "panel",
                "state the bonnet, screen or boot there as a panel, or narrow the arm's range",
            );
            Finding::not_checked(ID.0, ID.1, need).at(place)
        });
    }
    if let Some(l) = &g.ground {
        out.push(finding(ctx, format!("{word} to the ground"), l.gap, l.pose));
    }
    if let Some(l) = &g.rig {
        out.push(finding(ctx, format!("{word} to {}", l.what.name(ctx.rig)), l.gap, l.pose));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, fact, rig};

    fn of<'a>(found: &'a [Finding], place: &str) -> &'a Finding {
        found.iter().find(|f| f.place == place).unwrap_or_else(|| panic!("{place}: {found:#?}"))
    }

    #[test]
    fn the_lowest_pose_sets_the_gap_over_the_roof() {
        let mut rig = rig();
        // Short boom: 0.8 m, so that the payload stays over the roof when ahead.
        let arm = rig.arm.as_mut().unwrap();
        arm.sections[0].span = (0.0, 0.8);
        arm.elevation = (-0.5, 0.5);
        let found = check(&context(&rig));
        let f = of(&found, "payload to panel roof");
        // Pivot 2.25 - 0.8 sin 0.5 - 0.2 - 0.15 - 1.45.
        assert!((f.capacity - (0.45 - 0.8 * 0.5_f64.sin())).abs() < 1e-9, "{}", f.capacity);
        assert!(f.situation.contains("29° down") || f.situation.contains("28.5° down"), "{}", f.situation);
        assert_eq!(f.outcome, Outcome::Holds);
        // The counterweight goes down behind as the boom goes up: a box of 0.2 high and 0.1 long at 0.6 m.
        let f = of(&found, "counterweight to panel roof");
        let low = 0.8 - 0.6 * 0.5_f64.sin() - 0.1 * 0.5_f64.cos() - 0.05 * 0.5_f64.sin();
        assert!((f.capacity - low).abs() < 1e-9, "{} {low}", f.capacity);
        assert!(f.situation.contains("up"));
        // On its way round it passes over a tube along the roof: top of LL at 1.6483 + 0.02415.
        let f = found.iter().find(|f| f.place.starts_with("counterweight to tube L")).unwrap();
        assert!((f.capacity - (1.45 + low - 1.6483 - 0.02415)).abs() < 1e-6, "{}", f.capacity);
    }

    #[test]
    fn where_the_body_is_not_stated_it_is_not_a_pass() {
        let mut rig = rig();
        rig.arm.as_mut().unwrap().elevation = (-0.6, 0.0);
        let found = check(&context(&rig));
        // Tip at 2.25 - 2 sin 0.6 = 1.12 m, ahead of the roof and lower than the car is high.
        let f = of(&found, "payload to the car's body");
        assert!(matches!(&f.outcome, Outcome::NotChecked(n) if n.what.contains("payload")), "{f:?}");
        // A bonnet of known height there settles it.
        let mut bonnet = rig.panels[0].clone();
        "front".clone_into(&mut bonnet.tag);
        (bonnet.centre, bonnet.size) = (DVec3::new(-0.05, 0.0, 0.5), (2.0, 5.0));
        let mut all = rig.panels[0].clone();
        "rest".clone_into(&mut all.tag);
        (all.centre, all.size) = (DVec3::new(-2.5, 0.0, 0.5), (2.9, 5.0));
        rig.panels.extend([bonnet, all]);
        let found = check(&context(&rig));
        let f = found.iter().find(|f| f.place.starts_with("payload to panel")).unwrap();
        assert!(found.iter().all(|f| f.outcome == Outcome::Holds), "{found:#?}");
        // 1.12 - 0.2 - 0.15 - 0.5.
        assert!((f.capacity - (2.25 - 2.0 * 0.6_f64.sin() - 0.85)).abs() < 1e-9, "{}", f.capacity);
    }

    #[test]
    fn the_ground_counts() {
        let mut rig = rig();
        rig.arm.as_mut().unwrap().elevation = (-1.2, 0.0);
        let found = check(&context(&rig));
        let f = of(&found, "payload to the ground");
        assert!((f.capacity - (2.25 - 2.0 * 1.2_f64.sin() - 0.35)).abs() < 1e-9);
        rig.policy.keep_clear = fact(0.1);
        assert_eq!(of(&check(&context(&rig)), "payload to the ground").outcome, Outcome::Fails);
    }

    /// What lets a solid be passed over is never more than the least gap of its points, and often near it.
    #[test]
    fn a_bound_is_never_over_the_gap() {
        let mut rig = rig();
        let arm = rig.arm.as_mut().unwrap();
        arm.sections[0].span = (0.0, 1.2);
        arm.elevation = (-0.6, 0.6);
        for crown in [2.0, f64::INFINITY, -4.0] {
            rig.panels[0].crown.0.value = crown;
            let ctx = context(&rig);
            let (arm, car) = (rig.arm.as_ref().unwrap(), body(&rig));
            let mut near = [0; 3];
            for (what, pose) in
                Moving::ALL.into_iter().flat_map(|w| poses_used(&ctx).into_iter().map(move |p| (w, p)))
            {
                for solid in solids(arm, what, pose) {
                    let panel = &rig.panels[0];
                    let mut least = [f64::INFINITY; 3];
                    for (p, radius) in solid.points(LOOK_M) {
                        let gaps = [car.distance(p), over(panel, p).unwrap_or(f64::INFINITY), p.z];
                        least = core::array::from_fn(|k| least[k].min(gaps[k] - radius));
                    }
                    let bounds =
                        [body_bound(&car, &solid), panel_bound(panel, &solid), solid.lowest(DVec3::Z)];
                    for k in 0..3 {
                        assert!(
                            bounds[k] <= least[k] + 1e-9,
                            "{k} of {what:?} at {pose:?}: {} {}",
                            bounds[k],
                            least[k]
                        );
                        near[k] += u32::from(least[k] - bounds[k] < 0.2);
                    }
                }
            }
            let hollow = crown < 0.0;
            assert!(near[0] > 10 && (near[1] > 10) != hollow && near[2] > 10, "{crown}: {near:?}");
        }
    }

    #[test]
    fn poses_that_are_passed_over_change_nothing() {
        let mut rig = rig();
        let arm = rig.arm.as_mut().unwrap();
        arm.sections[0].span = (0.0, 1.2);
        arm.elevation = (-0.6, 0.6);
        let ctx = context(&rig);
        let (arm, poses) = (rig.arm.as_ref().unwrap(), poses_used(&ctx));
        for what in Moving::ALL {
            let quick = gaps(&ctx, arm, what, &poses);
            // One pose at a time: nothing is known of the others.
            let each = poses.iter().map(|p| gaps(&ctx, arm, what, &[*p]));
            let plain = each.fold(Gaps::default(), Gaps::or_nearer);
            let told = |g: &Gaps| {
                let panel = g.panel.map(|l| (l.gap.to_bits(), l.pose, l.what));
                let rig = g.rig.map(|l| (l.gap.to_bits(), l.pose, l.what));
                (panel, rig, [g.body, g.ground].map(|l| l.map(|l| (l.gap.to_bits(), l.pose, l.at))))
            };
            assert_eq!(told(&quick), told(&plain), "{what:?}");
            assert!(quick.ground.is_some() && quick.rig.is_some());
        }
    }

    #[test]
    fn an_unknown_size_is_asked_for() {
        let mut rig = rig();
        rig.arm.as_mut().unwrap().payload.drag = None;
        let found = check(&context(&rig));
        assert!(matches!(&found[0].outcome, Outcome::NotChecked(n) if n.key == "payload.size"));
        rig.arm = None;
        assert!(check(&context(&rig)).is_empty());
    }
}
