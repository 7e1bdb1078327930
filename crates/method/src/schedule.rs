//! Steps on a clock: the critical path, and what a crew of so many gets done by when.

use crate::graph::Method;
use std::cmp::Ordering;

/// When a step is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Task {
    /// The step's place in the order.
    pub step: usize,
    /// It begins, minutes from the start.
    pub begins: f64,
    /// It ends.
    pub ends: f64,
}

/// Every step with its times.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    /// In the order in which they begin.
    pub tasks: Vec<Task>,
    /// The end of the last, minutes.
    pub minutes: f64,
    /// Steps that take more people than there are; they are given all there are.
    pub short: Vec<usize>,
}

/// Minutes of a step; what is no time is none.
fn minutes(method: &Method, step: usize) -> f64 {
    let m = method.steps[step].minutes;
    if m.is_finite() && m > 0.0 { m } else { 0.0 }
}

/// Earliest end of each step with hands enough for everything, and the time from each step's start to the very end.
fn spans(method: &Method) -> (Vec<f64>, Vec<f64>) {
    let n = method.steps.len();
    let mut ends = vec![0.0; n];
    for step in 0..n {
        let begins = method.before[step].iter().map(|b| ends[*b]).fold(0.0, f64::max);
        ends[step] = begins + minutes(method, step);
    }
    let mut tail = vec![0.0_f64; n];
    for step in (0..n).rev() {
        tail[step] += minutes(method, step);
        for b in &method.before[step] {
            tail[*b] = tail[*b].max(tail[step]);
        }
    }
    (ends, tail)
}

/// The longest chain of steps, and how long it takes, minutes: no crew is faster than that.
///
/// The critical path method (Kelley and Walker 1959): earliest ends forward, the longest chain back. `docs/mechanics.md` 18.1.
pub fn critical_path(method: &Method) -> (Vec<usize>, f64) {
    let (ends, _) = spans(method);
    // Of equals the first.
    let longest = |steps: &mut dyn Iterator<Item = usize>| {
        steps.fold(None, |best: Option<usize>, s| match best {
            Some(b) if ends[b].total_cmp(&ends[s]) != Ordering::Less => Some(b),
            _ => Some(s),
        })
    };
    let mut path = Vec::new();
    let mut at = longest(&mut (0..method.steps.len()));
    let whole = at.map_or(0.0, |s| ends[s]);
    while let Some(step) = at {
        path.push(step);
        at = longest(&mut method.before[step].iter().copied());
    }
    path.reverse();
    (path, whole)
}

/// A timetable for `crew` people: of the steps that may begin, always the one with the longest way to the end.
///
/// A rule of thumb for scarce hands (list scheduling; the best order is a hard problem): never shorter than the critical path or
/// than all work shared out evenly, and never longer than one step after another.
pub fn schedule(method: &Method, crew: usize) -> Schedule {
    let crew = crew.max(1);
    let n = method.steps.len();
    let (_, tail) = spans(method);
    let needs = |s: usize| method.steps[s].people.clamp(1, crew);
    let short = (0..n).filter(|s| method.steps[*s].people > crew).collect();
    let mut waits: Vec<usize> = method.before.iter().map(Vec::len).collect();
    let after = method.after();
    let mut ready: Vec<usize> = (0..n).filter(|s| waits[*s] == 0).collect();
    let mut running: Vec<Task> = Vec::new();
    let mut tasks = Vec::with_capacity(n);
    let (mut now, mut free) = (0.0_f64, crew);
    loop {
        ready.sort_by(|a, b| tail[*b].total_cmp(&tail[*a]).then(a.cmp(b)));
        let mut later = Vec::new();
        for step in ready {
            if needs(step) <= free {
                free -= needs(step);
                let task = Task { step, begins: now, ends: now + minutes(method, step) };
                running.push(task);
                tasks.push(task);
            } else {
                later.push(step);
            }
        }
        ready = later;
        let Some(next) = running.iter().map(|t| t.ends).min_by(f64::total_cmp) else { break };
        now = next;
        let (done, still): (Vec<Task>, Vec<Task>) = running.into_iter().partition(|t| t.ends <= now);
        running = still;
        for task in done {
            free += needs(task.step);
            for s in &after[task.step] {
                waits[*s] -= 1;
                if waits[*s] == 0 {
                    ready.push(*s);
                }
            }
        }
    }
    Schedule { tasks, minutes: now, short }
}
