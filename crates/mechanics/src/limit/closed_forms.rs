//! Problems whose limit is known in closed form.

use super::*;
use crate::wrench::Wrench;
use glam::DVec3;

/// Solver stops at 1e-10 of the characteristic load and the answer is lowered by ten times the remainder.
const LAMBDA_TOL: f64 = 1e-6;

fn lambda(supports: &[Support], fixed: Wrench, variable: Wrench) -> f64 {
    match largest_multiplier(supports, fixed, variable, DVec3::ZERO).unwrap() {
        Outcome::Multiplier { lambda, .. } => lambda,
        other => panic!("no multiplier: {other:?}"),
    }
}

fn force_at(force: DVec3, at: DVec3) -> Wrench {
    Wrench::of_force_at(force, at)
}

fn close(got: f64, want: f64) {
    assert!((got - want).abs() <= LAMBDA_TOL * want.abs().max(1.0), "got {got}, want {want}");
}

#[test]
fn a_block_on_a_slope() {
    // Down the slope: W sin a + lambda F = mu W cos a.
    let (mu, a, w, f) = (0.5, 0.2_f64, 800.0, 100.0);
    let normal = DVec3::new(a.sin(), 0.0, a.cos());
    let down = DVec3::new(a.cos(), 0.0, -a.sin());
    let block = Support::bearing(DVec3::ZERO, normal, Friction::new(mu, 0.1, 0.1).unwrap()).unwrap();
    let got = lambda(&[block], force_at(-w * DVec3::Z, DVec3::ZERO), force_at(f * down, DVec3::ZERO));
    close(got, w * (mu * a.cos() - a.sin()) / f);
}

#[test]
fn too_steep_a_slope_holds_nothing() {
    let (mu, a) = (0.3, 0.5_f64);
    let normal = DVec3::new(a.sin(), 0.0, a.cos());
    let block = Support::bearing(DVec3::ZERO, normal, Friction::new(mu, 0.1, 0.1).unwrap()).unwrap();
    let weight = Wrench::new(-800.0 * DVec3::Z, DVec3::ZERO);
    let got = largest_multiplier(&[block], weight, Wrench::new(DVec3::X, DVec3::ZERO), DVec3::ZERO).unwrap();
    let Outcome::FixedActionNotHeld { share } = got else { panic!("{got:?}") };
    assert!(share.abs() < LAMBDA_TOL);
}

#[test]
fn a_table_tips_at_half_its_width_over_its_height() {
    let (b, d, w) = (0.4, 0.9, 1_800.0);
    let legs: Vec<Support> = [(b, 0.7), (b, -0.7), (-b, 0.7), (-b, -0.7)]
        .map(|(x, y)| {
            Support::bearing(DVec3::new(x, y, 0.0), DVec3::Z, Friction::new(2.0, 0.0, 0.0).unwrap()).unwrap()
        })
        .into();
    let at = DVec3::new(0.0, 0.0, d);
    let got = lambda(&legs, force_at(-w * DVec3::Z, at), force_at(w * DVec3::X, at));
    close(got, b / d);
}

#[test]
fn a_sliding_table_slides_before_it_tips() {
    let (b, d, w, mu) = (0.4, 0.5, 1_800.0, 0.3);
    let legs: Vec<Support> = [(b, 0.7), (b, -0.7), (-b, 0.7), (-b, -0.7)]
        .map(|(x, y)| {
            Support::bearing(DVec3::new(x, y, 0.0), DVec3::Z, Friction::new(mu, 0.0, 0.0).unwrap()).unwrap()
        })
        .into();
    let at = DVec3::new(0.0, 0.0, d);
    close(lambda(&legs, force_at(-w * DVec3::Z, at), force_at(w * DVec3::Y, at)), mu);
}

#[test]
fn four_cups_in_pure_pull() {
    let cups: Vec<Support> = [(0.4, 0.6), (0.4, -0.6), (-0.4, 0.6), (-0.4, -0.6)]
        .map(|(x, y)| {
            let f = Friction::new(0.4, 0.055, 0.118).unwrap();
            Support::cup(DVec3::new(x, y, 0.0), DVec3::Z, f, 3_000.0).unwrap()
        })
        .into();
    let up = Wrench::new(1_000.0 * DVec3::Z, DVec3::ZERO);
    close(lambda(&cups, Wrench::ZERO, up), 12.0);
    let rated: Vec<Support> = cups.into_iter().map(|c| c.rated(Some(1_250.0), Some(0.0)).unwrap()).collect();
    close(lambda(&rated, Wrench::ZERO, up), 5.0);
}

#[test]
fn one_cup_sheared_at_a_height_slips_or_tilts() {
    let (mu, e, n0, f) = (0.4, 0.055, 3_000.0, 100.0);
    for h in [0.02, 0.1, 0.1375, 0.3] {
        let cup = Support::cup(DVec3::ZERO, DVec3::Z, Friction::new(mu, e, 0.118).unwrap(), n0).unwrap();
        let got = lambda(&[cup], Wrench::ZERO, force_at(f * DVec3::Y, h * DVec3::Z));
        close(got, (mu * n0 / f).min(e * n0 / (f * h)));
    }
}

#[test]
fn one_cup_in_pull_shear_and_torsion_matches_the_slip_check() {
    let (mu, rt, n0) = (0.4, 0.118, 3_000.0);
    let cup = Support::cup(DVec3::ZERO, DVec3::Z, Friction::new(mu, 10.0, rt).unwrap(), n0).unwrap();
    let action = Wrench::new(DVec3::new(120.0, -160.0, 150.0), DVec3::new(0.0, 0.0, 20.0));
    let check = crate::cup::slip::SlipLimit::new(mu, rt).unwrap().check(n0, 150.0, 200.0, 20.0).unwrap();
    close(lambda(&[cup], Wrench::ZERO, action), check.ratio());
}

#[test]
fn a_rated_cup_stops_at_its_shear_rating() {
    let cup = Support::cup(DVec3::ZERO, DVec3::Z, Friction::new(0.5, 0.1, 0.1).unwrap(), 3_000.0).unwrap();
    let cup = cup.rated(None, Some(900.0)).unwrap();
    close(lambda(&[cup], Wrench::ZERO, Wrench::new(100.0 * DVec3::X, DVec3::ZERO)), 9.0);
}

#[test]
fn a_cup_on_a_door_hangs_by_friction() {
    // Panel normal to the left: weight is shear, W = mu N0.
    let cup =
        Support::cup(DVec3::new(0.3, 0.9, 1.0), DVec3::Y, Friction::new(0.5, 0.5, 0.1).unwrap(), 2_000.0)
            .unwrap();
    let got = lambda(&[cup], Wrench::ZERO, force_at(-200.0 * DVec3::Z, DVec3::new(0.3, 0.9, 1.0)));
    close(got, 5.0);
}

#[test]
fn a_lever_on_a_pin_held_by_a_strap() {
    // Strap straight down at 1 m, load up at 2 m: tension = 2 lambda F.
    let pin = Support::pin(DVec3::ZERO).unwrap();
    let strap = Support::strap(500.0, vec![Pull::new(DVec3::X, -DVec3::Z).unwrap()]).unwrap();
    let up = force_at(10.0 * DVec3::Z, 2.0 * DVec3::X);
    close(lambda(&[pin.clone(), strap.clone()], Wrench::ZERO, up), 25.0);
    // The other way round a strap cannot push.
    let got = largest_multiplier(&[pin, strap], Wrench::ZERO, -up, DVec3::ZERO).unwrap();
    let Outcome::Multiplier { lambda, supports } = got else { panic!("{got:?}") };
    assert!(lambda < LAMBDA_TOL && supports.len() == 2);
}

#[test]
fn one_strap_over_two_rig_edges_pulls_at_both() {
    // Over the top of a block: down at both edges with the same tension; lift is 2 T.
    let strap = Support::strap(
        400.0,
        vec![
            Pull::new(DVec3::new(0.0, 0.5, 0.4), -DVec3::Z).unwrap(),
            Pull::new(DVec3::new(0.0, -0.5, 0.4), -DVec3::Z).unwrap(),
        ],
    )
    .unwrap();
    let up = Wrench::new(100.0 * DVec3::Z, DVec3::ZERO);
    close(lambda(std::slice::from_ref(&strap), Wrench::ZERO, up), 8.0);
    // A moment about x would need two tensions.
    let got = largest_multiplier(&[strap], Wrench::ZERO, Wrench::new(DVec3::ZERO, DVec3::X), DVec3::ZERO);
    assert!(matches!(got, Ok(Outcome::Multiplier { lambda, .. }) if lambda < LAMBDA_TOL));
}

#[test]
fn what_is_held_for_good_reaches_the_cap() {
    let fast = Support::clamped(DVec3::X).unwrap();
    let push = Wrench::new(DVec3::ONE, DVec3::ONE);
    let got = largest_multiplier(std::slice::from_ref(&fast), push, push, DVec3::ZERO).unwrap();
    assert_eq!(got, Outcome::AtLeast(LAMBDA_CAP));
    assert_eq!(
        largest_multiplier_within(7.0, std::slice::from_ref(&fast), push, push, DVec3::ZERO).unwrap(),
        Outcome::AtLeast(7.0)
    );
    assert_eq!(
        largest_multiplier(&[fast], push, Wrench::ZERO, DVec3::ZERO).unwrap(),
        Outcome::AtLeast(LAMBDA_CAP)
    );
}

#[test]
fn no_supports_hold_nothing() {
    let push = Wrench::new(DVec3::X, DVec3::ZERO);
    assert!(matches!(
        largest_multiplier(&[], push, push, DVec3::ZERO).unwrap(),
        Outcome::FixedActionNotHeld { share } if share < LAMBDA_TOL
    ));
    assert!(largest_multiplier(&[], Wrench::new(DVec3::NAN, DVec3::ZERO), push, DVec3::ZERO).is_err());
    assert!(largest_multiplier(&[], push, push, DVec3::INFINITY).is_err());
    assert!(largest_multiplier_within(0.0, &[], push, push, DVec3::ZERO).is_err());
    assert!(largest_multiplier_within(f64::NAN, &[], push, push, DVec3::ZERO).is_err());
}

#[test]
fn the_part_of_the_fixed_action_that_is_held() {
    let cup = Support::cup(DVec3::ZERO, DVec3::Z, Friction::new(0.4, 0.05, 0.1).unwrap(), 300.0).unwrap();
    let up = Wrench::new(400.0 * DVec3::Z, DVec3::ZERO);
    let got = largest_multiplier(&[cup], up, up, DVec3::ZERO).unwrap();
    assert!(matches!(got, Outcome::FixedActionNotHeld { share } if (share - 0.75).abs() < LAMBDA_TOL));
}

#[test]
fn a_feather_on_strong_cups_counts_as_held() {
    let cup = Support::cup(DVec3::ZERO, DVec3::Z, Friction::new(0.4, 0.05, 0.1).unwrap(), 5_000.0).unwrap();
    let feather = Wrench::new(DVec3::new(1e-3, 0.0, 2e-3), DVec3::ZERO);
    let pull = Wrench::new(1_000.0 * DVec3::Z, DVec3::ZERO);
    let got = largest_multiplier(&[cup], feather, pull, DVec3::ZERO).unwrap();
    assert!(matches!(got, Outcome::Multiplier { lambda, .. } if (lambda - 5.0).abs() < 1e-4));
}

#[test]
fn support_forces_are_in_equilibrium() {
    let f = Friction::new(0.4, 0.055, 0.118).unwrap();
    let places = [DVec3::new(0.4, 0.6, 0.0), DVec3::new(0.4, -0.6, 0.0), DVec3::new(-0.5, 0.0, 0.1)];
    let cups: Vec<Support> =
        places.map(|p| Support::cup(p, DVec3::new(0.0, 0.1, 1.0), f, 2_000.0).unwrap()).into();
    let fixed = force_at(-900.0 * DVec3::Z, DVec3::new(0.0, 0.0, 0.5));
    let variable = force_at(DVec3::new(300.0, 900.0, 100.0), DVec3::new(0.1, 0.0, 0.8));
    let Outcome::Multiplier { lambda, supports } =
        largest_multiplier(&cups, fixed, variable, DVec3::ZERO).unwrap()
    else {
        panic!("no multiplier")
    };
    let mut sum = fixed + variable * lambda;
    for (p, s) in places.iter().zip(&supports) {
        let SupportAction::Contact { contact_n, pull_n, on_rig } = s else { panic!("a cup is a contact") };
        sum += on_rig.about(*p, DVec3::ZERO);
        assert!(*contact_n >= 0.0 && (contact_n + pull_n - 2_000.0).abs() < 1e-9);
    }
    // Newtons and newton metres on loads of some kN.
    assert!(sum.force.length() < 1e-2 && sum.moment.length() < 1e-2, "{sum:?}");
}
