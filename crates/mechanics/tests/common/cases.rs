//! Published values as tables: `tests/sources/<source>/cases.toml`, and their comparison with what the frame gives.

use super::validation::{self, Row};
use serde::Deserialize;
use std::collections::BTreeMap;

/// One source and its values.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Author, title, place.
    pub source: String,
    /// Values.
    pub case: Vec<Case>,
}

/// One published value.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// Which model, for example `FR-20`.
    pub id: String,
    /// Which number of it.
    pub quantity: String,
    /// As printed.
    pub published: f64,
    /// Unit of `published`.
    pub unit: String,
    /// Allowed difference as a share of `published`.
    pub tolerance: f64,
    /// Allowed difference in `unit`, where the printed digits are few: half of the last one.
    #[serde(default)]
    pub rounding: f64,
    /// How sure the published value is: `looked up`, `computed`, `from memory`.
    pub marker: String,
}

/// Computed values of one model by quantity, in the source's units.
pub type Computed = BTreeMap<&'static str, f64>;

/// Compares every value of a source; `evaluate` gives the computed values of a model by its id.
///
/// Hands every value to the validation page as `table`. A quantity that nobody computes,
/// and a computed one that the table does not ask for, are both faults.
pub fn check(table: &str, toml: &str, evaluate: impl Fn(&str) -> Option<Computed>) {
    let source: Source = toml::from_str(toml).unwrap();
    assert!(!source.case.is_empty(), "{} has no values", source.source);
    let mut computed: BTreeMap<&str, Computed> = BTreeMap::new();
    let (mut faults, mut rows) = (Vec::new(), Vec::new());
    for case in &source.case {
        let values = computed.entry(&case.id).or_insert_with(|| {
            evaluate(&case.id).unwrap_or_else(|| panic!("no model {} for {}", case.id, source.source))
        });
        let Some(value) = values.get(case.quantity.as_str()) else {
            faults.push(format!("{}: nothing computes {}", case.id, case.quantity));
            continue;
        };
        let allowed = case.tolerance * case.published.abs() + case.rounding;
        rows.push(Row {
            source: &source.source,
            id: &case.id,
            quantity: &case.quantity,
            published: case.published,
            ours: *value,
            unit: &case.unit,
            allowed,
            marker: &case.marker,
        });
        let miss = (value - case.published).abs();
        // The comparison is written so that a NaN is a fault.
        if miss.is_nan() || miss > allowed {
            faults.push(format!(
                "{} {}: published {} {}, computed {value}, allowed {allowed:e}",
                case.id, case.quantity, case.published, case.unit
            ));
        }
    }
    for (id, values) in &computed {
        for quantity in values.keys() {
            if !source.case.iter().any(|c| c.id == *id && c.quantity == *quantity) {
                faults.push(format!("{id}: no published value for {quantity}"));
            }
        }
    }
    validation::record(table, &rows);
    assert!(faults.is_empty(), "{}:\n{}", source.source, faults.join("\n"));
}
