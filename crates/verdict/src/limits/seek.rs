//! One limit: the largest acceleration at which no state of some poses fails.
//!
//! All states are looked at a few times only. Those that fail are kept, and the acceleration goes down to where they hold;
//! then all are looked at again. When none fails, it is the limit: it was proved on every state.

use super::judge::Judge;
use super::{Ask, By, Limit};
use crate::context::Context;
use crate::parts::PartRef;
use crate::state::StateId;
use crate::sweep::{self, Sweep};
use mechanics::STANDARD_GRAVITY;
use mechanics::arm::Pose;
use rig::policy::CheckId;

/// No car of this kind does more, m/s²: 1.2 g.
pub const CAP: f64 = 1.2 * STANDARD_GRAVITY;
/// Limits are rounded down to this, m/s²: 0.01 g.
pub(super) const FINE: f64 = 0.01 * STANDARD_GRAVITY;
/// Shares of a limit at which all states are looked at as well: what turns with the square of the yaw rate need not be worst at
/// the end.
const LOWER: [f64; 3] = [0.75, 0.5, 0.25];
/// Rounds before giving up; three are usual.
const ROUNDS: usize = 24;

/// The worst state that is not allowed in a sweep, by how far it is over.
fn worst(ctx: &Context<'_>, judge: &Judge<'_>, found: &Sweep) -> Option<(f64, By)> {
    let mut out: Option<(f64, By)> = None;
    for (check, pairs) in judge.checks.iter().zip(&found.pairs).filter(|(c, _)| !c.informs()) {
        let factors = ctx.rig.policy.factors(check.id());
        for (item, pair) in check.items().iter().zip(pairs) {
            for (w, factor) in [(pair.intact, factors.intact), (pair.lost, factors.lost)] {
                let Some(w) = w else { continue };
                let over = w.utilisation * factor;
                if over > 1.0 && out.as_ref().is_none_or(|(o, _)| over > *o) {
                    let by =
                        By { check: check.id(), part: item.part, when: w.state.words(ctx), state: w.state };
                    out = Some((over, by));
                }
            }
        }
    }
    out
}

/// The limit of some poses; `judges` are all sets of values that it must hold for.
pub(super) fn limit(judges: &[&Judge<'_>], ask: Ask, poses: &[Pose]) -> Limit {
    if let Some((judge, failure)) = judges.iter().find_map(|j| Some((j, j.loose()?))) {
        let ctx = judge.context();
        let state =
            StateId { failure, drive: 0, motion: 0, pose: poses.first().copied().unwrap_or_default() };
        let part = ctx.failures.get(failure).and_then(|f| f.lost).unwrap_or(PartRef::Rig);
        let by = By { check: CheckId::Stable, part, when: state.words(ctx), state };
        return Limit { ask, acceleration: None, by: Some(by) };
    }
    let mut kept: Vec<Vec<StateId>> = vec![Vec::new(); judges.len()];
    let mut by: Option<By> = None;
    let mut at = CAP;
    let all = |at: f64, kept: &mut [Vec<StateId>]| -> Option<By> {
        for (judge, kept) in judges.iter().zip(kept) {
            let ctx = judge.doing(ask, at);
            let found = sweep::not_allowed(&ctx, &judge.checks, poses);
            if let Some((_, by)) = worst(&ctx, judge, &found) {
                let new: Vec<StateId> =
                    sweep::pool(&found.pairs).into_iter().filter(|s| !kept.contains(s)).collect();
                kept.extend(new);
                return Some(by);
            }
        }
        None
    };
    let of_kept = |at: f64, kept: &[Vec<StateId>]| -> Option<By> {
        judges.iter().zip(kept).filter(|(_, k)| !k.is_empty()).find_map(|(judge, kept)| {
            let ctx = judge.doing(ask, at);
            worst(&ctx, judge, &sweep::at_states(&ctx, &judge.checks, kept)).map(|(_, by)| by)
        })
    };
    for _ in 0..ROUNDS {
        let over = all(at, &mut kept);
        if over.is_none() {
            // And on the way there.
            let bad = LOWER.into_iter().find_map(|share| Some((share, all(at * share, &mut kept)?)));
            let Some((share, why)) = bad else {
                return Limit { ask, acceleration: Some(at), by };
            };
            (at, by) = (at * share, Some(why));
        } else {
            by = over;
        }
        if let Some(why) = of_kept(0.0, &kept) {
            return Limit { ask, acceleration: None, by: Some(why) };
        }
        let (mut low, mut high) = (0.0, at);
        while high - low > FINE / 2.0 {
            let middle = f64::midpoint(low, high);
            match of_kept(middle, &kept) {
                Some(why) => (high, by) = (middle, Some(why)),
                None => low = middle,
            }
        }
        at = (low / FINE + 1e-9).floor() * FINE;
    }
    Limit { ask, acceleration: None, by }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::swept;
    use crate::context::Resolution;
    use crate::limits::{Options, envelope};
    use crate::testing::{context, rig};

    #[test]
    fn a_rig_that_comes_loose_without_a_part_has_no_limit() {
        // One tube on one cup that its head holds: with the cup lost nothing holds it.
        let mut rig = rig();
        rig.tubes.truncate(1);
        rig.cups.truncate(1);
        (rig.clamps, rig.legs, rig.platforms) = (Vec::new(), Vec::new(), Vec::new());
        (rig.straps, rig.arm) = (Vec::new(), None);
        let ctx = context(&rig);
        assert!(ctx.failures[0].responses.is_ok() && ctx.failures[1].responses.is_err());
        assert!(!sweep::holds(&ctx, &swept(&ctx), Resolution::wide()));
        // No state of it fails: what stands without the cup has none.
        let calm = Options { speeds: vec![1.5], ..Options::default() };
        for cell in envelope(&rig, &calm).unwrap().cells {
            for limit in cell.limits {
                assert_eq!(limit.acceleration, None);
                let by = limit.by.unwrap();
                assert_eq!((by.check, by.part), (CheckId::Stable, PartRef::Cup(0)));
            }
        }
    }
}
