//! A closer look around each worst pose.

use super::known::Near;
use super::{Pair, Worst};
use crate::check::{Swept, coarse, utilisation};
use crate::context::{Context, Resolution};
use crate::parts::PartRef;
use crate::state::StateId;
use mechanics::arm::Pose;
use rayon::prelude::*;
use rig::model::ArmUse;
use std::collections::HashMap;

/// Around which worst poses it is looked more closely.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Which {
    /// Around that of every item.
    All,
    /// Around that of the worst item of each part alone, as of a tube's many places.
    WorstOfPart,
}

/// Pattern search around each worst pose down to half a degree; only ever finds worse.
pub(super) fn refine(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    (resolution, which): (Resolution, Which),
    pairs: &mut [Vec<Pair>],
) {
    let Some(arm) = &ctx.rig.arm else { return };
    let (pan, elevation) = (arm.pan, arm.elevation);
    let all_round = (pan.1 - pan.0 - core::f64::consts::TAU).abs() < 1e-9;
    let half_degree = 0.5_f64.to_radians();
    // What one check asked of a pose or a state, the next one need not.
    pairs.par_iter_mut().zip(checks).for_each_init(Near::default, |near, (pairs, check)| {
        let leading = Leading::of(which, check.as_ref(), pairs);
        for (i, (pair, item)) in pairs.iter_mut().zip(check.items()).enumerate() {
            for (class, slot) in [&mut pair.intact, &mut pair.lost].into_iter().enumerate() {
                let Some(worst) = slot.as_mut().filter(|_| leading.has(i, class)) else { continue };
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
                        let r = near.numbers(ctx, item.source, &state);
                        let (demand, capacity) = check.demand_capacity(item, &r);
                        let u = utilisation(demand, capacity);
                        if coarse(u) > coarse(worst.utilisation) {
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

/// The items that are looked at more closely, with nothing lost and with one part lost.
struct Leading(Option<[Vec<bool>; 2]>);

impl Leading {
    fn of(which: Which, check: &dyn Swept, pairs: &[Pair]) -> Self {
        if which == Which::All {
            return Self(None);
        }
        let of = |class: fn(&Pair) -> Option<Worst>| {
            let mut first: HashMap<PartRef, (usize, f64)> = HashMap::new();
            for (i, (pair, item)) in pairs.iter().zip(check.items()).enumerate() {
                let Some(worst) = class(pair) else { continue };
                let best = first.entry(item.part).or_insert((i, worst.utilisation));
                if coarse(worst.utilisation) > coarse(best.1) {
                    *best = (i, worst.utilisation);
                }
            }
            let mut out = vec![false; pairs.len()];
            for (i, _) in first.into_values() {
                out[i] = true;
            }
            out
        };
        Self(Some([of(|p| p.intact), of(|p| p.lost)]))
    }

    fn has(&self, item: usize, class: usize) -> bool {
        self.0.as_ref().is_none_or(|of| of[class][item])
    }
}
