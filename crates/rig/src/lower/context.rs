//! What every lowering needs: the file's tables, the parts, the faults so far, and how a key finds its value.

use crate::diagnostic::Diagnostic;
use crate::fact::{Fact, Origin};
use crate::parts::Library;
use crate::pass::{article, choices, printable};
use crate::record::{Record, Value};
use crate::source::Spot;
use crate::spec::{Assume, COMMON, Need, Row, Shape};
use crate::suggest::nearest;
use glam::DVec3;
use quantity::{Kind, parse_kind};

/// State of the lowering.
pub(crate) struct Context<'a> {
    pub(crate) root: &'a Record,
    pub(crate) parts: &'a Library,
    pub(crate) faults: &'a mut Vec<Diagnostic>,
    /// Windscreen's top edge in vehicle axes.
    pub(crate) datum: DVec3,
}

/// A fault that was reported already.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reported;

/// A table with the part that stands behind it.
#[derive(Clone, Copy)]
pub(crate) struct View<'r> {
    pub(crate) record: &'r Record,
    pub(crate) part: Option<&'r Record>,
}

impl<'r> View<'r> {
    pub(crate) fn plain(record: &'r Record) -> Self {
        Self { record, part: None }
    }

    fn row(self, key: &str) -> Option<&'static Row> {
        self.record.table.row(key)
    }

    /// A word or text of the table or its part, or the default of its row.
    pub(crate) fn word(self, key: &str) -> Option<&'r str> {
        let stated = self.record.text(key).or_else(|| self.part.and_then(|p| p.text(key)));
        match self.row(key).map(|r| r.need) {
            _ if stated.is_some() => stated,
            Some(Need::Default(word)) if !self.record.is_faulty(key) => Some(word),
            _ => None,
        }
    }

    /// The value of a key that may be left out: as stated, else the part's, else the typical one.
    pub(crate) fn maybe(self, key: &str) -> Option<Fact> {
        let row = self.row(key)?;
        if let Some(fact) = self.record.fact(key) {
            let mut fact = fact.clone();
            if fact.is_assumed() && fact.source.is_empty() {
                "range stated in the file".clone_into(&mut fact.source);
            }
            return Some(fact);
        }
        if self.record.is_faulty(key) {
            return None;
        }
        let path = format!("{}.{key}", self.record.path);
        if let Some((part, fact)) = self.part.and_then(|p| Some((p, p.fact(key)?))) {
            return Some(inherited(fact, part, path, row.settle));
        }
        match row.need {
            Need::Assume(typical) => assumed(row, &typical, self.record.table.name, path),
            Need::Default(text) => {
                let kind = kind_of(row)?;
                Some(Fact::stated(parse_kind(text, kind).ok()?, kind, &path))
            }
            _ => None,
        }
    }

    pub(crate) fn flag(self, key: &str) -> bool {
        let default = matches!(self.row(key).map(|r| r.need), Some(Need::Default("true")));
        self.record.flag(key).unwrap_or(default)
    }
}

fn kind_of(row: &Row) -> Option<Kind> {
    match row.shape {
        Shape::Quantity(kind) | Shape::Measure(kind) => Some(kind),
        Shape::Radius => Some(Kind::Length),
        _ => None,
    }
}

/// A typical value as a fact.
pub(crate) fn assumed(row: &Row, typical: &Assume, table: &str, key: String) -> Option<Fact> {
    let kind = kind_of(row)?;
    Some(Fact {
        value: parse_kind(typical.value, kind).ok()?,
        low: parse_kind(typical.low, kind).ok()?,
        high: parse_kind(typical.high, kind).ok()?,
        kind,
        origin: Origin::Assumed,
        key,
        group: format!("{table}.{}", row.key),
        text: None,
        source: typical.source.to_owned(),
        settle: row.settle.to_owned(),
    })
}

/// A part's value as a fact of the thing that uses it.
pub(crate) fn inherited(fact: &Fact, part: &Record, key: String, settle: &str) -> Fact {
    let mut out = fact.clone();
    // The same part is the same unknown; sheet and finish differ from panel to panel.
    if matches!(part.table.name, "sheet" | "finish") {
        out.group.clone_from(&key);
    }
    out.key = key;
    if out.settle.is_empty() {
        settle.clone_into(&mut out.settle);
    }
    if out.source.is_empty() {
        part.text("source").unwrap_or(if out.is_assumed() { COMMON } else { "" }).clone_into(&mut out.source);
    }
    if !out.is_assumed() {
        out.origin = Origin::Part;
    }
    out
}

impl<'a> Context<'a> {
    /// The value of a key: as stated, else the part's, else the typical one; a fault when there is none.
    pub(crate) fn fact(&mut self, view: View<'_>, key: &str) -> Option<Fact> {
        if let Some(fact) = view.maybe(key) {
            return Some(fact);
        }
        let row = view.row(key)?;
        // A faulty value, and a missing required one, were reported by the reading pass.
        let in_part = view.part.is_some_and(|p| p.is_faulty(key));
        if !view.record.has(key) && !in_part && !matches!(row.need, Need::Required) {
            self.nothing_gives(view, row);
        }
        None
    }

    /// A size or other exact number.
    pub(crate) fn measure(&mut self, view: View<'_>, key: &str) -> Option<f64> {
        self.fact(view, key).map(|f| f.value)
    }

    pub(crate) fn nothing_gives(&mut self, view: View<'_>, row: &Row) {
        let (why, other) = match view.part {
            Some(part) => (
                format!(
                    "its {} \"{}\" gives none either",
                    if part.table.name == "vehicle" { "ready set" } else { "part" },
                    printable(&part.tag)
                ),
                "name a part that gives it",
            ),
            None if view.record.table.name == "vehicle" => {
                ("neither the file nor a ready set gives it".to_owned(), "name a ready set with `like`")
            }
            None => ("no part gives it".to_owned(), "name a part that gives it"),
        };
        self.faults.push(
            Diagnostic::error(
                "R006",
                &view.record.at,
                format!("{} has no `{}`", view.record.title(), row.key),
            )
            .why(why)
            .mend(format!("add `{} = {}`, or {other}", row.key, row.example)),
        );
    }

    /// The part that a key names.
    pub(crate) fn part(&mut self, view: View<'_>, key: &str) -> Option<&'a Record> {
        let Some(Shape::Part(kind)) = view.row(key).map(|r| r.shape) else { return None };
        let Some(name) = view.word(key) else {
            let needed = view.row(key).filter(|r| matches!(r.need, Need::Part));
            if let Some(row) = needed.filter(|_| !view.record.has(key)) {
                self.nothing_gives(view, row);
            }
            return None;
        };
        let found = self.parts.find(kind, name);
        if found.is_none() {
            let spot = view.record.spot(key).clone();
            let names: Vec<&str> = self.parts.names(kind).collect();
            let mend = match nearest(name, names.iter().copied()) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None if names.len() <= 12 => {
                    format!("use {}, or put it in a parts file of your own", choices(&names))
                }
                None => format!(
                    "put [{kind}.\"{}\"] in a parts file of your own and name that under `parts`",
                    printable(name)
                ),
            };
            self.faults.push(
                Diagnostic::error(
                    "R011",
                    &spot,
                    format!("no {} is called \"{}\"", part_word(kind), printable(name)),
                )
                .why(format!(
                    "{} names it, and neither the built-in parts nor your own have it",
                    view.record.title()
                ))
                .mend(mend),
            );
        }
        found
    }

    /// The thing that a key names: its table and its index there.
    pub(crate) fn refer(&mut self, record: &Record, key: &str) -> Option<(&'static str, usize)> {
        let cell = record.cell(key)?;
        let Some(Shape::Tag(tables)) = record.table.row(key).map(|r| r.shape) else { return None };
        self.refer_value(record, &cell.value, &cell.at, tables)
    }

    /// The same for one value of a list.
    pub(crate) fn refer_value(
        &mut self,
        record: &Record,
        value: &Value,
        at: &Spot,
        tables: &'static [&'static str],
    ) -> Option<(&'static str, usize)> {
        let Value::Text(tag) = value else { return None };
        let root = self.root;
        let found: Vec<(&'static str, usize, &Record)> = tables
            .iter()
            .filter_map(|t| {
                root.tagged(t).iter().enumerate().find(|(_, r)| r.tag == *tag).map(|(i, r)| (*t, i, r))
            })
            .collect();
        match found.as_slice() {
            [(table, index, _)] => Some((table, *index)),
            [] => {
                let known: Vec<&str> =
                    tables.iter().flat_map(|t| root.tagged(t)).map(|r| r.tag.as_str()).collect();
                let kinds = tables.join(" or ");
                let mut fault =
                    Diagnostic::error("R008", at, format!("there is no {kinds} \"{}\"", printable(tag))).why(
                        format!("{} names it, but no {kinds} in the file carries that tag", record.title()),
                    );
                let near = nearest(tag, known.iter().copied());
                fault = match near {
                    Some(near) => fault.mend(format!("did you mean \"{}\"?", printable(near))),
                    None if known.is_empty() => fault.mend(format!("add a {kinds} with that tag")),
                    None => {
                        fault.mend(format!("use {}", choices(known.get(..known.len().min(8)).unwrap_or(&[]))))
                    }
                };
                // The tag may be right and the kind of thing wrong.
                let other = root.table.rows().flat_map(|row| root.tagged(row.key)).find(|r| r.tag == *tag);
                if let Some(other) = other.filter(|_| near.is_none()) {
                    fault = fault.related(&other.at, format!("this is {}", article(other.table.name)));
                }
                let definition =
                    near.and_then(|n| tables.iter().flat_map(|t| root.tagged(t)).find(|r| r.tag == n));
                if let Some(definition) = definition {
                    fault = fault.related(&definition.at, format!("{} stands here", definition.title()));
                }
                self.faults.push(fault);
                None
            }
            [first, .., last] => {
                self.faults.push(
                    Diagnostic::error("R009", at, format!("\"{}\" could be two things", printable(tag)))
                        .why(format!("{} and {} carry the same tag", article(first.0), article(last.0)))
                        .mend("give one of them another tag")
                        .related(&first.2.at, format!("the {}", first.0))
                        .related(&last.2.at, format!("the {}", last.0)),
                );
                None
            }
        }
    }
}

/// What a kind of the parts list is called in a message.
fn part_word(kind: &'static str) -> &'static str {
    if kind == "vehicle" { "ready set" } else { kind }
}

/// A length as a technician reads it, to the millimetre.
pub(crate) fn mm(length_m: f64) -> String {
    format!("{:.0} mm", (length_m * 1000.0).round() + 0.0)
}
