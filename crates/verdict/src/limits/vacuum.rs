//! The least vacuum at which a cup neither lifts nor slides in any state of the plan.

use crate::Fault;
use crate::check::{self, Swept, cups};
use crate::context::{Context, Resolution};
use crate::structure::BuildOptions;
use crate::sweep;
use core::f64::consts::PI;
use rig::fact::Fact;
use rig::model::Rig;
use rig::policy::CheckId;

/// The vacuum of one cup, Pa below ambient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vacuum {
    /// Which cup.
    pub cup: usize,
    /// As read, or as planned.
    pub read: Option<f64>,
    /// What is left of it at the next round, at the highest and warmest of the route: what the checks count on.
    pub left: Option<f64>,
    /// The least with which it neither lifts nor slides; none where not even the most that the pump can leave is enough.
    pub least: Option<f64>,
    /// The check that asks for it; none where nothing does.
    pub by: Option<CheckId>,
}

/// Rounds before giving up; three or four are usual.
const ROUNDS: usize = 12;
/// The answer may be so much under the true one, as a share of it.
const FINE: f64 = 1e-6;

/// The least vacuum of every cup, over all states with nothing lost and with any one other part lost; values as they stand in the rig.
///
/// What acts on a cup does not depend on its vacuum, so each state asks for one vacuum of its own: the one with which its margin is
/// one (docs/mechanics.md §5.3, §5.4). The worst state at some vacuum asks for no more than the least; there the worst state is
/// looked for again, until it asks for no more. It comes to its end in few rounds (Dinkelbach 1967, for a greatest ratio; from memory).
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn vacuum(rig: &Rig, resolution: Resolution, build: BuildOptions) -> Result<Vec<Vacuum>, Fault> {
    let ctx = Context::new(rig, build)?;
    let most = (ctx.actions.pressure - rig.policy.pump_ultimate.value).max(0.0);
    let mut out: Vec<Vacuum> = rig
        .cups
        .iter()
        .enumerate()
        .map(|(cup, c)| Vacuum {
            cup,
            read: c.vacuum.as_ref().map(|v| v.value),
            left: cups::vacuum(&ctx, c),
            least: None,
            by: None,
        })
        .collect();
    // At first with all that the pump can leave.
    let mut at: Vec<f64> = vec![most; out.len()];
    let mut settled = vec![false; out.len()];
    for _ in 0..ROUNDS {
        let with = with_vacuum(rig, &at);
        let judged = ctx.judged_by(&with);
        let asked = asked(&judged, resolution);
        for (cup, (asked, by)) in asked.into_iter().enumerate() {
            if settled[cup] {
                continue;
            }
            let v = &mut out[cup];
            if !asked.is_finite() || asked > most {
                (v.least, v.by, settled[cup]) = (None, by, true);
            } else if v.least.is_some() && asked <= at[cup] * (1.0 + FINE) {
                // The worst at this vacuum asks for no more.
                settled[cup] = true;
            } else {
                at[cup] = asked;
                (v.least, v.by) = (Some(asked), by);
            }
        }
        if settled.iter().all(|s| *s) {
            return Ok(out);
        }
    }
    // What did not come to an end is not known to be enough.
    for (v, _) in out.iter_mut().zip(&settled).filter(|(_, s)| !**s) {
        v.least = None;
    }
    Ok(out)
}

/// The rig with these vacuums at the cups whatever the route and the leaks.
fn with_vacuum(rig: &Rig, at: &[f64]) -> Rig {
    let mut out = rig.clone();
    (out.site.highest, out.site.hottest) = (None, None);
    for (cup, v) in out.cups.iter_mut().zip(at) {
        cup.loss.value = 0.0;
        cup.vacuum = Some(Fact::stated(*v, quantity::Kind::Pressure, "vacuum"));
    }
    out
}

/// What the worst state of each cup asks for, Pa, and the check; not a number where it cannot be said.
fn asked(ctx: &Context<'_>, resolution: Resolution) -> Vec<(f64, Option<CheckId>)> {
    let mut out = vec![(0.0, None); ctx.rig.cups.len()];
    let mut checks: Vec<Box<dyn Swept>> = check::swept(ctx);
    checks.retain(|c| matches!(c.id(), CheckId::CupSeal | CheckId::CupSlip));
    let found = sweep::sweep(ctx, &checks, resolution, &|_| {});
    for (check, pairs) in checks.iter().zip(&found.pairs) {
        let factors = ctx.rig.policy.factors(check.id());
        for (cup, (item, pair)) in check.items().iter().zip(pairs).enumerate() {
            if item.missing.is_some() {
                out[cup] = (f64::NAN, None);
                continue;
            }
            let area = PI * ctx.rig.cups[cup].seal_radius.powi(2);
            for (worst, factor) in [(pair.intact, factors.intact), (pair.lost, factors.lost)] {
                let Some(worst) = worst else { continue };
                let r = sweep::numbers(ctx, item.source, &worst.state);
                let (demand, capacity) = check.demand_capacity(item, &r);
                // Beside the vacuum's force a cup that is pressed on has the press.
                let press = capacity - item.data[0];
                let need = (factor * demand - press) / area;
                if need.is_nan() || need > out[cup].0 {
                    out[cup] = (need, Some(check.id()));
                }
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::rig;
    use crate::verdict::{Options, nominal_of};

    /// At the least vacuum the least margin of seal and slip is one; a little under it some margin is under one.
    #[test]
    fn at_the_least_vacuum_the_margin_is_one() {
        let rig = rig();
        let all = vacuum(&rig, Resolution::fine(), BuildOptions::default()).unwrap();
        assert_eq!(all.len(), rig.cups.len());
        let least_margins = |share: f64| -> Vec<f64> {
            let at: Vec<f64> = all.iter().map(|v| v.least.unwrap() * share).collect();
            let with = with_vacuum(&rig, &at);
            let mut out = vec![f64::INFINITY; at.len()];
            for check in [CheckId::CupSeal, CheckId::CupSlip] {
                for f in nominal_of(&with, &Options::default(), check).unwrap() {
                    if let (crate::PartRef::Cup(c), Some(m)) = (f.part, f.margin) {
                        out[c] = out[c].min(m);
                    }
                }
            }
            out
        };
        for (v, m) in all.iter().zip(least_margins(1.0)) {
            assert!((m - 1.0).abs() < 1e-5, "{v:?}: {m}");
        }
        for (v, m) in all.iter().zip(least_margins(0.98)) {
            assert!(m < 1.0 && m > 0.9, "{v:?}: {m}");
        }
    }

    #[test]
    fn more_than_the_pump_can_leave_is_no_vacuum_and_a_missing_reading_stops_nothing() {
        let mut rig = rig();
        rig.cups[0].vacuum = None;
        let known = vacuum(&rig, Resolution::wide(), BuildOptions::default()).unwrap();
        assert!(known[0].read.is_none() && known[0].left.is_none() && known[0].least.is_some());
        rig.policy.pump_ultimate.value = 100e3;
        let none = vacuum(&rig, Resolution::wide(), BuildOptions::default()).unwrap();
        assert!(none.iter().any(|v| v.least.is_none() && v.by.is_some()), "{none:?}");
    }
}
