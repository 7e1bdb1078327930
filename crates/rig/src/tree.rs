//! The TOML text as a tree that remembers where everything stands, in file order.

use crate::diagnostic::Diagnostic;
use crate::pass::printable;
use crate::source::{Spot, clip, line_column};
use toml::de::{DeTable, DeValue};

/// One value with its place.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    pub(crate) at: Spot,
    pub(crate) data: Data,
}

/// What stands there.
#[derive(Clone, Debug)]
pub(crate) enum Data {
    Text(String),
    /// As written: the value is read by whoever wants a number.
    Number(String),
    Flag(bool),
    Date,
    List(Vec<Node>),
    Table(Vec<Entry>),
}

impl Data {
    /// What it is, in a word.
    pub(crate) fn sort(&self) -> &'static str {
        match self {
            Self::Text(_) => "text",
            Self::Number(_) => "a bare number",
            Self::Flag(_) => "true or false",
            Self::Date => "a date",
            Self::List(_) => "a list",
            Self::Table(_) => "a table",
        }
    }
}

/// A key with its value.
#[derive(Clone, Debug)]
pub(crate) struct Entry {
    pub(crate) key: String,
    pub(crate) key_at: Spot,
    pub(crate) value: Node,
}

/// Deepest nesting that is read: a rig file needs four levels.
const DEPTH: usize = 16;

/// The entries of a text, and its faults of syntax.
pub(crate) fn parse(text: &str, source: usize, faults: &mut Vec<Diagnostic>) -> Vec<Entry> {
    let (table, errors) = DeTable::parse_recoverable(text);
    let mut last_line = 0;
    let mut repeated: Option<usize> = None;
    for error in errors {
        let span = clip(text, &error.span().unwrap_or(text.len()..text.len()));
        let line = line_column(text, span.start).0;
        let is_repeat = error.message().contains("duplicate key");
        // Under a heading that stands twice, every key stands twice too.
        let heading = repeated.filter(|_| is_repeat).and_then(|at| text.get(at..span.start));
        if heading.is_some_and(|between| !between.contains("\n[")) {
            continue;
        }
        repeated = (is_repeat && line_of(text, span.start).starts_with('[')).then_some(span.start);
        // A second fault in one line is mostly the first one again.
        if line != last_line {
            faults.push(explain(text, &Spot::new(source, span), error.message()));
        }
        last_line = line;
        // What is left open swallows the rest of the file: everything after it would be reported.
        if ["array", "inline table", "multi-line"].iter().any(|w| error.message().contains(w)) {
            break;
        }
    }
    entries(table.get_ref(), text, source, 0)
}

fn entries(table: &DeTable<'_>, text: &str, source: usize, depth: usize) -> Vec<Entry> {
    if depth > DEPTH {
        return Vec::new();
    }
    let mut out: Vec<Entry> = table
        .iter()
        .map(|(key, value)| Entry {
            key: key.get_ref().to_string(),
            key_at: Spot::new(source, clip(text, &key.span())),
            value: node(value.get_ref(), clip(text, &value.span()), text, source, depth),
        })
        .collect();
    out.sort_by_key(|e| (e.key_at.span.start, e.key_at.span.end));
    out
}

fn node(value: &DeValue<'_>, span: std::ops::Range<usize>, text: &str, source: usize, depth: usize) -> Node {
    let data = match value {
        DeValue::String(s) => Data::Text(s.to_string()),
        DeValue::Integer(i) => Data::Number(i.to_string()),
        DeValue::Float(f) => Data::Number(f.to_string()),
        DeValue::Boolean(b) => Data::Flag(*b),
        DeValue::Datetime(_) => Data::Date,
        DeValue::Array(list) => Data::List(if depth > DEPTH {
            Vec::new()
        } else {
            list.iter().map(|v| node(v.get_ref(), clip(text, &v.span()), text, source, depth + 1)).collect()
        }),
        DeValue::Table(t) => Data::Table(entries(t, text, source, depth + 1)),
    };
    Node { at: Spot::new(source, span), data }
}

/// A fault of syntax in plain words.
fn explain(text: &str, spot: &Spot, raw: &str) -> Diagnostic {
    let there = printable(text.get(spot.span.clone()).unwrap_or("").trim());
    if raw.contains("duplicate key") {
        let fault = Diagnostic::error("R009", spot, format!("`{there}` stands twice"))
            .why("each key may be given once in its table, and each tag once in its kind")
            .mend("take one of the two away, or give the second thing a tag of its own");
        return match first_of_two(text, spot.span.start) {
            Some(at) => fault.related(&Spot::new(spot.source, at..at + 1), "the first one"),
            None => fault,
        };
    }
    let fault = Diagnostic::error("R001", spot, "this line cannot be read");
    if raw.contains("array") || raw.contains("inline table") {
        let (what, open, close) =
            if raw.contains("array") { ("list", '[', ']') } else { ("table in braces", '{', '}') };
        let fault = fault
            .why(format!("a {what} is open here, and what follows does not belong in it"))
            .mend(format!("close it with `{close}`, or put a comma between its values"));
        return match text.get(..spot.span.start).and_then(|t| opening(t, open, close)) {
            Some(at) => fault.related(&Spot::new(spot.source, at..at + 1), format!("the {what} starts here")),
            None => fault,
        };
    }
    let (why, mend) = if raw.contains("must be quoted") {
        (
            "it is neither a number nor text between quotes",
            format!("put it between double quotes: `\"{there}\"`"),
        )
    } else if raw.contains("string") {
        (
            "the text has no closing quote on its line",
            "put the value between double quotes that both stand on this line".to_owned(),
        )
    } else if raw.contains("key with no value") || raw.contains("expected `=`") {
        ("a key needs an equals sign and a value", "write the line as `key = \"value\"`".to_owned())
    } else if raw.contains("table") || raw.contains(']') {
        ("the heading is not complete", "write a heading as `[cup.FL]`, alone on its line".to_owned())
    } else {
        return fault
            .why(format!("TOML: {raw}"))
            .mend("check the quotes, brackets and equals signs of this line and the one before");
    };
    fault.why(why).mend(mend)
}

/// The line that an offset is in.
fn line_of(text: &str, offset: usize) -> &str {
    let start = text.get(..offset).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    text.get(start..).and_then(|t| t.lines().next()).unwrap_or("")
}

/// Start of the line that says the same heading, or the same key under this heading, before `offset`.
fn first_of_two(text: &str, offset: usize) -> Option<usize> {
    let line = line_of(text, offset);
    let before = text.get(..offset)?;
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    let earlier = text.get(..start)?;
    if line.starts_with('[') {
        let heading = line.get(..=line.find(']')?)?;
        return if earlier.starts_with(heading) {
            Some(0)
        } else {
            Some(earlier.find(&format!("\n{heading}"))? + 1)
        };
    }
    let key = line.split('=').next()?.trim();
    let mut at = earlier.rfind("\n[").unwrap_or(0);
    for candidate in earlier.get(at..)?.split_inclusive('\n') {
        if candidate.split('=').next().is_some_and(|k| k.trim() == key) && !key.is_empty() {
            return Some(at + candidate.find(key)?);
        }
        at += candidate.len();
    }
    None
}

/// Where the bracket that is still open at the end of `text` stands. Brackets inside quotes and remarks are few enough to
/// be passed over: at worst the pointer is missing.
fn opening(text: &str, open: char, close: char) -> Option<usize> {
    let mut depth = 0_usize;
    for (at, c) in text.char_indices().rev() {
        if c == close {
            depth += 1;
        } else if c == open {
            if depth == 0 {
                return Some(at);
            }
            depth -= 1;
        }
    }
    None
}
