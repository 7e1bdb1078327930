//! The states of a block, those that load the rig alike beside each other: trees of boxes around their actions.
//!
//! Without wind on the frame and fitted straps, which are the same for all states of one wind, nine numbers say what a
//! state does to the rig: the force per mass and the arm's wrench. A box that holds those of many states bounds every
//! response of all of them at once.
//!
//! States are poses times instants, and so is every box: some poses in some instants. Poses and instants are put in order
//! once each ([`Halves`]); a box is parted where its states are farther apart, between its poses or between its instants.
//! Their numbers are laid down in that order ([`Field`]), so that those of a box stand beside each other.

use super::arm_rows::{TILE, Wrenches};
use super::blend::Blend;
use super::boxes::{Boxes, Extent, Known};
use super::halves::Halves;
use super::instants::Instants;
use crate::check::shares::Share;
use rayon::prelude::*;
use std::ops::Range;
use std::sync::OnceLock;

/// Numbers that differ between the states of one wind: force per mass x y z, wrench of the arm `Fx Fy Fz Mx My Mz`.
pub(super) const TERMS: usize = 9;
/// Of them force per mass, the same in every pose.
pub(super) const BODY: usize = 3;
/// States that are reckoned together.
pub(super) const LEAF: usize = crate::check::LANES;
/// States of a tree: so many that its leaves are looked at together.
const TREE: usize = LEAF * LEAF;
/// Poses (or instants) whose actions stand for all when instants (or poses) are put in order.
const SAMPLE: usize = 4;
/// Rounding of the sums of a response, as a share of what is summed: some twenty products of 2^-53 each, and room.
pub(super) const ROUNDING: f64 = 1e-14;

/// Terms of a leaf's states, term by term; places that no state has are zero.
pub(super) type LeafTerms = [[f64; LEAF]; TERMS];

/// States that are reckoned together: some poses in one instant after the other.
pub(super) struct Leaf {
    /// Places of its poses: the first, and how many.
    poses: [usize; 2],
    /// Places of its instants, likewise.
    instants: [usize; 2],
    /// How many states.
    pub(super) count: usize,
    /// Put together once they are asked for: most leaves never are.
    terms: OnceLock<Box<LeafTerms>>,
}

impl Leaf {
    pub(super) fn of([first_pose, poses]: [usize; 2], [first_instant, instants]: [usize; 2]) -> Self {
        Self {
            poses: [first_pose, poses],
            instants: [first_instant, instants],
            count: poses * instants,
            terms: OnceLock::new(),
        }
    }

    /// How many of its states in a row are in one instant.
    pub(super) fn alike(&self) -> usize {
        self.poses[1]
    }

    /// Places of the pose and the instant of its state at an index.
    pub(super) fn places(&self, k: usize) -> (usize, usize) {
        let [[first_pose, poses], [first_instant, _]] = [self.poses, self.instants];
        (first_pose + k % poses, first_instant + k / poses)
    }

    /// Number of its state at an index.
    pub(super) fn id(&self, field: &Field<'_>, k: usize) -> u32 {
        let (pose, instant) = self.places(k);
        number(field.poses.order[pose], field.laid.order[instant], field.instants())
    }

    /// Where its poses stand.
    #[inline(always)]
    fn stretches(&self) -> impl Iterator<Item = Stretch> {
        let [first, count] = self.poses;
        let end = first + count;
        (first / TILE..end.div_ceil(TILE)).map(move |tile| {
            let from = first.max(tile * TILE);
            Stretch { tile, from: from - tile * TILE, count: end.min((tile + 1) * TILE) - from }
        })
    }

    /// The tiles in which its poses stand; none without an arm.
    #[inline(always)]
    fn tiles<'f>(&self, field: &'f Field<'_>) -> [Option<(Stretch, &'f [Share])>; LEAF / TILE + 1] {
        let mut out = [None; LEAF / TILE + 1];
        for (out, stretch) in out.iter_mut().zip(self.stretches()) {
            *out = field.wrench.tile(stretch.tile).map(|shares| (stretch, shares));
        }
        out
    }

    /// The least number of a state.
    fn least(&self, field: &Field<'_>) -> u32 {
        let least = |order: &[usize], [first, count]: [usize; 2]| {
            order[first..first + count].iter().min().copied().unwrap_or(usize::MAX)
        };
        let instant = least(&field.laid.order, self.instants);
        number(least(&field.poses.order, self.poses), instant, field.instants())
    }

    /// Terms of its states.
    pub(super) fn terms(&self, field: &Field<'_>) -> &LeafTerms {
        self.terms.get_or_init(|| {
            let mut terms = Box::new([[0.0; LEAF]; TERMS]);
            pulp::Arch::new().dispatch(Putting { field, leaf: self, terms: &mut terms });
            terms
        })
    }
}

/// Some poses of a tile, by their places in it.
#[derive(Clone, Copy)]
struct Stretch {
    tile: usize,
    from: usize,
    count: usize,
}

/// A state's number among those of a block.
pub(super) fn number(pose: usize, instant: usize, instants: usize) -> u32 {
    u32::try_from(pose.saturating_mul(instants).saturating_add(instant)).unwrap_or(u32::MAX)
}

/// States of one wind.
pub(super) struct Tree {
    /// All of them.
    pub(super) all: Known,
    pub(super) leaves: Vec<Leaf>,
    /// Their boxes, [`LEAF`] leaves in each.
    pub(super) boxes: Vec<Boxes>,
}

/// Trees of one wind that stand beside each other.
pub(super) struct Grove {
    /// The first of its trees.
    pub(super) first: usize,
    /// Their boxes.
    pub(super) boxes: Boxes,
    /// All their states.
    pub(super) all: Known,
}

/// Trees by groves, [`LEAF`] trees in each at most.
pub(super) fn groves(trees: &[Tree]) -> Vec<Grove> {
    let all: Vec<Known> = trees.iter().map(|tree| tree.all).collect();
    let alike = all.chunk_by(|a, b| a.wind == b.wind).flat_map(|all| all.chunks(LEAF));
    let mut first = 0;
    let grove = |all: &[Known]| {
        first += all.len();
        let boxes = Boxes::of(all).into_iter().next()?;
        Some(Grove { first: first - all.len(), boxes, all: all.iter().fold(Known::NOTHING, Known::with) })
    };
    alike.filter_map(grove).collect()
}

/// The instants of a group in the order in which their numbers are laid down: wind by wind, those that are alike together.
pub(super) struct Laid {
    plots: Vec<Plot>,
    /// Which instant stands in each place.
    pub(super) order: Vec<usize>,
    /// Force per mass, axis by axis.
    body: [Vec<f64>; BODY],
    /// What they are put together of.
    pub(super) blend: Blend,
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
            body: Default::default(),
            blend: Blend::default(),
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
        out.body = [0, 1, 2].map(|axis| out.order.iter().map(|i| instants.body[axis][*i]).collect());
        out.blend = Blend::of(&out, &instants.moves);
        out
    }

    /// The places of each wind's instants.
    pub(super) fn winds(&self) -> impl Iterator<Item = (usize, Range<usize>)> {
        self.plots.iter().map(|plot| (plot.wind, plot.first..plot.first + plot.halves.order.len()))
    }

    /// Force per mass at a place.
    pub(super) fn force_at(&self, place: usize) -> [f64; BODY] {
        self.body.each_ref().map(|axis| axis[place])
    }
}

/// The terms of all states of a block: every pose in every instant.
pub(super) struct Field<'a> {
    pub(super) laid: &'a Laid,
    /// The poses in the order in which their numbers are laid down.
    poses: Halves,
    /// The arm's wrench: tiles are [`TILE`] poses one after the other. In the last one places are left over.
    pub(super) wrench: Wrenches,
}

impl<'a> Field<'a> {
    /// Poses by what the arm does in each of them in a few instants, one number after the other.
    pub(super) fn of(laid: &'a Laid, numbers: &[Vec<f64>]) -> Self {
        Self { laid, poses: Halves::of(numbers), wrench: Wrenches::NONE }
    }

    /// The poses in the order in which their numbers are laid down.
    pub(super) fn order(&self) -> &[usize] {
        &self.poses.order
    }

    fn instants(&self) -> usize {
        self.laid.order.len()
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
    whole.into_par_iter().map(|(plot, at)| tree(field, plot, at)).collect()
}

/// A tree of some poses in some instants, by their parts.
fn tree(field: &Field<'_>, plot: &Plot, at: [usize; 2]) -> Tree {
    let (mut leaves, mut known) = (Vec::new(), Vec::new());
    let mut waiting = vec![at];
    while let Some(at) = waiting.pop() {
        if let Some([a, b]) = parted(&field.poses, &plot.halves, at, LEAF) {
            waiting.extend([b, a]);
            continue;
        }
        let [p, i] = at;
        let (p, i) = (&field.poses.parts[p], &plot.halves.parts[i]);
        let leaf = Leaf::of([p.first, p.count], [plot.first + i.first, i.count]);
        let ends = pulp::Arch::new().dispatch(Around { field, leaf: &leaf });
        known.push(Known { wind: plot.wind, ends, least: leaf.least(field) });
        leaves.push(leaf);
    }
    Tree { all: known.iter().fold(Known::NOTHING, Known::with), leaves, boxes: Boxes::of(&known) }
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

/// The terms of a leaf's states, for the widest numbers side by side that the machine has.
struct Putting<'a> {
    field: &'a Field<'a>,
    leaf: &'a Leaf,
    terms: &'a mut LeafTerms,
}

impl pulp::WithSimd for Putting<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let ([first_pose, poses], [first, instants]) = (self.leaf.poses, self.leaf.instants);
        let (body, arm) = self.terms.split_at_mut(BODY);
        let blend = &self.field.laid.blend;
        let tiles = self.leaf.tiles(self.field);
        for (instant, at) in (first..first + instants).zip((0..).step_by(poses)) {
            for (row, axis) in body.iter_mut().zip(&self.field.laid.body) {
                row[at..at + poses].fill(axis[instant]);
            }
            for (stretch, shares) in tiles.iter().flatten() {
                let Stretch { tile, from, count } = *stretch;
                let at = at + tile * TILE + from - first_pose;
                for (r, row) in arm.iter_mut().enumerate() {
                    let values = blend.row(shares, instant, r);
                    row[at..at + count].copy_from_slice(&values[from..from + count]);
                }
            }
        }
    }
}

/// Least and greatest of each term in a leaf, likewise.
struct Around<'a> {
    field: &'a Field<'a>,
    leaf: &'a Leaf,
}

impl pulp::WithSimd for Around<'_> {
    type Output = Extent;

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) -> Extent {
        let (mut low, mut high) = ([0.0; TERMS], [0.0; TERMS]);
        let (field, [first, instants]) = (self.field, self.leaf.instants);
        for (t, axis) in field.laid.body.iter().enumerate() {
            let mut ends = Ends::NONE;
            axis[first..first + instants].iter().for_each(|v| ends.take(&[*v; TILE]));
            (low[t], high[t]) = ends.both();
        }
        let tiles = self.leaf.tiles(field);
        for row in 0..TERMS - BODY {
            let mut ends = Ends::NONE;
            for (stretch, shares) in tiles.iter().flatten() {
                for instant in first..first + instants {
                    let mut values = field.laid.blend.row(shares, instant, row);
                    if stretch.count < TILE {
                        // Places of other leaves say what the first one of this leaf says.
                        let (from, to) = (stretch.from, stretch.from + stretch.count);
                        let first = values[from];
                        for (k, v) in values.iter_mut().enumerate() {
                            *v = if (from..to).contains(&k) { *v } else { first };
                        }
                    }
                    ends.take(&values);
                }
            }
            // Without an arm there is no wrench.
            (low[row + BODY], high[row + BODY]) = if tiles[0].is_some() { ends.both() } else { (0.0, 0.0) };
        }
        (low, high)
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
    fn take(&mut self, some: &[f64; TILE]) {
        let Self { low, high, lost } = self;
        for ((v, low), (high, lost)) in some.iter().zip(low).zip(high.iter_mut().zip(lost)) {
            *low = if *v < *low { *v } else { *low };
            *high = if *v > *high { *v } else { *high };
            // Zero, unless the number is infinite or none.
            *lost += *v * 0.0;
        }
    }

    #[inline(always)]
    fn both(&self) -> (f64, f64) {
        let low = folded(self.low, |a, b| if a < b { a } else { b });
        let high = folded(self.high, |a, b| if a > b { a } else { b });
        let lost = folded(self.lost, |a, b| a + b);
        (low + lost, high + lost)
    }
}

/// By halves, which the machine takes side by side.
#[inline(always)]
fn folded(lanes: [f64; TILE], by: impl Fn(f64, f64) -> f64) -> f64 {
    let [a, b, c, d, e, f, g, h] = lanes;
    let [a, b, c, d] = [by(a, e), by(b, f), by(c, g), by(d, h)];
    by(by(a, c), by(b, d))
}

#[cfg(test)]
mod tests {
    use super::super::instants::Moves;
    use super::*;
    use crate::testing::scattered;

    #[test]
    fn every_state_stands_in_one_leaf_and_in_every_box_above_it() {
        let mut next = scattered();
        let (poses, n) = (310_usize, 97);
        let instants = Instants {
            pairs: vec![(0, 0); n],
            winds: (0..n).map(|k| [3, 1, 3][k % 3]).collect(),
            body: [(); 3].map(|()| (0..n).map(|_| next()).collect()),
            moves: Moves {
                terms: (0..n).map(|_| [(); 10].map(|()| next())).collect(),
                flow: (0..n).collect(),
            },
            ..Instants::default()
        };
        let few: Vec<f64> = (0..6 * n).map(|_| next()).collect();
        let laid = Laid::of(&instants, 4, &[few], &[1.0; TERMS]);
        assert!(laid.order.is_sorted_by_key(|i| instants.winds[*i]) && !laid.order.is_sorted());
        let numbers: Vec<Vec<f64>> = (0..poses).map(|_| vec![next(), next()]).collect();
        let mut field = Field::of(&laid, &numbers);
        field.wrench = Wrenches::new(poses.div_ceil(TILE), laid.blend.count());
        let every = |tile: &mut [Share]| {
            for share in tile {
                share.as_flattened_mut().fill_with(&mut next);
            }
        };
        field.wrench.tiles().collect::<Vec<_>>().into_iter().for_each(every);
        if let Some(tile) = field.wrench.tiles().collect::<Vec<_>>().get_mut(1) {
            tile[laid.blend.count() - 1][2][1] = f64::NAN;
        }
        let trees = plant(&field);
        assert!(trees.iter().filter(|t| t.all.wind == 3).count() > 1);
        let mut seen = vec![0; poses * n];
        let mut lost = [0; 2];
        for tree in &trees {
            let Known { wind, ends, least: first } = &tree.all;
            for (l, leaf) in tree.leaves.iter().enumerate() {
                let (boxes, at) = (&tree.boxes[l / LEAF], l % LEAF);
                assert!(at < boxes.count && boxes.wind[at] == *wind);
                let values = leaf.terms(&field);
                let mut least = u32::MAX;
                for k in 0..leaf.count {
                    let id = leaf.id(&field, k);
                    least = least.min(id);
                    let (pose, instant) = (id as usize / n, id as usize % n);
                    assert_eq!(instants.winds[instant], *wind);
                    seen[id as usize] += 1;
                    let place = |order: &[usize], of: usize| order.iter().position(|i| *i == of).unwrap();
                    let (pose, place) = (place(field.order(), pose), place(&laid.order, instant));
                    for (t, values) in values.iter().enumerate() {
                        let shares = field.wrench.tile(pose / TILE).unwrap();
                        let arm = || laid.blend.row(shares, place, t - BODY)[pose % TILE];
                        let v = instants.body.get(t).map_or_else(arm, |axis| axis[instant]);
                        assert_eq!(values[k].to_bits(), v.to_bits());
                        let (middle, reach) = (boxes.middle[t][at], boxes.reach[t][at]);
                        if v.is_nan() {
                            assert!(middle.is_nan() && reach.is_nan() && ends.0[t].is_nan());
                            lost[0] += 1;
                        } else {
                            assert!(reach.is_nan() || (v - middle).abs() <= reach);
                            assert!(ends.0[t].is_nan() || (ends.0[t] <= v && v <= ends.1[t]));
                        }
                    }
                }
                assert_eq!(least, boxes.least[at]);
                assert!(*first <= least);
            }
            let of_leaves: Vec<f64> = tree.boxes.iter().flat_map(|b| b.middle).flatten().collect();
            lost[1] += of_leaves.iter().filter(|m| m.is_nan()).count();
            assert!(ends.0.iter().filter(|v| v.is_nan()).count() <= 1);
        }
        assert_eq!(lost, [1, 1], "a lost number is lost in the box around it and in no other");
        assert!(seen.iter().all(|n| *n == 1));
    }

    #[test]
    fn states_that_are_all_alike_still_part() {
        let n = 10;
        let instants = Instants {
            pairs: vec![(0, 0); n],
            winds: vec![0; n],
            body: [(); 3].map(|()| vec![1.0; n]),
            moves: Moves { terms: vec![Default::default(); n], flow: vec![0; n] },
            ..Instants::default()
        };
        let laid = Laid::of(&instants, 1, &[], &[0.0; TERMS]);
        let field = Field::of(&laid, &vec![vec![1.0]; 10]);
        let trees = plant(&field);
        assert_eq!(trees.len(), 1);
        assert_eq!(trees[0].leaves.iter().map(|l| l.count).sum::<usize>(), 100);
        assert!(trees[0].leaves.iter().all(|l| l.count <= LEAF));
    }
}
