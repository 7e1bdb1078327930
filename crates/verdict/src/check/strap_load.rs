//! Tension in a strap against its lashing capacity.

use super::Source;
use super::force_check::{ForceCheck, Reading, Words, limited};
use crate::context::Context;
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

/// Worst tension against LC.
pub(super) fn strap_load(ctx: &Context<'_>) -> ForceCheck {
    let items = ctx.layout.strap.iter().enumerate().filter_map(|(i, row)| {
        let source = Source::Rows { start: (*row)?, len: 1 };
        let strap = &ctx.rig.straps[i];
        Some(limited(PartRef::Strap(i), source, Some(&strap.capacity), || {
            (String::new(), String::new(), "read the label")
        }))
    });
    ForceCheck {
        words: Words {
            id: CheckId::StrapLoad,
            kind: Kind::Force,
            formula: "demand = T0 + k dL (one tension along the path);  capacity = LC",
            source: "EN 12195-2 label; mechanics.md §2.5",
            demand: "tension in the strap",
            limit: "lashing capacity",
        },
        items: items.collect(),
        demand: Reading::Plus(0),
    }
}
