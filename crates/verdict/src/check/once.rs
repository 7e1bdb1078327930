//! What the checks of one look share: findings with the policy's factor, refusals, words for poses and sizes.

use crate::context::{Context, Resolution};
use crate::finding::{Finding, Need};
use crate::parts::PartRef;
use crate::state::{bearing_words, elevation_words};
use core::fmt::Display;
use mechanics::arm::Pose;
use quantity::{Kind, both_kind};
use rig::model::ArmUse;
use rig::policy::CheckId;

/// A finding with everything in place, under the policy's factor.
pub(super) fn intact(
    ctx: &Context<'_>,
    (check, part): (CheckId, PartRef),
    kind: Kind,
    demand: f64,
    capacity: f64,
) -> Finding {
    Finding::of(check, part, kind, ctx.rig.policy.factors(check).intact, demand, capacity)
}

/// A check that a value out of its formula's range stops, in the formula's own words.
pub(super) fn refused(check: CheckId, part: PartRef, key: &str, why: impl Display) -> Finding {
    Finding::not_checked(
        check,
        part,
        Need {
            what: why.to_string(),
            key: key.to_owned(),
            settle: "measure it and state it in the file".to_owned(),
        },
    )
}

/// A fact that is missing.
pub(super) fn need(what: impl Into<String>, key: impl Into<String>, settle: impl Into<String>) -> Need {
    Need { what: what.into(), key: key.into(), settle: settle.into() }
}

/// `boom 35° L, 20° up`.
pub(super) fn pose_words(pose: Pose) -> String {
    format!("boom {}, {}", bearing_words(pose.pan_rad), elevation_words(pose.elevation_rad))
}

/// A length in both systems.
pub(super) fn length(metres: f64) -> String {
    both_kind(metres, Kind::Length)
}

/// A mass in both systems.
pub(super) fn mass(kg: f64) -> String {
    both_kind(kg, Kind::Mass)
}

/// The poses that the arm may take in a manoeuvre.
pub(super) fn poses_of(ctx: &Context<'_>, arm: ArmUse) -> Vec<Pose> {
    match arm {
        ArmUse::Parked => vec![ctx.parked()],
        ArmUse::Still | ArmUse::Live => ctx.poses(Resolution::fine()),
    }
}

/// The poses that the arm may take at all: only the parked one when every manoeuvre keeps it parked.
pub(super) fn poses_used(ctx: &Context<'_>) -> Vec<Pose> {
    let parked = ctx.rig.manoeuvres.iter().all(|m| m.arm == ArmUse::Parked) && !ctx.rig.manoeuvres.is_empty();
    poses_of(ctx, if parked { ArmUse::Parked } else { ArmUse::Still })
}

/// Keeps failing findings, or else the one with the least margin: one line for a whole class that holds.
pub(super) fn worst_or_failing(mut found: Vec<Finding>) -> Vec<Finding> {
    let margin = |f: &Finding| f.margin.unwrap_or(0.0);
    found.sort_by(|a, b| margin(a).total_cmp(&margin(b)));
    let failing = found.iter().filter(|f| margin(f) < 1.0).count();
    found.truncate(failing.max(1));
    found
}
