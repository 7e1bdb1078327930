//! Logarithmic decrement and overshoot against published figures: `tests/sources/rao-mechanical-vibrations`.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "tests")]

#[path = "common/validation.rs"]
#[allow(unreachable_pub, reason = "shared by several test programs")]
mod validation;

use mechanics::settle::{Counted, from_count, overshoot};
use serde::Deserialize;
use std::collections::BTreeMap;
use validation::Row;

#[derive(Deserialize)]
struct Cases {
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    id: String,
    source: String,
    quantity: String,
    inputs: BTreeMap<String, f64>,
    published: f64,
    unit: String,
    tolerance: f64,
    marker: String,
}

fn ours(case: &Case) -> f64 {
    let input = |name: &str| *case.inputs.get(name).unwrap_or_else(|| panic!("{} has no {name}", case.id));
    if case.quantity == "overshoot" {
        return overshoot(input("zeta")).unwrap();
    }
    let told = from_count(&Counted {
        first: input("first"),
        last: input("last"),
        cycles: input("cycles"),
        reading: 0.0,
        took_s: Some((input("seconds"), 0.0)),
    })
    .unwrap();
    let natural = std::f64::consts::TAU * told.natural_hz.unwrap().value;
    match case.quantity.as_str() {
        "decrement" => told.decrement.value,
        "ratio" => told.ratio.value,
        "natural_rad_s" => natural,
        "stiffness_200_kg" => 200.0 * natural * natural,
        "damper_200_kg" => 2.0 * 200.0 * told.ratio.value * natural,
        other => panic!("no quantity {other}"),
    }
}

#[test]
fn published_swings_are_met() {
    let cases: Cases = toml::from_str(include_str!("sources/rao-mechanical-vibrations/cases.toml")).unwrap();
    assert!(cases.case.len() >= 16);
    let rows: Vec<Row<'_>> = cases
        .case
        .iter()
        .map(|c| {
            let ours = ours(c);
            let allowed = c.tolerance * c.published.abs();
            assert!((ours - c.published).abs() <= allowed, "{}: {ours} against {}", c.id, c.published);
            Row {
                source: &c.source,
                id: &c.id,
                quantity: &c.quantity,
                published: c.published,
                ours,
                unit: &c.unit,
                allowed,
                marker: &c.marker,
            }
        })
        .collect();
    validation::record("rao-mechanical-vibrations", &rows);
}
