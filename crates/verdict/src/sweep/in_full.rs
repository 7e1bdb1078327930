//! Every row and every check of every state: all are looked at from above, poses side by side; then the states that may be the
//! worst are reckoned as all others are.
//!
//! Rows that are put together here are not those of a leaf ([`super::reach`]) to the last bit: they are widened by what rounding
//! can do.

use super::arm_rows::TILE;
use super::beside::{Beside, Those};
use super::boxes::ROUNDING as OF_CHECK;
use super::forest::{LEAF, Leaf, number};
use super::ready::{Onward, Ready};
use super::search::{Case, Seeker, Slot, TOGETHER, Way, cases};
use super::{Asked, Block};
use crate::check::shares::{Along, Instant, Share};
use crate::check::{ALONG, Item, Source};
use crate::context::Context;
use crate::responses::Station;
use rayon::prelude::*;

/// What differs by no more than this share may count as equal (see [`crate::check::coarse`]).
const EQUAL: f64 = 1e-8;

/// Rows of one source, and what is asked of them.
type Part<'s, 'a> = ((usize, usize), &'s mut [Slot<'a>]);

/// Looks at all states of all sources.
pub(super) fn in_full(ctx: &Context<'_>, block: &Block<'_>, way: Way, sources: &mut [Asked<'_>]) {
    let beside = Beside::of(way, &block.field, &block.trees, &block.sorted);
    let member = |(source, ..): &Asked<'_>| match source {
        Source::Rows { start, .. } => ctx.layout.station_of(*start).map(|station| station.member),
        _ => None,
    };
    let alike = |a: &Asked<'_>, b: &Asked<'_>| member(a).is_some() && member(a) == member(b);
    sources.par_chunk_by_mut(alike).for_each(|some| look_at(ctx, way, (block, &beside), some));
}

/// Looks at all states of some sources: of one, or of the stations of one member of a tube.
fn look_at(
    ctx: &Context<'_>,
    way: Way,
    (block, beside): (&Block<'_>, &Beside<'_>),
    sources: &mut [Asked<'_>],
) {
    let mut parts: Vec<Part<'_, '_>> = Vec::new();
    for (source, _, slots) in sources {
        if let Source::Rows { start, len } = source {
            parts.extend(slots.chunks_mut(TOGETHER).map(|slots| ((*start, *len), slots)));
        }
    }
    let all: Vec<Vec<Case<'_>>> = parts.iter().map(|(rows, slots)| cases(ctx, block, *rows, slots)).collect();
    let ready: Vec<Vec<Ready<'_>>> =
        all.iter().map(|cases| cases.iter().map(|case| Ready::of(case, beside)).collect()).collect();
    let look = Look { block, beside, ready: &ready };
    let mut found: Vec<Vec<Vec<Found>>> =
        parts.iter().map(|(_, slots)| slots.iter().map(|_| Vec::new()).collect()).collect();
    for (k, some) in parts.chunks(ALONG).enumerate() {
        let (first, found) = (k * ALONG, &mut found[k * ALONG..]);
        let still = |k: usize| way == Way::Folded && ready[k].iter().all(Ready::only_carries_itself);
        let moved = !(first..first + some.len()).all(still);
        if let Some(at) = apart(ctx, some).filter(|_| moved) {
            look.along(first, some, &at, found);
            continue;
        }
        for (k, ((_, slots), found)) in (first..).zip(some.iter().zip(found)) {
            if still(k) {
                look.once(k, slots, found);
            } else {
                look.at(k, slots, found);
            }
        }
    }
    for (((_, slots), found), (cases, ready)) in parts.into_iter().zip(found).zip(all.iter().zip(&ready)) {
        Seeker::of(block, cases, slots).look_closer(beside, ready, found);
    }
}

/// Of some stations of a member the one that the others follow from, in the middle; then the others.
fn in_order(count: usize) -> impl Iterator<Item = usize> {
    let lead = count / 2;
    core::iter::once(lead).chain((0..count).filter(move |k| *k != lead))
}

/// How far from the leading station each is, if they are several of one member that are looked at by one check.
fn apart(ctx: &Context<'_>, parts: &[Part<'_, '_>]) -> Option<Vec<f64>> {
    let of = |((start, _), slots): &Part<'_, '_>| {
        let station = ctx.layout.station_of(*start)?;
        (slots.len() == 1).then_some((station, slots[0].check.id()))
    };
    let all: Vec<_> = parts.iter().map(of).collect::<Option<_>>()?;
    let (lead, check) = *all.get(in_order(all.len()).next()?)?;
    let same = |(station, c): &(&Station, _)| (station.member, *c) == (lead.member, check);
    (all.len() > 1 && all.iter().all(same))
        .then(|| all.iter().map(|(station, _)| station.along_m - lead.along_m).collect())
}

/// The look from above.
struct Look<'a> {
    block: &'a Block<'a>,
    beside: &'a Beside<'a>,
    /// Source by source.
    ready: &'a [Vec<Ready<'a>>],
}

impl Look<'_> {
    /// Looks at all items of one source.
    fn at(&self, source: usize, slots: &[Slot<'_>], found: &mut [Vec<Found>]) {
        let mut room = Vec::new();
        self.each(source, |(ready, those), place| {
            let shares = ready.shares((&self.block.field, self.beside), (place.tile, those), &mut room);
            let stands = |(s, _): &(usize, &Slot<'_>)| ready.case.stands[*s];
            for (s, slot) in slots.iter().enumerate().filter(stands) {
                found[s].push(place.with(slot.check.quickly_at_most(slot.item, shares)));
            }
        });
    }

    /// Looks at all items of one source whose rows are the same in every pose, so that folding leaves one look for all.
    fn once(&self, source: usize, slots: &[Slot<'_>], found: &mut [Vec<Found>]) {
        let of = |ready: &Ready<'_>| -> Vec<f64> {
            let most =
                |slot: &Slot<'_>| slot.check.quickly_at_most(slot.item, ready.whatever_pose(self.beside));
            slots.iter().map(most).collect()
        };
        let most: Vec<Vec<f64>> = self.ready[source].iter().map(of).collect();
        self.each(source, |(ready, _), place| {
            for (s, most) in most[place.case].iter().enumerate().filter(|(s, _)| ready.case.stands[*s]) {
                found[s].push(place.with(*most));
            }
        });
    }

    /// Looks at one item at each of some stations of a member, from the first one's source on, `at` so far from the leading one.
    fn along(&self, first: usize, parts: &[Part<'_, '_>], at: &[f64], found: &mut [Vec<Vec<Found>>]) {
        let order: Vec<usize> = in_order(parts.len()).collect();
        let ready = |k: usize| &self.ready[first + order[k]];
        let onward = |case: usize| -> Vec<Onward> {
            let others = 1..order.len();
            others
                .map(|k| Onward::of(at[order[k]], [&ready(0)[case], &ready(k)[case]], self.beside))
                .collect()
        };
        let onward: Vec<Vec<Onward>> = (0..ready(0).len()).map(onward).collect();
        let items: Vec<&Item> = order.iter().map(|k| parts[*k].1[0].item).collect();
        let others: Vec<Vec<(&Item, Along<'_>)>> = onward
            .iter()
            .map(|onward| items[1..].iter().copied().zip(onward.iter().map(Onward::along)).collect())
            .collect();
        let (check, mut room) = (parts[order[0]].1[0].check, Vec::new());
        self.each(first + order[0], |(lead, those), place| {
            let shares = lead.shares((&self.block.field, self.beside), (place.tile, those), &mut room);
            let most = check.quickly_along((items[0], shares), &others[place.case]);
            for (k, (most, station)) in most.into_iter().zip(&order).enumerate() {
                if ready(k)[place.case].case.stands[0] {
                    found[*station][0].push(place.with(most));
                }
            }
        });
    }

    /// Tile by tile and case by case.
    fn each<'s>(&'s self, source: usize, mut see: impl FnMut((&'s Ready<'s>, &'s Those), Found)) {
        for tile in 0..self.beside.tiles {
            let field = &self.block.field;
            let poses = field.order().iter().skip(tile * TILE).take(TILE);
            let least = number(poses.min().copied().unwrap_or(usize::MAX), 0, field.laid.order.len());
            for (case, ready) in self.ready[source].iter().enumerate() {
                if let Some(those) = ready.those(self.beside, tile) {
                    let rank = self.block.rank_of(ready.case.failure, least);
                    see((ready, those), Found { most: f64::INFINITY, rank, case, tile });
                }
            }
        }
    }
}

/// The most that an item may be used in a case's states of a tile.
#[derive(Clone, Copy)]
struct Found {
    most: f64,
    /// Of the first of them.
    rank: (usize, u64),
    case: usize,
    tile: usize,
}

impl Found {
    fn with(self, most: f64) -> Self {
        Self { most: most * (1.0 + OF_CHECK), ..self }
    }
}

impl Seeker<'_, '_, '_> {
    /// Reckons the states that may be the worst.
    fn look_closer(&mut self, beside: &Beside<'_>, ready: &[Ready<'_>], found: Vec<Vec<Found>>) {
        let mut room = Vec::new();
        let classes = ready.iter().map(|ready| ready.case.class + 1).max().unwrap_or(0);
        let order = |a: &Found, b: &Found| b.most.total_cmp(&a.most).then(a.rank.cmp(&b.rank));
        for (s, mut found) in found.into_iter().enumerate() {
            let mut anywhere = vec![None; ready.len()];
            let mut look = |found: &Found, seeker: &mut Self| {
                let anywhere = &mut anywhere[found.case];
                seeker.look_into_found(found, s, (beside, &ready[found.case]), (anywhere, &mut room));
            };
            // What looks worst of all is looked into first: what it comes to rules out most of the others.
            for class in 0..classes {
                let of_class = (0..found.len()).filter(|k| ready[found[*k].case].case.class == class);
                if let Some(first) = of_class.min_by(|a, b| order(&found[*a], &found[*b])) {
                    look(&found.swap_remove(first), self);
                }
            }
            let best = &self.slots[s].best;
            found.retain(|found| best[ready[found.case].case.class].beaten_by(found.most, found.rank));
            found.sort_unstable_by(order);
            for found in &found {
                look(found, self);
            }
        }
    }

    /// Reckons the states of a tile for one item, if they may be the worst.
    fn look_into_found(
        &mut self,
        found: &Found,
        slot: usize,
        (beside, ready): (&Beside<'_>, &Ready<'_>),
        (anywhere, room): (&mut Option<f64>, &mut Vec<Share>),
    ) {
        let (tile, case, rank) = (found.tile, ready.case, found.rank);
        let Slot { check, item, best } = &self.slots[slot];
        let best = &best[case.class];
        if !best.beaten_by(found.most, rank) {
            return;
        }
        // What a part that only carries itself uses is alike in all poses.
        let anywhere = anywhere.get_or_insert_with(|| {
            let most = check.at_most(item, ready.whatever_pose(beside), f64::NEG_INFINITY);
            most * (1.0 + OF_CHECK)
        });
        let Some(those) = ready.those(beside, tile).filter(|_| best.beaten_by(*anywhere, rank)) else {
            return;
        };
        let shares = ready.shares((&self.block.field, beside), (tile, those), room);
        // A little under what is known, for what counts as equal to it may come before it.
        let over = best.utilisation - EQUAL * best.utilisation.abs();
        let worth = |instants: &[Instant]| {
            // A copy: rustc 1.95 cannot take this as one expression.
            let mut some = shares;
            some.instants = instants;
            best.beaten_by(check.at_most(item, some, over) * (1.0 + OF_CHECK), rank)
        };
        if worth(&those.instants) {
            let mut poses = vec![0; self.block.field.laid.order.len()];
            for (place, instant) in those.places.iter().zip(&those.instants) {
                if worth(core::slice::from_ref(instant)) {
                    poses[*place] = instant.poses;
                }
            }
            self.reckon_of_tile(case, (tile, &poses), slot);
        }
    }

    /// Reckons states of a tile for one item as all others are reckoned: by the instant's place in which poses.
    fn reckon_of_tile(&mut self, case: &Case<'_>, (tile, has): (usize, &[u8]), slot: usize) {
        let field = &self.block.field;
        let first_pose = tile * TILE;
        let poses = (field.order().len() - first_pose).min(TILE);
        let mut asked = [false; TOGETHER];
        asked[slot] = true;
        for (wind, instants) in field.laid.winds() {
            for first in instants.clone().step_by(LEAF / TILE) {
                let count = (instants.end - first).min(LEAF / TILE);
                let leaf = Leaf::of([first_pose, poses], [first, count]);
                let has = |k: &usize| has[first + k / poses] >> (k % poses) & 1 == 1;
                let mask = (0..leaf.count).filter(has).fold(0, |mask, k| mask | 1 << k);
                if mask != 0 {
                    self.reckon(case, (wind, &leaf, mask), asked);
                }
            }
        }
    }
}
