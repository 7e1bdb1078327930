//! Measured values put over planned ones.

use crate::diagnostic::Diagnostic;
use crate::pass::key_text;
use crate::source::Spot;
use crate::tree::{self, Data, Entry};

/// Puts `over` into `plan`, key by key. What was measured must be in the rig: a table that the plan does not have is a fault.
pub(crate) fn put(plan: &mut Vec<Entry>, over: Vec<Entry>, faults: &mut Vec<Diagnostic>) {
    into(plan, over, "", faults);
}

fn into(plan: &mut Vec<Entry>, over: Vec<Entry>, path: &str, faults: &mut Vec<Diagnostic>) {
    for entry in over {
        let key = key_text(&entry.key);
        let here = if path.is_empty() { key } else { format!("{path}.{key}") };
        let found = plan.iter_mut().find(|e| e.key == entry.key);
        match (found, &entry.value.data) {
            (Some(found), Data::Table(_)) => match (&mut found.value.data, entry.value.data) {
                (Data::Table(planned), Data::Table(inner)) => into(planned, inner, &here, faults),
                _ => faults.push(absent(&entry.key_at, &here)),
            },
            (Some(found), _) => *found = entry,
            (None, Data::Table(_)) => faults.push(absent(&entry.key_at, &here)),
            (None, _) => {
                // A place that is measured the other way round takes the place of the planned one too.
                let other = opposite(&entry.key);
                plan.retain(|e| Some(e.key.as_str()) != other);
                plan.push(entry);
            }
        }
    }
}

/// What a rig file's text states under a dotted key (`cup.FL.vacuum`, `cup.FL`): a value as written, a list or table with its keys in
/// order, so that two texts that state the same give the same. None where it states nothing.
pub fn written(text: &str, key: &str) -> Option<String> {
    Written::of(text).value(key)
}

/// A rig file's text, read once for many questions.
pub struct Written(Vec<Entry>);

impl Written {
    /// Of a text; of one that cannot be read nothing is stated.
    pub fn of(text: &str) -> Self {
        Self(tree::parse(text, 0, &mut Vec::new()))
    }

    /// As [`written`].
    pub fn value(&self, key: &str) -> Option<String> {
        let mut path = tree::parse(&format!("{key} = 0\n"), 0, &mut Vec::new());
        let mut entries = &self.0;
        loop {
            let step = path.pop()?;
            let found = &entries.iter().find(|e| e.key == step.key)?.value.data;
            let Data::Table(rest) = step.value.data else { return Some(said(found)) };
            let Data::Table(inner) = found else { return None };
            (path, entries) = (rest, inner);
        }
    }
}

/// A value as it was written; a list or table on one line.
pub(crate) fn said(data: &Data) -> String {
    match data {
        Data::Text(text) | Data::Number(text) => text.clone(),
        Data::Flag(flag) => flag.to_string(),
        Data::Date => "a date".to_owned(),
        Data::List(list) => {
            format!("[{}]", list.iter().map(|n| said(&n.data)).collect::<Vec<_>>().join(", "))
        }
        Data::Table(entries) => {
            let mut all: Vec<String> =
                entries.iter().map(|e| format!("{} = {}", key_text(&e.key), said(&e.value.data))).collect();
            all.sort();
            format!("{{ {} }}", all.join(", "))
        }
    }
}

/// Keys of which a place has one.
const OPPOSITE: [(&str, &str); 3] = [("aft", "forward"), ("left", "right"), ("up", "down")];

/// The other way of the same measure: `forward` of `aft`; none of what is no way.
pub fn opposite(key: &str) -> Option<&'static str> {
    OPPOSITE.iter().find_map(|(a, b)| match key {
        key if key == *a => Some(*b),
        key if key == *b => Some(*a),
        _ => None,
    })
}

fn absent(at: &Spot, path: &str) -> Diagnostic {
    Diagnostic::error("R030", at, format!("the plan has no [{path}] to measure"))
        .why("a measured value takes the place of a planned one")
        .mend("check the tag, or put the part into the rig file first")
}
