//! Passing over states changes nothing: the worst states are those of reckoning every one, bit for bit.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test program: a fault stops the test; the same sums must give the same bits"
)]

#[path = "common/always.rs"]
mod always;
mod common;
#[path = "common/ladder.rs"]
mod ladder;

use always::always;
use common::example;
use ladder::ladders;
use proptest::prelude::*;
use proptest::test_runner::TestCaseError;
use rig::Rig;
use rig::policy::CheckId;
use std::cell::Cell;
use verdict::check::{Side, Swept, swept, utilisation};
use verdict::context::Resolution;
use verdict::structure::BuildOptions;
use verdict::sweep::Way;
use verdict::{Context, sweep};

fn step(pan: f64, elevation: f64) -> Resolution {
    Resolution { pan: pan.to_radians(), elevation: elevation.to_radians() }
}

fn same(rig: &Rig, resolution: Resolution) -> Result<(), TestCaseError> {
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    let checks = swept(&ctx);
    let quick = sweep::grid(&ctx, &checks, resolution, &|_| {});
    let plain = sweep::grid_plainly(&ctx, &checks, resolution);
    prop_assert_eq!(quick.states, plain.states);
    for way in [Way::Plain, Way::Folded] {
        let in_full = sweep::grid_in_full(&ctx, &checks, resolution, way);
        prop_assert_eq!(in_full.states, plain.states);
        prop_assert_eq!(&in_full.pairs, &plain.pairs, "{:?}", way);
    }
    prop_assert_eq!(quick.states, sweep::count(&ctx, resolution));
    for (check, (a, b)) in checks.iter().zip(quick.pairs.iter().zip(&plain.pairs)) {
        for (item, (a, b)) in check.items().iter().zip(a.iter().zip(b)) {
            prop_assert_eq!(a, b, "{:?} of {:?}", check.id(), item.part);
            prop_assert!(item.missing.is_some() || a.intact.is_some());
        }
    }
    Ok(())
}

#[test]
fn on_random_ladders() {
    // Some have no strap, some have straps that go slack.
    always(10, &(ladders(), 20.0..60.0_f64, 12.0..30.0_f64), |(ladder, pan, elevation)| {
        same(&ladder.rig(), step(pan, elevation))
    });
}

/// Do all states of a sweep keep to the required factors?
fn all_allowed(ctx: &Context<'_>, checks: &[Box<dyn Swept>], found: &sweep::Sweep) -> bool {
    checks.iter().zip(&found.pairs).filter(|(c, _)| !c.informs()).all(|(check, pairs)| {
        let factors = ctx.rig.policy.factors(check.id());
        pairs.iter().all(|p| {
            p.intact.is_none_or(|w| w.utilisation <= 1.0 / factors.intact)
                && p.lost.is_none_or(|w| w.utilisation <= 1.0 / factors.lost)
        })
    })
}

#[test]
fn the_short_answer_is_that_of_the_whole_grid() {
    let (holding, failing) = (Cell::new(0), Cell::new(0));
    // Vacuum from hardly any to plenty, so that both answers come up.
    always(14, &(ladders(), 0.15..2.5_f64), |(ladder, share)| {
        let mut rig = ladder.rig();
        for cup in &mut rig.cups {
            let Some(vacuum) = &mut cup.vacuum else { continue };
            vacuum.value *= share;
            cup.loss.value *= share;
        }
        let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
        let cups = [CheckId::CupSeal, CheckId::CupSlip];
        let checks: Vec<_> = swept(&ctx).into_iter().filter(|c| cups.contains(&c.id())).collect();
        let resolution = step(45.0, 20.0);
        let whole = sweep::grid(&ctx, &checks, resolution, &|_| {});
        let allowed = all_allowed(&ctx, &checks, &whole);
        prop_assert_eq!(sweep::holds(&ctx, &checks, resolution), allowed);
        let roaming = sweep::not_allowed(&ctx, &checks, &ctx.poses(resolution));
        let found = roaming.pairs.iter().flatten().any(|p| p.intact.or(p.lost).is_some());
        // The parked arm is not among these poses.
        prop_assert!(!found || !allowed);
        for (check, (some, all)) in checks.iter().zip(roaming.pairs.iter().zip(&whole.pairs)) {
            for (some, all) in some.iter().zip(all) {
                if let (Some(a), Some(b)) = (some.intact, all.intact) {
                    prop_assert!(a.utilisation <= b.utilisation, "{:?}", check.id());
                }
            }
        }
        let count = if allowed { &holding } else { &failing };
        count.set(count.get() + 1);
        Ok(())
    });
    assert!(holding.get() > 1 && failing.get() > 1, "{} hold, {} do not", holding.get(), failing.get());
}

#[test]
fn on_the_examples() {
    for (name, _) in common::EXAMPLES {
        same(&example(name), step(40.0, 20.0)).unwrap();
    }
}

#[test]
fn a_step_to_the_bad_side_never_uses_less() {
    let number = prop_oneof![-1.0..1.0_f64, -1e3..1e3_f64, -1e6..1e6_f64, Just(0.0)];
    let numbers = prop::collection::vec((number, 0.0..1e4_f64, any::<bool>()), 6);
    for (name, _) in common::EXAMPLES {
        let rig = example(name);
        let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
        for check in swept(&ctx) {
            always(64, &(any::<prop::sample::Index>(), &numbers), |(pick, numbers)| {
                let items: Vec<_> = check.items().iter().filter(|i| i.missing.is_none()).collect();
                if items.is_empty() {
                    return Ok(());
                }
                let item = pick.get(&items);
                let mut from = [0.0; 6];
                let mut to = [0.0; 6];
                for (k, (side, (value, step, still))) in check.worse().iter().zip(numbers).enumerate() {
                    let step = if still { 0.0 } else { step };
                    from[k] = value;
                    to[k] = match side {
                        Side::Idle => -3.0 * value + step,
                        Side::Up => value + step,
                        Side::Down => value - step,
                        Side::Size => value + step * if value < 0.0 { -1.0 } else { 1.0 },
                    };
                }
                let used = |r: &[f64; 6]| {
                    let (demand, capacity) = check.demand_capacity(item, r);
                    utilisation(demand, capacity)
                };
                let (a, b) = (used(&from), used(&to));
                // The bolts' root has rounding of its own; the rest holds to the last bit.
                prop_assert!(a <= b * (1.0 + 1e-12), "{:?}: {a} at {from:?}, {b} at {to:?}", check.id());
                Ok(())
            });
        }
    }
}
