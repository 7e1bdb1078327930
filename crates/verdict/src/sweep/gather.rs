//! What the arm does in a block's states: its wrench on the platform, and how much of its own torques and cuts is used.

use super::arm_rows::{ArmRows, TILE, Wrenches};
use super::boxes::ROUNDING as OF_CHECK;
use super::forest::number;
use super::search::{Best, Slot};
use super::{Block, Table};
use crate::check::shares::{Share, Shares, Sums};
use crate::check::{LANES, Source};
use crate::context::Context;
use mechanics::arm::Pose;
use rayon::prelude::*;
use std::borrow::Cow;
use std::sync::{Mutex, PoisonError};

/// Instants of a tile that are looked at together.
const TOGETHER: usize = LANES / TILE;

/// A source of the arm's own, its items, and the worst of each so far.
type Own<'t, 'a> = (Source, &'t [Slot<'a>], Vec<Mutex<Best>>);

/// The arm's wrench in a block's field, its own torques and cuts looked at on the way. Where a few poses hold nothing worse than
/// what is known they are passed over.
pub(super) fn gather(ctx: &Context<'_>, block: &Block<'_>, table: &mut Table<'_>) -> Wrenches {
    let Some(arm) = &ctx.arm else { return Wrenches::NONE };
    let own = |source: &Source| !matches!(source, Source::Rows { .. });
    let asked = table.sources.iter().filter(|(source, ..)| own(source)).map(|(source, _, slots)| {
        let best = slots.iter().map(|slot| Mutex::new(slot.best[0])).collect();
        (*source, &slots[..], best)
    });
    let asked: Vec<Own<'_, '_>> = asked.collect();
    let (order, flows) = (block.field.order(), &block.group.instants.flows);
    let blend = &block.field.laid.blend;
    let mut wrench = Wrenches::new(order.len().div_ceil(TILE), blend.count());
    order.par_chunks(TILE).zip(wrench.tiles()).for_each_init(
        || (ArmRows::of(arm), Vec::new()),
        |(rows, room), (these, wrench)| {
            let poses: Vec<Pose> = these.iter().map(|p| block.group.poses[block.first + p]).collect();
            rows.place(&poses, flows);
            rows.put_wrench(blend, wrench);
            for own in &asked {
                if let Some(lost) = rows.put(own.0, blend, room) {
                    look((room, lost), own, block, these);
                }
            }
        },
    );
    let found: Vec<Vec<Best>> = asked.iter().map(|(.., best)| best.iter().map(known).collect()).collect();
    let sources = table.sources.iter_mut().filter(|(source, ..)| own(source));
    for ((.., slots), found) in sources.zip(found) {
        slots.iter_mut().zip(&found).for_each(|(slot, found)| slot.best[0].merge(found));
    }
    wrench
}

fn known(best: &Mutex<Best>) -> Best {
    *best.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Looks at a source in some poses, by its shares; `lost` is no number where one of theirs is none.
fn look((shares, lost): (&[Share], f64), (_, slots, best): &Own<'_, '_>, block: &Block<'_>, poses: &[usize]) {
    let blend = &block.field.laid.blend;
    let (forces, others) = shares.split_at(blend.forces.len());
    let (kicks, flows) = others.split_at(blend.kicks.len());
    let mut instants = Cow::Borrowed(&blend.instants);
    if poses.len() < TILE {
        instants.to_mut().iter_mut().for_each(|instant| instant.poses = (1 << poses.len()) - 1);
    }
    // The same sums as in `worst`, so that rounding has no say in them. Where a number is lost the most is infinite.
    let sums = Sums::Shares { forces, kicks, flows };
    let rows = Shares { instants: &instants, sums, wide: [lost; 6] };
    let first = number(poses.iter().min().copied().unwrap_or(usize::MAX), 0, blend.instants.len());
    for (slot, best) in slots.iter().zip(best) {
        let most = slot.check.quickly_at_most(slot.item, rows) * (1.0 + OF_CHECK);
        let so_far = known(best);
        if so_far.beaten_by(most, block.rank_of(0, first)) {
            let found = worst(shares, (slot, so_far), block, poses);
            best.lock().unwrap_or_else(PoisonError::into_inner).merge(&found);
        }
    }
}

/// The worst of an item of the arm's own in some poses, in all instants, or what was known before.
fn worst(shares: &[Share], (slot, mut best): (&Slot<'_>, Best), block: &Block<'_>, poses: &[usize]) -> Best {
    let laid = block.field.laid;
    let mut values = [[0.0; LANES]; 6];
    for first in (0..laid.order.len()).step_by(TOGETHER) {
        let instants = TOGETHER.min(laid.order.len() - first);
        for (row, values) in values.iter_mut().enumerate() {
            for (k, out) in values.as_chunks_mut::<TILE>().0.iter_mut().enumerate().take(instants) {
                *out = laid.blend.row(shares, first + k, row);
            }
        }
        let [a, b, c, d, e, f] = values.each_ref();
        let uses = slot.check.uses_of(slot.item, [a, b, c, d, e, f], instants * TILE);
        let pose = |k: usize| poses[(k % TILE).min(poses.len() - 1)];
        let id = |k: usize| number(pose(k), laid.order[first + k / TILE], laid.order.len());
        best.offer(&uses, |k| block.rank_of(0, id(k)), block);
    }
    best
}

#[cfg(test)]
mod tests {
    use super::super::forest::TERMS;
    use super::super::{Group, groups, lay};
    use super::*;
    use crate::check::swept;
    use crate::context::Resolution;
    use crate::testing::{context, rig};

    /// The most that each item of the arm's own is used.
    fn own(spoil: impl Fn(&mut Group)) -> Vec<f64> {
        let rig = rig();
        let ctx = context(&rig);
        let checks = swept(&ctx);
        let mut table = Table::new(&checks, |_| [Best::NONE; 2]);
        let mut group = groups(&ctx, Resolution::wide()).swap_remove(0);
        spoil(&mut group);
        let weights = [1.0; TERMS];
        let laid = lay(&ctx, &group, &weights);
        let block = Block::of(&ctx, &group, (&laid, &weights), (0, &group.poses));
        gather(&ctx, &block, &mut table);
        let own = table.sources.iter().filter(|(source, ..)| !matches!(source, Source::Rows { .. }));
        own.flat_map(|(.., slots)| slots).map(|slot| slot.best[0].utilisation).collect()
    }

    #[test]
    fn a_number_that_is_lost_in_one_state_is_never_passed_over() {
        let sound = own(|_| {});
        assert!(sound.len() > 2 && sound.iter().all(|used| *used > 0.0 && used.is_finite()), "{sound:?}");
        for k in [0, 5, 11] {
            let pose = own(|group| group.poses[k].pan_rad = f64::NAN);
            assert!(pose.iter().all(|used| used.is_infinite()), "pose {k}: {pose:?}");
        }
        let flow = own(|group| group.instants.flows[1] = None);
        assert!(flow.iter().all(|used| used.is_infinite()), "{flow:?}");
        // Of the last poses some places are left over: what stands there is no state.
        let few = own(|group| group.poses.truncate(3));
        assert!(few.iter().zip(&sound).all(|(few, all)| few.is_finite() && few <= all), "{few:?}");
    }
}
