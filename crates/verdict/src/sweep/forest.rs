//! The states of a block, those that load the rig alike beside each other: trees of boxes around their actions.
//!
//! Without wind on the frame and fitted straps, which are the same for all states of one wind, nine numbers say what a
//! state does to the rig: the force per mass and the arm's wrench. A box that holds those of many states bounds every
//! response of all of them at once.
//!
//! States are poses times instants, and so is every box: some poses in some instants. Poses and instants are put in order
//! once each ([`Halves`]); a box is parted where its states are farther apart, between its poses or between its instants.

use super::halves::Halves;
use super::instants::Instants;
use rayon::prelude::*;
use std::sync::OnceLock;

/// Numbers that differ between the states of one wind: force per mass x y z, wrench of the arm `Fx Fy Fz Mx My Mz`.
pub(super) const TERMS: usize = 9;
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
            let n = field.instants.len();
            for (t, row) in terms.iter_mut().enumerate() {
                for (v, id) in row.iter_mut().zip(self.ids(leaf)) {
                    let id = *id as usize;
                    *v = field.row(t, id / n)[id % n];
                }
            }
            terms
        })
    }
}

/// The terms of all states of a block: every pose in every instant.
pub(super) struct Field<'a> {
    /// The instants.
    pub(super) instants: &'a Instants,
    /// The arm's wrench: for each pose six rows, each as long as there are instants.
    pub(super) wrench: Vec<f64>,
}

impl Field<'_> {
    fn poses(&self) -> usize {
        self.wrench.len() / (6 * self.instants.len()).max(1)
    }

    /// A term of a pose's states, instant by instant.
    fn row(&self, term: usize, pose: usize) -> &[f64] {
        let n = self.instants.len();
        match self.instants.body.get(term) {
            Some(axis) => axis,
            None => &self.wrench[(6 * pose + term - 3) * n..][..n],
        }
    }

    fn terms(&self, pose: usize, instant: usize) -> [f64; TERMS] {
        core::array::from_fn(|t| self.row(t, pose)[instant])
    }
}

/// Some of `all`, evenly.
fn sample(all: &[usize]) -> Vec<usize> {
    all.iter().copied().step_by(all.len().div_ceil(SAMPLE).max(1)).collect()
}

/// Trees of a block's states. `weights`: how much each term matters.
pub(super) fn plant(field: &Field<'_>, winds: usize, weights: &[f64; TERMS]) -> Vec<Tree> {
    let poses: Vec<usize> = (0..field.poses()).collect();
    let all: Vec<usize> = (0..field.instants.len()).collect();
    let weighed = |pose: usize, instant: usize| {
        field.terms(pose, instant).into_iter().zip(weights).map(|(v, w)| v * w).collect::<Vec<_>>()
    };
    let some = sample(&all);
    let of_pose = |p: &usize| some.iter().flat_map(|i| weighed(*p, *i)).collect();
    let by_pose = Halves::of(&poses.iter().map(of_pose).collect::<Vec<_>>());
    let some = sample(&poses);
    let of_instant = |i: &usize| some.iter().flat_map(|p| weighed(*p, *i)).collect();
    let plots: Vec<(usize, Halves)> = (0..winds)
        .map(|wind| {
            let these: Vec<usize> =
                all.iter().copied().filter(|i| field.instants.winds[*i] == wind).collect();
            let mut halves = Halves::of(&these.iter().map(of_instant).collect::<Vec<_>>());
            halves.order.iter_mut().for_each(|k| *k = these[*k]);
            (wind, halves)
        })
        .filter(|(_, halves)| !halves.order.is_empty() && !poses.is_empty())
        .collect();
    let mut whole = Vec::new();
    let mut waiting: Vec<(usize, [usize; 2])> = (0..plots.len()).map(|plot| (plot, [0, 0])).collect();
    while let Some((plot, at)) = waiting.pop() {
        match parted(&by_pose, &plots[plot].1, at, TREE) {
            Some(halves) => waiting.extend(halves.map(|half| (plot, half))),
            None => whole.push((plot, at)),
        }
    }
    whole
        .into_par_iter()
        .map(|(plot, at)| {
            let (wind, instants) = &plots[plot];
            let states = by_pose.parts[at[0]].count * instants.parts[at[1]].count;
            // Nearly all leaves are full.
            let leaves = states / LEAF + states / (4 * LEAF) + 8;
            let (nodes, leaves) = (Vec::with_capacity(2 * leaves), Vec::with_capacity(leaves));
            let tree = Tree { wind: *wind, nodes, leaves, ids: Vec::with_capacity(states) };
            let mut grower = Grower { field, poses: &by_pose, instants, tree };
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
    poses: &'a Halves,
    instants: &'a Halves,
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
        let (low, high) = if let Some(halves) = parted(self.poses, self.instants, at, LEAF) {
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
    fn leaf(&mut self, [p, i]: [usize; 2]) -> Extent {
        let (mut poses, mut instants) = ([0; LEAF], [0; LEAF]);
        let poses = sorted(self.poses.of_part(p), &mut poses);
        let instants = sorted(self.instants.of_part(i), &mut instants);
        let n = self.field.instants.len();
        let (first, count) = (self.tree.ids.len(), poses.len() * instants.len());
        for pose in poses {
            let id = |instant: &usize| u32::try_from(pose * n + instant).unwrap_or(u32::MAX);
            self.tree.ids.extend(instants.iter().map(id));
        }
        self.tree.leaves.push(Leaf { first, count, terms: OnceLock::new() });
        let (mut low, mut high) = ([0.0; TERMS], [0.0; TERMS]);
        // Three at a time, so that one need not wait for the other; force per mass is the same in every pose.
        for (t, poses) in [(0, poses.get(..1).unwrap_or_default()), (3, poses), (6, poses)] {
            let around = self.around(t, poses, instants);
            for k in 0..3 {
                (low[t + k], high[t + k]) = around[k];
            }
        }
        (low, high)
    }

    /// Least and greatest of three terms from `t` on. A lost number gives lost ends: nothing is passed over on its account.
    fn around(&self, t: usize, poses: &[usize], instants: &[usize]) -> [(f64, f64); 3] {
        let mut out = [(f64::INFINITY, f64::NEG_INFINITY); 3];
        let mut lost = [0.0; 3];
        for pose in poses {
            let rows = [0, 1, 2].map(|k| self.field.row(t + k, *pose));
            for instant in instants {
                for k in 0..3 {
                    let (v, (low, high)) = (rows[k][*instant], &mut out[k]);
                    *low = if v < *low { v } else { *low };
                    *high = if v > *high { v } else { *high };
                    // Zero, unless the number is infinite or none.
                    lost[k] += v * 0.0;
                }
            }
        }
        for ((low, high), lost) in out.iter_mut().zip(lost) {
            (*low, *high) = (*low + lost, *high + lost);
        }
        out
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
        let mut wrench: Vec<f64> = (0..poses * 6 * n).map(|_| next()).collect();
        wrench[6 * n + 5] = f64::NAN;
        let field = Field { instants: &instants, wrench };
        let trees = plant(&field, 4, &[1.0; TERMS]);
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
                    let terms = field.terms(pose, instant);
                    for (t, v) in terms.into_iter().enumerate() {
                        assert_eq!(values[t][k].to_bits(), v.to_bits());
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
        let wrench = vec![1.0; 6 * n * 10];
        let trees = plant(&Field { instants: &instants, wrench }, 1, &[0.0; TERMS]);
        assert_eq!(trees.len(), 1);
        assert_eq!(trees[0].leaves.iter().map(|l| l.count).sum::<usize>(), 100);
        assert!(trees[0].leaves.iter().all(|l| l.count <= LEAF));
    }
}
