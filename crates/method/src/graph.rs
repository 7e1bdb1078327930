//! Steps in an order: what comes before what, and that it can be done at all.

use crate::draft::Drawn;
use crate::fault::Fault;
use crate::step::Step;
use crate::{house, work};
use petgraph::algo::tarjan_scc;
use petgraph::graph::DiGraph;
use rig::Rig;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

/// The order of work of a rig.
#[derive(Clone, Debug, PartialEq)]
pub struct Method {
    /// Steps in an order in which they can be done.
    pub steps: Vec<Step>,
    /// For each step the steps right before it, as places in `steps`; each is smaller than the step's own place.
    pub before: Vec<Vec<usize>>,
}

impl Method {
    /// The order of work of a rig, with the person's own steps and rules.
    ///
    /// # Errors
    ///
    /// Every [`Fault`] at once: a circle, a name that is no step, two steps of one name, a step left out that must stay.
    pub fn of(rig: &Rig) -> Result<Self, Vec<Fault>> {
        let (drawn, faults) = house::with(work::of(rig).steps, &rig.house);
        if faults.is_empty() { ordered(drawn) } else { Err(faults) }
    }

    /// The place of a step by its name, whatever the case of its letters.
    pub fn find(&self, name: &str) -> Option<usize> {
        let same = |s: &Step| s.name == name;
        let like = |s: &Step| s.name.eq_ignore_ascii_case(name.trim());
        self.steps.iter().position(same).or_else(|| self.steps.iter().position(like))
    }

    /// Which steps wait for each step, right after it.
    pub fn after(&self) -> Vec<Vec<usize>> {
        let mut out = vec![Vec::new(); self.steps.len()];
        for (step, before) in self.before.iter().enumerate() {
            for b in before {
                out[*b].push(step);
            }
        }
        out
    }

    /// All steps that come before a step, near and far, in order.
    pub fn all_before(&self, step: usize) -> BTreeSet<usize> {
        let mut all = BTreeSet::new();
        let mut todo: Vec<usize> = self.before.get(step).cloned().unwrap_or_default();
        while let Some(step) = todo.pop() {
            if all.insert(step) {
                todo.extend(&self.before[step]);
            }
        }
        all
    }

    /// Whether `first` is done before `then` in every order that the steps allow.
    pub fn precedes(&self, first: usize, then: usize) -> bool {
        self.all_before(then).contains(&first)
    }
}

/// Puts steps into an order: of those that may be next always the one that was drawn first.
pub(crate) fn ordered(drawn: Vec<Drawn>) -> Result<Method, Vec<Fault>> {
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    let mut faults = Vec::new();
    for (i, d) in drawn.iter().enumerate() {
        if places.insert(&d.step.name, i).is_some() {
            faults.push(Fault::Twice(d.step.name.clone()));
        }
    }
    let mut before: Vec<Vec<usize>> = Vec::with_capacity(drawn.len());
    for d in &drawn {
        let mut these = Vec::new();
        for name in &d.after {
            match places.get(name.as_str()) {
                Some(place) => these.push(*place),
                None => faults.push(Fault::Unknown {
                    by: format!("\"{}\"", d.step.name),
                    name: name.clone(),
                    meant: None,
                }),
            }
        }
        these.sort_unstable();
        these.dedup();
        before.push(these);
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    faults.extend(circles(&drawn, &before));
    if !faults.is_empty() {
        return Err(faults);
    }
    let order = order(&before);
    let before = direct(before, &order);
    let mut place = vec![0; order.len()];
    order.iter().enumerate().for_each(|(new, old)| place[*old] = new);
    let mut steps: Vec<Option<Step>> = drawn.into_iter().map(|d| Some(d.step)).collect();
    let sorted = |old: &usize| {
        let mut new: Vec<usize> = before[*old].iter().map(|b| place[*b]).collect();
        new.sort_unstable();
        new
    };
    Ok(Method {
        before: order.iter().map(sorted).collect(),
        steps: order.iter().filter_map(|old| steps[*old].take()).collect(),
    })
}

/// Every knot of steps that wait for each other, as one circle through it.
fn circles(drawn: &[Drawn], before: &[Vec<usize>]) -> Vec<Fault> {
    let mut graph: DiGraph<(), ()> = DiGraph::new();
    let nodes: Vec<_> = drawn.iter().map(|_| graph.add_node(())).collect();
    for (step, before) in before.iter().enumerate() {
        for b in before {
            graph.add_edge(nodes[*b], nodes[step], ());
        }
    }
    let knots = tarjan_scc(&graph).into_iter();
    let knots = knots.map(|k| k.into_iter().map(petgraph::graph::NodeIndex::index).collect::<Vec<_>>());
    knots
        .filter(|k| k.len() > 1 || k.first().is_some_and(|s| before[*s].contains(s)))
        .map(|knot| {
            Fault::Circle(circle(&knot, before).into_iter().map(|s| drawn[s].step.name.clone()).collect())
        })
        .collect()
}

/// A walk back through a knot until it meets itself, in the order of the work.
fn circle(knot: &[usize], before: &[Vec<usize>]) -> Vec<usize> {
    let mut walk: Vec<usize> = knot.iter().min().copied().into_iter().collect();
    while let Some(next) = walk.last().and_then(|at| before[*at].iter().find(|b| knot.contains(b))) {
        if let Some(met) = walk.iter().position(|w| w == next) {
            walk.drain(..met);
            break;
        }
        walk.push(*next);
    }
    walk.reverse();
    walk
}

/// Without what is said twice: a step that comes before another one of the same list.
fn direct(mut before: Vec<Vec<usize>>, order: &[usize]) -> Vec<Vec<usize>> {
    // All that comes before each step, near or far.
    let mut far: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); before.len()];
    for step in order {
        let near = before[*step].clone();
        before[*step].retain(|b| !near.iter().any(|other| far[*other].contains(b)));
        let mut all: BTreeSet<usize> = near.iter().copied().collect();
        for b in &near {
            all.extend(&far[*b]);
        }
        far[*step] = all;
    }
    before
}

/// An order without circles, the earliest drawn first where it is free.
fn order(before: &[Vec<usize>]) -> Vec<usize> {
    let mut waits: Vec<usize> = before.iter().map(Vec::len).collect();
    let mut after = vec![Vec::new(); before.len()];
    for (step, before) in before.iter().enumerate() {
        for b in before {
            after[*b].push(step);
        }
    }
    let free = waits.iter().enumerate().filter(|(_, n)| **n == 0).map(|(s, _)| Reverse(s));
    let mut free: BinaryHeap<Reverse<usize>> = free.collect();
    let mut out = Vec::with_capacity(before.len());
    while let Some(Reverse(step)) = free.pop() {
        out.push(step);
        for next in &after[step] {
            waits[*next] -= 1;
            if waits[*next] == 0 {
                free.push(Reverse(*next));
            }
        }
    }
    out
}
