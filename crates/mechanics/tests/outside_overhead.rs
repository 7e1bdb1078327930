//! Distances from overhead lines against the rules' tables, and what must hold at every voltage.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test program: a fault stops the test"
)]

#[path = "common/cases.rs"]
#[allow(missing_docs, unreachable_pub, reason = "shared by several test programs")]
mod cases;
#[path = "common/validation.rs"]
#[allow(unreachable_pub, reason = "shared by several test programs")]
mod validation;

use cases::Computed;
use mechanics::overhead::{
    Doing, OverheadError, UNKNOWN_M, UNKNOWN_UP_TO_350_KV_M, crane_transit_m, crane_work_m, least_distance,
    mine_boom_m, table_a_m, vehicle_transit_m, vehicle_work_m,
};
use proptest::prelude::*;

const FOOT_M: f64 = 0.3048;

/// A rule at the voltages that its cases name.
fn feet(id: &str, rule: &dyn Fn(f64, &str) -> Result<f64, OverheadError>) -> Computed {
    let text = include_str!("sources/overhead-lines/cases.toml");
    let lines: Vec<&str> = text.lines().collect();
    lines
        .windows(2)
        .filter(|w| w[0] == format!("id = \"{id}\""))
        .filter_map(|w| w[1].strip_prefix("quantity = \"")?.strip_suffix('"'))
        .map(|q| {
            let kv: f64 = q.split(' ').next().unwrap().parse().unwrap();
            (q, rule(1e3 * kv, q).unwrap() / FOOT_M)
        })
        .collect()
}

#[test]
fn distances_are_those_of_the_rules() {
    cases::check("overhead-lines", include_str!("sources/overhead-lines/cases.toml"), |id| {
        Some(match id {
            "OH-A" => feet(id, &|v, _| table_a_m(v)),
            "OH-1409" => feet(id, &|v, _| crane_work_m(v)),
            "OH-T" => feet(id, &|v, _| crane_transit_m(v)),
            "OH-V" => feet(id, &|v, q| {
                if q.ends_with("transit") { vehicle_transit_m(v) } else { vehicle_work_m(v) }
            }),
            "OH-M" => feet(id, &|v, _| mine_boom_m(v)),
            "OH-UNKNOWN" => {
                [("350 kV at most", UNKNOWN_UP_TO_350_KV_M / FOOT_M), ("nothing known", UNKNOWN_M / FOOT_M)]
                    .into()
            }
            _ => return None,
        })
    });
}

proptest! {
    /// More volts, work instead of transit, a mine: never nearer.
    #[test]
    fn more_volts_never_come_nearer(kv in 0.0..1000.0_f64, more in 0.0..300.0_f64) {
        let at = |kv: f64, doing, mine| least_distance(Some(1e3 * kv.min(1000.0)), doing, mine).unwrap().least_m;
        for mine in [false, true] {
            for doing in [Doing::Work, Doing::Transit] {
                prop_assert!(at(kv + more, doing, mine) >= at(kv, doing, mine));
            }
            prop_assert!(at(kv, Doing::Work, mine) >= at(kv, Doing::Transit, mine));
        }
        prop_assert!(at(kv, Doing::Work, true) >= at(kv, Doing::Work, false));
    }
}
