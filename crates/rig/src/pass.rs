//! The reading pass: one walk over the tree by the definition in [`spec`](crate::spec), that reports every fault of
//! keys, sorts, units and limits at once.

use crate::diagnostic::Diagnostic;
use crate::fact::{Fact, Origin};
use crate::record::{Cell, Record, Value};
use crate::source::{Source, Spot};
use crate::spec::{Need, Row, Shape, Table};
use crate::suggest::nearest;
use crate::tree::{Data, Entry, Node};
use quantity::{Kind, System, parse_kind, show_kind};

/// What the pass writes to.
pub(crate) struct Pass<'a> {
    pub(crate) sources: &'a [Source],
    pub(crate) faults: &'a mut Vec<Diagnostic>,
}

/// A name of a key, as it must be written in TOML.
pub(crate) fn key_text(key: &str) -> String {
    let bare = !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    if bare { key.to_owned() } else { format!("\"{}\"", key.escape_default()) }
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() { key_text(key) } else { format!("{path}.{}", key_text(key)) }
}

/// `a, b or c`.
pub(crate) fn choices(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => format!("`{one}`"),
        [most @ .., last] => {
            let most: Vec<String> = most.iter().map(|w| format!("`{w}`")).collect();
            format!("{} or `{last}`", most.join(", "))
        }
    }
}

impl Pass<'_> {
    /// A table by its definition.
    pub(crate) fn record(
        &mut self,
        entries: &[Entry],
        table: &'static Table,
        path: &str,
        at: &Spot,
    ) -> Record {
        let mut record = Record::empty(table, path, at);
        for entry in entries {
            let Some(row) = table.row(&entry.key) else {
                // A misspelt key is there, if not readable: it is not missing as well.
                if let Some(key) =
                    self.unknown(entry, table, path).filter(|k| entries.iter().all(|e| e.key != **k))
                {
                    record.cells.push(Cell {
                        key,
                        key_at: entry.key_at.clone(),
                        at: entry.value.at.clone(),
                        value: Value::Faulty,
                    });
                }
                continue;
            };
            let value = self.value(&entry.value, row.shape, row, &join(path, row.key), &entry.key_at);
            record.cells.push(Cell {
                key: row.key,
                key_at: entry.key_at.clone(),
                at: entry.value.at.clone(),
                value,
            });
        }
        record
    }

    /// Reports the required keys that a record lacks.
    pub(crate) fn missing(&mut self, record: &Record) {
        let absent = |r: &&Row| {
            let empty =
                record.cell(r.key).is_some_and(|c| matches!(&c.value, Value::Tagged(l) if l.is_empty()));
            matches!(r.need, Need::Required) && (empty || !record.has(r.key))
        };
        for row in record.table.rows().filter(absent) {
            let heading = if record.path.is_empty() { "the file".to_owned() } else { record.title() };
            let line =
                if row.example.starts_with('[') && matches!(row.shape, Shape::Table(_) | Shape::Tagged(_)) {
                    format!("`{}`", row.example)
                } else {
                    format!("`{} = {}`", row.key, row.example)
                };
            self.faults.push(
                Diagnostic::error("R006", &record.at, format!("{heading} has no `{}`", row.key))
                    .why(format!("it must be there. {}", row.doc))
                    .mend(format!("add, for example, {line}")),
            );
        }
        for cell in &record.cells {
            match &cell.value {
                Value::Table(r) => self.missing(r),
                Value::Tagged(list) => list.iter().for_each(|r| self.missing(r)),
                Value::List(cells) => {
                    for c in cells {
                        if let Value::Table(r) = &c.value {
                            self.missing(r);
                        }
                    }
                }
                _ => {}
            }
        }
    }

    /// Reports a key that the table does not have; gives the one that was meant, if that is plain.
    fn unknown(&mut self, entry: &Entry, table: &'static Table, path: &str) -> Option<&'static str> {
        let keys: Vec<&'static str> = table.rows().map(|r| r.key).collect();
        let place = if path.is_empty() { format!("the {}", table.name) } else { format!("[{path}]") };
        let meant = nearest(&entry.key, keys.iter().copied());
        let mend = match meant {
            Some(key) => format!("did you mean `{key}`?"),
            None => "take it out; a remark of your own goes behind `#`".to_owned(),
        };
        let known = if keys.len() > 12 {
            "docs/file-format.md lists the keys".to_owned()
        } else {
            format!("it has {}", choices(&keys))
        };
        self.faults.push(
            Diagnostic::error(
                "R002",
                &entry.key_at,
                format!("{place} has no key `{}`", printable(&entry.key)),
            )
            .why(known)
            .mend(mend),
        );
        meant
    }

    fn value(&mut self, node: &Node, shape: Shape, row: &'static Row, path: &str, key_at: &Spot) -> Value {
        match (shape, &node.data) {
            (Shape::Quantity(kind), Data::Table(entries)) => self.range(entries, kind, row, path, &node.at),
            (Shape::Radius, Data::Text(text)) if text.trim() == "flat" => {
                let mut fact = Fact::stated(f64::INFINITY, Kind::Length, path);
                fact.text = Some(text.clone());
                Value::Fact(fact)
            }
            (Shape::Radius, Data::Table(entries)) => self.range(entries, Kind::Length, row, path, &node.at),
            (Shape::Radius, _) => self.fact(node, Kind::Length, row, path),
            (Shape::Quantity(kind) | Shape::Measure(kind), _) => self.fact(node, kind, row, path),
            (Shape::Text | Shape::Tag(_) | Shape::Part(_), Data::Text(text)) => {
                if text.trim().is_empty() && !matches!(shape, Shape::Text) {
                    return self.sort(node, row, "a name between quotes");
                }
                Value::Text(text.clone())
            }
            (Shape::Text | Shape::Tag(_) | Shape::Part(_), _) => {
                self.sort(node, row, "text between double quotes")
            }
            (Shape::Word(words), Data::Text(text)) => self.word(node, text, words, row),
            (Shape::Word(words), _) => self.sort(node, row, &choices(words)),
            (Shape::Flag, Data::Flag(flag)) => Value::Flag(*flag),
            (Shape::Flag, _) => self.sort(node, row, "`true` or `false`, without quotes"),
            (Shape::Count(least, most), Data::Number(raw)) => self.count(node, raw, (least, most), row),
            (Shape::Count(..), _) => self.sort(node, row, "a whole number, without quotes"),
            (Shape::List(inner), Data::List(nodes)) => Value::List(
                nodes
                    .iter()
                    .enumerate()
                    .map(|(i, n)| Cell {
                        key: row.key,
                        key_at: key_at.clone(),
                        at: n.at.clone(),
                        value: self.value(n, *inner, row, &format!("{path} {}", i + 1), &n.at),
                    })
                    .collect(),
            ),
            (Shape::List(_), _) => self.sort(node, row, "a list between `[` and `]`"),
            (Shape::Table(table), Data::Table(entries)) => {
                Value::Table(self.record(entries, table, path, key_at))
            }
            (Shape::Table(_), _) => self.sort(node, row, "a table of keys"),
            (Shape::Tagged(table), Data::Table(entries)) => {
                Value::Tagged(entries.iter().filter_map(|e| self.tagged(e, table, path)).collect())
            }
            (Shape::Tagged(_), _) => self.sort(node, row, "tables with a tag each"),
        }
    }

    fn tagged(&mut self, entry: &Entry, table: &'static Table, path: &str) -> Option<Record> {
        let at = &entry.key_at;
        let Data::Table(entries) = &entry.value.data else {
            let kind = table.name;
            self.faults.push(
                Diagnostic::error(
                    "R003",
                    at,
                    format!(
                        "`{}` stands where the tag of {} should be",
                        printable(&entry.key),
                        article(kind)
                    ),
                )
                .why(format!("under [{path}] each {kind} has a heading of its own with its tag"))
                .mend(format!("put the keys under a heading such as `[{path}.A]`")),
            );
            return None;
        };
        if entry.key.trim().is_empty() {
            self.faults.push(
                Diagnostic::error("R003", at, format!("{} has an empty tag", article(table.name)))
                    .why("nothing could name it")
                    .mend("give it a short tag, such as `A`"),
            );
            return None;
        }
        let mut record = self.record(entries, table, &join(path, &entry.key), at);
        record.tag.clone_from(&entry.key);
        Some(record)
    }

    fn sort(&mut self, node: &Node, row: &Row, wanted: &str) -> Value {
        self.faults.push(
            Diagnostic::error("R003", &node.at, format!("`{}` is {}", row.key, node.data.sort()))
                .why(format!("it must be {wanted}. {}", row.doc))
                .mend(example(row)),
        );
        Value::Faulty
    }

    fn word(&mut self, node: &Node, text: &str, words: &'static [&'static str], row: &Row) -> Value {
        if let Some(word) = words.iter().find(|w| **w == text.trim()) {
            return Value::Word(word);
        }
        let mend = match nearest(text, words.iter().copied()) {
            Some(word) => format!("did you mean `{word}`?"),
            None => example(row),
        };
        self.faults.push(
            Diagnostic::error("R007", &node.at, format!("`{}` cannot be \"{}\"", row.key, printable(text)))
                .why(format!("it must be {}", choices(words)))
                .mend(mend),
        );
        Value::Faulty
    }

    fn count(&mut self, node: &Node, raw: &str, limits: (usize, usize), row: &Row) -> Value {
        let (least, most) = limits;
        match raw.replace('_', "").parse::<usize>() {
            Ok(n) if (least..=most).contains(&n) => Value::Count(n),
            _ => {
                self.faults.push(
                    Diagnostic::error(
                        "R012",
                        &node.at,
                        format!("`{}` cannot be {}", row.key, printable(raw)),
                    )
                    .why(format!("it must be a whole number from {least} to {most}"))
                    .mend(example(row)),
                );
                Value::Faulty
            }
        }
    }

    /// A single quantity.
    fn fact(&mut self, node: &Node, kind: Kind, row: &'static Row, path: &str) -> Value {
        let text = match &node.data {
            Data::Text(text) => text.clone(),
            Data::Number(raw) if kind == Kind::Number => raw.clone(),
            Data::Number(raw) => {
                let number = printable(raw);
                let one = |system| {
                    let unit =
                        kind.units().iter().find(|u| u.system.is_none() || u.system == Some(system))?;
                    Some(format!("\"{number} {0}\" if it is in {0}", unit.symbol))
                };
                let mut ways: Vec<String> =
                    [System::Metric, System::Us].into_iter().filter_map(one).collect();
                ways.dedup();
                self.faults.push(
                    Diagnostic::error("R004", &node.at, format!("`{}` is a bare number: {number}", row.key))
                        .why(format!("{} needs its unit, or it could be read two ways", article(kind.name())))
                        .mend(format!("write it between quotes with its unit: {}", ways.join(", "))),
                );
                return Value::Faulty;
            }
            Data::Table(_) => return self.sort(node, row, "one value: it is a place or a size"),
            _ => return self.sort(node, row, &format!("{} between double quotes", article(kind.name()))),
        };
        let value = match parse_kind(text.trim(), kind) {
            Ok(value) if value.is_finite() => value,
            Ok(_) => {
                self.faults.push(
                    Diagnostic::error("R012", &node.at, format!("`{}` is beyond any number", row.key))
                        .why("it cannot be computed with")
                        .mend(example(row)),
                );
                return Value::Faulty;
            }
            Err(fault) => {
                let skipped = text.len() - text.trim_start().len();
                let spot = self.inside(node, &text, skipped + fault.span.start..skipped + fault.span.end);
                self.faults.push(
                    Diagnostic::error("R005", &spot, format!("`{}`: {}", row.key, fault.what))
                        .why(fault.why)
                        .mend(fault.mend),
                );
                return Value::Faulty;
            }
        };
        if !self.limits(node, &text, value, kind, row) {
            return Value::Faulty;
        }
        let mut fact = Fact::stated(value, kind, path);
        fact.text = Some(text);
        row.settle.clone_into(&mut fact.settle);
        Value::Fact(fact)
    }

    /// Place of a part of a text, where the text stands in the file letter by letter.
    fn inside(&self, node: &Node, text: &str, part: std::ops::Range<usize>) -> Spot {
        let raw =
            self.sources.get(node.at.source).and_then(|s| s.text.get(node.at.span.clone())).unwrap_or("");
        if raw.len() == text.len() + 2 && raw.get(1..raw.len() - 1) == Some(text) && part.end <= text.len() {
            let start = node.at.span.start + 1;
            return Spot::new(node.at.source, start + part.start..start + part.end);
        }
        node.at.clone()
    }

    fn limits(&mut self, node: &Node, text: &str, value: f64, kind: Kind, row: &Row) -> bool {
        let outside = |limits: Option<(&'static str, &'static str)>| {
            let (least, most) = limits?;
            let (low, high) = (parse_kind(least, kind).ok()?, parse_kind(most, kind).ok()?);
            // The limits themselves are allowed, whatever unit they were written in.
            let slack = 1e-9 * (high - low).abs();
            if value < low - slack {
                Some(format!("at least {least}"))
            } else if value > high + slack {
                Some(format!("at most {most}"))
            } else {
                None
            }
        };
        if let Some(limit) = outside(row.within) {
            self.faults.push(
                Diagnostic::error("R012", &node.at, format!("`{}` cannot be {}", row.key, printable(text)))
                    .why(format!("it must be {limit}"))
                    .mend("check the unit and the decimal point"),
            );
            return false;
        }
        if let Some(limit) = outside(row.usual) {
            self.faults.push(
                Diagnostic::warning(
                    "R013",
                    &node.at,
                    format!("`{}` is unusual: {}", row.key, printable(text)),
                )
                .why(format!("it is usually {limit}"))
                .mend("check the unit and the decimal point; leave it if it is right"),
            );
        }
        true
    }

    /// `{ value, low, high }`: a value that is not known well.
    fn range(&mut self, entries: &[Entry], kind: Kind, row: &'static Row, path: &str, at: &Spot) -> Value {
        let mut numbers = [None, None, None];
        let (mut source, mut settle) = (None, None);
        let mut sound = true;
        for entry in entries {
            let slot = match entry.key.as_str() {
                "value" => numbers.get_mut(0),
                "low" => numbers.get_mut(1),
                "high" => numbers.get_mut(2),
                "source" | "settle" => {
                    let Data::Text(text) = &entry.value.data else {
                        self.sort(&entry.value, row, "text between double quotes");
                        sound = false;
                        continue;
                    };
                    if entry.key == "source" {
                        source = Some(text.clone());
                    } else {
                        settle = Some(text.clone());
                    }
                    continue;
                }
                other => {
                    let keys = ["value", "low", "high", "source", "settle"];
                    let mend = nearest(other, keys).map_or_else(
                        || format!("use {}", choices(&keys)),
                        |k| format!("did you mean `{k}`?"),
                    );
                    self.faults.push(
                        Diagnostic::error(
                            "R002",
                            &entry.key_at,
                            format!("a range has no key `{}`", printable(other)),
                        )
                        .why(format!("it has {}", choices(&keys)))
                        .mend(mend),
                    );
                    sound = false;
                    continue;
                }
            };
            match self.fact(&entry.value, kind, row, path) {
                Value::Fact(fact) => {
                    if let Some(slot) = slot {
                        *slot = Some(fact);
                    }
                }
                _ => sound = false,
            }
        }
        if !sound {
            return Value::Faulty;
        }
        let [Some(value), Some(low), Some(high)] = numbers else {
            self.faults.push(
                Diagnostic::error("R006", at, format!("the range of `{}` is not complete", row.key))
                    .why("a value that is not known well needs `value`, `low` and `high`")
                    .mend("write `{ value = \"...\", low = \"...\", high = \"...\" }`, or one value between quotes"),
            );
            return Value::Faulty;
        };
        if !(low.value <= value.value && value.value <= high.value) {
            let words = |f: &Fact| f.text.clone().unwrap_or_else(|| show_kind(f.value, kind, System::Metric));
            self.faults.push(
                Diagnostic::error("R027", at, format!("the range of `{}` is out of order", row.key))
                    .why(format!("{} is not between {} and {}", words(&value), words(&low), words(&high)))
                    .mend("put the least under `low`, the greatest under `high`"),
            );
            return Value::Faulty;
        }
        Value::Fact(Fact {
            low: low.value,
            high: high.value,
            origin: Origin::Assumed,
            source: source.unwrap_or_default(),
            settle: settle.unwrap_or_else(|| row.settle.to_owned()),
            ..value
        })
    }
}

/// `a cup`, `an item`.
pub(crate) fn article(noun: &str) -> String {
    let vowel = noun.starts_with(['a', 'e', 'i', 'o', 'u']);
    format!("{} {noun}", if vowel { "an" } else { "a" })
}

/// A row's example as a mend.
fn example(row: &Row) -> String {
    format!("as in `{} = {}`", row.key, row.example)
}

/// Text from a file as it may stand in a message: short and without control characters.
pub(crate) fn printable(text: &str) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(60).collect();
    if text.chars().count() > 60 { format!("{clean}...") } else { clean }
}
