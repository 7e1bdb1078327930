//! The states of a block, those that load the rig alike beside each other: trees of boxes around their actions.
//!
//! Without wind on the frame and fitted straps, which are the same for all states of one wind, nine numbers say what a
//! state does to the rig: the force per mass and the arm's wrench. A box that holds those of many states bounds every
//! response of all of them at once.
//!
//! States are poses times instants, and so is every box: some poses in some instants. Poses and instants are put in order
//! once each ([`Halves`]); a box is parted where its states are farther apart, between its poses or between its instants.
//! Their numbers are laid down in that order ([`Field`]), so that those of a box stand beside each other.

use super::arm_rows::{TILE, Tile};
use super::halves::Halves;
use super::instants::Instants;
use rayon::prelude::*;
use std::ops::Range;
use std::sync::OnceLock;

/// Numbers that differ between the states of one wind: force per mass x y z, wrench of the arm `Fx Fy Fz Mx My Mz`.
pub(super) const TERMS: usize = 9;
/// Of them force per mass, the same in every pose.
const BODY: usize = 3;
/// States that are reckoned together.
pub(super) const LEAF: usize = crate::check::LANES;
/// States of a tree: small enough that several workers get some.
const TREE: usize = 16_384;
/// Poses (or instants) whose actions stand for all when instants (or poses) are put in order.
const SAMPLE: usize = 4;
/// Rounding of the sums of a response, as a share of what is summed: some twenty products of 2^-53 each, and room.
pub(super) const ROUNDING: f64 = 1e-14;

/// A box around the terms of some states.
pub(super) struct Node {
    /// Its place among the leaves, if it is one.
    pub(super) leaf: usize,
    /// The two halves; none for a leaf.
    pub(super) halves: Option<[usize; 2]>,
    /// Middle of each term.
    pub(super) middle: [f64; TERMS],
    /// How far each term goes from its middle, with what rounding may add to a sum of products with it.
    pub(super) reach: [f64; TERMS],
    /// Least number of a state.
    pub(super) least: u32,
}

/// Terms of a leaf's states, term by term; places that no state has are zero.
pub(super) type LeafTerms = [[f64; LEAF]; TERMS];

/// States that are reckoned together.
pub(super) struct Leaf {
    /// Its first state, in the order of the tree.
    first: usize,
    /// How many.
    pub(super) count: usize,
    /// Put together once they are asked for: most leaves never are.
    terms: OnceLock<Box<LeafTerms>>,
}

/// States of one wind.
pub(super) struct Tree {
    /// Which wind.
    pub(super) wind: usize,
    /// Nodes; the first holds all.
    pub(super) nodes: Vec<Node>,
    pub(super) leaves: Vec<Leaf>,
    /// Numbers of the states, leaf by leaf.
    ids: Vec<u32>,
}

impl Tree {
    /// Numbers of a leaf's states, in order.
    pub(super) fn ids(&self, leaf: &Leaf) -> &[u32] {
        &self.ids[leaf.first..leaf.first + leaf.count]
    }

    /// Terms of a leaf's states.
    pub(super) fn terms<'a>(&self, leaf: &'a Leaf, field: &Field<'_>) -> &'a LeafTerms {
        leaf.terms.get_or_init(|| {
            let mut terms = Box::new([[0.0; LEAF]; TERMS]);
            let n = field.instants();
            for (k, id) in self.ids(leaf).iter().enumerate().take(LEAF) {
                let (pose, instant) = (field.place[*id as usize / n], field.laid.place[*id as usize % n]);
                for (t, row) in terms.iter_mut().enumerate() {
                    row[k] = field.term(t, pose, instant);
                }
            }
            terms
        })
    }
}

/// The instants of a group in the order in which their numbers are laid down: wind by wind, those that are alike together.
pub(super) struct Laid {
    plots: Vec<Plot>,
    /// Which instant stands in each place.
    pub(super) order: Vec<usize>,
    /// Where each instant stands.
    place: Vec<usize>,
    /// Force per mass, axis by axis.
    body: [Vec<f64>; BODY],
}

/// The instants of one wind.
struct Plot {
    wind: usize,
    /// Place of the first.
    first: usize,
    /// By their places, counted from the first.
    halves: Halves,
}

impl Laid {
    /// Instants by what they do in a few poses. `wrench`: what the arm does in each of those, six rows as long as there are
    /// instants; `weights`: how much each term matters.
    pub(super) fn of(instants: &Instants, winds: usize, wrench: &[Vec<f64>], weights: &[f64; TERMS]) -> Self {
        let n = instants.len();
        let mut out = Self {
            plots: Vec::new(),
            order: Vec::with_capacity(n),
            place: vec![0; n],
            body: Default::default(),
        };
        let numbers = |i: &usize| {
            let body = instants.body.iter().zip(weights).map(|(axis, w)| axis[*i] * w);
            let arm = wrench.iter().flat_map(|rows| rows.chunks_exact(n).zip(&weights[BODY..]));
            body.chain(arm.map(|(row, w)| row[*i] * w)).collect::<Vec<_>>()
        };
        for wind in 0..winds {
            let these: Vec<usize> = (0..n).filter(|i| instants.winds[*i] == wind).collect();
            if these.is_empty() {
                continue;
            }
            let halves = Halves::of(&these.iter().map(numbers).collect::<Vec<_>>());
            let first = out.order.len();
            out.order.extend(halves.order.iter().map(|k| these[*k]));
            out.plots.push(Plot { wind, first, halves });
        }
        for (place, instant) in out.order.iter().enumerate() {
            out.place[*instant] = place;
        }
        out.body = [0, 1, 2].map(|axis| out.order.iter().map(|i| instants.body[axis][*i]).collect());
        out
    }
}

/// The terms of all states of a block: every pose in every instant.
pub(super) struct Field<'a> {
    pub(super) laid: &'a Laid,
    /// The poses in the order in which their numbers are laid down.
    poses: Halves,
    /// Where each pose stands.
    place: Vec<usize>,
    /// The arm's wrench: for every [`TILE`] poses, instant by instant. In the last tile places are left over.
    pub(super) wrench: Vec<Tile>,
}

impl<'a> Field<'a> {
    /// Poses by what the arm does in each of them in a few instants, one number after the other.
    pub(super) fn of(laid: &'a Laid, numbers: &[Vec<f64>]) -> Self {
        let poses = Halves::of(numbers);
        let mut place = vec![0; numbers.len()];
        for (at, pose) in poses.order.iter().enumerate() {
            place[*pose] = at;
        }
        Self { laid, poses, place, wrench: Vec::new() }
    }

    /// Room for the wrench; zeros, which is what stands without an arm.
    pub(super) fn room(&self) -> Vec<Tile> {
        vec![[[0.0; TILE]; 6]; self.place.len().div_ceil(TILE) * self.instants()]
    }

    /// The poses in the order in which their numbers are laid down.
    pub(super) fn order(&self) -> &[usize] {
        &self.poses.order
    }

    fn instants(&self) -> usize {
        self.laid.order.len()
    }

    /// The wrench of a tile in an instant, by their places.
    fn tile(&self, tile: usize, instant: usize) -> &Tile {
        &self.wrench[tile * self.instants() + instant]
    }

    /// A term of a state, by the places of its pose and its instant.
    fn term(&self, term: usize, pose: usize, instant: usize) -> f64 {
        match self.laid.body.get(term) {
            Some(axis) => axis[instant],
            None => self.tile(pose / TILE, instant)[term - BODY][pose % TILE],
        }
    }
}

/// Some of so many, evenly.
pub(super) fn sample(count: usize) -> impl Iterator<Item = usize> + Clone {
    (0..count).step_by(count.div_ceil(SAMPLE).max(1))
}

/// Trees of a block's states.
pub(super) fn plant(field: &Field<'_>) -> Vec<Tree> {
    let by_pose = &field.poses;
    let plots = if by_pose.order.is_empty() { &[] } else { &field.laid.plots[..] };
    let mut whole = Vec::new();
    let mut waiting: Vec<(&Plot, [usize; 2])> = plots.iter().map(|plot| (plot, [0, 0])).collect();
    while let Some((plot, at)) = waiting.pop() {
        match parted(by_pose, &plot.halves, at, TREE) {
            Some(halves) => waiting.extend(halves.map(|half| (plot, half))),
            None => whole.push((plot, at)),
        }
    }
    whole
        .into_par_iter()
        .map(|(plot, at)| {
            let states = by_pose.parts[at[0]].count * plot.halves.parts[at[1]].count;
            // Nearly all leaves are full.
            let leaves = states / LEAF + states / (4 * LEAF) + 8;
            let (nodes, leaves) = (Vec::with_capacity(2 * leaves), Vec::with_capacity(leaves));
            let tree = Tree { wind: plot.wind, nodes, leaves, ids: Vec::with_capacity(states) };
            let mut grower = Grower { field, plot, tree };
            grower.grow(at);
            grower.tree
        })
        .collect()
}

/// The halves of a box of more than `most` states: of its poses or of its instants, whichever are farther apart.
fn parted(poses: &Halves, instants: &Halves, [p, i]: [usize; 2], most: usize) -> Option<[[usize; 2]; 2]> {
    let (pose, instant) = (&poses.parts[p], &instants.parts[i]);
    if pose.count * instant.count <= most {
        return None;
    }
    match (pose.halves, instant.halves) {
        (Some(halves), other) if other.is_none() || pose.spread >= instant.spread => {
            Some(halves.map(|half| [half, i]))
        }
        (_, Some(halves)) => Some(halves.map(|half| [p, half])),
        _ => None,
    }
}

/// Least and greatest of each term.
type Extent = ([f64; TERMS], [f64; TERMS]);

struct Grower<'a> {
    field: &'a Field<'a>,
    plot: &'a Plot,
    tree: Tree,
}

impl Grower<'_> {
    fn grow(&mut self, at: [usize; 2]) -> (usize, Extent) {
        let node = self.tree.nodes.len();
        self.tree.nodes.push(Node {
            leaf: self.tree.leaves.len(),
            halves: None,
            middle: [0.0; TERMS],
            reach: [0.0; TERMS],
            least: u32::MAX,
        });
        let (low, high) = if let Some(halves) = parted(&self.field.poses, &self.plot.halves, at, LEAF) {
            let [(a, of_a), (b, of_b)] = halves.map(|half| self.grow(half));
            let nodes = &mut self.tree.nodes;
            nodes[node].halves = Some([a, b]);
            nodes[node].least = nodes[a].least.min(nodes[b].least);
            (min(&of_a.0, &of_b.0), max(&of_a.1, &of_b.1))
        } else {
            let extent = self.leaf(at);
            let tree = &mut self.tree;
            let least = tree.leaves.last().and_then(|l| tree.ids(l).first()).copied();
            tree.nodes[node].least = least.unwrap_or(u32::MAX);
            extent
        };
        let n = &mut self.tree.nodes[node];
        for t in 0..TERMS {
            n.middle[t] = f64::midpoint(low[t], high[t]);
            let reach = (high[t] - n.middle[t]).max(n.middle[t] - low[t]);
            n.reach[t] = reach + ROUNDING * (n.middle[t].abs() + reach);
        }
        (node, (low, high))
    }

    /// Adds a leaf.
    fn leaf(&mut self, [of_poses, i]: [usize; 2]) -> Extent {
        let (p, i) = (&self.field.poses.parts[of_poses], &self.plot.halves.parts[i]);
        let poses = p.first..p.first + p.count;
        let places = self.plot.first + i.first..self.plot.first + i.first + i.count;
        let (mut some_poses, mut some_instants) = ([0; LEAF], [0; LEAF]);
        let instants = sorted(&self.field.laid.order[places.clone()], &mut some_instants);
        let n = self.field.instants();
        let (first, count) = (self.tree.ids.len(), p.count * i.count);
        for pose in sorted(self.field.poses.of_part(of_poses), &mut some_poses) {
            let id = |instant: &usize| u32::try_from(pose * n + instant).unwrap_or(u32::MAX);
            self.tree.ids.extend(instants.iter().map(id));
        }
        self.tree.leaves.push(Leaf { first, count, terms: OnceLock::new() });
        self.around(&poses, places)
    }

    /// Least and greatest of each term, by places.
    fn around(&self, poses: &Range<usize>, places: Range<usize>) -> Extent {
        let mut out = [Ends::NONE; TERMS];
        for (ends, axis) in out.iter_mut().zip(&self.field.laid.body) {
            axis[places.clone()].iter().for_each(|v| ends.take(&[*v]));
        }
        for place in places {
            let mut pose = poses.start;
            while pose < poses.end {
                let (tile, from) = (pose / TILE, pose % TILE);
                let to = TILE.min(from + poses.end - pose);
                let rows = self.field.tile(tile, place);
                for (ends, row) in out[BODY..].iter_mut().zip(rows) {
                    if to - from == TILE { ends.take(row) } else { ends.take(&row[from..to]) }
                }
                pose += to - from;
            }
        }
        (out.each_ref().map(|e| e.both().0), out.each_ref().map(|e| e.both().1))
    }
}

/// Least and greatest of some numbers, several side by side. A lost number gives lost ends: nothing is passed over on its account.
#[derive(Clone, Copy)]
struct Ends {
    low: [f64; TILE],
    high: [f64; TILE],
    lost: [f64; TILE],
}

impl Ends {
    const NONE: Self =
        Self { low: [f64::INFINITY; TILE], high: [f64::NEG_INFINITY; TILE], lost: [0.0; TILE] };

    #[inline(always)]
    fn take(&mut self, some: &[f64]) {
        let Self { low, high, lost } = self;
        for ((v, low), (high, lost)) in some.iter().zip(low).zip(high.iter_mut().zip(lost)) {
            *low = if *v < *low { *v } else { *low };
            *high = if *v > *high { *v } else { *high };
            // Zero, unless the number is infinite or none.
            *lost += *v * 0.0;
        }
    }

    fn both(&self) -> (f64, f64) {
        let lost: f64 = self.lost.iter().sum();
        let low = self.low.into_iter().fold(f64::INFINITY, f64::min);
        let high = self.high.into_iter().fold(f64::NEG_INFINITY, f64::max);
        (low + lost, high + lost)
    }
}

/// Some of few things, in order.
fn sorted<'a>(these: &[usize], out: &'a mut [usize; LEAF]) -> &'a [usize] {
    let out = &mut out[..these.len().min(LEAF)];
    out.copy_from_slice(&these[..out.len()]);
    out.sort_unstable();
    out
}

fn min(a: &[f64; TERMS], b: &[f64; TERMS]) -> [f64; TERMS] {
    core::array::from_fn(|k| if a[k] < b[k] || a[k].is_nan() { a[k] } else { b[k] })
}

fn max(a: &[f64; TERMS], b: &[f64; TERMS]) -> [f64; TERMS] {
    core::array::from_fn(|k| if a[k] > b[k] || a[k].is_nan() { a[k] } else { b[k] })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers without a pattern.
    fn scattered() -> impl FnMut() -> f64 {
        let mut seed = 7_u64;
        move || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from(u32::try_from(seed >> 40).unwrap()) - 8e6
        }
    }

    #[test]
    fn every_state_stands_in_one_leaf_and_in_every_box_above_it() {
        let mut next = scattered();
        let (poses, n) = (310, 97);
        let instants = Instants {
            pairs: vec![(0, 0); n],
            winds: (0..n).map(|k| [3, 1, 3][k % 3]).collect(),
            body: [(); 3].map(|()| (0..n).map(|_| next()).collect()),
            ..Instants::default()
        };
        let few: Vec<f64> = (0..6 * n).map(|_| next()).collect();
        let laid = Laid::of(&instants, 4, &[few], &[1.0; TERMS]);
        assert!(laid.order.is_sorted_by_key(|i| instants.winds[*i]) && !laid.order.is_sorted());
        let numbers: Vec<Vec<f64>> = (0..poses).map(|_| vec![next(), next()]).collect();
        let mut field = Field::of(&laid, &numbers);
        field.wrench = field.room();
        field.wrench.iter_mut().flatten().flatten().for_each(|v| *v = next());
        field.wrench[n + 5][2][1] = f64::NAN;
        let trees = plant(&field);
        assert!(trees.iter().filter(|t| t.wind == 3).count() > 1);
        let mut seen = vec![0; poses * n];
        for tree in &trees {
            let mut above = vec![(0, Vec::new())];
            let mut lost = 0;
            while let Some((at, mut boxes)) = above.pop() {
                boxes.push(at);
                let node = &tree.nodes[at];
                if let Some(halves) = node.halves {
                    above.extend(halves.map(|half| (half, boxes.clone())));
                    continue;
                }
                let leaf = &tree.leaves[node.leaf];
                let ids = tree.ids(leaf);
                let values = tree.terms(leaf, &field);
                assert!(ids.is_sorted());
                for (k, id) in ids.iter().enumerate() {
                    let (pose, instant) = (*id as usize / n, *id as usize % n);
                    assert_eq!(instants.winds[instant], tree.wind);
                    seen[*id as usize] += 1;
                    let places = (field.place[pose], laid.place[instant]);
                    assert_eq!((field.order()[places.0], laid.order[places.1]), (pose, instant));
                    for (t, values) in values.iter().enumerate() {
                        let v = field.term(t, places.0, places.1);
                        let body = instants.body.get(t).map(|axis| axis[instant].to_bits());
                        assert!(body.is_none_or(|b| b == v.to_bits()));
                        assert_eq!(values[k].to_bits(), v.to_bits());
                        for node in boxes.iter().map(|b| &tree.nodes[*b]) {
                            assert!(*id >= node.least);
                            let (middle, reach) = (node.middle[t], node.reach[t]);
                            if v.is_nan() {
                                assert!(middle.is_nan() && reach.is_nan());
                                lost += 1;
                            } else {
                                assert!(reach.is_nan() || (v - middle).abs() <= reach);
                            }
                        }
                    }
                }
            }
            let nan = tree.nodes.iter().filter(|n| n.middle.iter().any(|m| m.is_nan())).count();
            assert_eq!(nan, lost, "a lost number is lost in every box above it and in no other");
        }
        assert!(seen.iter().all(|n| *n == 1));
    }

    #[test]
    fn states_that_are_all_alike_still_part() {
        let n = 10;
        let instants = Instants {
            pairs: vec![(0, 0); n],
            winds: vec![0; n],
            body: [(); 3].map(|()| vec![1.0; n]),
            ..Instants::default()
        };
        let laid = Laid::of(&instants, 1, &[], &[0.0; TERMS]);
        let mut field = Field::of(&laid, &vec![vec![1.0]; 10]);
        field.wrench = field.room();
        let trees = plant(&field);
        assert_eq!(trees.len(), 1);
        assert_eq!(trees[0].leaves.iter().map(|l| l.count).sum::<usize>(), 100);
        assert!(trees[0].leaves.iter().all(|l| l.count <= LEAF));
    }
}
