//! Pull and push of each cup on the sheet against what the panel takes.

use super::cup_slip::cup_source;
use super::force_check::{ForceCheck, Reading, Words, limited};
use crate::context::Context;
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

/// Pull on the sheet.
pub(super) fn panel_pull(ctx: &Context<'_>) -> ForceCheck {
    ForceCheck {
        words: Words {
            id: CheckId::PanelPull,
            kind: Kind::Force,
            formula: "demand = T (outside pull on the sheet);  capacity = the panel's limit for one cup",
            source: "push and pull test of this panel",
            demand: "outward pull at the cup (the vacuum's own pull is balanced inside the lip)",
            limit: "pull limit of the panel",
        },
        items: items(ctx, "pull", |p| p.pull_limit.as_ref()),
        demand: Reading::Minus(2),
    }
}

/// Push on the sheet.
pub(super) fn panel_push(ctx: &Context<'_>) -> ForceCheck {
    ForceCheck {
        words: Words {
            id: CheckId::PanelPush,
            kind: Kind::Force,
            formula: "demand = -T (outside push on the sheet);  capacity = the panel's limit for one cup",
            source: "push and pull test of this panel",
            demand: "inward push at the cup (the vacuum's own pull is balanced inside the lip)",
            limit: "push limit of the panel",
        },
        items: items(ctx, "push", |p| p.push_limit.as_ref()),
        demand: Reading::Plus(2),
    }
}

fn items(
    ctx: &Context<'_>,
    which: &str,
    limit: impl Fn(&rig::model::Panel) -> Option<&rig::fact::Fact>,
) -> Vec<super::Item> {
    let cups = ctx.rig.cups.iter().enumerate();
    cups.map(|(c, cup)| {
        let panel = &ctx.rig.panels[cup.panel];
        limited(PartRef::Cup(c), cup_source(ctx, c), limit(panel), || {
            (
                format!("{which} limit of panel {}", panel.tag),
                format!("panel.{}.{which}_limit", panel.tag),
                "press and pull with a scale until the sheet starts to oil-can; state half of it",
            )
        })
    })
    .collect()
}
