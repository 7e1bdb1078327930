//! Pull and shear on a cup against the maker's plate.

use super::cup_slip::cup_source;
use super::force_check::{ForceCheck, Reading, Words, limited};
use crate::context::Context;
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

const SETTLE: &str = "read the plate on the cup or its maker's sheet; the lowest rating wins";

/// Pull against the plate.
pub(super) fn cup_pull(ctx: &Context<'_>) -> ForceCheck {
    ForceCheck {
        words: Words {
            id: CheckId::CupPull,
            kind: Kind::Force,
            formula: "demand = T (pull on the cup);  capacity = the plate's rating",
            source: "the maker's plate",
            demand: "pull on the cup",
            limit: "rating for pull",
        },
        items: ctx
            .rig
            .cups
            .iter()
            .enumerate()
            .map(|(c, cup)| {
                limited(PartRef::Cup(c), cup_source(ctx, c), cup.pull_rating.as_ref(), || {
                    (
                        format!("pull rating of cup {}", cup.tag),
                        format!("cup.{}.pull_rating", cup.tag),
                        SETTLE,
                    )
                })
            })
            .collect(),
        demand: Reading::Minus(2),
    }
}

/// Shear against the plate.
pub(super) fn cup_shear(ctx: &Context<'_>) -> ForceCheck {
    ForceCheck {
        words: Words {
            id: CheckId::CupShear,
            kind: Kind::Force,
            formula: "demand = V (shear on the cup);  capacity = the plate's rating",
            source: "the maker's plate",
            demand: "shear on the cup",
            limit: "rating for shear",
        },
        items: ctx
            .rig
            .cups
            .iter()
            .enumerate()
            .map(|(c, cup)| {
                limited(PartRef::Cup(c), cup_source(ctx, c), cup.shear_rating.as_ref(), || {
                    (
                        format!("shear rating of cup {}", cup.tag),
                        format!("cup.{}.shear_rating", cup.tag),
                        SETTLE,
                    )
                })
            })
            .collect(),
        demand: Reading::Across,
    }
}
