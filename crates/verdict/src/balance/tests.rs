//! Against closed forms, brute force, the arm's full equations and the verdict's own sweep.

use super::*;
use crate::structure::BuildOptions;
use crate::testing::{arm, fact, manoeuvre, rig};
use core::f64::consts::{FRAC_PI_2, PI};
use glam::DVec3;
use mechanics::STANDARD_GRAVITY as G;
use mechanics::arm::{Accelerations, Base, Pose, Rates, actions};
use proptest::prelude::*;
use rig::fact::Origin;
use rig::model::ArmUse;

/// Sums of a few hundred N m.
const ROUNDING: f64 = 1e-9;

fn options() -> Options<'static> {
    Options::default()
}

fn look(rig: &Rig) -> Balance {
    Balance::of(rig, &Ask::default(), &options()).unwrap()
}

fn plans(arm: &Arm) -> Plans {
    let rig = rig();
    Plans::of(&whole(&rig, arm).unwrap(), arm).unwrap()
}

#[test]
fn off_the_axis_the_moment_goes_with_elevation() {
    // Closed form from paper: tau = g sum m (x cos e - z sin e); 6 kg at 2 m, 8 kg at 1 m, 2.4 kg at -0.3 m, 33 kg at
    // (-0.6, -0.05) m: A = 19.28 - 19.8 = -0.52, B = -1.65 kg m.
    let mut arm = arm();
    (arm.counterweight.mass, arm.counterweight.under) = (fact(33.0), 0.05);
    arm.elevation = (-0.2, 0.6);
    let whole = whole(&rig(), &arm).unwrap();
    let m = Moments::of(&whole, &arm);
    let tau = |e: f64| G * (-0.52 * e.cos() + 1.65 * e.sin());
    for e in [-0.2, 0.0, 0.31, 0.6] {
        assert!((whole.torque_nm(e).unwrap() - tau(e)).abs() < ROUNDING);
    }
    // Its peak, at tan e = -B / A = -1.65 / 0.52, lies outside the range, so the ends are the extremes.
    let (least, most) = m.span_nm(33.0, 0.6).unwrap();
    assert!((least - tau(-0.2)).abs() < ROUNDING && (most - tau(0.6)).abs() < ROUNDING);
    // Inside: with A = 1 and B = -1.65 the sine peaks at atan(1.65) = 1.026 with g sqrt(1 + 1.65²).
    let arm = Arm { elevation: (0.0, 1.4), ..arm };
    let m = Moments::of(&whole, &arm);
    let behind = (19.28 - 1.0) / 33.0;
    let (_, peak) = m.span_nm(33.0, behind).unwrap();
    assert!((peak - G * 1.0_f64.hypot(1.65)).abs() < ROUNDING);
    // The height that would cure it: nothing else is off the axis, so the axis itself.
    assert!(m.neutral_under_m(33.0).unwrap().abs() < ROUNDING);
}

#[test]
fn a_fixed_payload_below_the_axis_wants_the_weight_above_it() {
    let mut arm = arm();
    (arm.levelled, arm.payload.centre) = (false, DVec3::new(0.0, 0.0, -0.2));
    let whole = whole(&rig(), &arm).unwrap();
    let m = Moments::of(&whole, &arm);
    // B = 6 x -0.2; a weight of M at height h over the axis adds M h: h = 1.2 / M.
    let under = m.neutral_under_m(30.0).unwrap();
    assert!((under + 1.2 / 30.0).abs() < ROUNDING);
    let mut cured = arm.clone();
    (cured.counterweight.mass, cured.counterweight.under) = (fact(30.0), under);
    cured.counterweight.behind = fact(19.28 / 30.0);
    let balance = self::whole(&rig(), &cured).unwrap();
    for k in -7..=7 {
        assert!(balance.torque_nm(0.2 * f64::from(k)).unwrap().abs() < ROUNDING, "every elevation");
    }
}

#[test]
fn a_slide_balances_where_plates_cannot() {
    let mut arm = arm();
    // 1 kg more on the tip: 21.28 kg m need 32.133 kg at 0.6622 m.
    arm.payload.mass = fact(7.0);
    (arm.counterweight.slide, arm.counterweight.plates) = (Some((0.4, 0.7)), vec![]);
    let p = plans(&arm);
    let slide = p.slide.as_ref().unwrap();
    assert!((slide.behind_m - 21.28 / (19.28 / 0.6)).abs() < 1e-7, "{slide:?}");
    assert!(slide.left.worst_nm.abs() < 1e-4 && p.plates.is_none() && p.both.is_none());
    assert_eq!(p.advice(), Some(slide));
    // A carrier that ends before says where it ends, and plates make up the rest: 2 more kg at 0.6234 m.
    (arm.counterweight.slide, arm.counterweight.plates) = (Some((0.4, 0.65)), vec![5.0, 2.0, 1.0]);
    let p = plans(&arm);
    let slide = p.slide.as_ref().unwrap();
    assert!((slide.behind_m - 0.65).abs() < ROUNDING && p.place_m.unwrap() > 0.66);
    assert!((slide.left.level_nm - G * (21.28 - 19.28 / 0.6 * 0.65)).abs() < ROUNDING);
    let both = p.both.as_ref().unwrap();
    assert_eq!((both.plates.moved(), p.advice()), (1, Some(both)));
    assert!(both.left.worst_nm.abs() < 1e-3 && both.behind_m <= 0.65);
}

#[test]
fn plates_that_come_off_are_named() {
    let mut arm = arm();
    arm.payload.mass = fact(4.0);
    // 4 kg m too much behind: 6.667 kg at 0.6 m. Of 5, 5, 2 and 1 fitted, 5 + 2 off leaves 0.2 kg m; 5 off and a 1 that
    // is at hand on would be worse.
    (arm.counterweight.fitted, arm.counterweight.plates) = (vec![5.0, 5.0, 2.0, 1.0], vec![1.0]);
    let p = plans(&arm);
    let plan = p.advice().unwrap();
    assert_eq!((plan.plates.off.clone(), plan.plates.on.clone()), (vec![5.0, 2.0], vec![]));
    assert!((plan.left.level_nm - 0.2 * G).abs() < ROUNDING);
    assert!((p.weight_kg.unwrap() - (19.28 / 0.6 - 4.0 / 0.6)).abs() < 1e-6);
    let done = after(&arm, plan);
    assert_eq!((done.counterweight.fitted, done.counterweight.plates), (vec![5.0, 1.0], vec![1.0, 5.0, 2.0]));
}

#[test]
fn nothing_on_the_tail_balances_a_front_that_is_too_light() {
    let mut arm = arm();
    (arm.payload.mass, arm.isolator.mass) = (fact(0.1), fact(0.0));
    arm.sections[0].mass = fact(0.1);
    let p = plans(&arm);
    assert_eq!(p.weight_kg, None, "the tail alone outweighs it");
    assert!(choices(&[1.3; 40], &[]).is_ok_and(|c| c.len() == 41), "alike plates are one by one");
    let many: Vec<f64> = (1..=20).map(|k| f64::from(k) * 0.137).collect();
    assert_eq!(choices(&many, &[]), Err(TooMany));
}

#[test]
fn the_table_is_the_arms_own_equations() {
    let mut rig = rig();
    rig.manoeuvres =
        vec![manoeuvre("stop", -6.0, 0.0, ArmUse::Still), manoeuvre("bend", 0.0, 3.0, ArmUse::Live)];
    rig.manoeuvres[1].bank = 0.1;
    rig.arm.as_mut().unwrap().counterweight.mass.value += 1.0;
    let b = look(&rig);
    let model = ArmModel::of(&rig).unwrap().unwrap();
    let still = |e: f64, acc: f64| {
        let pose = Pose { pan_rad: 0.4, elevation_rad: e };
        let turning = Accelerations { pan_rps2: 0.0, tilt_rps2: acc };
        actions(&model.chain, pose, Rates::default(), turning, &Base::LEVEL).unwrap().tilt_torque_nm
    };
    for row in &b.rows {
        let e = row.elevation_rad;
        assert!((row.hold_nm - still(e, 0.0)).abs() < ROUNDING);
        // Emergency stop at 2 rad/s² is harder than the start at 0.7.
        assert!((row.start_nm - (still(e, 2.0) - still(e, 0.0)).abs()).abs() < ROUNDING);
    }
    // The verdict's sweep looks at the same poses and more closely round the worst: never less, and hardly more.
    let most = b.rows.iter().filter_map(|r| r.tilt_nm).fold(0.0, f64::max);
    let swept = b.drives[0].check.demand;
    assert!(most <= swept + ROUNDING && most > 0.99 * swept, "{most} {swept}");
    assert_eq!(b.rows.len(), 9, "-5 to 35 deg by 5");
    // Power is a torque at a rate that the drive has.
    let p = b.drives[0].power.as_ref().unwrap();
    assert!(
        (p.w - (p.torque_nm * p.rate_rps).abs()).abs() < ROUNDING
            && (p.rate_rps.abs() - 0.5).abs() < ROUNDING
    );
    assert!((b.drives[0].can_w.unwrap() - 45.0).abs() < ROUNDING);
}

#[test]
fn an_arm_off_its_mast_swings_downhill() {
    let mut rig = rig();
    // Out of balance by 1 kg at 0.6 m: first moment 0.6 kg m behind; pan torque g 0.6 sin(slope) with the boom level.
    rig.arm.as_mut().unwrap().counterweight.mass.value += 1.0;
    rig.manoeuvres[0].bank = 0.12;
    let s = look(&rig).slope.unwrap();
    assert!((s.per_degree_nm - G * 0.6 * 1.0_f64.to_radians().sin()).abs() < 1e-6, "{s:?}");
    assert!((s.steepest_rad - 0.12).abs() < 1e-9 && (s.steepest_nm - G * 0.6 * 0.12_f64.sin()).abs() < 1e-6);
    // 10 kg of head, 8 + 2.4 of boom, 6 of payload, the weight.
    assert!((s.turning_kg - (26.4 + 19.28 / 0.6 + 1.0)).abs() < ROUNDING);
    // In balance it stays where it is put.
    rig.arm.as_mut().unwrap().counterweight.mass.value -= 1.0;
    assert!(look(&rig).slope.unwrap().per_degree_nm < 1e-6);
}

#[test]
fn what_is_not_weighed_gives_a_range_and_no_more() {
    let mut rig = rig();
    assert!(look(&rig).unweighed.is_none());
    let p = &mut rig.arm.as_mut().unwrap().payload.mass;
    (p.origin, p.low, p.high, p.key) = (Origin::Assumed, 5.0, 8.0, "payload.mass".to_owned());
    let b = look(&rig);
    let u = b.unweighed.unwrap();
    assert!(u.payload_alone && u.facts.len() == 1);
    // 1 kg less and 2 kg more at 2 m.
    assert!((u.level_nm.0 + 2.0 * G).abs() < ROUNDING && (u.level_nm.1 - 4.0 * G).abs() < ROUNDING);
    assert!((u.weight_kg.0.unwrap() - 17.28 / 0.6).abs() < 1e-6);
    assert!((u.weight_kg.1.unwrap() - 23.28 / 0.6).abs() < 1e-6);
    let c = &mut rig.arm.as_mut().unwrap().counterweight.mass;
    (c.origin, c.low, c.high, c.key) = (Origin::Assumed, 30.0, 33.0, "arm.counterweight.mass".to_owned());
    let u = look(&rig).unweighed.unwrap();
    assert!(!u.payload_alone);
    // Lightest: 5 kg on the tip, 33 kg behind: 17.28 - 19.8 kg m; heaviest: 8 kg and 30 kg: 23.28 - 18 kg m.
    assert!((u.level_nm.0 + 2.52 * G).abs() < ROUNDING && (u.level_nm.1 - 5.28 * G).abs() < ROUNDING);
}

#[test]
fn other_payloads_and_lenses() {
    let mut rig = rig();
    let ask = Ask { payloads_kg: vec![7.0, 5.0, f64::NAN, -2.0], lens_kg: vec![0.5, -0.5, -90.0] };
    rig.arm.as_mut().unwrap().counterweight.slide = Some((0.4, 0.6));
    let b = Balance::of(&rig, &ask, &options()).unwrap();
    let list: Vec<f64> = b.payloads.iter().map(|p| p.payload_kg).collect();
    assert_eq!(list, [5.0, 6.0, 7.0]);
    assert_eq!(b.lenses.len(), 2, "no payload weighs less than nothing");
    // 0.5 kg less on 2 m: 32.133 kg come 31.1 mm nearer.
    let nearer = b.lenses[1].1.slide.as_ref().unwrap();
    assert!((nearer.slides_m + 1.0 / (19.28 / 0.6)).abs() < 1e-6, "{nearer:?}");
    // By itself: from 3 to 9 kg in round steps.
    let by_itself = look(&rig).payloads;
    assert!(by_itself.len() >= 6 && by_itself.len() <= 12);
    assert!(
        (by_itself[0].payload_kg - 3.0).abs() < 0.51
            && by_itself.iter().any(|p| (p.payload_kg - 6.0).abs() < ROUNDING)
    );
    rig.arm = None;
    assert_eq!(Balance::of(&rig, &ask, &options()).unwrap_err(), NoBalance::NoArm);
}

fn masses() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec((1..80_u32).prop_map(|k| f64::from(k) * 0.25), 0..6)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_best_plates_are_the_best(
        plates in masses(), fitted in masses(), weight in 22.0..45.0_f64, under in -0.1..0.1_f64, low in -1.0..0.2_f64, span in 0.05..1.2_f64,
    ) {
        let mut arm = arm();
        let all: f64 = fitted.iter().sum();
        let w = &mut arm.counterweight;
        (w.mass, w.under) = (fact(weight + all), under);
        (w.plates, w.fitted) = (plates.clone(), fitted.clone());
        arm.elevation = (low, low + span);
        let p = plans(&arm);
        // Brute force: every set of them, by a fine scan over the range and the closed form from paper.
        let most = |kg: f64| {
            let (a, b) = (19.28 - kg * 0.6, -kg * under);
            (0..=400).map(|k| low + span * f64::from(k) / 400.0).map(|e| (G * (a * e.cos() - b * e.sin())).abs()).fold(0.0, f64::max)
        };
        let (n, k) = (plates.len(), fitted.len());
        let mut least = f64::INFINITY;
        for set in 0_u32..(1 << (n + k)) {
            let on: f64 = plates.iter().enumerate().filter(|(i, _)| set & (1 << i) != 0).map(|(_, p)| p).sum();
            let off: f64 = fitted.iter().enumerate().filter(|(i, _)| set & (1 << (n + i)) != 0).map(|(_, p)| p).sum();
            least = least.min(most(weight + all + on - off));
        }
        if let Some(plan) = &p.plates {
            // The scan misses a peak by at most (span / 800)² / 2 of some 300 N m.
            prop_assert!(plan.left.worst_nm.abs() <= least + WORTH_NM + 1e-3, "{} {}", plan.left.worst_nm, least);
            prop_assert!((most(plan.weight_kg) - plan.left.worst_nm.abs()).abs() < 1e-3);
            // Only plates that are there.
            for (used, there) in [(&plan.plates.on, &plates), (&plan.plates.off, &fitted)] {
                for p in used {
                    let count = |l: &[f64]| l.iter().filter(|q| (*q - p).abs() < 1e-9).count();
                    prop_assert!(count(used) <= count(there));
                }
            }
        } else {
            prop_assert!(plates.is_empty() && fitted.is_empty());
        }
    }

    #[test]
    fn a_boom_balanced_on_its_axis_is_balanced_everywhere(payload in 1.0..30.0_f64, behind in 0.2..0.6_f64, e in -FRAC_PI_2..FRAC_PI_2, pan in -PI..PI) {
        let mut arm = arm();
        arm.payload.mass = fact(payload);
        arm.counterweight.behind = fact(behind);
        let m = Moments::of(&whole(&rig(), &arm).unwrap(), &arm);
        arm.counterweight.mass = fact(m.weight_kg().unwrap());
        let model = ArmModel::of(&with_arm(&rig(), arm)).unwrap().unwrap();
        let pose = Pose { pan_rad: pan, elevation_rad: e };
        let tau = actions(&model.chain, pose, Rates::default(), Accelerations::default(), &Base::LEVEL).unwrap().tilt_torque_nm;
        // The golden section comes to 1e-8 of some 600 N m (the valley's floor is a corner).
        prop_assert!(tau.abs() < 1e-4, "{}", tau);
    }

    #[test]
    fn a_mirrored_rig_is_asked_the_same(left in -0.15..0.15_f64, bend in 0.5..4.0_f64) {
        let build = |side: f64| {
            let mut rig = rig();
            rig.arm.as_mut().unwrap().payload.centre.y = left * side;
            rig.arm.as_mut().unwrap().pan = (-1.0, 1.0);
            rig.manoeuvres = vec![manoeuvre("bend", 0.0, bend * side, ArmUse::Live)];
            rig.manoeuvres[0].bank = 0.05 * side;
            let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
            let (rows, power) = drives::look(&ctx).unwrap();
            let most = rows.iter().filter_map(|r| r.tilt_nm).fold(0.0, f64::max);
            (most, power.map(|p| p.map_or(0.0, |p| p.w)), drives::slope(&ctx).unwrap().unwrap().per_degree_nm)
        };
        let (a, b) = (build(1.0), build(-1.0));
        for (x, y) in [(a.0, b.0), (a.1[0], b.1[0]), (a.1[1], b.1[1]), (a.2, b.2)] {
            prop_assert!((x - y).abs() < 1e-9 * (1.0 + x.abs()), "{} {}", x, y);
        }
    }
}
