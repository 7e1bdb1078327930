//! Tubes and clamps: laid, clamps left open, squared; closed only when the mast stands in its place.

use super::names::{cups_of, key, name, step, tube};
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use rig::Rig;
use std::collections::BTreeSet;

/// Tubes in the order in which they can be laid: those on cups first, then what lies on them.
fn layers(rig: &Rig) -> Vec<Vec<usize>> {
    let mut left: BTreeSet<usize> = (0..rig.tubes.len()).collect();
    let mut out: Vec<Vec<usize>> = Vec::new();
    let on_cups: Vec<usize> = left.iter().copied().filter(|t| !cups_of(rig, *t).is_empty()).collect();
    let mut next = if on_cups.is_empty() { left.iter().copied().take(1).collect() } else { on_cups };
    while !next.is_empty() {
        left.retain(|t| !next.contains(t));
        let beside = |t: &usize| {
            rig.clamps.iter().any(|c| {
                let (a, b) = (c.first.0, c.second.0);
                (a == *t && next.contains(&b)) || (b == *t && next.contains(&a))
            })
        };
        let after: Vec<usize> = left.iter().copied().filter(beside).collect();
        out.push(next);
        next = after;
    }
    // What no clamp joins to the rest is laid last.
    out.extend(left.into_iter().map(|t| vec![t]));
    out
}

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    let layers = layers(rig);
    for (depth, layer) in layers.iter().enumerate() {
        for t in layer {
            let Some(part) = rig.tubes.get(*t) else { continue };
            let mut after: Vec<String> = Vec::new();
            let cups = cups_of(rig, *t);
            if cups.len() > 1 {
                after.push(name("tube", &part.tag, "line up"));
            } else {
                after.extend(cups.iter().map(|c| name("cup", c, "head")));
            }
            if depth > 0 {
                after.extend(layers[depth - 1].iter().map(|b| name("tube", tube(rig, *b), "lay")));
            }
            let long = part.length() > 1.5;
            let closing = if cups.is_empty() { "" } else { "; close the heads on it by hand" };
            draft
                .put(
                    step("tube", &part.tag, "lay"),
                    Stage::Grid,
                    format!("Lay {} in its place{closing}", part.section.part),
                )
                .after(after)
                .takes(if long { 2 } else { 1 }, 3.0);
        }
    }
    for clamp in &rig.clamps {
        draft
            .put(
                step("clamp", &clamp.tag, "fit"),
                Stage::Grid,
                format!(
                    "Fit it on {} and {}, screws open a turn",
                    tube(rig, clamp.first.0),
                    tube(rig, clamp.second.0)
                ),
            )
            .why("open clamps let the grid find its shape before it is fixed")
            .after([clamp.first.0, clamp.second.0].map(|t| name("tube", tube(rig, t), "lay")))
            .takes(1, 2.0);
    }
    if rig.tubes.len() > 1 {
        let fitted = draft.names(|s| s.stage == Stage::Grid);
        draft
            .put(
                "grid: square",
                Stage::Grid,
                "Measure spacings and both diagonals, move tubes until the diagonals agree",
            )
            .why("a grid out of square loads its cups unlike the plan")
            .after(fitted)
            .takes(2, 8.0)
            .with(["tape measure"])
            .record(Kind::Note, "grid: square", "both diagonals");
    }
}

/// Final torque of clamps: after everything that must find its place with them open.
pub(super) fn close(rig: &Rig, draft: &mut Draft, after: &[String]) {
    for clamp in &rig.clamps {
        draft
            .put(
                step("clamp", &clamp.tag, "close"),
                Stage::Grid,
                "Tighten its screws turn and turn about to the stated torque; mark them",
            )
            .why("a clamp that was not brought to its torque slips at a share of its rating")
            .after(after.iter().cloned().chain([name("clamp", &clamp.tag, "fit")]))
            .takes(1, 2.0)
            .with(["torque wrench", "paint pen"])
            .torque(clamp.torque.value)
            .kept("an open clamp holds nothing")
            .record(Kind::Torque, key("clamp", &clamp.tag, "torque"), "torque reached");
    }
}
