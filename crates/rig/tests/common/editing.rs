//! What the tests of edits share.
#![allow(
    clippy::unwrap_used,
    dead_code,
    reason = "a test may stop at the first surprise; each test takes what it needs"
)]

use rig::{Change, EditFault, Reading, Rig};
use std::fmt::Write as _;

pub(crate) const EXAMPLES: [&str; 5] =
    ["estate-arm", "pickup-arm", "pickup-arm-mended", "bonnet-camera", "door-camera"];

fn folder() -> String {
    format!("{}/../../examples", env!("CARGO_MANIFEST_DIR"))
}

pub(crate) fn example(name: &str) -> String {
    std::fs::read_to_string(format!("{}/{name}.toml", folder())).unwrap()
}

pub(crate) fn reading(text: &str) -> Reading {
    rig::read(text, "rig.toml", &|file| {
        std::fs::read_to_string(format!("{}/{file}", folder())).map_err(|e| e.to_string())
    })
}

pub(crate) fn model(text: &str) -> Rig {
    let reading = reading(text);
    let said: Vec<String> =
        reading.diagnostics.iter().map(|d| format!("{} {} {}", d.code, d.message, d.why)).collect();
    assert!(reading.rig.is_some(), "{said:?}\n{text}");
    reading.rig.unwrap()
}

pub(crate) fn set(text: &str, key: &str, value: &str) -> Result<String, EditFault> {
    rig::edited(text, &Change::Set { key, value })
}

pub(crate) fn clear(text: &str, key: &str) -> Result<String, EditFault> {
    rig::edited(text, &Change::Clear { key })
}

/// Lines taken out and put in, in one block from the first to the last that differ.
pub(crate) fn block(before: &str, after: &str) -> (Vec<String>, Vec<String>) {
    let lines = |t: &str| t.split_inclusive('\n').map(str::to_owned).collect::<Vec<_>>();
    let (a, b) = (lines(before), lines(after));
    let head = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    let room = a.len().min(b.len()) - head;
    let tail = a.iter().rev().zip(b.iter().rev()).take_while(|(x, y)| x == y).count().min(room);
    (a[head..a.len() - tail].to_vec(), b[head..b.len() - tail].to_vec())
}

/// A block of changed lines as text.
pub(crate) fn difference(before: &str, after: &str) -> String {
    let (out, new) = block(before, after);
    let mut text = String::new();
    for line in out {
        let _ = writeln!(text, "-{}", line.trim_end_matches(['\n', '\r']));
    }
    for line in new {
        let _ = writeln!(text, "+{}", line.trim_end_matches(['\n', '\r']));
    }
    text
}

/// All remarks of a text, in order.
pub(crate) fn remarks(text: &str) -> Vec<String> {
    text.lines().filter_map(|l| l.find('#').map(|i| l[i..].trim_end().to_owned())).collect()
}

/// Every fact of a rig with its key, value and range.
pub(crate) fn facts(rig: &Rig) -> Vec<(String, f64, f64, f64)> {
    let mut out = Vec::new();
    rig::facts_mut(&mut rig.clone(), &mut |f| out.push((f.key.clone(), f.value, f.low, f.high)));
    out
}

/// Every key that states one text, with the text.
pub(crate) fn texts(text: &str) -> Vec<(String, String)> {
    let table: toml::Table = text.parse().unwrap();
    let mut out = Vec::new();
    walk("", &toml::Value::Table(table), &mut out);
    out
}

fn walk(path: &str, value: &toml::Value, out: &mut Vec<(String, String)>) {
    let join = |k: &str| if path.is_empty() { k.to_owned() } else { format!("{path}.{k}") };
    match value {
        toml::Value::Table(t) => t.iter().for_each(|(k, v)| walk(&join(&rig::key_text(k)), v, out)),
        toml::Value::Array(a) => {
            a.iter().enumerate().for_each(|(i, v)| walk(&join(&(i + 1).to_string()), v, out));
        }
        toml::Value::String(s) => out.push((path.to_owned(), s.clone())),
        toml::Value::Integer(n) => out.push((path.to_owned(), n.to_string())),
        toml::Value::Boolean(b) => out.push((path.to_owned(), b.to_string())),
        _ => {}
    }
}
