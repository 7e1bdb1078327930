//! What `pack --json` and `pack --csv` print.

use crate::command::pack::Sheet;
use crate::print::pack::{RULES, inside, way};
use method::cases::{Case, Way};
use method::differ::Difference;
use method::pack::{Line, Load};
use quantity::Kind;
use serde::Serialize;

/// A load, SI.
#[derive(Debug, Serialize)]
pub(crate) struct Printed {
    rig: String,
    pieces: usize,
    mass_kg: f64,
    case_limit_kg: f64,
    load: Vec<Piece>,
    cases: Vec<Packed>,
    against: Option<Against>,
    rules: &'static [&'static str],
}

#[derive(Debug, Serialize)]
struct Piece {
    group: &'static str,
    name: String,
    count: usize,
    each_kg: Option<f64>,
    length_m: Option<f64>,
    tags: Vec<String>,
    why: &'static str,
}

#[derive(Debug, Serialize)]
struct Packed {
    way: &'static str,
    /// `null`: nothing in it has a mass stated.
    mass_kg: Option<f64>,
    /// `null`: not by hand, or not weighed.
    people: Option<usize>,
    holds: String,
}

#[derive(Debug, Serialize)]
struct Against {
    rig: String,
    mass_kg: f64,
    changes: Vec<Change>,
    settings: Vec<Setting>,
}

#[derive(Debug, Serialize)]
struct Change {
    group: &'static str,
    name: String,
    before: usize,
    now: usize,
}

#[derive(Debug, Serialize)]
struct Setting {
    what: String,
    before: String,
    now: String,
}

impl Printed {
    pub(crate) fn of(sheet: &Sheet<'_>) -> Self {
        Self {
            rig: sheet.rig.name.clone(),
            pieces: sheet.load.pieces(),
            mass_kg: sheet.load.mass_kg(),
            case_limit_kg: sheet.most_kg,
            load: sheet.load.lines.iter().map(piece).collect(),
            cases: sheet.cases.iter().map(|c| packed(sheet.load, c)).collect(),
            against: sheet.against.map(|(rig, mass_kg, way)| against(rig, mass_kg, way)),
            rules: &RULES,
        }
    }
}

fn piece(l: &Line) -> Piece {
    Piece {
        group: l.group.word(),
        name: l.name.clone(),
        count: l.count,
        each_kg: l.each_kg,
        length_m: l.length_m,
        tags: l.tags.clone(),
        why: l.why,
    }
}

fn packed(load: &Load, c: &Case) -> Packed {
    let weighed = c.way != Way::Unweighed;
    Packed {
        way: way(c.way),
        mass_kg: weighed.then_some(c.mass_kg),
        people: c.people.filter(|_| weighed),
        holds: inside(load, c),
    }
}

fn against(rig: &str, mass_kg: f64, way: &Difference) -> Against {
    let change = |c: &method::differ::Change| Change {
        group: c.group.word(),
        name: c.name.clone(),
        before: c.before,
        now: c.now,
    };
    let setting = |s: &method::differ::Setting| Setting {
        what: s.what.clone(),
        before: s.before.clone(),
        now: s.now.clone(),
    };
    Against {
        rig: rig.to_owned(),
        mass_kg,
        changes: way.changes.iter().map(change).collect(),
        settings: way.settings.iter().map(setting).collect(),
    }
}

/// A line of the load for a spreadsheet, each measure in both systems.
#[derive(Debug, Serialize)]
pub(crate) struct Row {
    group: &'static str,
    name: String,
    count: usize,
    each_kg: Option<f64>,
    each_lb: Option<f64>,
    length_mm: Option<f64>,
    length_in: Option<f64>,
    tags: String,
    why: &'static str,
}

impl Row {
    pub(crate) fn all(load: &Load) -> Vec<Self> {
        let row = |l: &Line| Self {
            group: l.group.word(),
            name: l.name.clone(),
            count: l.count,
            each_kg: l.each_kg.and_then(|v| super::list::number(v, Kind::Mass, "kg")),
            each_lb: l.each_kg.and_then(|v| super::list::number(v, Kind::Mass, "lb")),
            length_mm: l.length_m.and_then(|v| super::list::number(v, Kind::Length, "mm")),
            length_in: l.length_m.and_then(|v| super::list::number(v, Kind::Length, "in")),
            tags: l.tags.join("; "),
            why: l.why,
        };
        load.lines.iter().map(row).collect()
    }
}
