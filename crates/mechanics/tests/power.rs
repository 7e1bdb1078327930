//! Cables, trees and batteries: published values, closed forms, an independent nodal solution, and what must hold for every tree.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test program: a fault stops the test"
)]

mod common;

use common::cases::{self, Computed};
use core::f64::consts::PI;
use mechanics::power::conductor::{Size, Strands, loop_ohm, ohm_per_m, temperature_factor};
use mechanics::power::tree::{Draw, Flow, Solution, Tree};
use proptest::prelude::*;

/// Newton ends at rounding; the sums of a few tens of branches add some.
const ROUNDING: f64 = 1e-9;

fn power(w: f64) -> Draw {
    Draw { power_w: w, current_a: 0.0 }
}

fn current(a: f64) -> Draw {
    Draw { power_w: 0.0, current_a: a }
}

fn steady(tree: &Tree, draws: &[Draw]) -> Flow {
    match tree.solve(draws).unwrap() {
        Solution::Steady(flow) => flow,
        Solution::Collapse { node } => panic!("collapse at {node}"),
    }
}

fn row(strands: Strands, sizes: &[(&'static str, f64)]) -> Computed {
    let ohm_km = |mm2: f64| 1e3 * ohm_per_m(Size::Nominal { area_m2: mm2 * 1e-6 }, strands).unwrap();
    sizes.iter().map(|(name, mm2)| (*name, ohm_km(*mm2))).collect()
}

/// Drop of a constant current through the solver.
fn drop(volts: f64, amps: f64, (length, mm2): (f64, f64)) -> Computed {
    let r = ohm_per_m(Size::Nominal { area_m2: mm2 * 1e-6 }, Strands::Fine).unwrap();
    let tree = Tree::new(volts, vec![(0, loop_ohm(length, r, 0.0, 0.0).unwrap())]).unwrap();
    let lost = volts - steady(&tree, &[current(amps)]).node_v[1];
    [("drop", lost), ("share", 100.0 * lost / volts)].into()
}

#[test]
fn conductors_and_drops_are_the_published_ones() {
    cases::check("iec-60228-power", include_str!("sources/iec-60228-power/cases.toml"), |id| {
        Some(match id {
            "IEC-5" => row(
                Strands::Fine,
                &[
                    ("1 mm2", 1.0),
                    ("1.5 mm2", 1.5),
                    ("2.5 mm2", 2.5),
                    ("4 mm2", 4.0),
                    ("6 mm2", 6.0),
                    ("10 mm2", 10.0),
                    ("16 mm2", 16.0),
                    ("25 mm2", 25.0),
                    ("35 mm2", 35.0),
                ],
            ),
            "IEC-2" => row(
                Strands::Coarse,
                &[
                    ("1.5 mm2", 1.5),
                    ("2.5 mm2", 2.5),
                    ("4 mm2", 4.0),
                    ("6 mm2", 6.0),
                    ("10 mm2", 10.0),
                    ("16 mm2", 16.0),
                ],
            ),
            "AWG" => [
                ("AWG 18", 18),
                ("AWG 16", 16),
                ("AWG 14", 14),
                ("AWG 12", 12),
                ("AWG 10", 10),
                ("AWG 8", 8),
                ("AWG 6", 6),
                ("AWG 4", 4),
                ("AWG 2", 2),
                ("AWG 1/0", 0),
            ]
            .into_iter()
            .map(|(name, n)| {
                let d = 0.127e-3 * 92.0_f64.powf((36.0 - f64::from(n)) / 39.0);
                let area_m2 = PI * d * d / 4.0;
                (name, 1e3 * ohm_per_m(Size::Gauge { area_m2 }, Strands::Solid).unwrap())
            })
            .collect(),
            "TEMP" => {
                [("70 C", temperature_factor(343.15).unwrap()), ("60 C", temperature_factor(333.15).unwrap())]
                    .into()
            }
            "CB-1" => drop(24.0, 20.0, (10.0, 2.5)),
            "CB-2" => drop(24.0, 20.0, (10.0, 10.0)),
            "CB-3" => drop(24.0, 20.0, (10.0, 16.0)),
            "CB-4" => drop(48.0, 10.0, (15.0, 6.0)),
            "CB-5" => drop(12.0, 20.0, (10.0, 10.0)),
            _ => return None,
        })
    });
}

/// One cable and a constant power: V² - E V + R P = 0, the higher root; none from R P > E² / 4 on.
#[test]
fn one_cable_is_the_quadratic() {
    let cases: [(f64, f64, f64); 4] =
        [(24.0, 0.05, 240.0), (12.0, 0.2, 100.0), (48.0, 1.0, 570.0), (24.0, 0.1, 1439.999)];
    for (e, r, p) in cases {
        let v = 0.5 * (e + (e * e - 4.0 * r * p).sqrt());
        let flow = steady(&Tree::new(e, vec![(0, r)]).unwrap(), &[power(p)]);
        // At the nose the root's digits halve.
        let room = if 4.0 * r * p > 0.999 * e * e { 1e-4 } else { ROUNDING };
        assert!((flow.node_v[1] - v).abs() < room * e, "{e} {r} {p}: {} {v}", flow.node_v[1]);
        assert!((flow.branch_a[0] * flow.node_v[1] - p).abs() < 1e-6 * p);
    }
    for over in [1.0001, 1.5, 40.0] {
        let tree = Tree::new(24.0, vec![(0, 0.1)]).unwrap();
        assert!(
            matches!(tree.solve(&[power(over * 1440.0)]).unwrap(), Solution::Collapse { node: 1 }),
            "{over}"
        );
    }
}

/// A tree of sums and loads: branch `k` hangs on a node before it.
#[derive(Clone, Debug)]
struct Plan {
    volts: f64,
    branches: Vec<(usize, f64)>,
    draws: Vec<Draw>,
}

fn plans() -> impl Strategy<Value = Plan> {
    (
        10.0..60.0_f64,
        prop::collection::vec(
            (any::<prop::sample::Index>(), 0.001..0.1_f64, 0.0..40.0_f64, 0.0..2.0_f64),
            1..14,
        ),
    )
        .prop_map(|(volts, list)| Plan {
            volts,
            branches: list.iter().enumerate().map(|(k, (at, ohm, ..))| (at.index(k + 1), *ohm)).collect(),
            draws: list.iter().map(|(.., p, i)| Draw { power_w: *p, current_a: *i }).collect(),
        })
}

/// Node voltages by the nodal method: all conductances in one full matrix, Gauss with row exchange, the current of each constant power from the
/// voltage of the round before. Nothing of it is in the solver. `None` where it does not settle.
fn nodal(plan: &Plan) -> Option<Vec<f64>> {
    let n = plan.branches.len();
    let mut volts = vec![plan.volts; n + 1];
    for _ in 0..20_000 {
        let mut m = vec![vec![0.0; n + 1]; n];
        for (k, (parent, ohm)) in plan.branches.iter().enumerate() {
            let g = 1.0 / ohm;
            m[k][k] += g;
            if *parent == 0 {
                m[k][n] += g * plan.volts;
            } else {
                m[parent - 1][parent - 1] += g;
                m[k][parent - 1] -= g;
                m[parent - 1][k] -= g;
            }
            m[k][n] -= plan.draws[k].current_a + plan.draws[k].power_w / volts[k + 1];
        }
        for c in 0..n {
            let best = (c..n).max_by(|a, b| m[*a][c].abs().total_cmp(&m[*b][c].abs()))?;
            m.swap(c, best);
            for r in c + 1..n {
                let (above, below) = m.split_at_mut(r);
                let f = below[0][c] / above[c][c];
                for (x, y) in below[0].iter_mut().zip(&above[c]).skip(c) {
                    *x -= f * y;
                }
            }
        }
        let mut next = vec![plan.volts; n + 1];
        for r in (0..n).rev() {
            let rest: f64 = (r + 1..n).map(|k| m[r][k] * next[k + 1]).sum();
            next[r + 1] = (m[r][n] - rest) / m[r][r];
        }
        if next.iter().any(|v| !v.is_finite() || *v <= 0.0) {
            return None;
        }
        let moved = next.iter().zip(&volts).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        volts = next;
        if moved < 1e-12 * plan.volts {
            return Some(volts);
        }
    }
    None
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, rng_seed: proptest::test_runner::RngSeed::Fixed(16), failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_tree_is_the_nodal_solution(plan in plans()) {
        let tree = Tree::new(plan.volts, plan.branches.clone()).unwrap();
        match (tree.solve(&plan.draws).unwrap(), nodal(&plan)) {
            (Solution::Steady(flow), Some(volts)) => {
                for (a, b) in flow.node_v.iter().zip(&volts) {
                    // Fixed point ends at 1e-12 of a step; near collapse its steps shrink slowly.
                    prop_assert!((a - b).abs() < 1e-7 * plan.volts, "{a} {b}");
                }
            }
            (Solution::Collapse { .. }, None) => {}
            (a, b) => prop_assert!(false, "{a:?} {b:?}"),
        }
    }

    #[test]
    fn what_the_source_gives_is_drawn_or_heat(plan in plans()) {
        let tree = Tree::new(plan.volts, plan.branches.clone()).unwrap();
        if let Solution::Steady(flow) = tree.solve(&plan.draws).unwrap() {
            let drawn: f64 = plan.draws.iter().zip(&flow.node_v[1..]).map(|(d, v)| d.power_w + d.current_a * v).sum();
            let heat: f64 = tree.heat_w(&flow).iter().sum();
            let given = plan.volts * tree.source_a(&flow);
            prop_assert!((given - drawn - heat).abs() <= ROUNDING * given.max(1.0), "{given} {drawn} {heat}");
            prop_assert!(tree.residual(&flow, &plan.draws) <= ROUNDING);
        }
    }

    #[test]
    fn a_longer_cable_or_a_larger_load_never_raises_a_voltage(plan in plans(), which in any::<prop::sample::Index>(), by in 1.0..3.0_f64) {
        let before = Tree::new(plan.volts, plan.branches.clone()).unwrap().solve(&plan.draws).unwrap();
        let k = which.index(plan.branches.len());
        let mut longer = plan.clone();
        longer.branches[k].1 *= by;
        let mut more = plan.clone();
        more.draws[k].power_w *= by;
        more.draws[k].current_a *= by;
        for after in [longer, more] {
            let now = Tree::new(after.volts, after.branches.clone()).unwrap().solve(&after.draws).unwrap();
            match (&before, &now) {
                (Solution::Steady(a), Solution::Steady(b)) => {
                    for (x, y) in a.node_v.iter().zip(&b.node_v) {
                        prop_assert!(*y <= *x + ROUNDING * plan.volts);
                    }
                }
                (Solution::Collapse { .. }, Solution::Steady(_)) => prop_assert!(false, "more resistance cannot help"),
                _ => {}
            }
        }
    }
}
