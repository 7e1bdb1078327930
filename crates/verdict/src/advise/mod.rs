//! What would help: each thing that a technician can change, changed alone and everything worked out again.
//!
//! No slope is drawn from one state: every change gives a rig of its own, whose findings are those that [`crate::verdict`] would
//! come to at nominal values. mechanics.md §9.5.

use crate::context::Context;
use crate::fault::Fault;
use crate::finding::{Finding, Need, Outcome};
use crate::verdict::{Options, nominal, nominal_of};
use core::sync::atomic::{AtomicU64, Ordering};
use rayon::prelude::*;
use rig::model::Rig;
use rig::policy::CheckId;

mod cups;
mod driving;
mod fixings;
mod grid;
mod words;

/// A margin that moves by less than this, or by less than this share of it, has not moved: two decimals are shown.
const SAME: f64 = 0.005;

/// One thing changed.
#[derive(Clone, Debug)]
pub struct Change {
    /// What to do, with its size in both systems.
    pub what: String,
    /// What to mind, or empty.
    pub caution: &'static str,
    /// The rig with it done.
    pub rig: Rig,
}

impl Change {
    pub(crate) fn new(what: String, caution: &'static str, rig: Rig) -> Self {
        Self { what, caution, rig }
    }
}

/// What a change does.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// What to do, with its size.
    pub what: String,
    /// What to mind, or empty.
    pub caution: &'static str,
    /// Least margin of the check that advice is asked for; infinite where it then holds without a number.
    pub margin: f64,
    /// What becomes of the rest; only worked out for a change that helps.
    pub whole: Option<Whole>,
}

/// The whole rig after a change.
#[derive(Clone, Debug, PartialEq)]
pub struct Whole {
    /// Its least margin.
    pub least: f64,
    /// The check that has it.
    pub governs: CheckId,
    /// Nothing fails at nominal values.
    pub holds: bool,
    /// Other checks that fail with it: that held before, or that are now under what was the least.
    pub breaks: Vec<CheckId>,
}

impl Tried {
    /// It makes something else fail.
    pub fn breaks(&self) -> bool {
        self.whole.as_ref().is_some_and(|w| !w.breaks.is_empty())
    }
}

/// What would help, and what would not.
#[derive(Clone, Debug)]
pub struct Advice {
    /// The finding with the least margin, of the whole rig or of the check asked for; none where no margin has an end.
    pub target: Option<Finding>,
    /// The rig has something that the check looks at.
    pub applies: bool,
    /// Least margin of the whole rig now, and its check.
    pub least: (f64, CheckId),
    /// The least margin among the other checks than the target's, and its check.
    pub next: (f64, CheckId),
    /// Nothing fails at nominal values now.
    pub holds: bool,
    /// What is missing, so that no margin is known: to be measured first. With a check asked for, only what it lacks.
    pub missing: Vec<Need>,
    /// Changes that raise the margin: first those that break nothing else, the most gain first.
    pub helps: Vec<Tried>,
    /// Changes that do not move it.
    pub idle: Vec<Tried>,
    /// Changes that lower it, the worst first.
    pub worse: Vec<Tried>,
    /// Changes whose rig could not be computed.
    pub refused: usize,
}

/// All changes that apply to a rig and fit on it; some aim at one finding (its manoeuvre, its tube).
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn changes(rig: &Rig, target: &Finding, options: &Options<'_>) -> Result<Vec<Change>, Fault> {
    let ctx = Context::new(rig, options.build)?;
    let mut out = fixings::surface(rig);
    out.extend(fixings::vacuum(&ctx));
    out.extend(cups::moves(rig));
    out.extend(cups::more(rig));
    out.extend(grid::slides(rig));
    out.extend(grid::lower(rig));
    out.extend(grid::tubes(rig, target));
    out.extend(fixings::straps(rig));
    out.extend(fixings::clamps(rig));
    out.extend(driving::arm(rig));
    out.extend(driving::masses(rig));
    out.extend(driving::manoeuvres(&ctx, target));
    Ok(out)
}

/// Least margin and its check; infinite where nothing has a margin.
fn least<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> (f64, CheckId) {
    findings
        .into_iter()
        .filter_map(|f| Some((f.margin?, f.check)))
        .fold((f64::INFINITY, CheckId::Stable), |a, b| if b.0 < a.0 { b } else { a })
}

/// Checks that fail, each once.
fn failing(findings: &[Finding]) -> Vec<CheckId> {
    let mut out: Vec<CheckId> =
        findings.iter().filter(|f| f.outcome == Outcome::Fails).map(|f| f.check).collect();
    out.sort();
    out.dedup();
    out
}

fn missing(findings: &[Finding], check: Option<CheckId>) -> Vec<Need> {
    let mut out: Vec<Need> = Vec::new();
    for f in findings.iter().filter(|f| check.is_none_or(|c| f.check == c)) {
        if let Outcome::NotChecked(need) = &f.outcome
            && !out.contains(need)
        {
            out.push(need.clone());
        }
    }
    out
}

/// Advice on the check with the least margin, or on one check. The tick of the options is told changes done and in all.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn advise(rig: &Rig, check: Option<CheckId>, options: &Options<'_>) -> Result<Advice, Fault> {
    let quiet = Options { tick: &|_, _| {}, ..*options };
    let now = nominal(rig, &quiet)?;
    let of = |f: &&Finding| check.is_none_or(|c| f.check == c);
    let target = now
        .iter()
        .filter(of)
        .filter(|f| f.margin.is_some_and(f64::is_finite))
        .min_by(|a, b| a.margin.unwrap_or(0.0).total_cmp(&b.margin.unwrap_or(0.0)))
        .cloned();
    let mut advice = Advice {
        least: least(&now),
        next: least(now.iter().filter(|f| target.as_ref().is_none_or(|t| f.check != t.check))),
        holds: failing(&now).is_empty(),
        applies: now.iter().any(|f| check.is_none_or(|c| f.check == c)),
        missing: missing(&now, check),
        target: target.clone(),
        helps: Vec::new(),
        idle: Vec::new(),
        worse: Vec::new(),
        refused: 0,
    };
    let Some(target) = target else { return Ok(advice) };
    let list = changes(rig, &target, &quiet)?;
    let (all, done) = (list.len() as u64, AtomicU64::new(0));
    (options.tick)(0, all);
    let before = failing(&now);
    let margin = target.margin.unwrap_or(0.0);
    let moved = |to: f64| (to - margin).abs() > SAME * margin.max(1.0);
    let tried: Vec<Result<Tried, Fault>> = list
        .into_par_iter()
        .map(|change| {
            // First its own check; the rest is asked only about what helps.
            let own = nominal_of(&change.rig, &quiet, target.check).map(|f| least(&f).0);
            let all_of_it = match own {
                Ok(own) if own > margin && moved(own) => Some(nominal(&change.rig, &quiet)),
                _ => None,
            };
            (options.tick)(done.fetch_add(1, Ordering::Relaxed) + 1, all);
            let whole = all_of_it.transpose()?.map(|after| {
                let (whole, failing) = (least(&after), failing(&after));
                let under =
                    |c: &CheckId| least(after.iter().filter(|f| f.check == *c)).0 < advice.least.0 - SAME;
                let holds = failing.is_empty();
                let breaks = failing.into_iter().filter(|c| *c != target.check);
                let breaks = breaks.filter(|c| !before.contains(c) || under(c)).collect();
                Whole { least: whole.0, governs: whole.1, holds, breaks }
            });
            Ok(Tried { what: change.what, caution: change.caution, margin: own?, whole })
        })
        .collect();
    for t in tried {
        match t {
            Err(_) => advice.refused += 1,
            Ok(t) if !moved(t.margin) => advice.idle.push(t),
            Ok(t) if t.margin > margin => advice.helps.push(t),
            Ok(t) => advice.worse.push(t),
        }
    }
    // Rounding must not choose between changes that are alike: six digits count.
    let coarse = |m: f64| if m.is_finite() { (m * 1e6).round() } else { m };
    let rank = |t: &Tried| (coarse(t.margin), coarse(t.whole.as_ref().map_or(0.0, |w| w.least)));
    let best_first = |a: &Tried, b: &Tried| {
        let (x, y) = (rank(a), rank(b));
        y.0.total_cmp(&x.0).then(y.1.total_cmp(&x.1))
    };
    advice.helps.sort_by(|a, b| a.breaks().cmp(&b.breaks()).then(best_first(a, b)));
    advice.worse.sort_by(|a, b| best_first(b, a));
    Ok(advice)
}

#[cfg(test)]
mod tests;
