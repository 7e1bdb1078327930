//! The built-in parts as a list for people.

use crate::parts::built_in;
use crate::record::{Cell, Record, Value};
use crate::spec::COMMON;
use quantity::{Kind, both_kind};

/// One part of the catalogue.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// `cup`, `tube`, `clamp`, `foot`, `strap`, `material`, `sheet`, `finish` or `vehicle`.
    pub kind: &'static str,
    /// Its name, as a rig file gives it.
    pub name: String,
    /// Its data: key, and value in both systems; a typical value with its range.
    pub data: Vec<(&'static str, String)>,
    /// Where the data come from.
    pub source: String,
}

/// Every built-in part, in file order.
pub fn catalogue() -> Vec<Listed> {
    built_in().0.records().map(|(kind, record)| listed(kind, record)).collect()
}

fn listed(kind: &'static str, record: &Record) -> Listed {
    Listed {
        kind,
        name: record.tag.clone(),
        data: record
            .cells
            .iter()
            .filter(|c| c.key != "source")
            .filter_map(|c| Some((c.key, shown(c)?)))
            .collect(),
        source: record.text("source").unwrap_or(COMMON).to_owned(),
    }
}

fn shown(cell: &Cell) -> Option<String> {
    match &cell.value {
        Value::Fact(f) if f.is_assumed() => {
            let show = |v: f64| both_kind(v, f.kind);
            Some(format!("about {}, from {} to {}", show(f.value), show(f.low), show(f.high)))
        }
        Value::Fact(f) if f.kind == Kind::Length && !f.value.is_finite() => Some("flat".to_owned()),
        Value::Fact(f) => Some(both_kind(f.value, f.kind)),
        Value::Text(t) => Some(t.clone()),
        Value::Word(w) => Some((*w).to_owned()),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_catalogue_is_sound() {
        assert_eq!(built_in().1, Vec::new(), "no faults in the built-in parts");
        let all = catalogue();
        let find = |name: &str| all.iter().find(|l| l.name == name).unwrap();
        let tube = find("tube 48.3 x 4.0 EN AW-6082 T6");
        assert_eq!(tube.data.first(), Some(&("outer", "48.3 mm (1-7/8 in)".to_owned())));
        assert!(all.iter().all(|l| !l.source.is_empty()));
        for kind in ["cup", "tube", "clamp", "foot", "strap", "material", "sheet", "finish", "vehicle"] {
            assert!(all.iter().any(|l| l.kind == kind), "{kind}");
        }
    }

    #[test]
    fn every_typical_value_says_where_it_comes_from() {
        for (kind, record) in built_in().0.records() {
            let typical = record.cells.iter().any(|c| matches!(&c.value, Value::Fact(f) if f.is_assumed()));
            if typical {
                assert!(record.text("source").is_some_and(|s| !s.is_empty()), "{kind} {}", record.tag);
            }
        }
    }
}
