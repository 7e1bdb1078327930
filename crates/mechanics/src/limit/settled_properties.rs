//! What must be true of every contact answer, whatever the rig.

use super::settled_forms::Plate;
use super::*;
use crate::wrench::Wrench;
use glam::DVec3;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};

/// Solver tolerance of 1e-10 on forces of up to 1e4 N, through levers of ordinary proportion.
const TOL_N: f64 = 2e-2;
/// How near to letting go the two programs may differ.
const LAMBDA_TOL: f64 = 1e-4;
const CORE: f64 = 0.055;
const TORSION: f64 = 0.11;

#[derive(Clone, Debug)]
struct Case {
    cups: Vec<(DVec3, f64)>,
    mu: f64,
    straps: Vec<(DVec3, f64, f64)>,
    force: DVec3,
    at: DVec3,
}

fn spot(z: f64) -> impl Strategy<Value = DVec3> {
    (-0.6..0.6, -0.6..0.6).prop_map(move |(x, y)| DVec3::new(x, y, z))
}

fn cases() -> impl Strategy<Value = Case> {
    let cups = prop::collection::vec((spot(0.0), 200.0..3000.0), 2..6);
    let straps = prop::collection::vec((spot(0.1), 0.0..600.0, 500.0..4000.0), 0..3);
    let force = (-1500.0..1500.0, -1500.0..1500.0, -1500.0..3000.0);
    (cups, 0.1..0.8, straps, force.prop_map(DVec3::from), spot(0.5))
        .prop_map(|(cups, mu, straps, force, at)| Case { cups, mu, straps, force, at })
}

impl Case {
    fn plate(&self) -> Plate {
        let mut p = Plate::new(&self.cups, self.mu, [3e3, 3e3], 2e3);
        for (from, fitted, capacity) in &self.straps {
            p.strap(*from, *from + DVec3::new(0.1 * from.x, 0.3, -0.5), 60e3, *fitted, *capacity);
        }
        p
    }

    fn linear(&self, plate: &Plate) -> Vec<f64> {
        plate.linear(self.force, self.at.cross(self.force))
    }

    fn lambda(&self, plate: &Plate) -> f64 {
        let f = Friction::new(self.mu, CORE, TORSION).unwrap();
        let mut supports: Vec<Support> =
            self.cups.iter().map(|(at, n)| Support::cup(*at, DVec3::Z, f, *n).unwrap()).collect();
        for (s, (from, _, capacity)) in plate.frame.strands.iter().zip(&self.straps) {
            let pull = Pull::new(*from, -s.gradient()[0]).unwrap();
            supports.push(Support::strap(*capacity, vec![pull]).unwrap());
        }
        let w = Wrench::of_force_at(self.force, self.at);
        match largest_multiplier(&supports, Wrench::ZERO, w, DVec3::ZERO).unwrap() {
            Outcome::Multiplier { lambda, .. } => lambda,
            Outcome::AtLeast(cap) => cap,
            other => panic!("{other:?}"),
        }
    }
}

fn always(cases: u32, test: impl Fn(Case) -> Result<(), TestCaseError>) {
    let config = Config { cases, failure_persistence: None, max_shrink_iters: 40, ..Config::default() };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    TestRunner::new_with_rng(config, rng).run(&self::cases(), test).unwrap();
}

fn settle(case: &Case, plate: &Plate) -> Settled {
    plate.settling().settle(&case.linear(plate)).unwrap()
}

/// Force at the edge of the seal and over `mu`, from the forces alone.
fn spare(f: &[f64; 6], vacuum: f64, mu: f64) -> [f64; 2] {
    let n = vacuum + f[2];
    let rub = (f[0] * f[0] + f[1] * f[1] + (f[5] / TORSION).powi(2)).sqrt();
    [n - f[3].hypot(f[4]) / CORE, mu * n - rub]
}

#[test]
fn contact_gives_only_where_a_limit_is_reached() {
    let counts = std::cell::Cell::new([0_u32; 5]);
    always(600, |case| {
        let plate = case.plate();
        let Settled::Held(h) = settle(&case, &plate) else { return Ok(()) };
        let mut n = counts.get();
        n[0] += 1;
        let linear = case.linear(&plate);
        let (mut forces, mut movement) = (Vec::new(), Vec::new());
        for (c, (cup, (_, vacuum))) in h.cups.iter().zip(&case.cups).enumerate() {
            let cup = cup.unwrap();
            let (f, p) = (cup.forces, cup.movement);
            let [seal, slip] = spare(&f, *vacuum, case.mu);
            prop_assert!(seal > -TOL_N && slip > -TOL_N, "cup {c}: {seal} {slip}");
            let stiff = 400e3;
            let rock = p[3].hypot(p[4]);
            let slide = p[0].hypot(p[1]).hypot(p[5] * TORSION);
            if seal > 1.0 && slip > 1.0 {
                prop_assert!(
                    p[2].abs() * stiff < TOL_N && (rock * CORE + slide) * stiff < TOL_N,
                    "cup {c}: {p:?}"
                );
                prop_assert!(!cup.lifts && !cup.slides);
            }
            // Lift never under what the rocking asks; no work is done by the press.
            if h.level {
                prop_assert!((p[2] - rock * CORE) * stiff > -TOL_N, "cup {c}: {p:?}");
                let work = p[2] * (vacuum + f[2]) + p[3] * f[3] + p[4] * f[4];
                prop_assert!(work.abs() * stiff < TOL_N * 1e4, "cup {c}: {work} J");
                n[4] += u32::from(cup.slides);
            }
            // Friction works against the way, with all it has.
            let rubbing = p[0] * f[0] + p[1] * f[1] + p[5] * f[5];
            let all = case.mu * (vacuum + f[2]) * slide;
            prop_assert!((rubbing + all).abs() * stiff < TOL_N * 1e4, "cup {c}: {rubbing} of {all} J");
            n[1] += u32::from(cup.lifts);
            n[2] += u32::from(cup.slides);
            forces.extend(f);
            movement.extend(p);
        }
        for (strap, (_, _, capacity)) in h.straps.iter().zip(&case.straps) {
            let s = strap.unwrap();
            prop_assert!(s.tension_n > -TOL_N && s.tension_n < capacity + TOL_N);
            if s.tension_n > 1.0 && s.tension_n < capacity - 1.0 {
                prop_assert!(s.loose_m.abs() * 60e3 < TOL_N && !s.slack && !s.at_capacity);
            }
            if s.tension_n < 1.0 {
                prop_assert!(s.loose_m * 60e3 > -TOL_N);
            }
            n[3] += u32::from(s.slack);
            forces.push(s.tension_n);
            movement.push(s.loose_m);
        }
        let change = Influence::of(&plate.frame, &[]).unwrap().change(&movement);
        for ((f, l), c) in forces.iter().zip(&linear).zip(&change) {
            prop_assert!((f - l - c).abs() < TOL_N, "{f} is not {l} + {c}");
        }
        counts.set(n);
        Ok(())
    });
    let [held, lifts, slides, slack, level] = counts.get();
    assert!(held > 200 && lifts > 100 && slides > 100 && slack > 20, "{:?}", counts.get());
    // Some of these rough plates slide away.
    assert!(f64::from(level) > 0.75 * f64::from(slides), "{level} of {slides}");
}

#[test]
fn it_lets_go_exactly_where_the_limit_analysis_says() {
    let counts = std::cell::Cell::new([0_u32; 2]);
    always(600, |case| {
        let plate = case.plate();
        let lambda = case.lambda(&plate);
        if (lambda - 1.0).abs() < LAMBDA_TOL {
            return Ok(());
        }
        let mut n = counts.get();
        match settle(&case, &plate) {
            Settled::Held(_) => {
                n[0] += 1;
                prop_assert!(lambda > 1.0, "held at {lambda}");
            }
            Settled::LetsGo => {
                n[1] += 1;
                prop_assert!(lambda < 1.0, "let go at {lambda}");
            }
            Settled::NotSolved { status } => prop_assert!(false, "{status} at {lambda}"),
        }
        counts.set(n);
        Ok(())
    });
    assert!(counts.get().iter().all(|n| *n > 100), "{:?}", counts.get());
}

#[test]
fn within_all_limits_the_linear_answer_stands() {
    let count = std::cell::Cell::new(0);
    always(600, |case| {
        let plate = case.plate();
        let linear = case.linear(&plate);
        let inside = case.cups.iter().enumerate().all(|(c, (_, vacuum))| {
            let f: [f64; 6] = core::array::from_fn(|d| linear[6 * c + d]);
            spare(&f, *vacuum, case.mu).iter().all(|s| *s > 1.0)
        }) && linear[6 * case.cups.len()..]
            .iter()
            .zip(&case.straps)
            .all(|(t, s)| *t > 1.0 && *t < s.2 - 1.0);
        if !inside {
            return Ok(());
        }
        count.set(count.get() + 1);
        let Settled::Held(h) = settle(&case, &plate) else {
            return Err(TestCaseError::fail("not held"));
        };
        let cups = h.cups.iter().flatten().flat_map(|c| c.forces);
        for (f, l) in cups.chain(h.straps.iter().flatten().map(|s| s.tension_n)).zip(&linear) {
            // Of the characteristic force, some 1e3 N.
            prop_assert!((f - l).abs() <= 1e-7 * 3000.0, "{f} is not {l}");
        }
        prop_assert!(h.level);
        Ok(())
    });
    assert!(count.get() > 50, "{}", count.get());
}
