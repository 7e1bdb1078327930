//! Logarithmic decrement and overshoot against published figures, and against readings that others took:
//! `tests/sources/rao-mechanical-vibrations`, `tests/sources/torsion-pendulum-readings`.

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
    let (cycles, seconds) = (input("cycles"), input("seconds"));
    let told = from_count(&Counted {
        first: input("first"),
        last: input("last"),
        cycles,
        reading: case.inputs.get("reading").copied().unwrap_or(0.0),
        took_s: Some((seconds, 0.0)),
    })
    .unwrap();
    let natural = std::f64::consts::TAU * told.natural_hz.unwrap().value;
    match case.quantity.as_str() {
        "decrement" => told.decrement.value,
        "ratio" => told.ratio.value,
        "decay_per_s" => {
            let per_s = cycles / seconds;
            let (low, high) = (told.decrement.low * per_s, told.decrement.high * per_s);
            assert!((low..=high).contains(&case.published), "{}: {low} to {high}", case.id);
            told.decrement.value * per_s
        }
        "natural_rad_s" => natural,
        "stiffness_200_kg" => 200.0 * natural * natural,
        "damper_200_kg" => 2.0 * 200.0 * told.ratio.value * natural,
        other => panic!("no quantity {other}"),
    }
}

fn met(name: &'static str, text: &str, least: usize) {
    let cases: Cases = toml::from_str(text).unwrap();
    assert!(cases.case.len() >= least);
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
    validation::record(name, &rows);
}

#[test]
fn published_swings_are_met() {
    let text = include_str!("sources/rao-mechanical-vibrations/cases.toml");
    met("rao-mechanical-vibrations", text, 16);
}

/// Their slope is of all readings, ours of the first and the last alone, with half a millimetre of reading error: the range
/// must hold theirs.
#[test]
fn swings_that_others_measured_are_met() {
    met("torsion-pendulum-readings", include_str!("sources/torsion-pendulum-readings/cases.toml"), 2);
}
