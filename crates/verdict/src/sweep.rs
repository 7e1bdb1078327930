//! Every swept check over every state.
//!
//! For a fixed failure and instant, everything but the arm's wrench is constant: `r = c + R_W W`. So `c` is folded once for
//! all (instant, motion) pairs, and a pose costs six multiplications a response and state.

use crate::check::{Item, Source, Swept, utilisation};
use crate::context::{ArmActions, Context, Resolution};
use crate::responses::{ARM_COLUMN, Responses};
use crate::slack::Straps;
use crate::state::StateId;
use mechanics::arm::{self, Pose};
use rayon::prelude::*;
use rig::model::ArmUse;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};

/// The worst state of one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// Demand over capacity there.
    pub utilisation: f64,
    /// Where.
    pub state: StateId,
}

/// The worst states of one item of one check: with nothing lost, and with one part lost.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pair {
    /// Nothing lost.
    pub intact: Option<Worst>,
    /// One part lost.
    pub lost: Option<Worst>,
}

/// What a sweep found.
#[derive(Clone, Debug)]
pub struct Sweep {
    /// For each check, for each of its items.
    pub pairs: Vec<Vec<Pair>>,
    /// How many states were looked at.
    pub states: u64,
}

impl Sweep {
    /// The worse of two sweeps of the same checks, item by item.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        let tally = Tally { pairs: self.pairs }.merge(Tally { pairs: other.pairs });
        Self { pairs: tally.pairs, states: self.states + other.states }
    }
}

/// A set of poses with the (drive, motion) pairs that go with each.
struct Group {
    poses: Vec<Pose>,
    instants: Vec<(usize, usize)>,
}

fn groups(ctx: &Context<'_>, resolution: Resolution) -> Vec<Group> {
    let pairs = |parked: bool| -> Vec<(usize, usize)> {
        (0..ctx.actions.drives.len())
            .filter(|d| (ctx.arm_use(*d) == ArmUse::Parked) == parked)
            .flat_map(|d| (0..ctx.motions(d)).map(move |m| (d, m)))
            .collect()
    };
    let roaming = Group { poses: ctx.poses(resolution), instants: pairs(false) };
    let parked = Group { poses: vec![ctx.parked()], instants: pairs(true) };
    [roaming, parked].into_iter().filter(|g| !g.instants.is_empty()).collect()
}

/// How many states a sweep looks at.
pub fn count(ctx: &Context<'_>, resolution: Resolution) -> u64 {
    let failures = ctx.failures.iter().filter(|f| f.responses.is_ok()).count();
    groups(ctx, resolution).iter().map(|g| (g.poses.len() * g.instants.len() * failures) as u64).sum()
}

/// Which items read which source.
type Readers = Vec<(Source, Vec<(usize, usize)>)>;

fn readers(checks: &[Box<dyn Swept>]) -> Readers {
    let mut map: BTreeMap<Source, Vec<(usize, usize)>> = BTreeMap::new();
    for (c, check) in checks.iter().enumerate() {
        for (i, item) in check.items().iter().enumerate().filter(|(_, i)| i.missing.is_none()) {
            map.entry(item.source).or_default().push((c, i));
        }
    }
    map.into_iter().collect()
}

/// `c` of every failure and instant: row-major, rows x instants.
fn fold(ctx: &Context<'_>, group: &Group) -> Vec<Option<Vec<f64>>> {
    ctx.failures
        .iter()
        .map(|f| {
            let r = f.responses.as_ref().ok()?;
            let n = group.instants.len();
            let mut out = vec![0.0; ctx.layout.rows * n];
            for (row, target) in out.chunks_exact_mut(n).enumerate() {
                let k = r.row(row);
                let strands = ctx.taken_up.iter().enumerate();
                let fitted: f64 = strands.map(|(i, p)| k[ctx.columns.strand(i)] * p).sum();
                for (t, (drive, _)) in target.iter_mut().zip(&group.instants) {
                    let d = &ctx.actions.drives[*drive];
                    let b = d.body_force();
                    *t = k[0] * b.x + k[1] * b.y + k[2] * b.z + fitted + k[ctx.columns.wind(d.wind)];
                }
            }
            Some(out)
        })
        .collect()
}

/// Numbers of the arm in one pose for every instant: six of the wrench, two torques, six a cut; each `n` long.
struct ArmBlock {
    wrench: Vec<f64>,
    pan: Vec<f64>,
    tilt: Vec<f64>,
    cuts: Vec<Vec<f64>>,
}

fn arm_block(ctx: &Context<'_>, pose: Pose, instants: &[(usize, usize)]) -> ArmBlock {
    let n = instants.len();
    let mut b =
        ArmBlock { wrench: vec![0.0; 6 * n], pan: vec![0.0; n], tilt: vec![0.0; n], cuts: Vec::new() };
    let Some(arm) = &ctx.arm else { return b };
    if let Ok(basis) = arm::wrench_basis(&arm.chain, pose) {
        for (k, (drive, motion)) in instants.iter().enumerate() {
            let a: ArmActions = ctx.arm_actions(&basis, pose, *drive, *motion);
            for (row, v) in a.wrench.iter().enumerate() {
                b.wrench[row * n + k] = *v;
            }
            b.pan[k] = a.pan_torque;
            b.tilt[k] = a.tilt_torque;
        }
    }
    for cut in &arm.cuts {
        let mut rows = vec![0.0; 6 * n];
        if let Ok(basis) = arm::wrench_basis(&cut.beyond, pose) {
            for (k, (drive, motion)) in instants.iter().enumerate() {
                let state = StateId { failure: 0, drive: *drive, motion: *motion, pose };
                for (row, v) in ctx.cut_from(cut, &basis, &state).iter().enumerate() {
                    rows[row * n + k] = *v;
                }
            }
        }
        b.cuts.push(rows);
    }
    b
}

/// Best so far of every item, in the order of a flat index.
struct Tally {
    pairs: Vec<Vec<Pair>>,
}

impl Tally {
    fn new(checks: &[Box<dyn Swept>]) -> Self {
        Self { pairs: checks.iter().map(|c| vec![Pair::default(); c.items().len()]).collect() }
    }

    fn offer(&mut self, (check, item): (usize, usize), worst: Worst) {
        let pair = &mut self.pairs[check][item];
        let slot = if worst.state.failure == 0 { &mut pair.intact } else { &mut pair.lost };
        if slot.is_none_or(|s| worst.utilisation > s.utilisation) {
            *slot = Some(worst);
        }
    }

    /// The worse of two, the earlier where they are equal.
    fn merge(mut self, later: Self) -> Self {
        for (mine, theirs) in self.pairs.iter_mut().flatten().zip(later.pairs.into_iter().flatten()) {
            for (a, b) in [(&mut mine.intact, theirs.intact), (&mut mine.lost, theirs.lost)] {
                if let Some(w) = b
                    && a.is_none_or(|s| w.utilisation > s.utilisation)
                {
                    *a = Some(w);
                }
            }
        }
        self
    }
}

/// Runs every check over every state at a resolution, then looks more closely around each worst pose.
///
/// `tick` is told how many states have been looked at.
pub fn sweep(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    resolution: Resolution,
    tick: &(dyn Fn(u64) + Sync),
) -> Sweep {
    let readers = readers(checks);
    let done = AtomicU64::new(0);
    let mut tally = Tally::new(checks);
    for group in groups(ctx, resolution) {
        let folded = fold(ctx, &group);
        let solved = folded.iter().flatten().count();
        let found = group
            .poses
            .par_iter()
            .map(|pose| {
                let mut t = Tally::new(checks);
                one_pose(ctx, checks, &readers, (&group, &folded), *pose, &mut t);
                let n = (group.instants.len() * solved) as u64;
                tick(done.fetch_add(n, Ordering::Relaxed) + n);
                t
            })
            .collect::<Vec<_>>();
        tally = found.into_iter().fold(tally, Tally::merge);
    }
    refine(ctx, checks, resolution, &mut tally);
    Sweep { pairs: tally.pairs, states: done.into_inner() }
}

/// `target = constant + sum of six factors x rows`, in one pass: rows and constant are as long as the target.
fn combine(target: &mut [f64], constant: &[f64], factors: &[f64], rows: &[f64]) {
    let n = target.len();
    let mut each = rows.chunks_exact(n.max(1));
    let mut next = || each.next().unwrap_or(constant);
    let (a, b, c, d, e, f) = (next(), next(), next(), next(), next(), next());
    if let [ka, kb, kc, kd, ke, kf, ..] = *factors {
        let (a, b, c) = (&a[..n], &b[..n], &c[..n]);
        let (d, e, f, constant) = (&d[..n], &e[..n], &f[..n], &constant[..n]);
        for (k, t) in target.iter_mut().enumerate() {
            *t = constant[k] + ka * a[k] + kb * b[k] + kc * c[k] + kd * d[k] + ke * e[k] + kf * f[k];
        }
    }
}

/// `target += sum of factors x rows`, each row as long as the target.
fn add(target: &mut [f64], factors: &[f64], rows: &[f64]) {
    for (factor, row) in factors.iter().zip(rows.chunks_exact(target.len().max(1))) {
        for (t, w) in target.iter_mut().zip(row) {
            *t += factor * w;
        }
    }
}

/// What slack straps need fitted in each instant (see [`crate::slack`]), strand by strand; `None` where all stay taut.
fn loose_straps(
    ctx: &Context<'_>,
    constant: &[f64],
    r: &Responses,
    wrench: &[f64],
    n: usize,
) -> Option<Vec<f64>> {
    let straps = Straps::of(ctx, r);
    let mut tension: Vec<Vec<f64>> = Vec::with_capacity(straps.rows.len());
    for row in &straps.rows {
        let mut t = vec![0.0; n];
        combine(&mut t, &constant[row * n..(row + 1) * n], &r.row(*row)[ARM_COLUMN..], wrench);
        tension.push(t);
    }
    let mut out: Option<Vec<f64>> = None;
    for k in 0..n {
        let linear: Vec<f64> = tension.iter().map(|t| t[k]).collect();
        if let Some(p) = straps.besides(&linear) {
            let out = out.get_or_insert_with(|| vec![0.0; straps.rows.len() * n]);
            for (strand, p) in p.iter().enumerate() {
                out[strand * n + k] = *p;
            }
        }
    }
    out
}

fn one_pose(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    readers: &Readers,
    (group, folded): (&Group, &[Option<Vec<f64>>]),
    pose: Pose,
    tally: &mut Tally,
) {
    let n = group.instants.len();
    let block = arm_block(ctx, pose, &group.instants);
    let state = |failure: usize, k: usize| StateId {
        failure,
        drive: group.instants[k].0,
        motion: group.instants[k].1,
        pose,
    };
    let mut buffer = vec![0.0; 6 * n];
    let loose: Vec<Option<Vec<f64>>> = folded
        .iter()
        .zip(&ctx.failures)
        .map(|(constant, f)| {
            loose_straps(ctx, constant.as_deref()?, f.responses.as_ref().ok()?, &block.wrench, n)
        })
        .collect();
    for (source, who) in readers {
        let mut look = |failure: usize, values: &[f64]| {
            let lost = ctx.failures[failure].lost;
            for (c, i) in who {
                let item: &Item = &checks[*c].items()[*i];
                if lost.is_some_and(|l| l == item.part) {
                    continue;
                }
                let (u, k) = checks[*c].worst(item, values, n);
                if u > f64::NEG_INFINITY {
                    tally.offer((*c, *i), Worst { utilisation: u, state: state(failure, k) });
                }
            }
        };
        match source {
            Source::PanTorque => look(0, &block.pan),
            Source::TiltTorque => look(0, &block.tilt),
            Source::Cut(k) => {
                if let Some(rows) = block.cuts.get(*k) {
                    look(0, rows);
                }
            }
            Source::Rows { start, len } => {
                for (failure, constant) in folded.iter().enumerate() {
                    let (Some(constant), Ok(r)) = (constant, &ctx.failures[failure].responses) else {
                        continue;
                    };
                    let values = &mut buffer[..len * n];
                    for (row, target) in values.chunks_exact_mut(n).enumerate() {
                        let at = start + row;
                        combine(
                            target,
                            &constant[at * n..(at + 1) * n],
                            &r.row(at)[ARM_COLUMN..],
                            &block.wrench,
                        );
                        if let Some(p) = &loose[failure] {
                            add(target, &r.row(start + row)[ctx.columns.strand(0)..], p);
                        }
                    }
                    look(failure, values);
                }
            }
        }
    }
}

/// The numbers of a source in one state, by the plain way: `u`, then `R u`; not numbers where there is no answer.
pub fn numbers(ctx: &Context<'_>, source: Source, state: &StateId) -> [f64; 6] {
    let (u, arm) = ctx.action_of(state);
    numbers_from(ctx, source, state, &u, &arm).unwrap_or([f64::NAN; 6])
}

/// Pattern search around each worst pose down to half a degree; only ever finds worse.
fn refine(ctx: &Context<'_>, checks: &[Box<dyn Swept>], resolution: Resolution, tally: &mut Tally) {
    let Some(arm) = &ctx.rig.arm else { return };
    let (pan, elevation) = (arm.pan, arm.elevation);
    let all_round = (pan.1 - pan.0 - core::f64::consts::TAU).abs() < 1e-9;
    let half_degree = 0.5_f64.to_radians();
    tally.pairs.par_iter_mut().zip(checks).for_each(|(pairs, check)| {
        for (pair, item) in pairs.iter_mut().zip(check.items()) {
            for slot in [&mut pair.intact, &mut pair.lost] {
                let Some(worst) = slot else { continue };
                if ctx.arm_use(worst.state.drive) == ArmUse::Parked || worst.utilisation <= 0.0 {
                    continue;
                }
                let (mut dp, mut de) = (resolution.pan / 2.0, resolution.elevation / 2.0);
                while dp.max(de) >= half_degree * 0.99 {
                    let mut moved = false;
                    for (sp, se) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
                        let mut p = worst.state.pose.pan_rad + sp * dp;
                        if !all_round {
                            p = p.clamp(pan.0, pan.1);
                        }
                        let e = (worst.state.pose.elevation_rad + se * de).clamp(elevation.0, elevation.1);
                        let state = StateId { pose: Pose { pan_rad: p, elevation_rad: e }, ..worst.state };
                        let r = numbers(ctx, item.source, &state);
                        let (demand, capacity) = check.demand_capacity(item, &r);
                        let u = utilisation(demand, capacity);
                        if u > worst.utilisation {
                            *worst = Worst { utilisation: u, state };
                            moved = true;
                            break;
                        }
                    }
                    if !moved {
                        (dp, de) = (dp / 2.0, de / 2.0);
                    }
                }
            }
        }
    });
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
    let tally = states
        .par_iter()
        .map(|state| {
            let mut t = Tally::new(checks);
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
                    t.offer((*c, *i), Worst { utilisation: utilisation(demand, capacity), state: *state });
                }
            }
            t
        })
        .collect::<Vec<_>>()
        .into_iter()
        .fold(Tally::new(checks), Tally::merge);
    Sweep { pairs: tally.pairs, states: states.len() as u64 }
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
