//! What the arm does in a block's states: its wrench on the platform, and how much of its own torques and cuts is used.

use super::arm_rows::{ArmRows, TILE, TOGETHER, Wrenches};
use super::forest::number;
use super::search::{Best, Slot};
use super::{Block, Table};
use crate::check::{LANES, Source};
use crate::context::Context;
use mechanics::arm::Pose;
use rayon::prelude::*;

/// The arm's wrench in a block's field, its own torques and cuts looked at on the way.
pub(super) fn gather(ctx: &Context<'_>, block: &Block<'_>, table: &mut Table<'_>) -> Wrenches {
    let Some(arm) = &ctx.arm else { return Wrenches::NONE };
    let own = |source: &Source| !matches!(source, Source::Rows { .. });
    let asked: Vec<(Source, &Slot<'_>)> = table
        .sources
        .iter()
        .filter(|(source, ..)| own(source))
        .flat_map(|(source, _, slots)| slots.iter().map(|slot| (*source, slot)))
        .collect();
    let (order, flows) = (block.field.order(), &block.group.instants.flows);
    let mut wrench = Wrenches::new(order.len().div_ceil(TILE), flows.len());
    let found: Vec<Vec<Best>> = order
        .par_chunks(TILE)
        .zip(wrench.tiles())
        .map_init(
            || ArmRows::of(arm),
            |rows, (these, wrench)| {
                let poses: Vec<Pose> = these.iter().map(|p| block.group.poses[block.first + p]).collect();
                rows.place(&poses, flows, wrench);
                asked.iter().map(|(source, slot)| worst((rows, *source), slot, block, these)).collect()
            },
        )
        .collect();
    for best in found {
        let slots = table.sources.iter_mut().filter(|(source, ..)| own(source)).flat_map(|(.., slots)| slots);
        for (slot, best) in slots.zip(&best) {
            slot.best[0].merge(best);
        }
    }
    wrench
}

/// The worst of an item of the arm's own in some poses, in all instants, or what was known before.
fn worst(
    (rows, source): (&ArmRows<'_>, Source),
    slot: &Slot<'_>,
    block: &Block<'_>,
    poses: &[usize],
) -> Best {
    let (mut best, laid) = (slot.best[0], block.field.laid);
    let mut values = [[0.0; LANES]; 6];
    for first in (0..laid.order.len()).step_by(TOGETHER) {
        if rows.read(source, (&laid.moves, first), &mut values).is_none() {
            break;
        }
        let count = TOGETHER.min(laid.order.len() - first) * TILE;
        for tile in values.iter_mut().flat_map(|row| row[..count].chunks_exact_mut(TILE)) {
            // Places that no pose has say what the first one's say.
            let said = tile[0];
            tile[poses.len()..].fill(said);
        }
        let [a, b, c, d, e, f] = values.each_ref();
        let uses = slot.check.uses_of(slot.item, [a, b, c, d, e, f], count);
        let pose = |k: usize| poses[(k % TILE).min(poses.len() - 1)];
        let id = |k: usize| number(pose(k), laid.order[first + k / TILE], laid.order.len());
        best.offer(&uses, |k| block.rank_of(0, id(k)), block);
    }
    best
}
