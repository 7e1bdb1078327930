//! Single states, reckoned the plain way: `u`, then `R u`.

use super::{Pair, Sweep, Worst, readers};
use crate::check::{Source, Swept, utilisation};
use crate::context::{ArmActions, AtPose, Context};
use crate::state::StateId;
use rayon::prelude::*;
use std::collections::HashMap;

/// The numbers of a source in one state, by the plain way: `u`, then `R u`; not numbers where there is no answer.
pub fn numbers(ctx: &Context<'_>, source: Source, state: &StateId) -> [f64; 6] {
    Near::default().numbers(ctx, source, state)
}

/// A pose, bit for bit.
type PoseBits = [u64; 2];

/// Failure, drive and motion, and the pose.
type StateBits = ([usize; 3], PoseBits);

/// States that are asked again and again, as a search that closes in on many things does.
#[derive(Default)]
pub(super) struct Near {
    poses: HashMap<PoseBits, Option<Box<AtPose>>>,
    actions: HashMap<StateBits, (Vec<f64>, ArmActions)>,
    cuts: HashMap<(usize, PoseBits), Option<Box<AtPose>>>,
}

impl Near {
    /// As [`numbers`], bit for bit.
    pub(super) fn numbers(&mut self, ctx: &Context<'_>, source: Source, state: &StateId) -> [f64; 6] {
        let lost = [f64::NAN; 6];
        let pose = [state.pose.pan_rad.to_bits(), state.pose.elevation_rad.to_bits()];
        if let Source::Cut(k) = source {
            let Some(cut) = ctx.arm.as_ref().and_then(|a| a.cuts.get(k)) else { return [0.0; 6] };
            let at = self
                .cuts
                .entry((k, pose))
                .or_insert_with(|| AtPose::of(&cut.beyond, state.pose).map(Box::new));
            return at.as_ref().map_or(lost, |at| ctx.cut_from(cut, at, state));
        }
        let what = ([state.failure, state.drive, state.motion], pose);
        let (u, arm) = self.actions.entry(what).or_insert_with(|| {
            let at = self.poses.entry(pose).or_insert_with(|| {
                ctx.arm.as_ref().and_then(|arm| AtPose::of(&arm.chain, state.pose).map(Box::new))
            });
            ctx.action_from(state, at.as_deref())
        });
        numbers_from(ctx, source, state, u, arm).unwrap_or(lost)
    }
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
    judged(ctx, checks, states, |_, state| {
        let (u, arm) = ctx.action_of(state);
        move |_, source| numbers_from(ctx, source, state, &u, &arm)
    })
}

/// What every check reads in some states.
pub(crate) struct Numbers {
    sources: Vec<Source>,
    states: Vec<Vec<Option<[f64; 6]>>>,
}

/// Reads it, for those to whom nothing else is different than what it is held against.
pub(crate) fn numbers_at(ctx: &Context<'_>, checks: &[Box<dyn Swept>], states: &[StateId]) -> Numbers {
    let sources: Vec<Source> = readers(checks).into_keys().collect();
    let of = |state: &StateId| {
        let (u, arm) = ctx.action_of(state);
        sources.iter().map(|source| numbers_from(ctx, *source, state, &u, &arm)).collect()
    };
    let states = states.par_iter().map(of).collect();
    Numbers { sources, states }
}

/// [`at_states`] with numbers that were read in these states before; reckoned anew where other things are read.
pub(crate) fn at_known(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    states: &[StateId],
    numbers: &Numbers,
) -> Sweep {
    if !readers(checks).keys().eq(&numbers.sources) || states.len() != numbers.states.len() {
        return at_states(ctx, checks, states);
    }
    judged(ctx, checks, states, |k, _| {
        let of = &numbers.states[k];
        move |reader, _| of[reader]
    })
}

/// Every check in some states; `numbers` gives for the state at a place what a source reads there.
fn judged<'s, N: Fn(usize, Source) -> Option<[f64; 6]>>(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    states: &'s [StateId],
    numbers: impl Fn(usize, &'s StateId) -> N + Sync,
) -> Sweep {
    let readers = readers(checks);
    let none =
        || -> Vec<Vec<Pair>> { checks.iter().map(|c| vec![Pair::default(); c.items().len()]).collect() };
    let look = |mut t: Vec<Vec<Pair>>, (k, state): (usize, &'s StateId)| {
        let lost = ctx.failures[state.failure].lost;
        let of = numbers(k, state);
        for (reader, (source, who)) in readers.iter().enumerate() {
            let Some(r) = of(reader, *source) else { continue };
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
    let found = states.par_iter().enumerate().fold(none, look).map(sum).reduce(|| sum(none()), Sweep::with);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::swept;
    use crate::context::Resolution;
    use crate::sweep::sweep;
    use crate::testing::{context, rig};

    #[test]
    fn what_is_kept_of_a_pose_or_a_state_gives_the_same_numbers_bit_for_bit() {
        let rig = rig();
        let ctx = context(&rig);
        let checks = swept(&ctx);
        let states = pool(&sweep(&ctx, &checks, Resolution::wide(), &|_| {}).pairs);
        let sources: Vec<Source> = readers(&checks).into_keys().collect();
        assert!(sources.iter().any(|s| matches!(s, Source::Cut(_))), "the boom has cuts");
        let mut near = Near::default();
        for state in states.iter().chain(&states) {
            let (u, arm) = ctx.action_of(state);
            for source in &sources {
                let plain = numbers_from(&ctx, *source, state, &u, &arm).unwrap_or([f64::NAN; 6]);
                let kept = near.numbers(&ctx, *source, state);
                assert_eq!(kept.map(f64::to_bits), plain.map(f64::to_bits), "{source:?} in {state:?}");
            }
        }
    }

    #[test]
    fn numbers_read_once_are_judged_as_those_read_anew() {
        let rig = rig();
        let ctx = context(&rig);
        let checks = swept(&ctx);
        let states = pool(&sweep(&ctx, &checks, Resolution::wide(), &|_| {}).pairs);
        let numbers = numbers_at(&ctx, &checks, &states);
        let mut other = rig.clone();
        other.panels.iter_mut().for_each(|p| p.friction.value *= 0.5);
        let judged = ctx.judged_by(&other);
        let others = swept(&judged);
        let anew = at_states(&judged, &others, &states);
        assert_eq!(at_known(&judged, &others, &states, &numbers).pairs, anew.pairs);
        assert_ne!(at_states(&ctx, &checks, &states).pairs, anew.pairs, "friction is in the answer");
        // Numbers of other states are no answer to these.
        let fewer = &states[1..];
        assert_eq!(
            at_known(&judged, &others, fewer, &numbers).pairs,
            at_states(&judged, &others, fewer).pairs
        );
    }
}
