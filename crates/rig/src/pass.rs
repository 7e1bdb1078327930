//! The reading pass: one walk over the tree by the definition in [`spec`](crate::spec), that reports every fault of
//! keys, sorts, units and limits at once.

mod amount;

use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::record::{Cell, Record, Value};
use crate::source::{Source, Spot};
use crate::spec::{Need, Row, Shape, Table};
use crate::suggest::nearest;
use crate::tree::{Data, Entry, Node};
use quantity::Kind;
use std::fmt::Write as _;

/// What the pass writes to.
pub(crate) struct Pass<'a> {
    pub(crate) sources: &'a [Source],
    pub(crate) faults: &'a mut Vec<Diagnostic>,
}

/// A text between quotes, as TOML takes it.
pub fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => {
                // A text in memory takes everything.
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A name of a key, as it must be written in TOML.
pub fn key_text(key: &str) -> String {
    let bare = !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    if bare { key.to_owned() } else { quoted(key) }
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
