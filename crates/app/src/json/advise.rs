//! What `advise --json` prints.

use super::finding::{Found, Missing};
use crate::print::advice::WARNING;
use rig::Rig;
use rig::policy::CheckRow;
use serde::Serialize;
use verdict::advise::{Advice, Tried};

/// What would help.
#[derive(Debug, Serialize)]
pub(crate) struct Advise {
    rig: String,
    /// The check asked for; `null` where it is the one with the least margin.
    asked: Option<&'static str>,
    /// The finding that the margins below are of.
    target: Option<Found>,
    least_margin: Option<f64>,
    least_check: &'static str,
    /// The check with the least margin besides the target's.
    next_check: Option<&'static str>,
    next_margin: Option<f64>,
    /// Nothing fails at the typical values of what is assumed.
    nothing_fails: bool,
    missing: Vec<Missing>,
    /// Best first; those that make something else fail come last.
    helps: Vec<Change>,
    no_effect: Vec<Change>,
    /// Worst first.
    worse: Vec<Change>,
    could_not_be_computed: usize,
    warning: &'static str,
}

#[derive(Debug, Serialize)]
struct Change {
    what: String,
    caution: &'static str,
    /// `null` where the check then holds without a number.
    margin: Option<f64>,
    /// The rest of the rig; `null` for a change that does not help.
    whole_rig: Option<Rest>,
}

#[derive(Debug, Serialize)]
struct Rest {
    least_margin: Option<f64>,
    least_check: &'static str,
    nothing_fails: bool,
    /// Other checks that fail with it: that held before, or that are now under what was the least.
    breaks: Vec<&'static str>,
}

fn finite(m: f64) -> Option<f64> {
    m.is_finite().then_some(m)
}

impl Advise {
    pub(crate) fn of(rig: &Rig, asked: Option<&CheckRow>, a: &Advice) -> Self {
        let changes = |list: &[Tried]| list.iter().map(Change::of).collect();
        Self {
            rig: rig.name.clone(),
            asked: asked.map(|c| c.name),
            target: a.target.as_ref().map(|f| Found::of(rig, f)),
            least_margin: finite(a.least.0),
            least_check: a.least.1.row().name,
            next_check: finite(a.next.0).map(|_| a.next.1.row().name),
            next_margin: finite(a.next.0),
            nothing_fails: a.holds,
            missing: a.missing.iter().map(Missing::of).collect(),
            helps: changes(&a.helps),
            no_effect: changes(&a.idle),
            worse: changes(&a.worse),
            could_not_be_computed: a.refused,
            warning: WARNING,
        }
    }
}

impl Change {
    fn of(t: &Tried) -> Self {
        Self {
            what: t.what.clone(),
            caution: t.caution,
            margin: finite(t.margin),
            whole_rig: t.whole.as_ref().map(|w| Rest {
                least_margin: finite(w.least),
                least_check: w.governs.row().name,
                nothing_fails: w.holds,
                breaks: w.breaks.iter().map(|c| c.row().name).collect(),
            }),
        }
    }
}
