//! Movement of the platform that carries the arm (or the camera) against the person's own limit.

use super::Source;
use super::force_check::{ForceCheck, Reading, Words, limited};
use crate::context::Context;
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

/// Movement of each platform, where a limit is stated.
pub(super) fn mast_sway(ctx: &Context<'_>) -> ForceCheck {
    let limit = ctx.rig.policy.sway_limit.as_ref();
    let items = ctx.layout.platform.iter().enumerate().filter_map(|(p, row)| {
        limit?;
        let source = Source::Rows { start: *row, len: 6 };
        Some(limited(PartRef::Platform(p), source, limit, || (String::new(), String::new(), "")))
    });
    ForceCheck {
        words: Words {
            id: CheckId::MastSway,
            kind: Kind::Length,
            formula: "demand = length of the platform's movement;  capacity = the limit you set",
            source: "frame analysis; mechanics.md §2",
            demand: "movement of the platform's top centre",
            limit: "limit for sway",
        },
        items: items.collect(),
        demand: Reading::Length,
    }
}
