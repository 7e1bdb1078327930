//! A closer look around each worst pose.

use super::{Pair, Worst, numbers};
use crate::check::{Swept, coarse, utilisation};
use crate::context::{Context, Resolution};
use crate::state::StateId;
use mechanics::arm::Pose;
use rayon::prelude::*;
use rig::model::ArmUse;

/// Pattern search around each worst pose down to half a degree; only ever finds worse.
pub(super) fn refine(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    resolution: Resolution,
    pairs: &mut [Vec<Pair>],
) {
    let Some(arm) = &ctx.rig.arm else { return };
    let (pan, elevation) = (arm.pan, arm.elevation);
    let all_round = (pan.1 - pan.0 - core::f64::consts::TAU).abs() < 1e-9;
    let half_degree = 0.5_f64.to_radians();
    pairs.par_iter_mut().zip(checks).for_each(|(pairs, check)| {
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
