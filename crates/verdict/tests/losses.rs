//! Single losses: each is what a sweep that knows of this loss alone finds, and none is worse than what the verdict tells.
#![allow(clippy::unwrap_used, reason = "a test program")]

mod common;

use common::{EXAMPLES, example};
use rig::Rig;
use rig::policy::CheckId;
use std::collections::BTreeMap;
use verdict::check::swept;
use verdict::context::Resolution;
use verdict::losses::losses;
use verdict::structure::BuildOptions;
use verdict::sweep::{self, Least};
use verdict::verdict::Options;
use verdict::weigh::weigh;
use verdict::{Context, Outcome, PartRef};

fn step() -> Resolution {
    Resolution { pan: 30_f64.to_radians(), elevation: 20_f64.to_radians() }
}

/// States alike to a part in 2^31 count as one in a sweep, so that either of their margins may be told.
fn near(a: f64, b: f64) -> bool {
    (a / b - 1.0).abs() < 1e-9 || (a.is_infinite() && b.is_infinite())
}

/// Least margin of each check with one failure, every state reckoned.
fn plainly(ctx: &Context<'_>, failure: usize) -> BTreeMap<CheckId, f64> {
    let mut alone = ctx.clone();
    alone.failures = [ctx.failures[0].clone(), ctx.failures[failure].clone()].into();
    let checks = swept(&alone);
    let found = sweep::grid_plainly(&alone, &checks, step());
    let mut out = BTreeMap::new();
    for (check, pairs) in checks.iter().zip(&found.pairs).filter(|(c, _)| !c.informs()) {
        let factor = ctx.rig.policy.factors(check.id()).lost;
        for worst in pairs.iter().filter_map(|p| p.lost) {
            let margin =
                if worst.utilisation > 0.0 { 1.0 / (factor * worst.utilisation) } else { f64::INFINITY };
            let least = out.entry(check.id()).or_insert(f64::INFINITY);
            *least = f64::min(*least, margin);
        }
    }
    out
}

#[test]
fn each_loss_is_what_a_sweep_of_that_loss_alone_finds() {
    // Without an arm there is no closer look around a pose: the grid is the answer.
    for name in ["bonnet-camera", "door-camera"] {
        let rig = example(name);
        let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
        let found = sweep::by_loss(&ctx, &swept(&ctx), step());
        assert_eq!(found.len() + 1, ctx.failures.len());
        for (k, least) in found.iter().enumerate() {
            let plain = plainly(&ctx, k + 1);
            let told: BTreeMap<CheckId, f64> = least.iter().map(|l| (l.check, l.margin)).collect();
            assert!(told.keys().eq(plain.keys()), "{name} {k}");
            assert!(told.iter().all(|(c, m)| near(*m, plain[c])), "{name} {k}: {told:?} {plain:?}");
            assert!(least.iter().all(|l| l.state.failure == k + 1), "{name} {k}");
        }
    }
}

#[test]
fn the_least_of_all_losses_is_the_one_that_a_sweep_of_all_finds() {
    let rig = example("estate-arm");
    let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
    let checks = swept(&ctx);
    let each = sweep::by_loss(&ctx, &checks, step());
    let all = sweep::sweep(&ctx, &checks, step(), &|_| {});
    let mut seen = 0;
    for (check, pairs) in checks.iter().zip(&all.pairs).filter(|(c, _)| !c.informs()) {
        let worst = pairs.iter().filter_map(|p| p.lost).map(|w| w.utilisation).reduce(f64::max);
        let Some(worst) = worst.filter(|u| *u > 0.0) else { continue };
        let whole = 1.0 / (rig.policy.factors(check.id()).lost * worst);
        let least: Vec<&Least> = each.iter().flatten().filter(|l| l.check == check.id()).collect();
        let told = least.iter().map(|l| l.margin).fold(f64::INFINITY, f64::min);
        // Looking closer around each loss's own worst pose may find a little worse, never better.
        assert!(told <= whole * (1.0 + 1e-9) && told > whole * 0.98, "{:?}: {told} {whole}", check.id());
        seen += 1;
    }
    assert!(seen > 5, "{seen}");
}

#[test]
fn a_loss_that_frees_the_rest_says_so() {
    let mut rig: Rig = example("bonnet-camera");
    rig.cups.truncate(1);
    // What stood on the other cups' heads stands on the first alone.
    let found = losses(&rig, &Options::default()).unwrap();
    let cup = found.iter().find(|l| l.lost == PartRef::Cup(0)).unwrap();
    assert!(!cup.stands && cup.least.is_none() && !cup.when.is_empty(), "{cup:?}");
}

#[test]
fn the_list_of_masses_comes_to_the_mass_that_is_reckoned_with() {
    for (name, _) in EXAMPLES {
        let rig = example(name);
        let found = verdict::verdict::nominal_of(&rig, &Options::default(), CheckId::GrossMass).unwrap();
        let Some(f) = found.iter().find(|f| !matches!(f.outcome, Outcome::NotChecked(_))) else { continue };
        let parts: f64 = weigh(&rig).iter().map(|w| w.mass_kg).sum();
        let car = rig.vehicle.mass.value + rig.vehicle.aboard.iter().map(|a| a.mass.value).sum::<f64>();
        assert!((f.demand - car - parts).abs() < 1e-6, "{name}: {} {}", f.demand - car, parts);
    }
}
