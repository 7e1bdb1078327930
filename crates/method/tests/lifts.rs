//! Lifts onto a car and overhead lines: published figures through the engine, and what must hold of every rig.
#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "tests")]

mod common;

use common::{EXAMPLES, example, read};
use mechanics::overhead::{Doing, OverheadError, Rule};
use method::lifts::{LEAST_KG, Reason, Stand, lifts};
use method::line::{tops, under_line};
use rig::Fact;

fn find(rig: &rig::Rig, stand: Stand, name: &str) -> method::lifts::Lifted {
    let all = lifts(rig, stand).unwrap().lifts;
    let names: Vec<String> = all.iter().map(|l| l.name.clone()).collect();
    assert!(names.iter().any(|n| n == name), "no {name} in {names:?}");
    all.into_iter().find(|l| l.name == name).unwrap()
}

#[test]
fn a_cup_on_a_door_is_the_sum_by_hand() {
    // NL-HAND. DHHS (NIOSH) 94-110, metric: 23 HM VM DM CM [looked up], worked out here apart from the engine.
    let mut rig = example("door-camera");
    rig.platforms[0].mass.value = 12.0;
    let l = find(&rig, Stand::default(), "platform plate");
    let (v, h, d) = (100.0 * l.to_m, 100.0 * l.reach_alone_m, 100.0 * (l.to_m - l.from_m).abs());
    let cm = if v < 75.0 { 0.95 } else { 1.0 };
    let end =
        23.0 * (25.0_f64 / h).min(1.0) * (1.0 - 0.003 * (v - 75.0).abs()) * (0.82 + 4.5 / d.max(25.0)) * cm;
    // At the ground: 20 cm up, half the plate's 400 mm and 25 cm away.
    let begin = 23.0 * (25.0 / 45.0) * (1.0 - 0.003 * 55.0) * (0.82 + 4.5 / d.max(25.0)) * 0.95;
    let limit = end.min(begin);
    assert!(h < 63.0 && v < 175.0, "{l:?}");
    assert!((l.index[0].unwrap() - 12.0 / limit).abs() < 1e-9, "{l:?} {limit}");
    // Two lift 4/3 of it, three 3/2 (HSE L23, looked up).
    assert!((l.index[1].unwrap() - 12.0 / (limit * 4.0 / 3.0)).abs() < 1e-9);
    assert!((l.index[2].unwrap() - 12.0 / (limit * 1.5)).abs() < 1e-9);
}

#[test]
fn the_middle_of_a_roof_is_out_of_reach_and_a_high_one_too_high() {
    let rig = example("estate-arm");
    let mast = find(&rig, Stand::default(), "mast, base and head");
    // 1.81 m wide, on the centreline, ankles 20 cm off the side.
    assert!((mast.reach_alone_m - (0.905 + 0.20)).abs() < 1e-9 && mast.index == [None; 3]);
    assert!(
        mast.least.is_none() && mast.why.contains(&Reason::TooFar) && mast.why.contains(&Reason::TooHigh)
    );
    assert!((mast.mass_kg - 11.7).abs() < 1e-9);
    // Standing 0.5 m up takes the height away, not the reach.
    let up = find(&rig, Stand { stand_m: 0.5, ..Stand::default() }, "mast, base and head");
    assert_eq!(up.why, [Reason::TooFar]);
    assert!((mast.to_m - up.to_m - 0.5).abs() < 1e-9);
    // A tube across the car is held from both sides, one along it is not.
    let mut heavy = rig.clone();
    heavy.tubes.iter_mut().for_each(|t| t.section.wall = 0.02);
    let ends = find(&heavy, Stand { stand_m: 0.5, ..Stand::default() }, "tube TF");
    assert!((ends.reach_team_m - (0.905 + 0.20 - 0.56)).abs() < 1e-6, "{ends:?}");
    assert!(ends.index[0].is_none() && ends.index[1].is_some(), "{ends:?}");
    // Off the middle the side with the shorter end sets the reach.
    let mut aside = heavy.clone();
    (aside.tubes[0].a.y, aside.tubes[0].b.y) = (0.6, -0.3);
    let shifted = find(&aside, Stand { stand_m: 0.5, ..Stand::default() }, "tube TF");
    assert!((shifted.reach_team_m - (0.905 + 0.20 - 0.3)).abs() < 1e-6, "{shifted:?}");
    assert!((shifted.reach_alone_m - (0.905 + 0.20 - 0.15)).abs() < 1e-6, "{shifted:?}");
    let along = find(&heavy, Stand { stand_m: 0.5, ..Stand::default() }, "tube LL");
    assert!(
        (along.reach_team_m - (0.905 + 0.20 - 0.18)).abs() < 1e-6 && along.index == [None; 3],
        "{along:?}"
    );
}

#[test]
fn the_boom_is_turned_across_the_car_where_its_pan_allows() {
    let mut rig = example("estate-arm");
    let high = Stand { stand_m: 1.0, ..Stand::default() };
    let turned = find(&rig, high, "payload");
    assert!(turned.boom_across && turned.reach_alone_m < 0.63 && turned.least.is_some(), "{turned:?}");
    rig.arm.as_mut().unwrap().pan = (-0.5, 0.5);
    let ahead = find(&rig, high, "payload");
    assert!(!ahead.boom_across && ahead.why == [Reason::TooFar], "{ahead:?}");
}

#[test]
fn plates_are_lifted_one_by_one_where_they_are_stated() {
    let mut rig = example("estate-arm");
    let names = |rig: &rig::Rig| -> Vec<(String, f64)> {
        let all = lifts(rig, Stand::default()).unwrap().lifts;
        all.into_iter().map(|l| (l.name, l.mass_kg)).filter(|l| l.0.starts_with("counterweight")).collect()
    };
    assert_eq!(names(&rig), [("counterweight, whole".to_owned(), 25.0)]);
    rig.arm.as_mut().unwrap().counterweight.fitted = vec![10.0, 10.0, 1.0];
    let each = names(&rig);
    assert_eq!(each.len(), 3, "{each:?}");
    assert!(each.iter().any(|l| l.0 == "counterweight without its plates" && (l.1 - 4.0).abs() < 1e-9));
}

#[test]
fn nothing_heavy_is_left_out_and_less_is_never_harder() {
    for name in EXAMPLES {
        let rig = example(name);
        let all = lifts(&rig, Stand::default()).unwrap();
        let heavy = verdict::weigh::weigh(&rig)
            .iter()
            .filter(|w| w.piece.is_empty() && w.mass_kg >= LEAST_KG)
            .count();
        let pieces = ["mast", "counterweight", "isolator", "payload"];
        let named = all.lifts.iter().filter(|l| !pieces.iter().any(|p| l.name.starts_with(p)));
        assert_eq!(named.filter(|l| !l.name.starts_with("battery")).count(), heavy, "{name}");
        assert!(all.lifts.windows(2).all(|w| w[0].mass_kg >= w[1].mass_kg));
        for l in &all.lifts {
            assert!(l.mass_kg >= LEAST_KG && l.why.is_empty() == l.least.is_some(), "{name}: {l:?}");
            let [a, b, c] = l.index;
            assert!(a.is_none_or(|a| b.unwrap() <= a) && b.is_none_or(|b| c.unwrap() <= b), "{name}: {l:?}");
        }
        // From a table nothing asks for more people than from the ground.
        let table = lifts(&rig, Stand { from_m: 0.55, ..Stand::default() }).unwrap();
        for l in &all.lifts {
            let t = table.lifts.iter().find(|t| t.name == l.name).unwrap();
            assert!(l.least.is_none() || t.least.unwrap_or(9) <= l.least.unwrap(), "{name}: {}", l.name);
        }
    }
    let mut lost = example("bonnet-camera");
    lost.items[0].mass.value = f64::NAN;
    assert!(lifts(&lost, Stand::default()).is_err());
}

fn under(height: f64, volts: f64) -> Vec<method::line::Under> {
    let mut rig = example("estate-arm");
    let fact = |v, kind| Fact::stated(v, kind, "site.overhead_line");
    rig.site.overhead_line =
        Some((fact(height, quantity::Kind::Length), fact(volts, quantity::Kind::Voltage)));
    under_line(&rig)
}

#[test]
fn a_line_asks_for_the_distance_of_the_rule() {
    let all = under(8.0, 11e3);
    let at = |doing| all.iter().find(|u| u.top.doing == doing).unwrap();
    // 29 CFR 1926.1408 table A up to 50 kV: 10 ft; 1926.1411 table T up to 50 kV: 6 ft, over 1910.333's 4 ft [looked up].
    let (work, transit) = (at(Doing::Work), at(Doing::Transit));
    assert!((work.asked.as_ref().unwrap().least_m - 3.048).abs() < 1e-9);
    assert!((transit.asked.as_ref().unwrap().least_m - 1.8288).abs() < 1e-9);
    assert_eq!(transit.asked.as_ref().unwrap().rule, Rule::CraneTransit);
    assert!((work.have_m - (8.0 - work.top.top_m)).abs() < 1e-12);
    // Platform 1.75 m up, pivot 0.52 m over it, tip 1.7 m out at 30 degrees, half of 60 mm at the end.
    let top = 1.75 + 0.52 + 1.7 * 0.5 + 0.03 * 30_f64.to_radians().cos();
    assert!((work.top.top_m - top).abs() < 1e-6, "{} {top}", work.top.top_m);
    assert!(work.margin_m().unwrap() > 0.0);
    // At the very distance there is nothing left; a hand's breadth lower it is too near.
    let tight = under(work.top.top_m + 3.048, 11e3);
    assert!(tight[0].margin_m().unwrap().abs() < 1e-9);
    assert!(under(work.top.top_m + 2.9, 11e3)[0].margin_m().unwrap() < 0.0);
    // The longest piece of 1.2 m held upright on a platform 1.75 m up.
    let upright = all.iter().find(|u| u.top.what.contains("upright")).unwrap();
    assert!(
        (upright.top.top_m - (1.75 + 1.2)).abs() < 1e-4 && upright.top.what.contains("tube L"),
        "{upright:?}"
    );
    assert!(matches!(under(30.0, 1.1e6)[0].asked, Err(OverheadError::AskTheOwner { .. })));
    assert_eq!(under(30.0, 1.1e6)[0].margin_m(), None);
    assert!(under_line(&example("estate-arm")).is_empty());
}

#[test]
fn the_highest_point_is_nowhere_under_a_place_of_the_boom() {
    for name in EXAMPLES {
        let mut rig = read(name, "", &[]).unwrap();
        let first = tops(&rig)[0].top_m;
        assert!(first >= rig.vehicle.outline.height.value && tops(&rig)[1].top_m <= first + 1e-9, "{name}");
        let Some(arm) = rig.arm.as_mut() else { continue };
        let pivot = arm.base.z + arm.pivot_height;
        for s in arm.sections.clone() {
            for i in 0..=100 {
                let e = arm.elevation.0 + (arm.elevation.1 - arm.elevation.0) * f64::from(i) / 100.0;
                for along in [s.span.0, s.span.1] {
                    assert!(pivot + along * e.sin() <= first + 1e-9, "{name}: {} {e}", s.tag);
                }
            }
        }
        // More elevation never makes it lower.
        arm.elevation.1 += 0.2;
        assert!(tops(&rig)[0].top_m >= first);
    }
}
