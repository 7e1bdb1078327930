//! The poses folded first: every row of every state from three shares, and every check of it, none passed over.
//!
//! A row is the sum of three shares ([`super::blend`]). Its sum is not that of a leaf ([`super::reach`]) to the last bit: it is
//! widened by what rounding can do, and where a pose may hold the worst state its states are reckoned as all others.

use super::arm_rows::TILE;
use super::blend::{Blend, largest};
use super::boxes::ROUNDING as OF_CHECK;
use super::forest::{BODY, Field, LEAF, Leaf, ROUNDING, TERMS, Tree, number};
use super::loose::Sorted;
use super::reach::Rows;
use super::search::{Case, Seeker, TOGETHER};
use crate::check::at_most::{Instant, Share, Shares, by};
use crate::slack::SlackSet;
use rayon::prelude::*;

/// A block's poses, folded.
pub(super) struct Folded<'a> {
    blend: &'a Blend,
    /// The shares of a tile's wrench where there is no arm.
    none: Vec<Share>,
    /// How large what is summed to each term can be, tile by tile.
    sizes: Vec<[f64; TERMS]>,
    /// By failure.
    sets: Vec<Places>,
}

/// Which set of slack straps the states of one failure have.
struct Places {
    /// All sets, in order.
    sets: Vec<SlackSet>,
    /// By tile and set the instants that have it in some pose.
    those: Vec<Those>,
}

/// Some instants by their places, and which shares they need.
#[derive(Default)]
struct Those {
    places: Vec<usize>,
    instants: Vec<Instant>,
    /// Force, kick and flow, one after the other.
    needed: Vec<bool>,
}

impl Those {
    /// An instant in one pose; those of one instant come one after the other.
    fn take(&mut self, place: usize, instant: Instant, pose: usize) {
        if self.places.last() != Some(&place) {
            self.places.push(place);
            self.instants.push(Instant { poses: 0, ..instant });
        }
        self.instants.iter_mut().last().into_iter().for_each(|last| last.poses |= 1 << pose);
    }

    /// Marks what they need of so many shares.
    fn mark(&mut self, blend: &Blend) {
        self.needed = vec![false; blend.count()];
        let (forces, kicks) = (blend.forces.len(), blend.kicks.len());
        for i in &self.instants {
            let [force, kick, flow] = [i.force, i.kick, i.flow].map(|at| at as usize);
            for at in [force, forces + kick, forces + kicks + flow] {
                self.needed[at] = true;
            }
        }
    }
}

impl Places {
    fn of(sorted: &[Sorted], trees: &[Tree], (poses, blend): (usize, &Blend)) -> Self {
        let mut sets: Vec<SlackSet> = sorted.iter().flat_map(Sorted::sets).copied().collect();
        sets.sort_unstable();
        sets.dedup();
        let (tiles, n) = (poses.div_ceil(TILE), blend.instants.len());
        let mut which = vec![[0_usize; TILE]; tiles * n];
        for (tree, sorted) in trees.iter().zip(sorted).filter(|_| sets.len() > 1) {
            for set in sorted.sets() {
                let number = sets.binary_search(set).unwrap_or_default();
                for (l, leaf) in tree.leaves.iter().enumerate() {
                    let mask = sorted.of(l, *set).unwrap_or(0);
                    for k in (0..leaf.count).filter(|k| mask >> k & 1 == 1) {
                        let (pose, instant) = leaf.places(k);
                        which[pose / TILE * n + instant][pose % TILE] = number;
                    }
                }
            }
        }
        let mut those: Vec<Those> = Vec::with_capacity(tiles * sets.len());
        for (tile, which) in which.chunks_exact(n.max(1)).enumerate() {
            let first = those.len();
            those.resize_with(first + sets.len(), Those::default);
            for (place, instant) in blend.places.iter().zip(&blend.instants) {
                for (pose, set) in which[*place].iter().enumerate().take(poses - tile * TILE) {
                    those[first + set].take(*place, *instant, pose);
                }
            }
            those[first..].iter_mut().for_each(|those| those.mark(blend));
        }
        Self { sets, those }
    }

    /// The states of a tile that have a set; nothing where none has it.
    fn those(&self, tile: usize, set: SlackSet) -> Option<&Those> {
        let set = self.sets.binary_search(&set).ok()?;
        self.those.get(tile * self.sets.len() + set).filter(|those| !those.instants.is_empty())
    }
}

impl<'a> Folded<'a> {
    pub(super) fn of(field: &Field<'a>, trees: &[Tree], sorted: &[Vec<Sorted>]) -> Self {
        let blend = &field.laid.blend;
        let none = vec![Share::NONE; if field.wrench.tile(0).is_some() { 0 } else { blend.count() }];
        let size = |tile: usize| {
            let mut sizes = [0.0; TERMS];
            sizes[..BODY].copy_from_slice(&blend.most_force);
            sizes[BODY..].copy_from_slice(&blend.sizes(field.wrench.tile(tile).unwrap_or(&none)));
            sizes
        };
        let poses = field.order().len();
        let sizes = (0..poses.div_ceil(TILE)).into_par_iter().map(size).collect();
        let sets = sorted.par_iter().map(|sorted| Places::of(sorted, trees, (poses, blend))).collect();
        Self { blend, none, sizes, sets }
    }
}

/// A case's rows, ready to be asked for shares.
struct Ready<'a> {
    case: &'a Case<'a>,
    asked: [bool; 6],
    /// Of the arm's wrench.
    factors: [[f64; 6]; 6],
    /// What each force (then each kick) does in every pose.
    same: Vec<[f64; 6]>,
    /// How much of each term each row is, either way, and what of it no term changes.
    sizes: [([f64; TERMS], f64); 6],
}

impl<'a> Ready<'a> {
    fn of(case: &'a Case<'a>, blend: &Blend) -> Self {
        let Rows { factors, constant, asked } = &case.rows;
        let each = |(wind, force, _): &(usize, [f64; BODY], _)| {
            core::array::from_fn(|row| {
                let terms = factors[row].iter().zip(force);
                terms.fold(constant[*wind][row], |sum, (factor, v)| sum + factor * v)
            })
        };
        let mut same: Vec<[f64; 6]> = blend.forces.iter().map(each).collect();
        same.resize(same.len() + blend.kicks.len(), [0.0; 6]);
        let most = |row: usize| largest(&constant.iter().map(|c| c[row]).collect::<Vec<_>>());
        Self {
            case,
            asked: core::array::from_fn(|row| asked[row]),
            factors: core::array::from_fn(|row| core::array::from_fn(|k| factors[row][BODY + k])),
            same,
            sizes: core::array::from_fn(|row| (factors[row].map(f64::abs), most(row))),
        }
    }

    /// The shares of its rows in a tile's states; nothing where it has none.
    fn shares<'s>(
        &'s self,
        (field, folded): (&'s Field<'_>, &'s Folded<'_>),
        tile: usize,
        room: &'s mut Vec<Share>,
    ) -> Option<Shares<'s>> {
        let those = folded.sets[self.case.failure].those(tile, self.case.set)?;
        let (wrenches, flows) = field.wrench.tile(tile).unwrap_or(&folded.none).split_at(self.same.len());
        room.resize(self.same.len(), Share::NONE);
        pulp::Arch::new().dispatch(Sharing { ready: self, wrenches, needed: &those.needed, out: room });
        let (forces, kicks) = room.split_at(folded.blend.forces.len());
        // What rounding may do to each row.
        let wide = self.sizes.each_ref().map(|(factors, constant)| {
            let terms = factors.iter().zip(&folded.sizes[tile]);
            ROUNDING * terms.fold(*constant, |sum, (factor, size)| sum + factor * size)
        });
        Some(Shares { instants: &those.instants, forces, kicks, flows, factors: Some(&self.factors), wide })
    }
}

/// The rows of one source by each force and kick, for the widest numbers side by side that the machine has.
struct Sharing<'a> {
    ready: &'a Ready<'a>,
    wrenches: &'a [Share],
    needed: &'a [bool],
    out: &'a mut [Share],
}

impl pulp::WithSimd for Sharing<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, simd: S) {
        let Self { ready: Ready { asked, factors, same, .. }, wrenches, needed, out } = self;
        for (k, _) in needed[..same.len()].iter().enumerate().filter(|(_, needed)| **needed) {
            by(simd, (*asked, &same[k]), factors, &wrenches[k], &mut out[k]);
        }
    }
}

impl Seeker<'_, '_, '_> {
    /// Every row and every check of every state; then the poses that may hold the worst, state by state.
    pub(super) fn fold(&mut self, folded: &Folded<'_>) {
        let cases: Vec<Ready<'_>> = self.cases.iter().map(|case| Ready::of(case, folded.blend)).collect();
        let mut room = Vec::new();
        let mut all: Vec<Vec<_>> = self.slots.iter().map(|_| Vec::new()).collect();
        for tile in 0..folded.sizes.len() {
            let least = self.least(tile);
            for ready in &cases {
                let Some(shares) = ready.shares((&self.block.field, folded), tile, &mut room) else {
                    continue;
                };
                let case = ready.case;
                self.reckoned += shares.instants.iter().map(|i| u64::from(i.poses.count_ones())).sum::<u64>();
                let rank = self.block.rank_of(case.failure, least);
                for (s, slot) in self.slots.iter().enumerate().filter(|(s, _)| case.stands[*s]) {
                    let most = slot.check.quickly_at_most(slot.item, shares);
                    all[s].push((most * (1.0 + OF_CHECK), rank, ready, tile));
                }
            }
        }
        for (s, mut all) in all.into_iter().enumerate() {
            all.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            for (most, rank, ready, tile) in all {
                let case = ready.case;
                if !self.slots[s].best[case.class].beaten_by(most, rank) {
                    continue;
                }
                let Some(shares) = ready.shares((&self.block.field, folded), tile, &mut room) else {
                    continue;
                };
                let slot = &self.slots[s];
                let worth = |instants: &[Instant]| {
                    let mut some = shares;
                    some.instants = instants;
                    let most = slot.check.at_most(slot.item, some);
                    slot.best[case.class].beaten_by(most * (1.0 + OF_CHECK), rank)
                };
                let Some(those) = folded.sets[case.failure].those(tile, case.set) else { continue };
                if worth(&those.instants) {
                    let mut poses = vec![0; self.block.field.laid.order.len()];
                    for (place, instant) in those.places.iter().zip(&those.instants) {
                        if worth(core::slice::from_ref(instant)) {
                            poses[*place] = instant.poses;
                        }
                    }
                    self.look_into_tile(case, (tile, &poses), s);
                }
            }
        }
    }

    /// The least number of a state in a tile.
    fn least(&self, tile: usize) -> u32 {
        let field = &self.block.field;
        let poses = field.order().iter().skip(tile * TILE).take(TILE);
        number(poses.min().copied().unwrap_or(usize::MAX), 0, field.laid.order.len())
    }

    /// Reckons states of a tile for one item as all others are reckoned: by the instant's place in which poses.
    fn look_into_tile(&mut self, case: &Case<'_>, (tile, has): (usize, &[u8]), slot: usize) {
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
