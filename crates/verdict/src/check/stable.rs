//! Whether anything can move freely: what moves, how, and what would hold it.

use super::once::length;
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use glam::DVec3;
use mechanics::frame::{Lost, Mechanism, SolveError};
use quantity::Kind;
use rig::model::{ClampKind, Hold};
use rig::policy::CheckId;
use std::collections::BTreeSet;

/// An axis within this of a tube's own, m, and this of its direction counts as the tube's own axis.
const OWN_AXIS_M: f64 = 0.02;
const OWN_AXIS_COSINE: f64 = 0.99;
/// Turn (rad) per slide (m) under which a movement is called a slide.
const TURN_SHARE: f64 = 0.05;

/// One finding for each failure in which something moves freely; one that holds when nothing does.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut intact: Option<String> = None;
    let mut worst_residual = 0.0_f64;
    for (index, failure) in ctx.failures.iter().enumerate() {
        let factors = ctx.rig.policy.factors(CheckId::Stable);
        let factor = if failure.lost.is_some() { factors.lost } else { factors.intact };
        let with = failure
            .lost
            .map_or("with everything in place".to_owned(), |p| format!("{} lost", p.name(ctx.rig)));
        match &failure.responses {
            Ok(r) => worst_residual = worst_residual.max(r.worst_residual),
            Err(SolveError::Mechanism(m)) => {
                let (part, how) = movement(ctx, m, failure.lost);
                // The same movement with nothing lost is one fault, not one more for every part.
                if failure.lost.is_some() && intact.as_deref() == Some(how.as_str()) {
                    continue;
                }
                if index == 0 {
                    intact = Some(how.clone());
                }
                let hold = remedy(ctx, m, failure.lost);
                let mut f = Finding::of(CheckId::Stable, part, Kind::Number, factor, 1.0, 0.0);
                f = f.at(how.clone()).when(format!("{with}: {how}; {hold}")).hand(mechanism_hand(m));
                out.push(f);
            }
            Err(e) => {
                let f = Finding::of(CheckId::Stable, PartRef::Rig, Kind::Number, factor, 1.0, 0.0);
                out.push(f.when(format!(
                    "{with}: {e}; stiffnesses in the rig are too far apart to trust an answer"
                )));
            }
        }
    }
    if out.is_empty() {
        let factor = ctx.rig.policy.factors(CheckId::Stable).intact;
        let hand = HandCheck {
            formula: "K u = f has an answer for every f;  |f - K u| <= 1e-8 |f|",
            source: "statics; mechanics.md §4.11",
            steps: vec![Step::new(
                "r",
                "largest |f - K u| / |f| of all answers",
                worst_residual,
                Kind::Number,
            )],
        };
        out.push(
            Finding::of(CheckId::Stable, PartRef::Rig, Kind::Number, factor, 0.0, 1.0)
                .when("nothing can move freely, with everything in place and with each single cup and strap lost")
                .hand(hand),
        );
    }
    out
}

fn mechanism_hand(m: &Mechanism) -> HandCheck {
    HandCheck {
        formula: "K u = 0 for a movement u that is not zero: nothing pushes back",
        source: "statics; mechanics.md §4.11",
        steps: vec![
            Step::new("ux", "movement forward (largest of all is 1)", m.slide.x, Kind::Number),
            Step::new("uy", "movement to the left", m.slide.y, Kind::Number),
            Step::new("uz", "movement up", m.slide.z, Kind::Number),
            Step::new("rx", "turn about a line fore and aft", m.turn.x, Kind::Number),
            Step::new("ry", "turn about a line across the car", m.turn.y, Kind::Number),
            Step::new("rz", "turn about an upright line", m.turn.z, Kind::Number),
        ],
    }
}

/// Parts that move.
fn moving(ctx: &Context<'_>, m: &Mechanism) -> BTreeSet<PartRef> {
    m.moving.iter().filter_map(|n| ctx.structure.owner.get(*n).copied()).collect()
}

/// Nodes that hang together with a node through members and joints, straps left out.
fn together(ctx: &Context<'_>, node: usize) -> BTreeSet<usize> {
    let frame = &ctx.structure.frame;
    let mut seen = BTreeSet::from([node]);
    let mut todo = vec![node];
    while let Some(n) = todo.pop() {
        let members = frame.members.iter().map(|m| (m.i, m.j));
        for (a, b) in members.chain(frame.joints.iter().map(|j| (j.a, j.b))) {
            for (from, to) in [(a, b), (b, a)] {
                if from == n && seen.insert(to) {
                    todo.push(to);
                }
            }
        }
    }
    seen
}

/// Whether a group of nodes stands on no cup that is left.
fn held_by_no_cup(ctx: &Context<'_>, nodes: &BTreeSet<usize>, lost: Option<PartRef>) -> bool {
    let gone = lost.and_then(|p| ctx.structure.lost(p));
    let supports = ctx.structure.frame.supports.iter().enumerate();
    !supports.filter(|(i, _)| gone != Some(Lost::Support(*i))).any(|(_, s)| nodes.contains(&s.node))
}

/// Which part to name, and its movement in words.
fn movement(ctx: &Context<'_>, m: &Mechanism, lost: Option<PartRef>) -> (PartRef, String) {
    let part = ctx.structure.owner.get(m.node).copied().unwrap_or(PartRef::Rig);
    let name = part.name(ctx.rig);
    if held_by_no_cup(ctx, &together(ctx, m.node), lost) {
        return (part, format!("{name} is joined to no cup that holds: it can move any way"));
    }
    let at = ctx.structure.frame.nodes.get(m.node).copied().unwrap_or_default();
    let own = match part {
        PartRef::Tube(t) => ctx.rig.tubes.get(t).map(|t| (t.a, (t.b - t.a).normalize_or_zero())),
        PartRef::Cup(c) => ctx.rig.cups.get(c).map(|c| (c.at, c.normal)),
        _ => None,
    };
    (part, format!("{name} can {}", motion_words(at, m.slide, m.turn, own, ctx.rig.vehicle.datum)))
}

/// A rigid movement in words: slide of a point and turn, the part's own axis (point and direction) if it has one.
fn motion_words(at: DVec3, slide: DVec3, turn: DVec3, own: Option<(DVec3, DVec3)>, datum: DVec3) -> String {
    if turn.length() < TURN_SHARE * slide.length() {
        let along = own.is_some_and(|(_, d)| slide.normalize_or_zero().dot(d).abs() > OWN_AXIS_COSINE);
        return if along { "slide along its own axis".to_owned() } else { format!("slide {}", way(slide)) };
    }
    let w2 = turn.length_squared();
    // The axis of a rigid movement: points that move along the turn only.
    let foot = at + turn.cross(slide) / w2;
    let pitch = turn.dot(slide) / w2;
    let screw = if pitch.abs() > 0.1 { " and slide along that line" } else { "" };
    let direction = turn.normalize_or_zero();
    if let Some((p, d)) = own {
        let off = (foot - p) - d * (foot - p).dot(d);
        if direction.dot(d).abs() > OWN_AXIS_COSINE && off.length() < OWN_AXIS_M {
            return format!("roll about its own axis{screw}");
        }
    }
    let o = foot - datum;
    let line = [
        (DVec3::X, "a line fore and aft"),
        (DVec3::Y, "a line across the car"),
        (DVec3::Z, "an upright line"),
    ];
    let line = line.iter().find(|(v, _)| v.dot(direction).abs() > 0.9).map_or("a slanting line", |(_, w)| w);
    let side = if o.y < 0.0 { "right" } else { "left" };
    let (aft, out, up) = (length(-o.x), length(o.y.abs()), length(o.z));
    format!("turn about {line} through {aft} aft, {out} {side}, {up} up of the datum{screw}")
}

fn way(slide: DVec3) -> &'static str {
    let a = slide.abs();
    if a.x >= a.y && a.x >= a.z {
        "fore and aft"
    } else if a.y >= a.z {
        "sideways"
    } else {
        "up and down"
    }
}

/// What would hold it: lock a head, change a swivel, join it, or add something.
fn remedy(ctx: &Context<'_>, m: &Mechanism, lost: Option<PartRef>) -> String {
    let parts = moving(ctx, m);
    let group = together(ctx, m.node);
    if held_by_no_cup(ctx, &group, lost) {
        return "clamp it to a part that cups hold, or set a cup under it".to_owned();
    }
    let mut ways = Vec::new();
    for (i, cup) in ctx.rig.cups.iter().enumerate() {
        let on_moving = match cup.holds {
            Hold::Tube { tube, .. } => parts.contains(&PartRef::Tube(tube)),
            Hold::Platform(p) => parts.contains(&PartRef::Platform(p)),
            Hold::Cup(_) | Hold::Body => false,
        };
        if !cup.locked && lost != Some(PartRef::Cup(i)) && (on_moving || parts.contains(&PartRef::Cup(i))) {
            ways.push(format!("lock the head of cup {}", cup.tag));
        }
    }
    for clamp in ctx.rig.clamps.iter().filter(|c| c.kind == ClampKind::Swivel) {
        if [clamp.first.0, clamp.second.0].iter().any(|t| parts.contains(&PartRef::Tube(*t))) {
            ways.push(format!("use a right-angle clamp for swivel {}", clamp.tag));
        }
    }
    if ways.is_empty() {
        return "add a clamp, a cup or a brace that resists this movement".to_owned();
    }
    ways.truncate(4);
    format!("{}, or add a clamp or cup that resists this movement", ways.join(", or "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, rig};

    #[test]
    fn a_sound_rig_holds_with_each_part_lost() {
        let rig = rig();
        let found = check(&context(&rig));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].outcome, Outcome::Holds);
        assert!(found[0].situation.starts_with("nothing can move freely"));
    }

    #[test]
    fn a_lost_cup_that_dangles_from_its_free_head_is_no_mechanism() {
        let mut rig = rig();
        rig.cups.iter_mut().for_each(|c| c.locked = false);
        let ctx = context(&rig);
        assert_eq!(check(&ctx)[0].outcome, Outcome::Holds);
        // A free head passes no rocking moment on: what rocks the cup at the panel is its shear at the head's height.
        let state =
            crate::state::StateId { failure: 0, drive: 0, motion: 0, pose: mechanics::arm::Pose::default() };
        let r = crate::sweep::numbers(
            &ctx,
            crate::check::Source::Rows { start: ctx.layout.cup[0], len: 6 },
            &state,
        );
        let (shear, height) = (r[0].hypot(r[1]), rig.cups[0].height);
        assert!((r[3].hypot(r[4]) - shear * height).abs() < 1e-6 * shear, "{r:?}");
    }

    #[test]
    fn a_tube_on_swivels_alone_is_named_with_its_roll() {
        // One tube lies across LL and LR on two swivels whose free axes are upright: it cannot roll. On one swivel it can
        // turn about that swivel's upright axis.
        let mut rig = rig();
        let z = rig.tubes[2].a.z + 0.0483;
        let mut bar = rig.tubes[0].clone();
        "X".clone_into(&mut bar.tag);
        (bar.a, bar.b) = (DVec3::new(-1.6, 0.56, z), DVec3::new(-1.6, -0.56, z));
        rig.tubes.push(bar);
        let mut k = rig.clamps[0].clone();
        "SW".clone_into(&mut k.tag);
        k.kind = ClampKind::Swivel;
        (k.first, k.second) = ((2, 0.2), (4, 0.38));
        rig.clamps.push(k);
        let found = check(&context(&rig));
        assert_eq!(found.len(), 1, "one fault, not one for each part lost: {found:?}");
        let f = &found[0];
        assert_eq!(f.outcome, Outcome::Fails);
        assert_eq!(f.part, PartRef::Tube(4));
        assert!(f.place.starts_with("tube X can turn about an upright line"), "{}", f.place);
        // The swivel stands 550 mm aft and 180 mm left of the datum.
        assert!(f.place.contains("550 mm") && f.place.contains("180 mm"), "{}", f.place);
        assert!(f.situation.contains("use a right-angle clamp for swivel SW"), "{}", f.situation);
    }

    #[test]
    fn a_tube_with_free_heads_rolls_about_its_own_axis() {
        // Both cups of a tube that nothing else joins hold it at its axis with free heads; its turn about the line through
        // the heads is its roll.
        let mut rig = rig();
        rig.tubes.truncate(1);
        rig.cups.truncate(2);
        rig.cups.iter_mut().for_each(|c| c.locked = false);
        (rig.clamps, rig.legs, rig.platforms) = (Vec::new(), Vec::new(), Vec::new());
        (rig.straps, rig.arm) = (Vec::new(), None);
        let found = check(&context(&rig));
        assert!(found[0].place.starts_with("tube TF can roll about its own axis"), "{}", found[0].place);
        assert!(found[0].situation.contains("lock the head of cup FL"), "{}", found[0].situation);
        assert!(found[0].situation.starts_with("with everything in place"));
    }

    #[test]
    fn a_part_that_nothing_joins_is_said_to_be_loose() {
        let mut rig = rig();
        rig.legs.clear();
        let found = check(&context(&rig));
        assert!(found[0].place.contains("platform base is joined to no cup"), "{}", found[0].place);
    }

    #[test]
    fn a_movement_is_told_apart_by_its_axis() {
        let own = Some((DVec3::ZERO, DVec3::Y));
        let w = |at, slide, turn| motion_words(at, slide, turn, own, DVec3::ZERO);
        assert_eq!(w(DVec3::Y, DVec3::ZERO, DVec3::Y), "roll about its own axis");
        assert_eq!(w(DVec3::Y, DVec3::Y, DVec3::ZERO), "slide along its own axis");
        assert_eq!(w(DVec3::Y, DVec3::Z, DVec3::ZERO), "slide up and down");
        // A turn of 1 about y with its axis 0.5 m above: the point moves by w x r = Y x (-0.5 Z) = -0.5 X.
        let text = w(DVec3::ZERO, -0.5 * DVec3::X, DVec3::Y);
        assert!(text.starts_with("turn about a line across the car") && text.contains("500 mm"), "{text}");
    }
}
