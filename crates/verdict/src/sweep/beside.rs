//! A block's states, ready to be reckoned in full: poses side by side, one instant after the other.

use super::arm_rows::TILE;
use super::blend::{Blend, largest_of_rows};
use super::forest::{BODY, Field, TERMS, Tree};
use super::loose::Sorted;
use super::search::Way;
use crate::check::shares::{Instant, Share};
use crate::slack::SlackSet;
use rayon::prelude::*;

/// What is the same for all sources.
pub(super) struct Beside<'a> {
    pub(super) blend: &'a Blend,
    /// The shares of a tile's wrench where there is no arm.
    pub(super) none: Vec<Share>,
    /// The wrench in every instant, tile by tile, where rows are put together from that.
    pub(super) wrenches: Vec<Vec<Share>>,
    /// Each force without a wrench, as an instant.
    pub(super) forces: Vec<Instant>,
    /// How large what is summed to each term can be in any state.
    pub(super) sizes: [f64; TERMS],
    /// How many tiles.
    pub(super) tiles: usize,
    /// By failure.
    pub(super) sets: Vec<Places>,
}

/// Which set of slack straps the states of one failure have.
pub(super) struct Places {
    /// All sets, in order.
    sets: Vec<SlackSet>,
    /// Instants that have a set in some pose.
    those: Vec<Those>,
    /// Which of them, by tile and set: tiles that have the same ones share them.
    which: Vec<usize>,
}

/// Some instants by their places, and which shares they need.
#[derive(Clone, Default)]
pub(super) struct Those {
    pub(super) places: Vec<usize>,
    pub(super) instants: Vec<Instant>,
    /// Of the shares by force, then of those by kick, the ones that are needed.
    pub(super) needed: Vec<usize>,
}

impl Those {
    /// An instant in some poses; those of one instant come one after the other.
    fn take(&mut self, place: usize, instant: Instant, poses: u8) {
        if self.places.last() != Some(&place) {
            self.places.push(place);
            self.instants.push(Instant { poses: 0, ..instant });
        }
        self.instants.iter_mut().last().into_iter().for_each(|last| last.poses |= poses);
    }

    /// Marks what they need of so many shares by force and by kick.
    fn mark(&mut self, forces: usize, kicks: usize) {
        let mut needed = vec![false; forces + kicks];
        for i in &self.instants {
            needed[i.force as usize] = true;
            needed[forces + i.kick as usize] = true;
        }
        self.needed = (0..forces + kicks).filter(|k| needed[*k]).collect();
    }
}

impl Places {
    fn of(sorted: &[Sorted], trees: &[Tree], (poses, way, blend): (usize, Way, &Blend)) -> Self {
        let mut sets: Vec<SlackSet> = sorted.iter().flat_map(Sorted::sets).copied().collect();
        sets.sort_unstable();
        sets.dedup();
        let (tiles, n) = (poses.div_ceil(TILE), blend.instants.len());
        let instants = || {
            let all = blend.places.iter().zip(&blend.instants).zip(0..);
            all.map(|((place, instant), number)| match way {
                Way::Folded => (*place, *instant),
                Way::Plain => (*place, Instant { flow: number, ..*instant }),
            })
        };
        let (forces, kicks) = (blend.forces.len(), blend.kicks.len());
        // All states of so many poses.
        let all = |count: usize| {
            let mut those = Those::default();
            for (place, instant) in instants() {
                those.take(place, instant, (0..count).fold(0, |poses, pose| poses | 1 << pose));
            }
            those.mark(forces, kicks);
            those
        };
        let of_tile = |tile: usize| poses.min((tile + 1) * TILE) - tile * TILE;
        if sets.len() == 1 {
            // Whole tiles, and the last one if it is not.
            let those = vec![all(TILE), all(poses % TILE)];
            let which = |tile| usize::from(of_tile(tile) < TILE);
            return Self { sets, those, which: (0..tiles).map(which).collect() };
        }
        let mut which = vec![[0_usize; TILE]; tiles * n];
        for (tree, sorted) in trees.iter().zip(sorted) {
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
            for (place, instant) in instants() {
                for (pose, set) in which[place].iter().enumerate().take(of_tile(tile)) {
                    those[first + set].take(place, instant, 1 << pose);
                }
            }
            those[first..].iter_mut().for_each(|those| those.mark(forces, kicks));
        }
        Self { sets, which: (0..those.len()).collect(), those }
    }

    /// The states of a tile that have a set; nothing where none has it.
    pub(super) fn those(&self, tile: usize, set: SlackSet) -> Option<&Those> {
        let set = self.sets.binary_search(&set).ok()?;
        let which = *self.which.get(tile * self.sets.len() + set)?;
        self.those.get(which).filter(|those| !those.instants.is_empty())
    }
}

impl<'a> Beside<'a> {
    pub(super) fn of(way: Way, field: &Field<'a>, trees: &[Tree], sorted: &[Vec<Sorted>]) -> Self {
        let blend = &field.laid.blend;
        let none = vec![Share::NONE; if field.wrench.tile(0).is_some() { 0 } else { blend.count() }];
        let poses = field.order().len();
        let tiles = poses.div_ceil(TILE);
        let each = || (0..tiles).into_par_iter();
        let wrench = |tile: usize| field.wrench.tile(tile).unwrap_or(&none);
        let by_tile: Vec<[f64; 6]> = each().map(|tile| blend.sizes(wrench(tile))).collect();
        let mut sizes = [0.0; TERMS];
        sizes[..BODY].copy_from_slice(&blend.most_force);
        sizes[BODY..].copy_from_slice(&largest_of_rows(&by_tile));
        let force = |(force, _)| Instant { force, kick: 0, flow: 0, poses: 1 };
        let forces = (0..).zip(&blend.forces).map(force).collect();
        let together = |tile: usize| blend.put_together(wrench(tile));
        let wrenches = if way == Way::Plain { each().map(together).collect() } else { Vec::new() };
        let sets = sorted.par_iter().map(|sorted| Places::of(sorted, trees, (poses, way, blend))).collect();
        Self { blend, none, wrenches, forces, sizes, tiles, sets }
    }
}
