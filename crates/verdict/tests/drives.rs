//! What a manoeuvre does to the rig, sign by sign: thrown forward by braking, right by a left bend, pushed by the air.
#![allow(clippy::unwrap_used, reason = "a test program: a fault stops the test")]

mod common;

use common::{example, set};
use glam::DVec3;
use mechanics::STANDARD_GRAVITY as G;
use mechanics::arm::Pose;
use mechanics::wrench::Wrench;
use rig::Rig;
use rig::model::Vertical;
use verdict::actions::{Actions, Drive, Gust};
use verdict::responses::wind_load;
use verdict::structure::{BuildOptions, Structure};
use verdict::{Context, StateId};

/// Rounding of sums of a few numbers of size 10.
const NEAR: f64 = 1e-9;

/// The estate car with one manoeuvre at 10 m/s and gusts of 5 m/s, no speed-up over the roof.
fn one(forward: f64, left: f64, vertical: f64, gust: bool) -> Rig {
    let mut rig = example("estate-arm");
    set(&mut rig.site.gust, 5.0);
    set(&mut rig.site.over_roof, 1.0);
    rig.manoeuvres.truncate(1);
    let m = &mut rig.manoeuvres[0];
    set(&mut m.forward, forward);
    set(&mut m.left, left);
    set(&mut m.speed, 10.0);
    m.vertical = Vertical::Range(rig::Fact::stated(vertical, quantity::Kind::Acceleration, "vertical"));
    (m.yaw_rate, m.gust, m.grade, m.bank) = (None, gust, 0.0, 0.0);
    rig
}

fn drives(rig: &Rig) -> (Vec<Drive>, Vec<DVec3>) {
    let a = Actions::of(rig).unwrap();
    (a.drives, a.winds)
}

#[test]
fn braking_throws_forward_and_a_left_bend_throws_right() {
    let (d, winds) = drives(&one(-4.0, 3.0, 0.0, false));
    // At its speed, and once more near standstill without the wind that relieved it.
    assert_eq!(d.len(), 2);
    assert!(d[1].slow && winds[d[1].wind] == DVec3::ZERO && d[1].body_force() == d[0].body_force());
    assert!((d[0].body_force() - DVec3::new(4.0, -3.0, -G)).length() < NEAR);
    // It turns left: 3 m/s² at 10 m/s.
    assert!((d[0].yaw_rate - 0.3).abs() < NEAR);
    assert!((winds[d[0].wind] - DVec3::new(-10.0, 0.0, 0.0)).length() < NEAR);
    assert_eq!(d[0].gust, Gust::None);
}

#[test]
fn the_road_pushes_up_and_drops_away() {
    let (d, _) = drives(&one(0.0, 0.0, 2.5, false));
    let down: Vec<f64> = d.iter().map(|d| d.body_force().z).collect();
    assert_eq!(d.len(), 2);
    // Pushed up the rig presses harder, dropped it presses less.
    assert!((down[0] + G + 2.5).abs() < NEAR && (down[1] + G - 2.5).abs() < NEAR, "{down:?}");
}

#[test]
fn gusts_blow_from_where_they_are_said_to_come() {
    let (d, winds) = drives(&one(0.0, 0.0, 0.0, true));
    let from = |gust: Gust| winds[d.iter().find(|d| d.gust == gust).unwrap().wind];
    assert_eq!(d.len(), 3);
    assert!((from(Gust::Ahead) - DVec3::new(-15.0, 0.0, 0.0)).length() < NEAR);
    assert!((from(Gust::Left) - DVec3::new(-10.0, -5.0, 0.0)).length() < NEAR);
    assert!((from(Gust::Right) - DVec3::new(-10.0, 5.0, 0.0)).length() < NEAR);
    let mut fast = one(0.0, 0.0, 0.0, true);
    set(&mut fast.site.over_roof, 1.4);
    let (d, winds) = drives(&fast);
    let ahead = winds[d.iter().find(|d| d.gust == Gust::Ahead).unwrap().wind];
    assert!((ahead.x + 21.0).abs() < NEAR, "all of the flow is faster over the roof");
}

#[test]
fn a_climb_and_a_bank_lean_the_weight() {
    let mut rig = one(0.0, 0.0, 0.0, false);
    (rig.manoeuvres[0].grade, rig.manoeuvres[0].bank) = (0.1, 0.05);
    let b = drives(&rig).0[0].body_force();
    // Uphill pulls back, left side up pulls right.
    assert!((b.x + G * 0.1_f64.sin()).abs() < NEAR);
    assert!((b.y + G * 0.1_f64.cos() * 0.05_f64.sin()).abs() < NEAR);
    assert!((b.length() - G).abs() < NEAR);
}

/// Wind on everything, thing by thing at its own middle: `rho Cd D L |vn| vn / 2` on a tube by the flow across it,
/// `rho Cd |v| (A v) / 2` on a box by its faces.
#[test]
fn wind_pushes_each_thing_at_its_middle() {
    let (density, v) = (1.2, DVec3::new(-20.0, 6.0, 0.0));
    for name in ["estate-arm", "bonnet-camera", "door-camera"] {
        let rig = example(name);
        let s = Structure::new(&rig, BuildOptions::default());
        let mut sum = Wrench::ZERO;
        for t in &rig.tubes {
            let axis = (t.b - t.a).normalize();
            let across = v - axis * v.dot(axis);
            let scale = 0.5 * density * t.section.drag.value * t.section.outer * t.length();
            sum += Wrench::of_force_at(across * across.length() * scale, (t.a + t.b) / 2.0);
        }
        for p in &rig.platforms {
            let across = p.normal.cross(p.along);
            let scale = 0.5 * density * p.drag.value * v.length();
            let force = p.along * (v.dot(p.along) * p.size.y * p.size.z)
                + across * (v.dot(across) * p.size.x * p.size.z)
                + p.normal * (v.dot(p.normal) * p.size.x * p.size.y);
            sum += Wrench::of_force_at(force * scale, p.at - p.normal * (p.size.z / 2.0));
        }
        for i in &rig.items {
            if let Some(d) = &i.drag {
                let force = d.areas * v * (0.5 * density * d.coefficient.value * v.length());
                sum += Wrench::of_force_at(force, i.at);
            }
        }
        let total = s.frame.total(&wind_load(&rig, &s, density, v), DVec3::ZERO);
        let (f, m) = (total.force - sum.force, total.moment - sum.moment);
        assert!(sum.force.length() > 3.0, "{name}: {sum:?}");
        assert!(f.length() < NEAR && m.length() < NEAR, "{name}: {f} {m}");
    }
}

/// At rest and level, the moment in each cut of the boom is the weight beyond it by its lever.
#[test]
fn the_boom_carries_what_hangs_beyond_the_cut() {
    let mut rig = one(0.0, 0.0, 0.0, false);
    set(&mut rig.manoeuvres[0].speed, 0.0);
    let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
    let (arm, cuts) = (rig.arm.as_ref().unwrap(), &ctx.arm.as_ref().unwrap().cuts);
    let tip = arm.sections.iter().map(|s| s.span.1).fold(0.0, f64::max);
    let state = StateId { failure: 0, drive: 0, motion: 0, pose: Pose::default() };
    assert!(cuts.len() >= 2, "one at the pivot, one further out");
    for (k, cut) in cuts.iter().enumerate() {
        let (mut mass, mut moment) = (0.0, 0.0);
        let mut hang = |kg: f64, at: f64| {
            mass += kg;
            moment += kg * (at - cut.along);
        };
        for s in arm.sections.iter().filter(|s| s.span.0.min(s.span.1) >= cut.along - 1e-9 && s.span.1 > 0.0)
        {
            hang(s.mass.value, f64::midpoint(s.span.0, s.span.1));
        }
        hang(arm.isolator.mass.value, tip);
        hang(arm.payload.mass.value, tip + arm.payload.centre.x);
        let r = ctx.cut_forces(k, &state);
        let (shear, bending) = (DVec3::from_slice(&r[..3]).length(), DVec3::from_slice(&r[3..]).length());
        assert!((shear - mass * G).abs() < 1e-6, "cut {k}: {shear} against {}", mass * G);
        assert!((bending - moment * G).abs() < 1e-6, "cut {k}: {bending} against {}", moment * G);
    }
}
