//! The TOML text as a tree that remembers where everything stands, in file order.

use crate::diagnostic::Diagnostic;
use crate::source::{Spot, clip};
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
    for error in errors {
        let span = clip(text, &error.span().unwrap_or(text.len()..text.len()));
        faults.push(explain(text, &Spot::new(source, span), error.message()));
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
    let there = text.get(spot.span.clone()).unwrap_or("");
    if raw.contains("duplicate key") {
        return Diagnostic::error("R009", spot, format!("`{}` stands twice", there.trim()))
            .why("each key may be given once in its table, and each tag once in its kind")
            .mend("take one of the two away, or give the second thing a tag of its own");
    }
    let mend = if raw.contains("quote") || raw.contains("string") {
        "put the value between double quotes that both stand on this line"
    } else if raw.contains("expected `=`") || raw.contains("key with no value") {
        "write the line as `key = \"value\"`"
    } else if raw.contains(']') || raw.contains('}') || raw.contains("unclosed") {
        "close what this line opens: `]` for a list or table name, `}` for a table in braces"
    } else if there.chars().next().is_some_and(|c| c.is_ascii_digit()) {
        "put a quantity between double quotes: `\"120 mm\"`"
    } else {
        "check the quotes, brackets and equals signs of this line and the one before"
    };
    Diagnostic::error("R001", spot, "this line cannot be read").why(format!("TOML: {raw}")).mend(mend)
}
