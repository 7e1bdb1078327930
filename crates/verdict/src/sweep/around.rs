//! The worst margin of every check for each way that the boom points, and for each elevation: what a chart shows.

use super::{Best, Group, Instants, Manner, Table, Worst, run};
use crate::check::Swept;
use crate::context::{Context, Resolution};
use crate::parts::PartRef;
use crate::state::StateId;
use mechanics::arm::Pose;
use rayon::prelude::*;
use rig::policy::CheckId;

/// The least margin of one check among some states.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Least {
    /// The check.
    pub check: CheckId,
    /// Capacity over required factor and demand; infinite where nothing is asked of any part.
    pub margin: f64,
    /// The part.
    pub part: PartRef,
    /// Where.
    pub state: StateId,
}

/// The least margins at one bearing, or at one elevation.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// Bearing (left positive) or elevation, rad.
    pub at: f64,
    /// One for each check that has states there, in the order of the checks.
    pub least: Vec<Least>,
}

/// Least margins by where the boom is. All empty without an arm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Around {
    /// At each bearing over all elevations, rising.
    pub bearings: Vec<Ring>,
    /// At each elevation over all bearings, rising.
    pub elevations: Vec<Ring>,
    /// With the boom parked, in the manoeuvres that want it so.
    pub parked: Vec<Least>,
}

/// Looks at every state of the grid once by bearing and once by elevation, at the values as they stand in the rig.
pub fn around(ctx: &Context<'_>, checks: &[Box<dyn Swept>], resolution: Resolution) -> Around {
    if ctx.rig.arm.is_none() {
        return Around::default();
    }
    let rings = |of: fn(&Pose) -> f64| {
        let poses = ctx.poses(resolution);
        let mut at: Vec<f64> = poses.iter().map(of).collect();
        at.sort_by(f64::total_cmp);
        at.dedup();
        at.par_iter()
            .map(|v| {
                let here = poses.iter().filter(|p| of(p).total_cmp(v).is_eq()).copied().collect();
                Ring {
                    at: *v,
                    least: least(ctx, checks, Group { poses: here, instants: Instants::of(ctx, false) }),
                }
            })
            .filter(|r| !r.least.is_empty())
            .collect()
    };
    let parked = Group { poses: vec![ctx.parked()], instants: Instants::of(ctx, true) };
    Around {
        bearings: rings(|p| p.pan_rad),
        elevations: rings(|p| p.elevation_rad),
        parked: least(ctx, checks, parked),
    }
}

/// Of each check the least margin among the states of a group.
fn least(ctx: &Context<'_>, checks: &[Box<dyn Swept>], group: Group) -> Vec<Least> {
    if group.instants.len() == 0 {
        return Vec::new();
    }
    let mut table = Table::new(checks, |_| [Best::NONE; 2]);
    run(ctx, checks, (&[group], Manner::Skip), &mut table, &|_| {});
    let mut out = Vec::new();
    for (check, pairs) in checks.iter().zip(table.pairs(checks)).filter(|(c, _)| !c.informs()) {
        let factors = ctx.rig.policy.factors(check.id());
        let all = check.items().iter().zip(&pairs).flat_map(|(item, pair)| {
            [(pair.intact, factors.intact), (pair.lost, factors.lost)]
                .into_iter()
                .filter_map(|(worst, factor)| Some((item.part, worst?, factor)))
        });
        let margins = all.map(|(part, worst, factor)| Least {
            check: check.id(),
            margin: margin(worst, factor),
            part,
            state: worst.state,
        });
        out.extend(margins.reduce(|a, b| if b.margin < a.margin { b } else { a }));
    }
    out
}

pub(super) fn margin(worst: Worst, factor: f64) -> f64 {
    if worst.utilisation > 0.0 { 1.0 / (factor * worst.utilisation) } else { f64::INFINITY }
}
