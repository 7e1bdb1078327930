//! All vacuum gone: do straps, tethers and friction hold the rig on the car?

use super::held::Answer;
use super::reserve::{self, straps};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::state::{bearing_words, elevation_words};
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::arm::Pose;
use mechanics::frame::Load;
use mechanics::wrench::Wrench;
use quantity::Kind;
use rayon::prelude::*;
use rig::policy::CheckId;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// One way of being thrown: in words, the force per mass, and whether gravity still pulls down.
struct Throw {
    words: &'static str,
    direction: DVec3,
    acceleration: f64,
    with_gravity: bool,
}

/// Weight of everything for a force per mass, about the origin, with the arm in a pose.
pub fn weight(ctx: &Context<'_>, force_per_mass: DVec3, pose: Pose) -> Wrench {
    let load = Load { specific_force: force_per_mass, ..Load::default() };
    let mut sum = ctx.structure.frame.total(&load, DVec3::ZERO);
    if let (Some(model), Some(arm)) = (&ctx.arm, &ctx.rig.arm) {
        let centre = model.chain.mass_centre_m(pose).unwrap_or_default();
        sum += Wrench::of_force_at(force_per_mass * model.chain.mass_kg(), arm.base + centre);
    }
    sum
}

fn poses(ctx: &Context<'_>) -> Vec<Pose> {
    let Some(arm) = &ctx.rig.arm else { return vec![Pose::default()] };
    let mut out = vec![ctx.parked()];
    for k in 0..8_u8 {
        let pan = arm.pan.0 + (arm.pan.1 - arm.pan.0) * f64::from(k) / 8.0;
        for elevation in [arm.elevation.0, arm.elevation.1] {
            out.push(Pose { pan_rad: pan, elevation_rad: elevation });
        }
    }
    out
}

/// One question to the limit analysis: which throw, which strap is lost, which pose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Task {
    throw: usize,
    lost: Option<usize>,
    pose: Pose,
}

/// What retention found, and the tasks that decided it.
pub struct Retention {
    /// One finding a direction, with nothing lost and with one strap lost.
    pub findings: Vec<Finding>,
    /// The worst task of each.
    pub worst: Vec<Task>,
}

/// Answers of the limit analysis may differ by this share where they are the same.
const ALIKE: f64 = 1e-5;

/// The answers to all tasks, but for those that cannot be the least of their throw: with nothing lost no less is held than with a strap
/// lost in the same pose, for the strap may always hang idle.
fn least_held(tasks: &[Task], ask: impl Fn(&Task) -> Answer + Sync) -> Vec<Option<Answer>> {
    let mut out: Vec<Option<Answer>> =
        tasks.par_iter().map(|task| task.lost.is_some().then(|| ask(task))).collect();
    let mut whole: BTreeMap<usize, Vec<(usize, f64)>> = BTreeMap::new();
    for (i, task) in tasks.iter().enumerate().filter(|(_, t)| t.lost.is_none()) {
        let same = |(other, answer): (&Task, &Option<Answer>)| {
            let also = other.throw == task.throw && other.pose == task.pose;
            answer.as_ref().filter(|_| also).map(|a| a.0)
        };
        let bound = tasks.iter().zip(&out).filter_map(same).fold(0.0, f64::max);
        whole.entry(task.throw).or_default().push((i, bound));
    }
    let found: Vec<Vec<(usize, Answer)>> = whole
        .into_values()
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|mut list| {
            list.sort_by(|a, b| a.1.total_cmp(&b.1));
            let mut least = f64::INFINITY;
            let mut found = Vec::new();
            for (i, bound) in list {
                if bound <= least * (1.0 + ALIKE) {
                    let answer = ask(&tasks[i]);
                    least = least.min(answer.0);
                    found.push((i, answer));
                }
            }
            found
        })
        .collect();
    for (i, answer) in found.into_iter().flatten() {
        out[i] = Some(answer);
    }
    out
}

/// The worst of every direction over poses, with nothing lost and with each strap lost; or over known tasks only.
pub fn check(ctx: &Context<'_>, known: Option<&[Task]>) -> Retention {
    let rig = ctx.rig;
    let factors = rig.policy.factors(CheckId::Retention);
    if rig.straps.is_empty() {
        let words = "no strap or tether: a rig held by suction alone has no second line";
        let none = Finding::of(CheckId::Retention, PartRef::Rig, Kind::Number, factors.intact, 1.0, 0.0);
        let hand = HandCheck {
            formula: "a second line that does not rely on vacuum is required",
            source: "ISO 11154:2023 leaves out carriers held by suction alone; mechanics.md §6",
            steps: Vec::new(),
        };
        return Retention { findings: vec![none.when(words).hand(hand)], worst: Vec::new() };
    }
    let bearing = reserve::contacts(ctx, None, false);
    let r = &rig.policy.retention;
    let throws = [
        Throw {
            words: "thrown forward",
            direction: DVec3::X,
            acceleration: r.forward.value,
            with_gravity: true,
        },
        Throw {
            words: "thrown rearward",
            direction: -DVec3::X,
            acceleration: r.rearward.value,
            with_gravity: true,
        },
        Throw {
            words: "thrown to the left",
            direction: DVec3::Y,
            acceleration: r.sideways.value,
            with_gravity: true,
        },
        Throw {
            words: "thrown to the right",
            direction: -DVec3::Y,
            acceleration: r.sideways.value,
            with_gravity: true,
        },
        Throw { words: "lifted", direction: DVec3::Z, acceleration: r.upward.value, with_gravity: false },
    ];
    let mut lost: Vec<Option<usize>> = vec![None];
    if rig.straps.len() > 1 {
        lost.extend((0..rig.straps.len()).map(Some));
    }
    let about = rig.cups.first().map_or(DVec3::ZERO, |c| c.at);
    let tasks: Vec<Task> = if let Some(known) = known {
        known.to_vec()
    } else {
        let poses = poses(ctx);
        (0..throws.len())
            .flat_map(|throw| lost.iter().map(move |lost| (throw, *lost)))
            .flat_map(|(throw, lost)| poses.iter().map(move |pose| Task { throw, lost, pose: *pose }))
            .collect()
    };
    let ask = |Task { throw, lost, pose }: &Task| {
        let throw = &throws[*throw];
        let mut supports = bearing.clone();
        supports.extend(straps(ctx, *lost));
        let gravity = if throw.with_gravity { -DVec3::Z * STANDARD_GRAVITY } else { DVec3::ZERO };
        let fixed = weight(ctx, gravity, *pose).about(DVec3::ZERO, about);
        let variable = weight(ctx, throw.direction * throw.acceleration, *pose).about(DVec3::ZERO, about);
        ctx.held.share_beside(fixed, (&supports, bearing.len()), variable, about)
    };
    let held = least_held(&tasks, ask);
    let (mut out, mut deciding) = (Vec::new(), Vec::new());
    for (t, throw) in throws.iter().enumerate() {
        for one_lost in [false, true] {
            let factor = if one_lost { factors.lost } else { factors.intact };
            let worst = tasks
                .iter()
                .zip(&held)
                .filter(|(task, _)| task.throw == t && task.lost.is_some() == one_lost)
                .filter_map(|(task, answer)| Some((task, answer.as_ref()?)))
                .min_by(|a, b| a.1.0.total_cmp(&b.1.0));
            let Some((task, (lambda, why))) = worst else { continue };
            let Task { lost: l, pose, .. } = task;
            deciding.push(*task);
            let mut words =
                format!("all vacuum gone, {} at {:.2} g", throw.words, throw.acceleration / STANDARD_GRAVITY);
            if ctx.arm.is_some() {
                let _ = write!(
                    words,
                    "; boom {}, {}",
                    bearing_words(pose.pan_rad),
                    elevation_words(pose.elevation_rad)
                );
            }
            if let Some(i) = l {
                let _ = write!(words, "; {} lost", PartRef::Strap(*i).name(rig));
            }
            if let Some(why) = why {
                let _ = write!(words, "; {why}");
            }
            let mass = weight(ctx, DVec3::Z, *pose).force.z;
            let force = mass * throw.acceleration;
            out.push(
                Finding::of(CheckId::Retention, PartRef::Rig, Kind::Number, factor, 1.0, *lambda)
                    .at(throw.words)
                    .when(words)
                    .hand(HandCheck {
                        formula: "largest L with: cups only bear and rub (N >= 0, |V| <= mu N), straps 0 to LC, weight + L x throw in balance",
                        source: "static theorem of limit analysis, solved as a second-order cone program; mechanics.md §6",
                        steps: vec![
                            Step::new("m", "mass of rig and arm", mass, Kind::Mass),
                            Step::new("a", "acceleration asked by the policy", throw.acceleration, Kind::Acceleration),
                            Step::new("m a", "force of the throw", force, Kind::Force),
                            Step::new("L", "share of it that can be held", *lambda, Kind::Number),
                        ],
                    }),
            );
        }
    }
    Retention { findings: out, worst: deciding }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small whole numbers")]
    fn place(t: &Task) -> usize {
        t.pose.pan_rad as usize
    }

    fn tasks(throws: usize, straps: usize, poses: usize) -> Vec<Task> {
        let pose = |p: usize| Pose { pan_rad: f64::from(u32::try_from(p).unwrap()), elevation_rad: 0.0 };
        let lost = || std::iter::once(None).chain((0..straps).map(Some));
        (0..throws)
            .flat_map(|throw| lost().map(move |lost| (throw, lost)))
            .flat_map(|(throw, lost)| (0..poses).map(move |p| Task { throw, lost, pose: pose(p) }))
            .collect()
    }

    proptest! {
        /// What is passed over is never the least, with nothing lost or with a strap lost.
        #[test]
        fn what_is_not_asked_is_never_the_least(
            throws in 1..4_usize,
            straps in 0..4_usize,
            poses in 1..6_usize,
            seed in prop::collection::vec(0.0..3.0_f64, 200),
        ) {
            let tasks = tasks(throws, straps, poses);
            // With a strap lost no more is held than with all of them.
            let whole = |t: &Task| 1.0 + seed[(t.throw * 31 + place(t) * 7) % 200];
            let share = |t: &Task, l: usize| seed[(t.throw * 17 + place(t) * 5 + l * 3) % 200] / 3.0;
            let truth = |t: &Task| t.lost.map_or_else(|| whole(t), |l| whole(t) * share(t, l));
            let asked = AtomicUsize::new(0);
            let found = least_held(&tasks, |t| {
                asked.fetch_add(1, Ordering::Relaxed);
                (truth(t), None)
            });
            prop_assert!(asked.into_inner() <= tasks.len());
            for throw in 0..throws {
                for one_lost in [false, true] {
                    let these = || tasks.iter().zip(&found).filter(|(t, _)| t.throw == throw && t.lost.is_some() == one_lost);
                    let all = these().map(|(t, _)| truth(t)).fold(f64::INFINITY, f64::min);
                    let kept = these().filter_map(|(_, a)| a.map(|a| a.0)).fold(f64::INFINITY, f64::min);
                    prop_assert!(all.total_cmp(&kept).is_eq(), "{} {}", all, kept);
                }
            }
        }
    }
}
