//! Single states, reckoned the plain way: `u`, then `R u`.

use super::{Pair, Sweep, Worst, readers};
use crate::check::{Source, Swept, utilisation};
use crate::context::{ArmActions, Context};
use crate::state::StateId;
use rayon::prelude::*;

/// The numbers of a source in one state, by the plain way: `u`, then `R u`; not numbers where there is no answer.
pub fn numbers(ctx: &Context<'_>, source: Source, state: &StateId) -> [f64; 6] {
    let (u, arm) = ctx.action_of(state);
    numbers_from(ctx, source, state, &u, &arm).unwrap_or([f64::NAN; 6])
}

/// Every distinct worst state of a sweep.
pub fn pool(pairs: &[Vec<Pair>]) -> Vec<StateId> {
    let mut out: Vec<StateId> = Vec::new();
    for worst in pairs.iter().flatten().flat_map(|p| [p.intact, p.lost]).flatten() {
        if !out.contains(&worst.state) {
            out.push(worst.state);
        }
    }
    out
}

/// Runs every check over a few known states only, each check's items in all of them.
pub fn at_states(ctx: &Context<'_>, checks: &[Box<dyn Swept>], states: &[StateId]) -> Sweep {
    let readers = readers(checks);
    let none =
        || -> Vec<Vec<Pair>> { checks.iter().map(|c| vec![Pair::default(); c.items().len()]).collect() };
    let look = |mut t: Vec<Vec<Pair>>, state: &StateId| {
        let lost = ctx.failures[state.failure].lost;
        let (u, arm) = ctx.action_of(state);
        for (source, who) in &readers {
            let Some(r) = numbers_from(ctx, *source, state, &u, &arm) else { continue };
            for (c, i) in who {
                let item = &checks[*c].items()[*i];
                let sweeps_failures = matches!(source, Source::Rows { .. });
                if lost.is_some_and(|l| l == item.part) || (state.failure > 0 && !sweeps_failures) {
                    continue;
                }
                let (demand, capacity) = checks[*c].demand_capacity(item, &r);
                t[*c][*i].offer(Worst { utilisation: utilisation(demand, capacity), state: *state });
            }
        }
        t
    };
    let sum = |pairs: Vec<Vec<Pair>>| Sweep { pairs, states: 0 };
    let found = states.par_iter().fold(none, look).map(sum).reduce(|| sum(none()), Sweep::with);
    Sweep { states: states.len() as u64, ..found }
}

/// The numbers of a source from a state's `u` and arm actions; `None` where the failure has no responses.
fn numbers_from(
    ctx: &Context<'_>,
    source: Source,
    state: &StateId,
    u: &[f64],
    arm: &ArmActions,
) -> Option<[f64; 6]> {
    let mut out = [0.0; 6];
    match source {
        Source::Cut(k) => return Some(ctx.cut_forces(k, state)),
        Source::PanTorque => out[0] = arm.pan_torque,
        Source::TiltTorque => out[0] = arm.tilt_torque,
        Source::Rows { start, len } => {
            let r = ctx.failures.get(state.failure)?.responses.as_ref().ok()?;
            for (k, v) in out.iter_mut().enumerate().take(len) {
                *v = r.row(start + k).iter().zip(u).map(|(a, b)| a * b).sum();
            }
        }
    }
    Some(out)
}
