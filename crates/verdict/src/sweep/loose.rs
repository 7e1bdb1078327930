//! Which straps hang slack where: the states of a failure sorted by their slack straps (see [`crate::slack`]).
//!
//! With the same straps slack the responses are linear again, with other factors. So each set of slack straps is a case of
//! its own, and most boxes are seen to belong to one as a whole.

use super::boxes::{Boxes, Spans};
use super::forest::{Field, LEAF, Leaf, TERMS, Tree};
use super::reach::{ONE, ROWS, Rows};
use crate::context::{Context, Failure};
use crate::slack::{SlackSet, Straps, TAUT_TOL_N, UNKNOWN};
use std::collections::{BTreeMap, BTreeSet};

/// Every state of a box.
pub(super) const ALL: u32 = u32::MAX;
/// How far from changing sides, N, every strap must be before a box is taken as a whole.
const CLEAR_N: f64 = 1e-3;

/// Sets of slack straps in a leaf, and which of its states have them.
pub(super) type Sets = Vec<(SlackSet, u32)>;

/// The sets in a tree.
pub(super) enum Sorted {
    /// Every state has this one.
    Whole(SlackSet),
    /// Leaf by leaf, and all that occur, in order.
    Leaves(Vec<Sets>, Vec<SlackSet>),
}

impl Sorted {
    /// Which states of a leaf have a set; none where it does not occur.
    pub(super) fn of(&self, leaf: usize, set: SlackSet) -> Option<u32> {
        match self {
            Self::Whole(all) => (*all == set).then_some(ALL),
            Self::Leaves(leaves, _) => {
                leaves.get(leaf)?.iter().find(|(s, _)| *s == set).map(|(_, mask)| *mask)
            }
        }
    }

    /// All sets that occur in the tree, in order.
    pub(super) fn sets(&self) -> &[SlackSet] {
        match self {
            Self::Whole(all) => core::slice::from_ref(all),
            Self::Leaves(_, sets) => sets,
        }
    }

    /// Whether a set occurs in the tree.
    pub(super) fn holds(&self, set: SlackSet) -> bool {
        self.sets().binary_search(&set).is_ok()
    }
}

/// What slackness does to the responses: each member of the set is fitted `p = gain · terms + constant` besides.
pub(super) struct Slackness {
    pub(super) members: Vec<usize>,
    /// Gain of each member.
    pub(super) gain: Vec<[f64; TERMS]>,
    /// Constant of each member, by wind.
    pub(super) constant: Vec<Vec<f64>>,
}

impl Slackness {
    /// Of a set.
    pub(super) fn of(ctx: &Context<'_>, failure: &Failure, set: SlackSet) -> Self {
        let none = Self { members: Vec::new(), gain: Vec::new(), constant: Vec::new() };
        let Ok(r) = &failure.responses else { return none };
        let straps = Straps::of(ctx, r);
        let members = if set == UNKNOWN { (0..straps.rows.len()).collect() } else { straps.members(set) };
        let (m, winds) = (members.len(), ctx.columns.winds);
        let width = TERMS + winds;
        let mut linear = Vec::with_capacity(m * width);
        for i in &members {
            let row = r.row(straps.rows[*i]);
            let fitted: f64 =
                ctx.taken_up.iter().enumerate().map(|(j, p)| row[ctx.columns.strand(j)] * p).sum();
            linear.extend_from_slice(&row[..TERMS]);
            linear.extend((0..winds).map(|w| fitted + row[ctx.columns.wind(w)]));
        }
        let p = if set == UNKNOWN { vec![f64::NAN; m * width] } else { straps.fit(&members, &linear, width) };
        let gain = p.chunks_exact(width).map(|p| core::array::from_fn(|t| p[t])).collect();
        let constant = p.chunks_exact(width).map(|p| p[TERMS..].to_vec()).collect();
        Self { members, gain, constant }
    }

    /// What is fitted besides to each member, as rows.
    fn rows(&self, winds: usize) -> Vec<Rows> {
        let each = self.gain.iter().zip(&self.constant);
        each.map(|(gain, constant)| Rows::single(gain, &constant[..winds])).collect()
    }
}

/// What shows that all states of a box have a set: what is fitted to its members, and the tension of the others.
struct Proof(Vec<Rows>);

/// What sorts the states of one failure.
pub(super) struct Sorter<'a> {
    ctx: &'a Context<'a>,
    failure: &'a Failure,
    straps: Option<Straps>,
    /// Tension of each strap while all are taut.
    linear: Vec<Rows>,
}

impl<'a> Sorter<'a> {
    /// Of a failure.
    pub(super) fn of(ctx: &'a Context<'a>, failure: &'a Failure) -> Self {
        let Ok(r) = &failure.responses else {
            return Self { ctx, failure, straps: None, linear: Vec::new() };
        };
        let (straps, taut) = (Straps::of(ctx, r), Slackness::of(ctx, failure, 0));
        let linear = straps.rows.iter().map(|row| Rows::of(ctx, r, (*row, ONE), &taut)).collect();
        Self { ctx, failure, straps: Some(straps), linear }
    }

    /// Sorts the states of some trees; `boxes` are the trees' own.
    pub(super) fn sort(&self, trees: &[Tree], (boxes, field): (&Boxes, &Field<'_>)) -> Vec<Sorted> {
        let Some(straps) = &self.straps else {
            // No answer, no states.
            return trees.iter().map(|_| Sorted::Leaves(Vec::new(), Vec::new())).collect();
        };
        if straps.rows.is_empty() {
            return trees.iter().map(|_| Sorted::Whole(0)).collect();
        }
        let mut proofs = BTreeMap::new();
        let whole = self.whole(straps, boxes, &mut proofs);
        let each = trees.iter().zip(whole).map(|(tree, whole)| {
            if let Some(set) = whole {
                return Sorted::Whole(set);
            }
            let leaves = self.leaves(straps, tree, field, &mut proofs);
            let sets: BTreeSet<SlackSet> = leaves.iter().flatten().map(|(set, _)| *set).collect();
            Sorted::Leaves(leaves, sets.into_iter().collect())
        });
        each.collect()
    }

    /// The sets of each leaf of a tree.
    fn leaves(
        &self,
        straps: &Straps,
        tree: &Tree,
        field: &Field<'_>,
        proofs: &mut BTreeMap<SlackSet, Proof>,
    ) -> Vec<Sets> {
        let mut out = Vec::with_capacity(tree.leaves.len());
        for (boxes, leaves) in tree.boxes.iter().zip(tree.leaves.chunks(LEAF)) {
            for (leaf, whole) in leaves.iter().zip(self.whole(straps, boxes, proofs)) {
                out.push(match whole {
                    Some(set) => vec![(set, ALL)],
                    None => self.states(straps, (tree.all.wind, leaf, field), proofs),
                });
            }
        }
        out
    }

    /// The set of each state of a leaf.
    fn states(
        &self,
        straps: &Straps,
        (wind, leaf, field): (usize, &Leaf, &Field<'_>),
        proofs: &mut BTreeMap<SlackSet, Proof>,
    ) -> Sets {
        let (count, terms) = (leaf.count, leaf.terms(field));
        let values = |rows: &[Rows]| -> Vec<[f64; LEAF]> {
            let mut out = [[0.0; LEAF]; ROWS];
            let mut one = |row: &Rows| {
                row.values(wind, (terms, leaf.alike()), &mut out);
                out[0]
            };
            rows.iter().map(&mut one).collect()
        };
        let (linear, mut sets) = (values(&self.linear), Sets::new());
        let mut left: u32 = if count < LEAF { (1 << count) - 1 } else { ALL };
        while left != 0 {
            let k = left.trailing_zeros() as usize;
            let set = straps.slack(&linear.iter().map(|row| row[k]).collect::<Vec<f64>>());
            // Others that have the same one, with room to spare, need not be asked.
            let shown = match set {
                UNKNOWN => Vec::new(),
                0 => linear.clone(),
                set => values(&proofs.entry(set).or_insert_with(|| self.proof(straps, set)).0),
            };
            let clear = |k: &usize| !shown.is_empty() && shown.iter().all(|row| row[*k] >= CLEAR_N);
            let alike = (0..count).filter(clear).fold(1 << k, |mask: u32, k| mask | 1 << k) & left;
            left &= !alike;
            match sets.iter_mut().find(|(s, _)| *s == set) {
                Some((_, mask)) => *mask |= alike,
                None => sets.push((set, alike)),
            }
        }
        sets
    }

    /// For each box the set that all its states have, as far as that can be shown.
    fn whole(
        &self,
        straps: &Straps,
        boxes: &Boxes,
        proofs: &mut BTreeMap<SlackSet, Proof>,
    ) -> Vec<Option<SlackSet>> {
        let mut spans = Spans::new();
        let mut least = [f64::INFINITY; LEAF];
        for row in &self.linear {
            spans.take(row, boxes);
            lower(&mut least, &spans.low[0]);
        }
        let taut = |k: usize| least[k] >= -TAUT_TOL_N;
        // Where they are not all taut: the set in the middle of the box, if any.
        let set_of = |k: usize| {
            let linear: Vec<f64> = self.linear.iter().map(|row| row.single_value(boxes, k)).collect();
            Some(straps.slack(&linear)).filter(|set| *set != UNKNOWN && *set != 0)
        };
        let sets: Vec<Option<SlackSet>> =
            (0..boxes.count).map(|k| if taut(k) { Some(0) } else { set_of(k) }).collect();
        let mut out: Vec<Option<SlackSet>> = sets.iter().map(|set| set.filter(|set| *set == 0)).collect();
        let guessed: BTreeSet<SlackSet> = sets.iter().flatten().copied().filter(|set| *set != 0).collect();
        for set in guessed {
            let proof = proofs.entry(set).or_insert_with(|| self.proof(straps, set));
            let mut least = [f64::INFINITY; LEAF];
            for row in &proof.0 {
                spans.take(row, boxes);
                lower(&mut least, &spans.low[0]);
            }
            for (k, out) in out.iter_mut().enumerate() {
                if sets[k] == Some(set) && least[k] >= CLEAR_N {
                    *out = Some(set);
                }
            }
        }
        out
    }

    fn proof(&self, straps: &Straps, set: SlackSet) -> Proof {
        let slack = Slackness::of(self.ctx, self.failure, set);
        let mut rows = slack.rows(self.ctx.columns.winds);
        if let Ok(r) = &self.failure.responses {
            let taut = (0..straps.rows.len())
                .filter(|i| !slack.members.contains(i))
                // A strap that is lost has no tension at all, which is as taut as it gets.
                .filter(|i| r.row(straps.rows[*i]).iter().any(|v| *v != 0.0))
                .map(|i| Rows::of(self.ctx, r, (straps.rows[i], ONE), &slack));
            rows.extend(taut);
        }
        Proof(rows)
    }
}

/// The less of each; lost where a number is.
fn lower(least: &mut [f64; LEAF], low: &[f64; LEAF]) {
    for (least, low) in least.iter_mut().zip(low) {
        *least = if *low < *least || low.is_nan() { *low } else { *least };
    }
}

#[cfg(test)]
mod tests {
    use super::super::search::Best;
    use super::super::{Block, Table, gather, groups, lay};
    use super::*;
    use crate::check::swept;
    use crate::context::Resolution;
    use crate::testing::{context, fact, rig};
    use rig::model::Hold;

    /// Two straps of so much tension: compares each state's set with its own answer. All sets that occur, leaves of more than one,
    /// trees of one in which something is slack.
    fn sorted_rightly(pretension_n: f64) -> (BTreeSet<SlackSet>, usize, usize) {
        let mut rig = rig();
        rig.straps[0].pretension = fact(pretension_n);
        let mut other = rig.straps[0].clone();
        "T".clone_into(&mut other.tag);
        for (point, (y, s)) in
            other.path.iter_mut().zip([(0.24, 0.32), (0.3, 0.0), (-0.3, 0.0), (-0.24, 0.8)])
        {
            point.at.y = y;
            if let Hold::Tube { s: along, .. } = &mut point.on {
                *along = s;
            }
        }
        rig.straps.push(other);
        let ctx = context(&rig);
        let checks = swept(&ctx);
        let mut table = Table::new(&checks, |_| [Best::NONE; 2]);
        let groups = groups(&ctx, Resolution::wide());
        let weights = [1.0; TERMS];
        let laid = lay(&ctx, &groups[0], &weights);
        let mut block = Block::of(&ctx, &groups[0], (&laid, &weights), (0, &groups[0].poses));
        block.field.wrench = gather::gather(&ctx, &block, &mut table);
        block.grow(&ctx);
        let (mut occurred, mut mixed, mut whole) = (BTreeSet::new(), 0, 0);
        for (failure, sorted) in ctx.failures.iter().zip(&block.sorted) {
            let Ok(r) = &failure.responses else { continue };
            let straps = Straps::of(&ctx, r);
            for (tree, sorted) in block.trees.iter().zip(sorted) {
                whole += usize::from(matches!(sorted, Sorted::Whole(set) if *set != 0));
                for (l, leaf) in tree.leaves.iter().enumerate() {
                    let terms = leaf.terms(&block.field);
                    let mut sets = BTreeSet::new();
                    for k in 0..leaf.count {
                        let tension = |row: &usize| {
                            let row = r.row(*row);
                            let fitted = ctx.taken_up.iter().enumerate();
                            let fitted: f64 = fitted.map(|(i, p)| row[ctx.columns.strand(i)] * p).sum();
                            let state: f64 = row.iter().zip(terms).map(|(v, term)| v * term[k]).sum();
                            state + fitted + row[ctx.columns.wind(tree.all.wind)]
                        };
                        let set = straps.slack(&straps.rows.iter().map(tension).collect::<Vec<_>>());
                        assert!(sorted.holds(set), "{set:b}");
                        assert!(sorted.of(l, set).is_some_and(|mask| mask >> k & 1 == 1), "{set:b}");
                        sets.insert(set);
                    }
                    mixed += usize::from(sets.len() > 1);
                    occurred.extend(sets);
                }
            }
        }
        (occurred, mixed, whole)
    }

    #[test]
    fn every_state_has_the_straps_slack_that_it_has_alone() {
        // Tensions close to each other: so the least in some box comes close to none.
        let (mut mixed, mut whole, mut occurred) = (0, 0, BTreeSet::new());
        for step in 0..60_u8 {
            let found = sorted_rightly(f64::from(step).mul_add(7.0, 150.0));
            (mixed, whole) = (mixed + found.1, whole + found.2);
            occurred.extend(found.0);
        }
        assert!(occurred.len() > 2 && mixed > 10, "{occurred:?}, {mixed} mixed");
        assert!(whole > 0, "no tree with the same straps slack in all its states");
    }
}
