//! Against closed forms, published and by hand; mirrored booms; what braces buy.

use super::*;
use crate::testing::{arm, boom_section, fact, rig, tube_section};
use core::f64::consts::{PI, TAU};
use glam::DVec3;
use proptest::prelude::*;
use rig::model::Brace;

const G: f64 = STANDARD_GRAVITY;

/// A level boom of one tube, 2 m of 80 x 3 aluminium, 8 kg, with 6 kg that hang on its tip.
fn single() -> Arm {
    let mut arm = arm();
    arm.sections = vec![boom_section("front", 0.0, 2.0), boom_section("tail", 0.0, -0.6)];
    arm.payload.drag = None;
    arm
}

fn look(arm: &Arm) -> Look {
    BoomFrame::of(arm, 0.0).unwrap().look(0.0, &[]).unwrap()
}

fn inertia(d: f64, t: f64) -> f64 {
    PI * (d.powi(4) - (d - 2.0 * t).powi(4)) / 64.0
}

/// 1.2 m of 48.3 x 4.0 steel tube, E 210 and G 81 kN/mm², 5.244 kg.
fn steel(payload_kg: f64) -> Arm {
    let mut arm = single();
    let mut steel = tube_section(0.0483, 0.004);
    (steel.material.e_pa, steel.material.g_pa) = (210e9, 81e9);
    let mut s = boom_section("front", 0.0, 1.2);
    (s.section, s.mass) = (Some(steel), fact(5.244));
    arm.sections = vec![s];
    arm.payload.mass.value = payload_kg;
    arm.payload.centre = DVec3::ZERO;
    arm
}

#[test]
fn the_first_frequency_is_rayleighs() {
    // Rayleigh's shortcut (Blevins, Formulas for Natural Frequency [from memory]), 15 kg on the tip: f = sqrt(3 E I / (L³ (M + 0.2357 m))) / 2 pi = 8.8493 Hz; transcendental root 8.84851 Hz
    // [computed: hand formula]. Both ways alike, for the tube is round.
    let ways = look(&steel(15.0)).ways;
    for f in [ways.up_down_hz.unwrap(), ways.sideways_hz.unwrap()] {
        // Shear flexibility of a real tube takes 0.2 %; rounding of E, I and m in the source 0.01 %.
        assert!(f < 8.8493 && f > 8.8493 * 0.997, "{f}");
    }
}

#[test]
fn a_bare_cantilever_has_its_textbook_frequency() {
    // The same tube alone (Blevins [from memory]), beta L = 1.875104: 31.6087 Hz [computed: hand formula]. A boom carries something: a gram.
    let f = look(&steel(1e-3)).ways.up_down_hz.unwrap();
    // Shear and turning of the sections take 0.3 % of a tube 25 diameters long; one beam a section gives 0.5 % too much.
    assert!((f / 31.6087 - 1.0).abs() < 0.006, "{f}");
}

#[test]
fn a_payload_to_the_side_twists_the_boom() {
    for levelled in [true, false] {
        let mut arm = single();
        arm.levelled = levelled;
        arm.payload.centre = DVec3::new(0.0, 0.05, -0.2);
        let rest = look(&arm).rest;
        // T L / (G J) with T = m g y, J = 2 I; weight on the left lowers the left: a turn about -x.
        let twist = -6.0 * G * 0.05 * 2.0 / (70e9 / 2.66 * 2.0 * inertia(0.08, 0.003));
        // The clamp at the pivot: 1e-5.
        assert!((rest.twist_rad / twist - 1.0).abs() < 1e-4, "{} {twist}", rest.twist_rad);
        // Twist bends nothing: sag as with the payload in the middle.
        arm.payload.centre.y = 0.0;
        assert!((look(&arm).rest.sag_m / rest.sag_m - 1.0).abs() < 1e-9);
    }
}

#[test]
fn twisting_frequency_of_a_box_on_the_axis() {
    // sqrt(G J / (L (I + I_tube / 3))) / 2 pi with I = m (w² + h²) / 12 and the tube's own polar inertia m_tube (r² + r_i²) / 2.
    let mut arm = single();
    arm.payload.centre = DVec3::ZERO;
    let (l, w, h) = (0.3, 0.25, 0.4);
    arm.payload.drag =
        Some(rig::model::Drag { areas: DVec3::new(w * h, l * h, l * w), coefficient: fact(1.2) });
    let f = look(&arm).ways.twist_hz.unwrap();
    let own = 8.0 * (0.04_f64.powi(2) + 0.037_f64.powi(2)) / 2.0;
    let i = 6.0 * (w * w + h * h) / 12.0 + own / 3.0;
    let hand = (70e9 / 2.66 * 2.0 * inertia(0.08, 0.003) / (2.0 * i)).sqrt() / TAU;
    // A third of the tube's inertia at its end is Rayleigh's first order: 1e-3 where it is a tenth of the whole.
    assert!((f / hand - 1.0).abs() < 2e-3, "{f} {hand}");
    // Hung 0.3 m under the boom it twists slower, by its swing about the axis, and goes with sideways bending.
    arm.payload.centre = DVec3::new(0.0, 0.0, -0.3);
    let hung = look(&arm).ways;
    assert!(hung.twist_hz.unwrap() < f && hung.sideways_hz.unwrap() < hung.up_down_hz.unwrap());
}

#[test]
fn a_levelled_payload_hangs_straight_down_at_every_elevation() {
    let mut arm = single();
    arm.payload.centre = DVec3::new(0.0, 0.0, -0.3);
    let up = 0.6_f64;
    let off = |arm: &Arm| {
        let boom = BoomFrame::of(arm, up).unwrap();
        boom.frame.masses[0].at - DVec3::X * 2.0
    };
    // Down is (-sin e, 0, -cos e) in boom axes.
    assert!((off(&arm) - DVec3::new(-up.sin(), 0.0, -up.cos()) * 0.3).length() < 1e-12);
    arm.levelled = false;
    assert!((off(&arm) - arm.payload.centre).length() < 1e-12, "square to the boom");
}

#[test]
fn the_root_carries_what_hangs_on_it() {
    let arm = single();
    let rest = look(&arm).rest;
    // N Vy Vz T My Mz of the outer part on the inner one: 14 kg down, 6 x 2 + 8 x 1 kg m nose-heavy (turns the nose down: +y).
    let want = [0.0, 0.0, -14.0 * G, 0.0, 20.0 * G, 0.0];
    for (a, b) in rest.cuts[0].1.iter().zip(want) {
        // Equilibrium to the solver's residual.
        assert!((a - b).abs() < 1e-6, "{:?}", rest.cuts[0]);
    }
    let tail = tail_at_rest(&arm, 0.0, 0.0);
    assert!((tail[4] + 20.0 * G).abs() < 1e-9, "balanced: {tail:?}");
}

#[test]
fn a_brace_buys_what_it_takes_off() {
    let mut rig = rig();
    rig.arm = Some(single());
    let brace = |tag: &str, along, left| Brace { tag: tag.to_owned(), along, height: 0.5, left, ea: 1e6 };
    rig.arm.as_mut().unwrap().braces = vec![brace("L", 2.0, 0.3), brace("R", 2.0, -0.3)];
    let boom = Boom::of(&rig, &Options::default()).unwrap();
    let bare = boom.bare.as_ref().unwrap();
    assert!(boom.fitted.rest.sag_m < 0.5 * bare.rest.sag_m);
    assert_eq!(boom.without.len(), 2);
    for one in &boom.without {
        assert!(one.rest.sag_m > boom.fitted.rest.sag_m && one.rest.sag_m < bare.rest.sag_m);
        // One alone also pulls to its side.
        assert!(one.rest.left_m.abs() > 1e-5);
    }
    assert!(boom.fitted.rest.left_m.abs() < 1e-9);
    for (with, without) in [
        (boom.fitted.ways.up_down_hz, bare.ways.up_down_hz),
        (boom.fitted.ways.sideways_hz, bare.ways.sideways_hz),
    ] {
        assert!(with.unwrap() > without.unwrap());
    }
    // They meet the boom on its axis: twist stays as it is.
    assert!((boom.fitted.rest.twist_rad - bare.rest.twist_rad).abs() < 1e-12);
    // By virtue of the two alike, each pulls half of what holds the tip up: statics of the tip's share.
    let t = &boom.fitted.rest.tension_n;
    assert!((t[0].unwrap() / t[1].unwrap() - 1.0).abs() < 1e-9);
}

#[test]
fn what_is_missing_is_named() {
    let mut rig = rig();
    rig.arm.as_mut().unwrap().sections[0].section = None;
    let no = Boom::of(&rig, &Options::default()).unwrap_err();
    assert_eq!(no, NoBoom::Missing(Missing::Tube("front".to_owned())));
    rig.arm = None;
    assert_eq!(Boom::of(&rig, &Options::default()).unwrap_err(), NoBoom::NoArm);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_mirrored_boom_does_the_same_the_other_way(
        y in -0.2..0.2_f64, z in -0.4..0.1_f64, left in 0.05..0.5_f64, along in 0.5..2.0_f64, up in -0.3..0.6_f64, levelled: bool,
    ) {
        let build = |side: f64| {
            let mut arm = single();
            arm.levelled = levelled;
            arm.payload.centre = DVec3::new(0.03, y * side, z);
            arm.braces = vec![Brace { tag: "B".to_owned(), along, height: 0.4, left: left * side, ea: 5e5 }];
            BoomFrame::of(&arm, up).unwrap().look(up, &[]).unwrap()
        };
        let (a, b) = (build(1.0), build(-1.0));
        // Two solves of the same numbers with signs turned: rounding, and the solver's residual of 1e-9.
        prop_assert!((a.rest.sag_m - b.rest.sag_m).abs() < 1e-8 * a.rest.sag_m.abs());
        prop_assert!((a.rest.left_m + b.rest.left_m).abs() < 1e-8);
        prop_assert!((a.rest.twist_rad + b.rest.twist_rad).abs() < 1e-8);
        for (p, q) in [(a.ways.up_down_hz, b.ways.up_down_hz), (a.ways.sideways_hz, b.ways.sideways_hz), (a.ways.twist_hz, b.ways.twist_hz)] {
            match (p, q) {
                (Some(p), Some(q)) => prop_assert!((p / q - 1.0).abs() < 1e-6),
                (p, q) => prop_assert_eq!(p, q),
            }
        }
    }

    #[test]
    fn sag_is_the_cantilevers_at_every_elevation(up in -0.5..1.2_f64, tip in 0.5..20.0_f64) {
        let mut arm = single();
        arm.payload.mass.value = tip;
        let sag = BoomFrame::of(&arm, up).unwrap().at_rest(up, &[]).unwrap().sag_m;
        let ei = 70e9 * inertia(0.08, 0.003);
        let hand = G * up.cos() * (tip * 8.0 / 3.0 + 8.0) / ei;
        // Shear adds under 0.5 % on a boom this slender.
        prop_assert!(sag > hand && sag < 1.005 * hand, "{} {}", sag, hand);
    }
}
