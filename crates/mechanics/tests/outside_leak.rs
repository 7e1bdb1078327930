//! Leaks against values computed apart, and air through a hole against a printed table.

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

use core::f64::consts::PI;
use mechanics::leak::{
    Ambient, Law, Reading, choked_flow, choked_ratio, fit, orifice_kg_per_s, rate_of_hole_per_s,
};

const POUND_KG: f64 = 0.453_592_37;
const INCH_M: f64 = 0.0254;
const SEA_PA: f64 = 101_325.0;
const ROOM_K: f64 = 293.15;

fn read(time_s: f64, vacuum_pa: f64) -> Reading {
    Reading { time_s, vacuum_pa, ambient_pa: SEA_PA, temperature_k: ROOM_K }
}

#[test]
fn leaks_are_those_computed_apart() {
    cases::check("vacuum-leak", include_str!("sources/vacuum-leak/cases.toml"), |id| {
        Some(match id {
            "LK-C" => {
                let leak = fit(&[read(0.0, 81_325.0), read(600.0, 79_325.0)], 1.0).unwrap();
                let rate = leak.exponential.rate_per_s.value;
                let fall = Law::Exponential.vacuum_after_pa(rate, SEA_PA, 81_325.0, 600.0).unwrap();
                [
                    ("leak", (81_325.0 - fall) / 600.0 * 5.0),
                    ("time constant", 1.0 / rate),
                    ("time to 60 kPa", Law::Exponential.time_s(rate, SEA_PA, 81_325.0, 60e3).unwrap()),
                ]
                .into()
            }
            "LK-H" => {
                let leak = fit(&[read(0.0, 85e3), read(3_600.0, 80e3)], 1.0).unwrap();
                let rate = leak.exponential.rate_per_s.value;
                let hours = |to| Law::Exponential.time_s(rate, SEA_PA, 85e3, to).unwrap() / 3_600.0;
                [
                    ("time constant", 1.0 / rate / 3_600.0),
                    ("time to 60 kPa", hours(60e3)),
                    ("half-life", hours(42.5e3)),
                ]
                .into()
            }
            "LK-CHOKED" => [("ratio", choked_ratio()), ("flow function", choked_flow())].into(),
            "LK-HOLE" => {
                let hole = PI / 4.0 * 1e-4_f64.powi(2);
                let rate = rate_of_hole_per_s(hole, 0.8, 5e-3, ROOM_K).unwrap();
                // The rise at the start stays up to the choked pressure and not far past it.
                let at = |p: f64| Law::Orifice.fall_pa_per_s(rate, SEA_PA, SEA_PA - p).unwrap();
                let end = (0..1000)
                    .map(|s| 100.0 * f64::from(s))
                    .take_while(|p| at(*p) > at(0.0) * (1.0 - 1e-9))
                    .last();
                [
                    ("mass flow", orifice_kg_per_s(hole, 0.8, SEA_PA, 20e3, ROOM_K).unwrap()),
                    ("rise in 5 l", at(20e3)),
                    ("linear up to", end.unwrap() / 1e3),
                ]
                .into()
            }
            "LK-GAS" => {
                let sealed = read(0.0, SEA_PA - 15e3);
                let at = |c: f64| {
                    let there = Ambient { pressure_pa: SEA_PA, temperature_k: c + 273.15 };
                    (SEA_PA - sealed.vacuum_at_pa(there).unwrap()) / 1e3
                };
                [
                    ("-10 C", at(-10.0)),
                    ("0 C", at(0.0)),
                    ("40 C", at(40.0)),
                    ("50 C", at(50.0)),
                    ("60 C", at(60.0)),
                    ("loss at 30 K more", at(50.0) - at(20.0)),
                ]
                .into()
            }
            "LK-ALTITUDE" => {
                let high = Ambient { pressure_pa: 79_501.4, temperature_k: ROOM_K };
                let vacuum = read(0.0, 81_325.0).vacuum_at_pa(high).unwrap();
                [("vacuum at 2000 m", vacuum / 1e3), ("change", 100.0 * (vacuum / 81_325.0 - 1.0))].into()
            }
            _ => return None,
        })
    });
}

#[test]
fn air_through_a_hole_is_that_of_the_printed_table() {
    const PSI_PA: f64 = 6_894.757_293;
    cases::check("air-through-orifice", include_str!("sources/air-through-orifice/cases.toml"), |id| {
        let gauge: f64 = id.strip_prefix("AIR-")?.parse().ok()?;
        let free = |diameter_in: f64| {
            let area = PI / 4.0 * (diameter_in * INCH_M).powi(2);
            let kg_per_s =
                orifice_kg_per_s(area, 1.0, (gauge + 14.7) * PSI_PA, 14.7 * PSI_PA, 530.0 / 1.8).unwrap();
            60.0 * kg_per_s / POUND_KG / 0.074_94
        };
        Some([("1/8 in", free(0.125)), ("1/4 in", free(0.25)), ("1 in", free(1.0))].into())
    });
}
