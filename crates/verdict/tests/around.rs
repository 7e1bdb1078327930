//! Margins by where the boom is: no worst state gets lost between the bearings, and none lands at a wrong one.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test program; the same sums must give the same bits"
)]

mod common;

use common::example;
use rig::model::Rig;
use rig::policy::CheckId;
use std::collections::BTreeMap;
use verdict::Context;
use verdict::check::swept;
use verdict::context::Resolution;
use verdict::structure::BuildOptions;
use verdict::sweep::{self, Around, Least};

fn step() -> Resolution {
    Resolution { pan: 30_f64.to_radians(), elevation: 20_f64.to_radians() }
}

fn around(rig: &Rig) -> Around {
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    sweep::around(&ctx, &swept(&ctx), step())
}

/// Least margins of the whole grid, every state reckoned.
fn plainly(rig: &Rig) -> BTreeMap<CheckId, f64> {
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    let checks = swept(&ctx);
    let found = sweep::grid_plainly(&ctx, &checks, step());
    let mut out = BTreeMap::new();
    for (check, pairs) in checks.iter().zip(&found.pairs).filter(|(c, _)| !c.informs()) {
        let factors = ctx.rig.policy.factors(check.id());
        for (worst, factor) in pairs.iter().flat_map(|p| [(p.intact, factors.intact), (p.lost, factors.lost)])
        {
            let Some(worst) = worst else { continue };
            let margin =
                if worst.utilisation > 0.0 { 1.0 / (factor * worst.utilisation) } else { f64::INFINITY };
            let least = out.entry(check.id()).or_insert(f64::INFINITY);
            *least = f64::min(*least, margin);
        }
    }
    out
}

/// States alike to a part in 2^31 count as one in a sweep, so that either of their margins may be told.
fn same(a: &BTreeMap<CheckId, f64>, b: &BTreeMap<CheckId, f64>) {
    assert!(a.keys().eq(b.keys()), "{a:?} {b:?}");
    for (check, a) in a {
        assert!((a / b[check] - 1.0).abs() < 1e-9, "{check:?}: {a} {}", b[check]);
    }
}

fn least<'a>(all: impl Iterator<Item = &'a Least>) -> BTreeMap<CheckId, f64> {
    let mut out = BTreeMap::new();
    for l in all {
        let least = out.entry(l.check).or_insert(f64::INFINITY);
        *least = f64::min(*least, l.margin);
    }
    out
}

#[test]
fn the_least_of_all_bearings_and_of_all_elevations_is_the_least_of_the_grid() {
    let rig = example("estate-arm");
    let (found, whole) = (around(&rig), plainly(&rig));
    assert_eq!((found.bearings.len(), found.elevations.len()), (12, 3));
    let bearings = found.bearings.iter().flat_map(|r| &r.least).chain(&found.parked);
    same(&least(bearings), &whole);
    let elevations = found.elevations.iter().flat_map(|r| &r.least).chain(&found.parked);
    same(&least(elevations), &whole);
}

#[test]
fn a_boom_that_cannot_leave_a_bearing_has_that_bearings_margins() {
    let rig = example("estate-arm");
    let found = around(&rig);
    for ring in found.bearings.iter().step_by(5) {
        for l in &ring.least {
            assert!((l.state.pose.pan_rad - ring.at).abs() < 1e-12, "{l:?}");
        }
        let mut fixed = rig.clone();
        fixed.arm.as_mut().unwrap().pan = (ring.at, ring.at);
        same(&least(ring.least.iter().chain(&found.parked)), &plainly(&fixed));
    }
}

#[test]
fn without_an_arm_there_is_nothing_to_point() {
    assert_eq!(around(&example("bonnet-camera")), Around::default());
}
