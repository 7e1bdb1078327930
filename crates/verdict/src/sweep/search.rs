//! The worst state of every item of one source, with every failure: all states decided, few of them reckoned.
//!
//! A box of states is passed over when its worst corner (see [`Side`]) cannot beat the worst state seen. So the answer, the
//! state and every bit of its number, is that of reckoning every state.

use super::boxes::{Boxes, Spans};
use super::forest::{Grove, LEAF, Leaf};
use super::loose::{ALL, Sorted};
use super::reach::{ROWS, Rows, Values};
use super::{Asked, Block, Worst};
use crate::check::{Item, Side, Source, Swept, Uses, coarse};
use crate::context::Context;
use crate::slack::SlackSet;
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, Ordering};

/// Items that are looked at side by side.
pub(super) const TOGETHER: usize = 8;

/// The worst state of one item so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct Best {
    /// Demand over capacity.
    pub(super) utilisation: f64,
    /// Failure and number of the state: of equals the first one stays.
    rank: (usize, u64),
    /// The state; none at the start.
    pub(super) worst: Option<Worst>,
}

impl Best {
    /// Nothing seen.
    pub(super) const NONE: Self =
        Self { utilisation: f64::NEG_INFINITY, rank: (usize::MAX, u64::MAX), worst: None };

    /// Only what uses more than this counts.
    pub(super) fn over(utilisation: f64) -> Self {
        Self { utilisation, rank: (0, 0), worst: None }
    }

    /// Could a state (or a box whose first state is `rank`) that reaches `utilisation` come before it?
    #[inline(always)]
    pub(super) fn beaten_by(&self, utilisation: f64, rank: (usize, u64)) -> bool {
        let (new, old) = (coarse(utilisation), coarse(self.utilisation));
        new > old || (new >= old && rank < self.rank)
    }

    /// Takes the worst of some states if it is worse, of equals the first; `rank` gives a state's place.
    #[inline(always)]
    pub(super) fn offer(&mut self, uses: &Uses, rank: impl Fn(usize) -> (usize, u64), block: &Block<'_>) {
        if uses.most < coarse(self.utilisation) || uses.most == f64::NEG_INFINITY {
            return;
        }
        for (k, u) in uses.each.iter().enumerate().filter(|(_, u)| coarse(**u) >= uses.most) {
            let rank = rank(k);
            if self.beaten_by(*u, rank) {
                *self = Self { utilisation: *u, rank, worst: Some(block.worst(*u, rank)) };
            }
        }
    }

    /// The worse of two, the earlier of equals.
    pub(super) fn merge(&mut self, other: &Self) {
        if other.worst.is_some() && self.beaten_by(other.utilisation, other.rank) {
            *self = *other;
        }
    }
}

/// Which failures have a worst state together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Classes {
    /// Nothing lost; any one part lost.
    Two,
    /// Each failure for itself.
    EachFailure,
}

impl Classes {
    /// The class of a failure.
    fn of(self, failure: usize) -> usize {
        match self {
            Self::Two => usize::from(failure > 0),
            Self::EachFailure => failure,
        }
    }
}

/// One item of one check, with its worst states.
pub(super) struct Slot<'a> {
    pub(super) check: &'a dyn Swept,
    pub(super) item: &'a Item,
    /// By [`Classes`].
    pub(super) best: Vec<Best>,
}

impl Slot<'_> {
    /// Has a state been found?
    pub(super) fn found(&self) -> bool {
        self.best.iter().any(|b| b.worst.is_some())
    }
}

/// How rows of states are put together that are reckoned side by side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// From the nine numbers of each state.
    Plain,
    /// From three shares, what its pose does being folded into the rows first.
    Folded,
}

/// How to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Manner {
    /// Pass over what cannot be worse.
    Skip,
    /// Reckon every state.
    Every,
    /// Reckon every state, some poses side by side.
    Beside(Way),
    /// Stop at the first find.
    First,
}

/// One failure with one set of slack straps, ready to be asked.
pub(super) struct Case<'a> {
    pub(super) failure: usize,
    pub(super) class: usize,
    pub(super) set: SlackSet,
    pub(super) rows: Rows,
    sorted: &'a [Sorted],
    /// Which items stand with this failure: the lost part itself has nothing to hold.
    pub(super) stands: [bool; TOGETHER],
}

impl Case<'_> {
    /// Whether its straps are slack anywhere in a grove.
    fn occurs_in(&self, grove: &Grove) -> bool {
        self.sorted[grove.first..grove.first + grove.boxes.count].iter().any(|tree| tree.holds(self.set))
    }
}

/// Searches the rows of all sources; returns whether it stopped before the end.
pub(super) fn search_all(
    ctx: &Context<'_>,
    block: &Block<'_>,
    sources: &mut [Asked<'_>],
    manner: Manner,
) -> bool {
    let stop = AtomicBool::new(false);
    sources.par_iter_mut().for_each(|(source, _, slots)| {
        let Source::Rows { start, len } = source else { return };
        for slots in slots.chunks_mut(TOGETHER) {
            if !stop.load(Ordering::Relaxed) {
                search(ctx, block, (*start, *len), slots, manner);
                if manner == Manner::First && slots.iter().any(Slot::found) {
                    stop.store(true, Ordering::Relaxed);
                }
            }
        }
    });
    stop.into_inner()
}

/// Searches the rows of one source: `slots` are its items, at most [`TOGETHER`].
fn search(
    ctx: &Context<'_>,
    block: &Block<'_>,
    (start, len): (usize, usize),
    slots: &mut [Slot<'_>],
    manner: Manner,
) {
    let cases = cases(ctx, block, (start, len), slots);
    let mut seeker = Seeker::of(block, &cases, slots);
    if manner == Manner::Every {
        seeker.every();
        return;
    }
    let bounds = seeker.of_groves();
    // What looks worst of all is looked into first: what it comes to rules out most of the others.
    let first = seeker.most_promising(&bounds);
    seeker.look_into(&first, &bounds, manner);
    let rest = seeker.still_worth(&bounds, &first);
    seeker.look_into(&rest, &bounds, manner);
}

/// A case and a grove, by index.
type Where = (usize, usize);

/// The most that each item can be used in the groves: case by case, boxes by boxes, slot by slot.
struct Bounds {
    all: Vec<[f64; LEAF]>,
    boxes: usize,
    slots: usize,
}

impl Bounds {
    fn at(&self, case: usize, boxes: usize) -> &[[f64; LEAF]] {
        let first = (case * self.boxes + boxes) * self.slots;
        &self.all[first..first + self.slots]
    }
}

/// The greatest bound, by eights, which the machine takes side by side.
fn greatest(all: &[f64; LEAF]) -> f64 {
    let mut most = [f64::NEG_INFINITY; 8];
    for some in all.as_chunks::<8>().0 {
        for (most, v) in most.iter_mut().zip(some) {
            *most = if *v > *most { *v } else { *most };
        }
    }
    most.into_iter().fold(f64::NEG_INFINITY, f64::max)
}

/// What a search knows.
pub(super) struct Seeker<'a, 'b, 'c> {
    pub(super) block: &'a Block<'a>,
    pub(super) cases: &'a [Case<'a>],
    pub(super) slots: &'c mut [Slot<'b>],
    sides: Vec<[Side; 6]>,
    values: Values,
}

impl<'a, 'b, 'c> Seeker<'a, 'b, 'c> {
    pub(super) fn of(block: &'a Block<'a>, cases: &'a [Case<'a>], slots: &'c mut [Slot<'b>]) -> Self {
        let sides = slots.iter().map(|s| s.check.worse()).collect();
        Self { block, cases, slots, sides, values: [[0.0; LEAF]; ROWS] }
    }
}

impl Seeker<'_, '_, '_> {
    /// Reckons every state, tree by tree, so that its terms stay near.
    fn every(&mut self) {
        for (t, tree) in self.block.trees.iter().enumerate() {
            for case in self.cases {
                for leaf in 0..tree.leaves.len() {
                    if let Some(mask) = case.sorted[t].of(leaf, case.set) {
                        self.reckon(case, (tree.all.wind, &tree.leaves[leaf], mask), case.stands);
                    }
                }
            }
        }
    }

    /// The most that each item can be used in some boxes; nothing where it does not stand.
    fn bounds(&self, case: &Case<'_>, boxes: &Boxes, spans: &mut Spans, out: &mut Vec<[f64; LEAF]>) {
        spans.take(&case.rows, boxes);
        for (s, slot) in self.slots.iter().enumerate() {
            out.push(if case.stands[s] {
                spans.bounds(slot.check, slot.item, self.sides[s], boxes.count)
            } else {
                [f64::NEG_INFINITY; LEAF]
            });
        }
    }

    /// Bounds of all groves in every case.
    fn of_groves(&self) -> Bounds {
        let (boxes, slots) = (self.block.roots.len(), self.slots.len());
        let mut all = Vec::with_capacity(self.cases.len() * boxes * slots);
        let mut spans = Spans::new();
        for case in self.cases {
            for (boxes, groves) in self.block.roots.iter().zip(self.block.groves.chunks(LEAF)) {
                let first = all.len();
                self.bounds(case, boxes, &mut spans, &mut all);
                for (k, _) in groves.iter().enumerate().filter(|(_, grove)| !case.occurs_in(grove)) {
                    all[first..].iter_mut().for_each(|bounds| bounds[k] = f64::NEG_INFINITY);
                }
            }
        }
        Bounds { all, boxes, slots }
    }

    /// For each item and each class of failures where its greatest bound is; in order.
    fn most_promising(&self, bounds: &Bounds) -> Vec<Where> {
        let classes = self.cases.iter().map(|c| c.class).max().map_or(0, |most| most + 1);
        let mut most: Vec<Option<(f64, Where)>> = vec![None; classes * self.slots.len()];
        for (c, case) in self.cases.iter().enumerate() {
            for boxes in 0..bounds.boxes {
                let most = &mut most[case.class * self.slots.len()..];
                for (most, all) in most.iter_mut().zip(bounds.at(c, boxes)) {
                    let greatest = greatest(all);
                    if most.is_none_or(|(bound, _)| greatest > bound) {
                        let k = all.iter().position(|b| *b >= greatest).unwrap_or(0);
                        *most = Some((greatest, (c, boxes * LEAF + k)));
                    }
                }
            }
        }
        let mut out: Vec<Where> = most.into_iter().flatten().map(|(_, at)| at).collect();
        out.sort_unstable();
        out.dedup();
        out
    }

    /// Where a grove may still hold a worse state of some item, the most promising first; not where it has been looked.
    fn still_worth(&self, bounds: &Bounds, looked: &[Where]) -> Vec<Where> {
        let mut out: Vec<(f64, Where)> = Vec::new();
        for (c, case) in self.cases.iter().enumerate() {
            for (b, boxes) in self.block.roots.iter().enumerate() {
                let promising = self.promising(case, boxes, bounds.at(c, b)).into_iter();
                let all = promising.map(|(score, k)| (score, (c, b * LEAF + k)));
                out.extend(all.filter(|(_, at)| looked.binary_search(at).is_err()));
            }
        }
        out.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        out.into_iter().map(|(_, at)| at).collect()
    }

    /// For which items a box may still hold a worse state: `k` is its place among the bounds.
    fn worth(&self, case: &Case<'_>, bounds: &[[f64; LEAF]], (k, least): (usize, u32)) -> [bool; TOGETHER] {
        let rank = self.block.rank_of(case.failure, least);
        let mut worth = [false; TOGETHER];
        for ((worth, slot), bound) in worth.iter_mut().zip(self.slots.iter()).zip(bounds) {
            *worth = slot.best[case.class].beaten_by(bound[k], rank);
        }
        worth
    }

    /// The boxes that may still hold a worse state and how far that goes over what is known, the most promising first.
    fn promising(&self, case: &Case<'_>, boxes: &Boxes, bounds: &[[f64; LEAF]]) -> Vec<(f64, usize)> {
        let mut reaches = [false; LEAF];
        for (slot, bounds) in self.slots.iter().zip(bounds) {
            let known = coarse(slot.best[case.class].utilisation);
            for (reaches, bound) in reaches.iter_mut().zip(bounds) {
                *reaches |= coarse(*bound) >= known;
            }
        }
        let mut out: Vec<(f64, usize)> = Vec::new();
        for k in (0..boxes.count).filter(|k| reaches[*k]) {
            let worth = self.worth(case, bounds, (k, boxes.least[k]));
            // Of what is known, where something is known.
            let score = |s: usize| bounds[s][k] / self.slots[s].best[case.class].utilisation.max(1e-300);
            let scores = (0..self.slots.len()).filter(|s| worth[*s]).map(score);
            out.extend(scores.max_by(f64::total_cmp).map(|score| (score, k)));
        }
        out.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        out
    }

    /// Looks into groves until all are looked into or the search may stop.
    fn look_into(&mut self, groves: &[Where], of_groves: &Bounds, manner: Manner) {
        let (block, cases) = (self.block, self.cases);
        let (mut spans, mut of_trees) = (Spans::new(), Vec::new());
        let mut of_leaves = Vec::new();
        for (c, g) in groves {
            let (case, grove) = (&cases[*c], &block.groves[*g]);
            let bounds = of_groves.at(*c, g / LEAF);
            if !self.worth(case, bounds, (g % LEAF, grove.all.least)).contains(&true) {
                continue;
            }
            of_trees.clear();
            self.bounds(case, &grove.boxes, &mut spans, &mut of_trees);
            for (_, k) in self.promising(case, &grove.boxes, &of_trees) {
                let tree = grove.first + k;
                let worth = self.worth(case, &of_trees, (k, grove.boxes.least[k]));
                if !worth.contains(&true) || !case.sorted[tree].holds(case.set) {
                    continue;
                }
                self.look_into_tree(case, tree, (&mut spans, &mut of_leaves), manner);
                if self.may_stop(manner) {
                    return;
                }
            }
        }
    }

    /// Reckons what of a tree may be worse than what is known.
    fn look_into_tree(
        &mut self,
        case: &Case<'_>,
        tree: usize,
        (spans, bounds): (&mut Spans, &mut Vec<[f64; LEAF]>),
        manner: Manner,
    ) {
        let block = self.block;
        for (b, boxes) in block.trees[tree].boxes.iter().enumerate() {
            bounds.clear();
            self.bounds(case, boxes, spans, bounds);
            for (_, k) in self.promising(case, boxes, bounds) {
                let leaf = b * LEAF + k;
                let worth = self.worth(case, bounds, (k, boxes.least[k]));
                if let Some(mask) = case.sorted[tree].of(leaf, case.set)
                    && worth.contains(&true)
                {
                    let tree = &block.trees[tree];
                    self.reckon(case, (tree.all.wind, &tree.leaves[leaf], mask), worth);
                    if self.may_stop(manner) {
                        return;
                    }
                }
            }
        }
    }

    /// Is what was looked for found?
    fn may_stop(&self, manner: Manner) -> bool {
        manner == Manner::First && self.slots.iter().any(Slot::found)
    }

    /// Reckons the states of a leaf for the items that are asked for.
    pub(super) fn reckon(
        &mut self,
        case: &Case<'_>,
        (wind, leaf, mask): (usize, &Leaf, u32),
        asked: [bool; TOGETHER],
    ) {
        let (block, values) = (self.block, &mut self.values);
        case.rows.values(wind, (leaf.terms(&block.field), leaf.alike()), values);
        let mut count = leaf.count;
        let mut place: Option<[usize; LEAF]> = None;
        if mask != ALL {
            // Those of the case move together, in their order.
            count = 0;
            let place = place.get_or_insert([0; LEAF]);
            for k in (0..leaf.count).filter(|k| mask >> k & 1 == 1) {
                for row in values.iter_mut() {
                    row[count] = row[k];
                }
                place[count] = k;
                count += 1;
            }
        }
        let [a, b, c, d, e, f, ..] = values.each_ref();
        for (slot, asked) in self.slots.iter_mut().zip(asked) {
            if asked {
                let uses = slot.check.uses_of(slot.item, [a, b, c, d, e, f], count);
                let id = |k: usize| leaf.id(&block.field, place.map_or(k, |p| p[k]));
                slot.best[case.class].offer(&uses, |k| block.rank_of(case.failure, id(k)), block);
            }
        }
    }
}

/// Every failure with every set of slack straps that occurs in it.
pub(super) fn cases<'a>(
    ctx: &Context<'_>,
    block: &'a Block<'_>,
    (start, len): (usize, usize),
    slots: &[Slot<'_>],
) -> Vec<Case<'a>> {
    let mut out = Vec::new();
    let read = |k: usize| slots.iter().any(|s| s.check.worse().get(k).is_some_and(|s| *s != Side::Idle));
    let mut asked = [false; ROWS];
    for (k, asked) in asked.iter_mut().enumerate().take(len) {
        *asked = read(k);
    }
    for (failure, f) in ctx.failures.iter().enumerate() {
        let Ok(r) = &f.responses else { continue };
        let mut stands = [false; TOGETHER];
        for (s, slot) in stands.iter_mut().zip(slots.iter()) {
            *s = f.lost.is_none_or(|l| l != slot.item.part);
        }
        for (set, slackness) in &block.slackness[failure] {
            let rows = Rows::of(ctx, r, (start, asked), slackness);
            let class = block.classes.of(failure);
            out.push(Case { failure, class, set: *set, rows, sorted: &block.sorted[failure], stands });
        }
    }
    out
}
