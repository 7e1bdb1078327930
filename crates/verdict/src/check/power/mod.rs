//! Checks of the electrical side: they need the rig alone, no frame and no states.

mod battery;
pub(crate) mod cable;
mod run_time;
mod voltage;

pub(crate) use run_time::run_time;
pub(crate) use voltage::{lowest, voltage};

use crate::finding::{Finding, Need, Outcome};
use crate::parts::PartRef;
use crate::power::Plan;
use mechanics::power::PowerError;
use quantity::Kind;
use rig::model::Rig;
use rig::policy::CheckId;

/// A fact that is missing of a thing, by its table and key.
pub(super) fn lacks(table: &str, tag: &str, what: &str, key: &str, settle: &str) -> Need {
    Need {
        what: format!("{what} of {table} {tag}"),
        key: format!("{table}.{tag}.{key}"),
        settle: settle.to_owned(),
    }
}

/// The plan, or the one finding that says why there is none.
pub(super) fn plan(rig: &Rig, check: CheckId) -> Result<Option<Plan<'_>>, Vec<Finding>> {
    match Plan::of(rig) {
        None => Ok(None),
        Some(Ok(plan)) => Ok(Some(plan)),
        Some(Err(need)) => Err(vec![Finding::not_checked(check, PartRef::Rig, need)]),
    }
}

/// A check that a value out of range stops.
pub(super) fn refused(check: CheckId, part: PartRef, why: &PowerError) -> Finding {
    let need = Need {
        what: why.to_string(),
        key: String::new(),
        settle: "measure it and state it in the file".to_owned(),
    };
    Finding::not_checked(check, part, need)
}

/// A finding under the policy's factor.
pub(super) fn found(
    rig: &Rig,
    (check, part): (CheckId, PartRef),
    kind: Kind,
    demand: f64,
    capacity: f64,
) -> Finding {
    Finding::of(check, part, kind, rig.policy.factors(check).intact, demand, capacity)
}

/// Of one part: what fails, what is not known, and else the one with the least margin.
pub(super) fn worst(all: Vec<Finding>) -> Vec<Finding> {
    let margin = |f: &Finding| f.margin.unwrap_or(f64::INFINITY);
    let mut holding: Vec<Finding> = Vec::new();
    let mut out: Vec<Finding> = Vec::new();
    for f in all {
        if f.outcome == Outcome::Holds { holding.push(f) } else { out.push(f) }
    }
    holding.sort_by(|a, b| margin(a).total_cmp(&margin(b)));
    if out.iter().all(|f| f.outcome == Outcome::Note) {
        out.extend(holding.into_iter().take(1));
    }
    out
}

/// Fuses, cables, plugs, sources and joints against their currents.
pub(crate) fn current(rig: &Rig) -> Vec<Finding> {
    let plan = match plan(rig, CheckId::PowerCurrent) {
        Ok(Some(plan)) => plan,
        Ok(None) => return Vec::new(),
        Err(found) => return found,
    };
    let moments = match cable::Currents::of(&plan) {
        Ok(m) => m,
        Err(e) => return vec![refused(CheckId::PowerCurrent, PartRef::Rig, &e)],
    };
    let sources = battery::sources(rig, &plan, &moments);
    let cables = (0..plan.power.cables.len()).flat_map(|c| worst(cable::check(rig, &plan, &moments, c)));
    let joints = (0..plan.power.batteries.len()).flat_map(|b| worst(battery::joining(rig, b)));
    sources.into_iter().chain(cables).chain(joints).collect()
}
