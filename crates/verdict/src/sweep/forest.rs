//! The states of a block, those that load the rig alike beside each other: trees of boxes around their actions.
//!
//! Without wind on the frame and fitted straps, which are the same for all states of one wind, nine numbers say what a
//! state does to the rig: the force per mass and the arm's wrench. A box that holds those of many states bounds every
//! response of all of them at once.

use rayon::prelude::*;

/// Numbers that differ between the states of one wind: force per mass x y z, wrench of the arm `Fx Fy Fz Mx My Mz`.
pub(super) const TERMS: usize = 9;
/// States that are reckoned together.
pub(super) const LEAF: usize = crate::check::LANES;
/// States of a tree: small enough that several workers get some.
const TREE: usize = 4_096;

/// One state: its number within the block and its terms.
#[derive(Clone, Copy)]
pub(super) struct Point {
    pub(super) id: u32,
    pub(super) terms: [f64; TERMS],
}

/// A box around the terms of some states.
pub(super) struct Node {
    /// Its states, in the order of the tree.
    pub(super) first: usize,
    /// How many.
    pub(super) count: usize,
    /// Its place among the leaves, if it is one.
    pub(super) leaf: usize,
    /// The two halves; none for a leaf.
    pub(super) halves: Option<[usize; 2]>,
    /// Least of each term.
    pub(super) low: [f64; TERMS],
    /// Greatest of each term.
    pub(super) high: [f64; TERMS],
    /// Least number of a state.
    pub(super) least: u32,
}

/// Terms of a leaf's states, term by term; places that no state has are zero.
pub(super) type LeafTerms = [[f64; LEAF]; TERMS];

/// States of one wind.
pub(super) struct Tree {
    /// Which wind.
    pub(super) wind: usize,
    /// Nodes; the first holds all.
    pub(super) nodes: Vec<Node>,
    /// Numbers of the states, in the order of the leaves.
    pub(super) ids: Vec<u32>,
    /// Terms of each leaf's states.
    pub(super) leaves: Vec<LeafTerms>,
}

/// Trees of a block's states. `weights`: how much each term matters.
pub(super) fn plant(points: Vec<(usize, Vec<Point>)>, weights: &[f64; TERMS]) -> Vec<Tree> {
    let mut plots: Vec<(usize, Vec<Point>)> = Vec::new();
    let mut waiting = points;
    while let Some((wind, mut these)) = waiting.pop() {
        if these.len() <= TREE {
            plots.push((wind, these));
            continue;
        }
        let other = match halve(&mut these, weights) {
            Some(middle) => these.split_off(middle),
            None => these.split_off(these.len() / 2),
        };
        waiting.extend([(wind, these), (wind, other)]);
    }
    plots
        .into_par_iter()
        .filter(|(_, p)| !p.is_empty())
        .map(|(wind, p)| Tree::new(wind, p, weights))
        .collect()
}

/// Least and greatest of each term.
fn extent<'a>(points: impl Iterator<Item = &'a Point>) -> ([f64; TERMS], [f64; TERMS]) {
    let (mut low, mut high) = ([f64::INFINITY; TERMS], [f64::NEG_INFINITY; TERMS]);
    for p in points {
        for k in 0..TERMS {
            let v = p.terms[k];
            low[k] = if v < low[k] { v } else { low[k] };
            high[k] = if v > high[k] { v } else { high[k] };
        }
    }
    (low, high)
}

/// States whose spread stands for that of all when a box is parted.
const SAMPLE: usize = 64;

/// Parts the states at the median of the term that spreads most; `None` where all are alike.
fn halve(points: &mut [Point], weights: &[f64; TERMS]) -> Option<usize> {
    let (low, high) = extent(points.iter().step_by(points.len().div_ceil(SAMPLE).max(1)));
    let spread = |k: usize| (high[k] - low[k]) * weights[k];
    let axis = (0..TERMS).fold(0, |best, k| if spread(k) > spread(best) { k } else { best });
    let middle = points.len() / 2;
    let differ = spread(axis) > 0.0;
    differ.then(|| {
        points.select_nth_unstable_by(middle, |a, b| a.terms[axis].total_cmp(&b.terms[axis]));
        middle
    })
}

impl Tree {
    fn new(wind: usize, mut points: Vec<Point>, weights: &[f64; TERMS]) -> Self {
        let mut nodes = Vec::with_capacity(4 * points.len() / LEAF + 1);
        grow(&mut nodes, &mut points, 0, weights);
        let mut leaves = Vec::with_capacity(nodes.len() / 2 + 1);
        for node in nodes.iter_mut().filter(|n| n.halves.is_none()) {
            node.leaf = leaves.len();
            let mut terms = [[0.0; LEAF]; TERMS];
            for (k, p) in points[node.first..node.first + node.count].iter().enumerate() {
                terms.iter_mut().zip(p.terms).for_each(|(row, v)| row[k] = v);
            }
            leaves.push(terms);
        }
        Self { wind, nodes, ids: points.iter().map(|p| p.id).collect(), leaves }
    }
}

fn grow(nodes: &mut Vec<Node>, points: &mut [Point], first: usize, weights: &[f64; TERMS]) -> usize {
    let at = nodes.len();
    nodes.push(Node {
        first,
        count: points.len(),
        leaf: 0,
        halves: None,
        low: [0.0; TERMS],
        high: [0.0; TERMS],
        least: u32::MAX,
    });
    if points.len() > LEAF {
        let middle = halve(points, weights).unwrap_or(points.len() / 2);
        let (a, b) = points.split_at_mut(middle);
        let [a, b] = [grow(nodes, a, first, weights), grow(nodes, b, first + middle, weights)];
        let (low, high) = (min(&nodes[a].low, &nodes[b].low), max(&nodes[a].high, &nodes[b].high));
        let least = nodes[a].least.min(nodes[b].least);
        nodes[at] = Node { first, count: points.len(), leaf: 0, halves: Some([a, b]), low, high, least };
    } else {
        points.sort_unstable_by_key(|p| p.id);
        let node = &mut nodes[at];
        node.least = points.first().map_or(u32::MAX, |p| p.id);
        (node.low, node.high) = extent(points.iter());
        if !points.iter().flat_map(|p| p.terms).all(f64::is_finite) {
            // A lost number makes an endless box: nothing is passed over on its account.
            (node.low, node.high) = ([f64::NEG_INFINITY; TERMS], [f64::INFINITY; TERMS]);
        }
    }
    at
}

fn min(a: &[f64; TERMS], b: &[f64; TERMS]) -> [f64; TERMS] {
    core::array::from_fn(|k| if a[k] < b[k] { a[k] } else { b[k] })
}

fn max(a: &[f64; TERMS], b: &[f64; TERMS]) -> [f64; TERMS] {
    core::array::from_fn(|k| if a[k] > b[k] { a[k] } else { b[k] })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_state_stands_in_one_leaf_and_in_every_box_above_it() {
        let mut seed = 7_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from(u32::try_from(seed >> 40).unwrap()) - 8e6
        };
        let points: Vec<Point> =
            (0..20_000).map(|id| Point { id, terms: core::array::from_fn(|_| next()) }).collect();
        let trees = plant(vec![(3, points.clone())], &[1.0; TERMS]);
        assert!(trees.len() > 1);
        let mut seen = vec![0; points.len()];
        for tree in &trees {
            assert_eq!(tree.wind, 3);
            for node in &tree.nodes {
                for id in &tree.ids[node.first..node.first + node.count] {
                    assert!(*id >= node.least);
                    for (k, v) in points[*id as usize].terms.iter().enumerate() {
                        assert!(*v >= node.low[k] && *v <= node.high[k]);
                    }
                }
                if node.halves.is_none() {
                    assert!(node.count <= LEAF);
                    let ids = &tree.ids[node.first..node.first + node.count];
                    for (k, id) in ids.iter().enumerate() {
                        let same = |t: usize| tree.leaves[node.leaf][t][k] - points[*id as usize].terms[t];
                        assert!((0..TERMS).all(|t| same(t).abs() < f64::MIN_POSITIVE));
                    }
                    assert!(ids.is_sorted());
                    for id in ids {
                        seen[*id as usize] += 1;
                    }
                }
            }
        }
        assert!(seen.iter().all(|n| *n == 1));
    }

    #[test]
    fn states_that_are_all_alike_still_part() {
        let points: Vec<Point> = (0..100).map(|id| Point { id, terms: [1.0; TERMS] }).collect();
        let trees = plant(vec![(0, points)], &[0.0; TERMS]);
        assert!(trees[0].nodes.iter().all(|n| n.halves.is_some() || n.count <= LEAF));
    }
}
