//! Retention and reserve through a rig file, where plain statics gives the answer.
//!
//! A flat roof, a plate on four cups, its mass centre known. The plate is thin and low, so that little tips it.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;

use common::{all_known, read};
use core::fmt::Write;
use mechanics::STANDARD_GRAVITY;
use rig::Rig;
use rig::policy::CheckId;
use verdict::check::{reserve, retention, swept};
use verdict::context::Resolution;
use verdict::structure::BuildOptions;
use verdict::{Context, Finding, sweep};

/// The multiplier is rounded down by up to ten times a remainder of 1e-6 (`mechanics::limit`).
const ROUNDED_DOWN: f64 = 1e-4;

/// A plate of 20 kg, 100 mm over the roof, on four cups of 2 kg; `straps` is appended.
fn plate(straps: &str) -> Rig {
    let mut t = r#"version = 1
parts = ["kit.toml"]
name = "Plate"
[site]
altitude = "0 m"
temperature = "15 C"
gust = "0 km/h"
road = "A"
[vehicle]
like = "estate car"
datum = { aft = "1 m", up = "1.4 m" }
[panel.roof]
faces = "up"
at = { aft = "800 mm", up = "0 mm" }
length = "2 m"
width = "1.4 m"
crown_along = "flat"
crown_across = "flat"
material = "steel"
finish = "clean paint"
surface = "dry"
roof = true
friction = "0.4"
[platform.plate]
at = { aft = "800 mm", up = "110 mm" }
length = "900 mm"
width = "900 mm"
thickness = "10 mm"
mass = "20 kg"
[manoeuvre.brake]
kind = "firm braking"
speed = "0 km/h"
forward = "-0.5 g"
"#
    .to_owned();
    for (tag, aft, side) in
        [("FL", 500, "left"), ("FR", 500, "right"), ("RL", 1100, "left"), ("RR", 1100, "right")]
    {
        writeln!(
            t,
            "[cup.{tag}]\npart = \"kit-200\"\npanel = \"roof\"\naft = \"{aft} mm\"\n{side} = \"300 mm\"\nholds = \"plate\"\nvacuum = \"70 kPa\"\nmass = \"2 kg\""
        )
        .unwrap();
    }
    let mut rig = read("plate", &(t + straps));
    all_known(&mut rig);
    rig
}

/// The finding of a throw with nothing lost.
fn held(rig: &Rig, throw: &str) -> Finding {
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    let found = retention::check(&ctx, None).findings;
    found.into_iter().find(|f| f.place == throw && !f.situation.contains("lost")).unwrap()
}

/// A level tether straight back from the middle of the plate's top, WLL 400 N.
const BACK: &str = r#"
[strap.back]
part = "wire tether 4"
capacity = "400 N"
path = [ { platform = "plate", aft = "800 mm", left = "0 mm", up = "2 mm" }, { aft = "2400 mm", up = "2 mm" } ]
"#;

/// A tether too weak: `mu m g + LC = L m a`.
///
/// Thrown forward, cups rub with `q mu` of the weight (the ring's share `q` of the friction law lies inside it, and without
/// turning a ring keeps all of it only up to `q`); the tether gives its whole capacity.
#[test]
fn a_tether_too_weak_gives_its_capacity_and_friction_no_more() {
    let rig = plate(BACK);
    let f = held(&rig, "thrown forward");
    let (mass, mu) = (28.0, 0.4 * mechanics::cup::slip::RING_SHARE);
    let a = rig.policy.retention.forward.value;
    let expected = (mu * mass * STANDARD_GRAVITY + 400.0) / (mass * a);
    assert!((f.capacity / expected - 1.0).abs() < ROUNDED_DOWN, "{} against {expected}", f.capacity);
    // Hardly any friction: the tether all but alone, L = LC / (m a).
    let mut icy = rig.clone();
    icy.panels[0].friction.value = 1e-3;
    let f = held(&icy, "thrown forward");
    let expected = (mu / 400.0 * mass * STANDARD_GRAVITY + 400.0) / (mass * a);
    assert!((f.capacity / expected - 1.0).abs() < ROUNDED_DOWN, "{} against {expected}", f.capacity);
    assert!(f.situation.starts_with("all vacuum gone, thrown forward"));
    // Rearward the tether is slack: friction alone.
    let f = held(&rig, "thrown rearward");
    let expected = mu * STANDARD_GRAVITY / rig.policy.retention.rearward.value;
    assert!((f.capacity / expected - 1.0).abs() < ROUNDED_DOWN, "{} against {expected}", f.capacity);
}

/// Four straps straight down: a lift of `a` upward, gravity left out, is held until all four are at LC: `L = 4 LC / (m a)`.
#[test]
fn straps_straight_down_hold_a_lift_until_all_are_at_capacity() {
    let mut straps = String::new();
    for (tag, aft, side) in
        [("a", 450, "left"), ("b", 450, "right"), ("c", 1150, "left"), ("d", 1150, "right")]
    {
        writeln!(
            straps,
            "[strap.{tag}]\npart = \"ratchet strap 35\"\npretension = \"300 N\"\ncapacity = \"800 N\"\npath = [ {{ platform = \"plate\", aft = \"{aft} mm\", {side} = \"400 mm\", up = \"100 mm\" }}, {{ aft = \"{aft} mm\", {side} = \"400 mm\", down = \"100 mm\" }} ]"
        )
        .unwrap();
    }
    let mut rig = plate(&straps);
    rig.policy.retention.upward.value = 30.0;
    let f = held(&rig, "lifted");
    let expected = 4.0 * 800.0 / (28.0 * 30.0);
    assert!((f.capacity / expected - 1.0).abs() < ROUNDED_DOWN, "{} against {expected}", f.capacity);
    // One lost: the one across from it would tip the plate and hangs slack; the other two hold. L = 2 LC / (m a).
    let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
    let lost = retention::check(&ctx, None).findings;
    let lost = lost.iter().find(|f| f.place == "lifted" && f.situation.contains("lost")).unwrap();
    let expected = 2.0 * 800.0 / (28.0 * 30.0);
    assert!((lost.capacity / expected - 1.0).abs() < ROUNDED_DOWN, "{} against {expected}", lost.capacity);
}

/// With vacuum, braking pushes the plate along the roof: every cup slides together at
/// `L m a = q mu (4 N0 + L m g)` when the height of the mass centre asks nothing of the seals.
#[test]
fn the_reserve_of_a_plate_against_sliding() {
    let rig = plate(BACK);
    let mut rig = Rig { straps: Vec::new(), ..rig };
    // Everything in the panel's plane: no lever.
    rig.platforms[0].at.z = rig.cups[0].at.z + rig.platforms[0].size.z / 2.0;
    let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
    let checks = swept(&ctx);
    let found = sweep::sweep(&ctx, &checks, Resolution::fine(), &|_| {});
    let at: Vec<usize> = checks
        .iter()
        .enumerate()
        .filter(|(_, c)| matches!(c.id(), CheckId::CupSeal | CheckId::CupSlip))
        .map(|(i, _)| i)
        .collect();
    let f = &reserve::check(&ctx, &found, &at)[0];
    let cup = &rig.cups[0];
    let n0 = core::f64::consts::PI * cup.seal_radius.powi(2) * (70e3 - cup.loss.value);
    let mu = 0.4 * mechanics::cup::slip::RING_SHARE;
    let (mass, a) = (28.0, 0.5 * STANDARD_GRAVITY);
    // The road's own up and down is in the worst state too: read the vertical acceleration from the state.
    let vertical = ctx.actions.drives[f.state.unwrap().drive].vertical;
    let expected = mu * 4.0 * n0 / (mass * a - mu * mass * (STANDARD_GRAVITY + vertical));
    assert!((f.capacity / expected - 1.0).abs() < 2e-4, "{} against {expected}", f.capacity);
    // A cup lost: three rub at most with all they have; their middle is off the pull's line, which costs some of it.
    let lost = &reserve::check(&ctx, &found, &at)[1];
    let vertical = ctx.actions.drives[lost.state.unwrap().drive].vertical;
    let most = mu * 3.0 * n0 / (mass * a - mu * mass * (STANDARD_GRAVITY + vertical));
    assert!((0.5 * most..most * (1.0 + 1e-6)).contains(&lost.capacity), "{} of {most}", lost.capacity);
}
