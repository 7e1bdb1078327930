//! Every swept check over every state.
//!
//! The states of one wind differ in nine numbers (force per mass, the arm's wrench), so [`forest`] puts those that load the
//! rig alike into boxes, and [`search`] passes over the boxes that hold nothing worse than what is known. Then every worst
//! pose is looked at more closely.

use crate::check::{Side, Source, Swept, coarse, utilisation};
use crate::context::{Context, Failure, Resolution};
use crate::slack::SlackSet;
use crate::state::StateId;
use arm_rows::{ArmRows, TILE};
use boxes::Boxes;
use forest::{Field, Grove, Laid, TERMS, Tree};
use instants::Instants;
use loose::{Slackness, Sorted, Sorter};
use mechanics::arm::{Flow, Pose};
use rayon::prelude::*;
use refine::Which;
use search::{Best, Classes, Manner, Slot};
use std::collections::{BTreeMap, BTreeSet};

mod arm_rows;
mod around;
mod beside;
mod blend;
mod boxes;
mod forest;
mod gather;
mod halves;
mod in_full;
mod instants;
mod known;
mod loose;
mod losses;
mod reach;
mod ready;
mod refine;
mod search;

pub use around::{Around, Least, Ring, around};
pub(crate) use known::{Numbers, at_known, numbers_at};
pub use known::{at_states, numbers, pool};
pub use losses::by_loss;
pub use search::Way;

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

impl Pair {
    /// Takes a state if it is worse.
    fn offer(&mut self, worst: Worst) {
        let slot = if worst.state.failure == 0 { &mut self.intact } else { &mut self.lost };
        if slot.is_none_or(|s| coarse(worst.utilisation) > coarse(s.utilisation)) {
            *slot = Some(worst);
        }
    }

    /// The worse of two, the first where they are equal.
    fn or_worse(mut self, other: Self) -> Self {
        [other.intact, other.lost].into_iter().flatten().for_each(|w| self.offer(w));
        self
    }
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
        let pairs = self.pairs.into_iter().zip(other.pairs);
        let worse =
            |(a, b): (Vec<Pair>, Vec<Pair>)| a.into_iter().zip(b).map(|(a, b)| a.or_worse(b)).collect();
        Self { pairs: pairs.map(worse).collect(), states: self.states + other.states }
    }
}

/// A set of poses with the (drive, motion) pairs that go with each.
struct Group {
    poses: Vec<Pose>,
    instants: Instants,
}

fn groups(ctx: &Context<'_>, resolution: Resolution) -> Vec<Group> {
    let roaming = Group { poses: ctx.poses(resolution), instants: Instants::of(ctx, false) };
    let parked = Group { poses: vec![ctx.parked()], instants: Instants::of(ctx, true) };
    [roaming, parked].into_iter().filter(|g| g.instants.len() > 0).collect()
}

fn solved(ctx: &Context<'_>) -> u64 {
    ctx.failures.iter().filter(|f| f.responses.is_ok()).count() as u64
}

/// How many states a sweep looks at.
pub fn count(ctx: &Context<'_>, resolution: Resolution) -> u64 {
    let each = |g: &Group| (g.poses.len() * g.instants.len()) as u64;
    groups(ctx, resolution).iter().map(each).sum::<u64>() * solved(ctx)
}

/// Items by what they read.
type Readers = BTreeMap<Source, Vec<(usize, usize)>>;

fn readers(checks: &[Box<dyn Swept>]) -> Readers {
    let mut map = Readers::new();
    for (c, check) in checks.iter().enumerate() {
        for (i, item) in check.items().iter().enumerate().filter(|(_, i)| i.missing.is_none()) {
            map.entry(item.source).or_default().push((c, i));
        }
    }
    map
}

/// States that are reckoned as one: bounds what a sweep holds in memory, however many states there are.
const BLOCK: usize = 1 << 18;
/// Poses of them at most: each keeps some numbers of its own.
const POSES: usize = 1 << 12;

/// Some poses of a group in all their instants.
pub(crate) struct Block<'a> {
    group: &'a Group,
    /// Index of the first pose.
    first: usize,
    /// Number of the first state.
    base: u64,
    classes: Classes,
    field: Field<'a>,
    trees: Vec<Tree>,
    /// Trees of one wind, some together.
    groves: Vec<Grove>,
    /// The groves' boxes.
    roots: Vec<Boxes>,
    /// Which straps are slack where, by failure and tree.
    sorted: Vec<Vec<Sorted>>,
    /// What each set of slack straps does, by failure.
    slackness: Vec<Vec<(SlackSet, Slackness)>>,
}

impl<'a> Block<'a> {
    /// Some poses of a group, from one on, put in order; what the arm does in them is still to be reckoned.
    fn of(
        ctx: &Context<'_>,
        group: &'a Group,
        laid: (&'a Laid, &[f64; TERMS]),
        (first, poses): (usize, &[Pose]),
    ) -> Self {
        Self {
            group,
            first,
            base: 0,
            classes: Classes::Two,
            field: mark_out(ctx, group, laid, poses),
            trees: Vec::new(),
            groves: Vec::new(),
            roots: Vec::new(),
            sorted: Vec::new(),
            slackness: Vec::new(),
        }
    }

    /// Boxes of its states, and the states sorted by the straps that are slack.
    fn grow(&mut self, ctx: &Context<'_>) {
        self.trees = forest::plant(&self.field);
        self.groves = forest::groves(&self.trees);
        self.roots = Boxes::of(&self.groves.iter().map(|grove| grove.all).collect::<Vec<_>>());
        let sort = |f| {
            let sorter = Sorter::of(ctx, f);
            let sorted = self.groves.par_iter().map(|grove| {
                let trees = &self.trees[grove.first..grove.first + grove.boxes.count];
                sorter.sort(trees, (&grove.boxes, &self.field))
            });
            sorted.flatten_iter().collect()
        };
        self.sorted = ctx.failures.par_iter().map(sort).collect();
        self.slackness = ctx.failures.iter().zip(&self.sorted).map(|(f, s)| slackness(ctx, f, s)).collect();
    }

    /// A state's place in the order of states.
    fn rank_of(&self, failure: usize, id: u32) -> (usize, u64) {
        (failure, self.base + u64::from(id))
    }

    fn worst(&self, utilisation: f64, (failure, number): (usize, u64)) -> Worst {
        let n = self.group.instants.len();
        let local = usize::try_from(number - self.base).unwrap_or(0);
        let (drive, motion) = self.group.instants.pairs[local % n];
        let pose = self.group.poses[self.first + local / n];
        Worst { utilisation, state: StateId { failure, drive, motion, pose } }
    }
}

/// How much each term matters: what a unit of it uses, summed over all items with nothing lost.
fn weights(ctx: &Context<'_>, checks: &[Box<dyn Swept>], readers: &Readers) -> [f64; TERMS] {
    let mut out = [0.0; TERMS];
    let Some(Ok(r)) = ctx.failures.first().map(|f| &f.responses) else { return [1.0; TERMS] };
    for (source, who) in readers {
        let Source::Rows { start, len } = source else { continue };
        for (c, i) in who {
            let sides = checks[*c].worse();
            for (term, weight) in out.iter_mut().enumerate() {
                let mut corner = [0.0; 6];
                for ((k, side), x) in sides.iter().enumerate().zip(&mut corner).take(*len) {
                    let v = r.row(start + k)[term].abs();
                    *x = match side {
                        Side::Idle => 0.0,
                        Side::Up | Side::Size => v,
                        Side::Down => -v,
                    };
                }
                let (demand, capacity) = checks[*c].demand_capacity(&checks[*c].items()[*i], &corner);
                let u = utilisation(demand, capacity);
                *weight += if u.is_finite() { u } else { 0.0 };
            }
        }
    }
    out
}

/// A source, and its items' check and index beside their slots.
type Asked<'a> = (Source, Vec<(usize, usize)>, Vec<Slot<'a>>);

/// The slots of all items, source by source.
struct Table<'a> {
    classes: Classes,
    sources: Vec<Asked<'a>>,
}

impl<'a> Table<'a> {
    /// With nothing lost, and with any one part lost.
    fn new(checks: &'a [Box<dyn Swept>], start: impl Fn(&dyn Swept) -> [Best; 2]) -> Self {
        Self::by(Classes::Two, checks, |c| start(c).to_vec())
    }

    fn by(classes: Classes, checks: &'a [Box<dyn Swept>], start: impl Fn(&dyn Swept) -> Vec<Best>) -> Self {
        let slot = |(c, i): &(usize, usize)| Slot {
            check: checks[*c].as_ref(),
            item: &checks[*c].items()[*i],
            best: start(checks[*c].as_ref()),
        };
        let sources = readers(checks)
            .into_iter()
            .map(|(source, who)| {
                let slots = who.iter().map(slot).collect();
                (source, who, slots)
            })
            .collect();
        Self { classes, sources }
    }

    /// Has a state been found?
    fn found(&self) -> bool {
        self.sources.iter().flat_map(|(_, _, slots)| slots).any(Slot::found)
    }

    /// The worst states with nothing lost and of one class of failures, check by check and item by item.
    fn pairs_of(&self, checks: &[Box<dyn Swept>], class: usize) -> Vec<Vec<Pair>> {
        let mut pairs: Vec<Vec<Pair>> =
            checks.iter().map(|c| vec![Pair::default(); c.items().len()]).collect();
        for (_, who, slots) in &self.sources {
            for ((c, i), slot) in who.iter().zip(slots) {
                let worst = |class: usize| slot.best.get(class).and_then(|b| b.worst);
                pairs[*c][*i] = Pair { intact: worst(0), lost: worst(class) };
            }
        }
        pairs
    }

    /// With any one part lost.
    fn pairs(&self, checks: &[Box<dyn Swept>]) -> Vec<Vec<Pair>> {
        self.pairs_of(checks, 1)
    }
}

/// The instants of a group as their numbers are laid down.
fn lay(ctx: &Context<'_>, group: &Group, weights: &[f64; TERMS]) -> Laid {
    let (instants, mut wrench) = (&group.instants, Vec::new());
    if let Some(arm) = &ctx.arm {
        let some: Vec<Pose> = forest::sample(group.poses.len()).map(|p| group.poses[p]).take(TILE).collect();
        let tiles = ArmRows::of(arm).wrenches(&some, &instants.flows, &instants.moves);
        let row_of = |pose: usize, row: usize| tiles.iter().map(move |tile| tile[row][pose]);
        let of = |pose| (0..6).flat_map(|row| row_of(pose, row)).collect();
        wrench = (0..some.len()).map(of).collect();
    }
    Laid::of(instants, ctx.columns.winds, &wrench, weights)
}

/// A field for some poses, as they stand beside each other in it; its wrench is still to be reckoned.
fn mark_out<'l>(
    ctx: &Context<'_>,
    group: &Group,
    (laid, weights): (&'l Laid, &[f64; TERMS]),
    poses: &[Pose],
) -> Field<'l> {
    let Some(arm) = &ctx.arm else { return Field::of(laid, &vec![Vec::new(); poses.len()]) };
    let sample = forest::sample(laid.order.len()).map(|place| laid.order[place]);
    let mut some = group.instants.moves.of(sample);
    let flows: Vec<Option<Flow>> = some.flow.iter().map(|f| group.instants.flows[*f]).collect();
    some.flow = (0..flows.len()).collect();
    let numbers = |rows: &mut ArmRows<'_>, poses: &[Pose]| -> Vec<Vec<f64>> {
        let tiles = rows.wrenches(poses, &flows, &some);
        let each = |pose| {
            let of = tiles.iter().flat_map(|tile| tile.iter().zip(&weights[TERMS - 6..]));
            of.map(|(row, w)| row[pose] * w).collect()
        };
        (0..poses.len()).map(each).collect()
    };
    let tiles = poses.par_chunks(TILE).map_init(|| ArmRows::of(arm), numbers);
    Field::of(laid, &tiles.flatten_iter().collect::<Vec<_>>())
}

/// What each set of slack straps that occurs does.
fn slackness(ctx: &Context<'_>, failure: &Failure, sorted: &[Sorted]) -> Vec<(SlackSet, Slackness)> {
    let sets: BTreeSet<SlackSet> = sorted.iter().flat_map(Sorted::sets).copied().collect();
    sets.into_iter().map(|set| (set, Slackness::of(ctx, failure, set))).collect()
}

/// Looks at all states of some groups; returns how many there are.
fn run(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    (groups, manner): (&[Group], Manner),
    table: &mut Table<'_>,
    tick: &(dyn Fn(u64) + Sync),
) -> u64 {
    let weights = weights(ctx, checks, &readers(checks));
    let (mut done, mut base) = (0, 0);
    for group in groups {
        let n = group.instants.len();
        let step = (BLOCK / n.max(1)).clamp(1, POSES);
        let laid = lay(ctx, group, &weights);
        for (b, poses) in group.poses.chunks(step).enumerate() {
            let block = Block::of(ctx, group, (&laid, &weights), (b * step, poses));
            let mut block = Block { base, classes: table.classes, ..block };
            block.field.wrench = gather::gather(ctx, &block, table);
            if manner == Manner::First && table.found() {
                return done;
            }
            block.grow(ctx);
            let stop = match manner {
                Manner::Beside(way) => {
                    in_full::in_full(ctx, &block, way, &mut table.sources);
                    false
                }
                _ => search::search_all(ctx, &block, &mut table.sources, manner),
            };
            base += (poses.len() * n) as u64;
            done += (poses.len() * n) as u64 * solved(ctx);
            tick(done);
            if stop {
                return done;
            }
        }
    }
    done
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
    let mut found = grid(ctx, checks, resolution, tick);
    refine::refine(ctx, checks, (resolution, Which::All), &mut found.pairs);
    found
}

/// A sweep in the widest steps that looks more closely only around the worst of each part.
pub(crate) fn glance(ctx: &Context<'_>, checks: &[Box<dyn Swept>]) -> Sweep {
    let resolution = Resolution::glance();
    let mut found = grid(ctx, checks, resolution, &|_| {});
    refine::refine(ctx, checks, (resolution, Which::WorstOfPart), &mut found.pairs);
    found
}

/// The grid alone: every check over every state at a resolution.
pub fn grid(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    resolution: Resolution,
    tick: &(dyn Fn(u64) + Sync),
) -> Sweep {
    let mut table = Table::new(checks, |_| [Best::NONE; 2]);
    let states = run(ctx, checks, (&groups(ctx, resolution), Manner::Skip), &mut table, tick);
    Sweep { pairs: table.pairs(checks), states }
}

/// The same with every state reckoned and none passed over: what [`grid`] must come to, bit for bit.
pub fn grid_plainly(ctx: &Context<'_>, checks: &[Box<dyn Swept>], resolution: Resolution) -> Sweep {
    let mut table = Table::new(checks, |_| [Best::NONE; 2]);
    let states = run(ctx, checks, (&groups(ctx, resolution), Manner::Every), &mut table, &|_| {});
    Sweep { pairs: table.pairs(checks), states }
}

/// The same with every state's rows and checks reckoned, some poses side by side.
pub fn grid_in_full(ctx: &Context<'_>, checks: &[Box<dyn Swept>], resolution: Resolution, way: Way) -> Sweep {
    let mut table = Table::new(checks, |_| [Best::NONE; 2]);
    let states = run(ctx, checks, (&groups(ctx, resolution), Manner::Beside(way)), &mut table, &|_| {});
    Sweep { pairs: table.pairs(checks), states }
}

/// Where a check's required factor just holds, with nothing lost and with one part lost.
fn allowed(ctx: &Context<'_>, check: &dyn Swept) -> [Best; 2] {
    // A check that only informs stops nothing.
    if check.informs() {
        return [Best::over(f64::INFINITY); 2];
    }
    let factors = ctx.rig.policy.factors(check.id());
    [Best::over(1.0 / factors.intact), Best::over(1.0 / factors.lost)]
}

/// Does every check hold in every state at a resolution? Stops at the first state in which one does not. Where something moves
/// freely, with nothing lost or without some part, nothing holds.
pub fn holds(ctx: &Context<'_>, checks: &[Box<dyn Swept>], resolution: Resolution) -> bool {
    if ctx.failures.iter().any(|f| f.responses.is_err()) {
        return false;
    }
    let mut table = Table::new(checks, |c| allowed(ctx, c));
    run(ctx, checks, (&groups(ctx, resolution), Manner::First), &mut table, &|_| {});
    !table.found()
}

/// Of every item the worst state that is not allowed, among some poses of the roaming arm; none where all hold. Losses
/// without responses (something moves freely) have no states: [`Context::failures`] tells them.
pub fn not_allowed(ctx: &Context<'_>, checks: &[Box<dyn Swept>], poses: &[Pose]) -> Sweep {
    let group = Group { poses: poses.to_vec(), instants: Instants::of(ctx, false) };
    let mut table = Table::new(checks, |c| allowed(ctx, c));
    let states = run(ctx, checks, (&[group], Manner::Skip), &mut table, &|_| {});
    Sweep { pairs: table.pairs(checks), states }
}
