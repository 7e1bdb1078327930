//! The worst state of every item of one source, with every failure: all states decided, few of them reckoned.
//!
//! A box of states is passed over when its worst corner (see [`Side`]) cannot beat the worst state seen. So the answer, the
//! state and every bit of its number, is that of reckoning every state.

use super::forest::{LEAF, Tree};
use super::loose::{ALL, Sorted};
use super::reach::{ROWS, Rows, Span, Values};
use super::roots::Spans;
use super::{Block, Worst};
use crate::check::{Item, Side, Swept, Uses, coarse, utilisation};
use crate::context::Context;
use crate::slack::SlackSet;

/// What rounding may take off a check's own sum, as a share.
pub(super) const ROUNDING: f64 = 2e-12;
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
    fn beaten_by(&self, utilisation: f64, rank: (usize, u64)) -> bool {
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

/// How to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Manner {
    /// Pass over what cannot be worse.
    Skip,
    /// Reckon every state.
    Every,
    /// Stop at the first find.
    First,
}

/// A box that is still to be looked into, with a bound for each item.
#[derive(Clone)]
struct Waiting {
    case: usize,
    tree: usize,
    node: usize,
    /// Which of its states belong to the case.
    mask: u32,
    bounds: [f64; TOGETHER],
    score: f64,
}

/// One failure with one set of slack straps, ready to be asked.
struct Case<'a> {
    failure: usize,
    class: usize,
    set: SlackSet,
    rows: Rows,
    sorted: &'a [Sorted],
    /// Which items stand with this failure: the lost part itself has nothing to hold.
    stands: [bool; TOGETHER],
}

/// Searches the rows of one source: `slots` are its items, at most [`TOGETHER`]. Returns how many states were reckoned.
pub(super) fn search(
    ctx: &Context<'_>,
    block: &Block<'_>,
    (start, len): (usize, usize),
    slots: &mut [Slot<'_>],
    manner: Manner,
) -> u64 {
    let sides: Vec<[Side; 6]> = slots.iter().map(|s| s.check.worse()).collect();
    let cases = cases(ctx, block, (start, len), slots);
    let mut reckoned = 0;
    let mut values = [[0.0; LEAF]; ROWS];
    if manner == Manner::Every {
        // Tree by tree, so that its terms stay near.
        for (t, tree) in block.trees.iter().enumerate() {
            for case in &cases {
                reckoned += every(block, case, (t, 0, ALL), tree, slots, &mut values);
            }
        }
        return reckoned;
    }
    let mut seeker = Seeker { block, cases: &cases, slots, sides: &sides, manner, reckoned: 0, values };
    let roots = seeker.roots();
    // What looks worst of all is looked into first: what it comes to rules out most of the others.
    let first = seeker.most_promising(&roots);
    seeker.look_into(first.iter().map(|k| roots[*k].clone()).collect());
    let rest = roots.into_iter().enumerate().filter(|(k, _)| !first.contains(k)).map(|(_, root)| root);
    let mut rest: Vec<Waiting> = rest.filter(|w| seeker.worth(w).contains(&true)).collect();
    // The most promising last: that is the one to take first.
    rest.sort_by(|a, b| a.score.total_cmp(&b.score));
    seeker.look_into(rest);
    seeker.reckoned
}

/// What a search knows.
struct Seeker<'a, 'b, 'c> {
    block: &'a Block<'a>,
    cases: &'a [Case<'a>],
    slots: &'a mut [Slot<'b>],
    sides: &'c [[Side; 6]],
    manner: Manner,
    reckoned: u64,
    values: Values,
}

impl Seeker<'_, '_, '_> {
    /// The first boxes of all trees in every case, with a bound for each item.
    fn roots(&self) -> Vec<Waiting> {
        let mut out = Vec::with_capacity(self.cases.len() * self.block.trees.len());
        let mut spans = Spans::new();
        for (c, case) in self.cases.iter().enumerate() {
            for (chunk, roots) in self.block.roots.iter().enumerate() {
                spans.take(&case.rows, roots);
                let first = out.len();
                for k in 0..roots.count {
                    let tree = chunk * LEAF + k;
                    // A tree that the case does not occur in has nothing to look at.
                    let Some(mask) = case.sorted[tree].of(0, case.set) else { continue };
                    let bounds = [f64::NEG_INFINITY; TOGETHER];
                    out.push(Waiting { case: c, tree, node: 0, mask, bounds, score: f64::NEG_INFINITY });
                }
                for (s, slot) in self.slots.iter().enumerate().filter(|(s, _)| case.stands[*s]) {
                    let bounds = spans.bounds(slot.check, slot.item, self.sides[s], roots.count);
                    let known = slot.best[case.class].utilisation.max(1e-300);
                    for w in &mut out[first..] {
                        w.bounds[s] = bounds[w.tree % LEAF];
                        w.score = w.score.max(w.bounds[s] / known);
                    }
                }
            }
        }
        out
    }

    /// For each item and each class of failures the box with the greatest bound.
    fn most_promising(&self, roots: &[Waiting]) -> Vec<usize> {
        let mut out = Vec::new();
        let classes = self.cases.iter().map(|c| c.class).max().map_or(0, |most| most + 1);
        for s in 0..self.slots.len() {
            let mut most: Vec<Option<usize>> = vec![None; classes];
            for (k, w) in roots.iter().enumerate() {
                let most = &mut most[self.cases[w.case].class];
                if most.is_none_or(|m| w.bounds[s] > roots[m].bounds[s]) {
                    *most = Some(k);
                }
            }
            out.extend(most.into_iter().flatten());
        }
        out.sort_unstable();
        out.dedup();
        out
    }

    /// For which items a box may still hold a worse state.
    fn worth(&self, w: &Waiting) -> [bool; TOGETHER] {
        let case = &self.cases[w.case];
        let rank = self.block.rank(case.failure, &self.block.trees[w.tree].nodes[w.node]);
        let mut worth = [false; TOGETHER];
        for ((worth, slot), bound) in worth.iter_mut().zip(self.slots.iter()).zip(w.bounds) {
            *worth = slot.best[case.class].beaten_by(bound, rank);
        }
        worth
    }

    /// Looks into boxes, the last one first, until none is left or the search may stop.
    fn look_into(&mut self, mut waiting: Vec<Waiting>) {
        let block = self.block;
        while let Some(w) = waiting.pop() {
            if self.manner == Manner::First && self.slots.iter().any(Slot::found) {
                return;
            }
            let (case, node) = (&self.cases[w.case], &block.trees[w.tree].nodes[w.node]);
            let worth = self.worth(&w);
            if !worth.contains(&true) {
                continue;
            }
            if let Some(halves) = node.halves {
                let whole = (w.mask == ALL).then_some(ALL);
                let at = |half| (w.case, w.tree, half);
                let mut both =
                    halves.map(|half| look(block, self.cases, at(half), whole, self.slots, self.sides));
                let score = |w: &Option<Waiting>| w.as_ref().map_or(f64::NEG_INFINITY, |w| w.score);
                if score(&both[0]) > score(&both[1]) {
                    both.swap(0, 1);
                }
                waiting.extend(both.into_iter().flatten());
            } else {
                let leaf = (w.tree, node.leaf, w.mask);
                self.reckoned += reckon(block, case, leaf, self.slots, worth, &mut self.values);
            }
        }
    }
}

/// Every failure with every set of slack straps that occurs in it.
fn cases<'a>(
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

/// Reckons every state of a case under a node.
fn every(
    block: &Block<'_>,
    case: &Case<'_>,
    (t, at, above): (usize, usize, u32),
    tree: &Tree,
    slots: &mut [Slot<'_>],
    values: &mut Values,
) -> u64 {
    // Under a node that is of one set as a whole nothing more is noted.
    let Some(mask) = case.sorted[t].of(at, case.set).or((at > 0 && above == ALL).then_some(ALL)) else {
        return 0;
    };
    let node = &tree.nodes[at];
    match node.halves {
        Some(halves) => {
            halves.into_iter().map(|half| every(block, case, (t, half, mask), tree, slots, values)).sum()
        }
        None => reckon(block, case, (t, node.leaf, mask), slots, case.stands, values),
    }
}

/// Bounds of a box, or nothing if it cannot hold a worse state.
fn look(
    block: &Block<'_>,
    cases: &[Case<'_>],
    (c, tree, node): (usize, usize, usize),
    whole: Option<u32>,
    slots: &[Slot<'_>],
    sides: &[[Side; 6]],
) -> Option<Waiting> {
    let case = &cases[c];
    let mask = whole.or_else(|| case.sorted[tree].of(node, case.set))?;
    let t = &block.trees[tree];
    let n = &t.nodes[node];
    let span = case.rows.span(n, t.wind);
    let rank = block.rank(case.failure, n);
    let mut out = Waiting {
        case: c,
        tree,
        node,
        mask,
        bounds: [f64::NEG_INFINITY; TOGETHER],
        score: f64::NEG_INFINITY,
    };
    let mut worth = false;
    for (k, slot) in slots.iter().enumerate().filter(|(k, _)| case.stands[*k]) {
        let bound = bound(slot, sides[k], &span);
        if slot.best[case.class].beaten_by(bound, rank) {
            worth = true;
            out.bounds[k] = bound;
            // How far over what is known, where something is known.
            let known = slot.best[case.class].utilisation.max(1e-300);
            out.score = out.score.max(bound / known);
        }
    }
    worth.then_some(out)
}

/// The most that an item can be used in a box: at the corner that is bad for it in every row.
fn bound(slot: &Slot<'_>, sides: [Side; 6], (low, high): &Span) -> f64 {
    let mut corner = [0.0; 6];
    for (((c, side), l), h) in corner.iter_mut().zip(sides).zip(low).zip(high) {
        if side != Side::Idle && (l.is_nan() || h.is_nan()) {
            return f64::INFINITY; // a lost number
        }
        *c = match side {
            Side::Idle => 0.0,
            Side::Up => *h,
            Side::Down => *l,
            Side::Size => l.abs().max(h.abs()),
        };
    }
    let (demand, capacity) = slot.check.demand_capacity(slot.item, &corner);
    utilisation(demand, capacity) * (1.0 + ROUNDING)
}

/// Reckons the states of a leaf for the items that are asked for.
fn reckon(
    block: &Block<'_>,
    case: &Case<'_>,
    (tree, leaf, mask): (usize, usize, u32),
    slots: &mut [Slot<'_>],
    asked: [bool; TOGETHER],
    values: &mut Values,
) -> u64 {
    let t: &Tree = &block.trees[tree];
    let leaf = &t.leaves[leaf];
    case.rows.values(t.wind, (leaf.count, leaf.terms(&block.field)), values);
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
    for (slot, asked) in slots.iter_mut().zip(asked) {
        if asked {
            let uses = slot.check.uses_of(slot.item, [a, b, c, d, e, f], count);
            let id = |k: usize| leaf.id(&block.field, place.map_or(k, |p| p[k]));
            slot.best[case.class].offer(&uses, |k| block.rank_of(case.failure, id(k)), block);
        }
    }
    count as u64
}
