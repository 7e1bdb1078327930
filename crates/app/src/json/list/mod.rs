//! What `list --json` and `list --csv` print: flat rows, each measure in both systems, its unit in the column's name.

mod checks;
mod limits;
mod parts;

pub(crate) use checks::Checked;
pub(crate) use limits::LimitRow;
pub(crate) use parts::{PartRow, parts};
use quantity::Kind;
use serde::Serialize;

/// A list with what it is of.
#[derive(Debug, Serialize)]
pub(crate) struct List<T> {
    rig: String,
    of: &'static str,
    conventions: &'static str,
    rows: Vec<T>,
    #[serde(skip_serializing_if = "Option::is_none")]
    total_mass_kg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    total_mass_lb: Option<f64>,
}

impl<T> List<T> {
    pub(crate) fn of(rig: &rig::Rig, what: &'static str, rows: Vec<T>) -> Self {
        Self {
            rig: rig.name.clone(),
            of: what,
            conventions: "units stand in the names; aft, left and up from the datum, the windscreen's top edge; bearings left positive",
            rows,
            total_mass_kg: None,
            total_mass_lb: None,
        }
    }

    /// With the mass of all rows together.
    pub(crate) fn weighing(mut self, kg: f64) -> Self {
        self.total_mass_kg = number(kg, Kind::Mass, "kg");
        self.total_mass_lb = number(kg, Kind::Mass, "lb");
        self
    }
}

/// A value in a unit of its kind, to three places; none where it is no number.
pub(crate) fn number(si: f64, kind: Kind, symbol: &str) -> Option<f64> {
    let unit = kind.units().iter().find(|u| u.symbol == symbol)?;
    // Nothing is written as minus nothing.
    Some((unit.value(si) * 1e3).round() / 1e3 + 0.0).filter(|v| v.is_finite())
}

/// A value to six digits, for what may be of any size.
fn digits(value: f64) -> Option<f64> {
    let text = format!("{value:.5e}");
    text.parse().ok().filter(|v: &f64| v.is_finite()).map(|v| v + 0.0)
}
