//! Which straps hang slack where: the states of a failure sorted by their slack straps (see [`crate::slack`]).
//!
//! With the same straps slack the responses are linear again, with other factors. So each set of slack straps is a case of
//! its own, and most boxes are seen to belong to one as a whole.

use super::forest::{Field, LEAF, Node, TERMS, Tree};
use super::reach::{ONE, ROWS, Rows};
use crate::context::{Context, Failure};
use crate::slack::{SlackSet, Straps, TAUT_TOL_N, UNKNOWN};
use std::collections::BTreeMap;

/// Every state of a box.
pub(super) const ALL: u32 = u32::MAX;
/// How far from changing sides, N, every strap must be before a box is taken as a whole.
const CLEAR_N: f64 = 1e-3;

/// Sets of slack straps in a box, and which states of a leaf have them.
pub(super) type Sets = Vec<(SlackSet, u32)>;

/// The sets in each node of a tree; none under a node that has [`ALL`] of one.
#[derive(Default)]
pub(super) struct Sorted(BTreeMap<usize, Sets>);

impl Sorted {
    /// Which states of a node have a set; none where it does not occur.
    pub(super) fn of(&self, node: usize, set: SlackSet) -> Option<u32> {
        self.0.get(&node)?.iter().find(|(s, _)| *s == set).map(|(_, mask)| *mask)
    }

    /// All sets of the tree.
    pub(super) fn sets(&self) -> impl Iterator<Item = SlackSet> {
        self.0.get(&0).into_iter().flatten().map(|(s, _)| *s)
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

/// One set while a tree is sorted: what shows that a box has it as a whole.
struct Proof {
    fitted: Vec<Rows>,
    taut: Vec<Rows>,
}

/// Sorts the states of a tree.
pub(super) fn sort(ctx: &Context<'_>, failure: &Failure, (tree, field): (&Tree, &Field<'_>)) -> Sorted {
    let mut out = Sorted::default();
    let Ok(r) = &failure.responses else { return out };
    let straps = Straps::of(ctx, r);
    let taut = Slackness::of(ctx, failure, 0);
    let linear: Vec<Rows> = straps.rows.iter().map(|row| Rows::of(ctx, r, (*row, ONE), &taut)).collect();
    let mut proofs: BTreeMap<SlackSet, Proof> = BTreeMap::new();
    let mut place =
        Placing { ctx, failure, tree, field, straps: &straps, linear: &linear, proofs: &mut proofs };
    place.node(0, &mut out.0);
    out
}

struct Placing<'a> {
    ctx: &'a Context<'a>,
    failure: &'a Failure,
    tree: &'a Tree,
    field: &'a Field<'a>,
    straps: &'a Straps,
    linear: &'a [Rows],
    proofs: &'a mut BTreeMap<SlackSet, Proof>,
}

impl Placing<'_> {
    fn node(&mut self, at: usize, out: &mut BTreeMap<usize, Sets>) {
        let node = &self.tree.nodes[at];
        if self.linear.iter().all(|row| row.span(node, self.tree.wind).0[0] >= -TAUT_TOL_N) {
            out.insert(at, vec![(0, ALL)]);
            return;
        }
        let linear: Vec<f64> =
            self.linear.iter().map(|row| row.single_value(&node.middle, self.tree.wind)).collect();
        let set = self.straps.slack(&linear);
        if set != UNKNOWN && set != 0 && self.whole(set, node) {
            out.insert(at, vec![(set, ALL)]);
            return;
        }
        let mut sets: Sets = Vec::new();
        let mut note = |set: SlackSet, mask: u32| match sets.iter_mut().find(|(s, _)| *s == set) {
            Some((_, m)) => *m |= mask,
            None => sets.push((set, mask)),
        };
        if let Some(halves) = node.halves {
            for half in halves {
                self.node(half, out);
                out.get(&half).into_iter().flatten().for_each(|(set, _)| note(*set, 0));
            }
        } else {
            let mut tension = vec![[[0.0; LEAF]; ROWS]; self.linear.len()];
            let leaf = &self.tree.leaves[node.leaf];
            let terms = leaf.terms(self.field);
            for (row, t) in self.linear.iter().zip(&mut tension) {
                row.values(self.tree.wind, (leaf.count, terms), t);
            }
            for k in 0..leaf.count {
                let linear: Vec<f64> = tension.iter().map(|t| t[0][k]).collect();
                note(self.straps.slack(&linear), 1 << k);
            }
        }
        out.insert(at, sets);
    }

    /// Does every state of a box have this set, with room to spare?
    fn whole(&mut self, set: SlackSet, node: &Node) -> bool {
        let (ctx, failure, straps) = (self.ctx, self.failure, self.straps);
        let proof = self.proofs.entry(set).or_insert_with(|| {
            let slack = Slackness::of(ctx, failure, set);
            let taut = match &failure.responses {
                Ok(r) => (0..straps.rows.len())
                    .filter(|i| !slack.members.contains(i))
                    // A strap that is lost has no tension at all, which is as taut as it gets.
                    .filter(|i| r.row(straps.rows[*i]).iter().any(|v| *v != 0.0))
                    .map(|i| Rows::of(ctx, r, (straps.rows[i], ONE), &slack))
                    .collect(),
                Err(_) => Vec::new(),
            };
            Proof { fitted: slack.rows(ctx.columns.winds), taut }
        });
        let clear = |rows: &[Rows]| rows.iter().all(|r| r.span(node, self.tree.wind).0[0] >= CLEAR_N);
        clear(&proof.fitted) && clear(&proof.taut)
    }
}
