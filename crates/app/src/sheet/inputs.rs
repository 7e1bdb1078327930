//! Every number that went in: stated, from the parts list, or assumed.

use super::Sheet;
use super::table::{faint, fit, halves, head, share, table, under};
use crate::print::group::names;
use crate::print::verdict::{assumed_head, moved_words, still_words};
use paper::{Block, Cell, Column, Run};
use quantity::{Kind, both_kind};
use rig::{Fact, Origin};

/// Kinds in the file whose tables have a tag, and how a table of them is called.
const TAGGED: &[(&str, &str)] = &[
    ("aboard", "In the car"),
    ("panel", "Panels"),
    ("cup", "Cups"),
    ("material", "Materials"),
    ("tube", "Tubes"),
    ("clamp", "Clamps"),
    ("platform", "Platforms"),
    ("leg", "Legs"),
    ("strap", "Straps"),
    ("item", "Items"),
    ("manoeuvre", "Manoeuvres"),
    ("battery", "Batteries"),
    ("supply", "Supplies"),
    ("consumer", "Consumers"),
    ("cable", "Cables"),
];
/// Kinds whose parts differ in most values: told part by part.
const ELECTRICAL: &[&str] = &["battery", "supply", "consumer", "cable"];
/// A kind of no more values than this stands among others.
const FEW: usize = 3;

/// The same value of like parts.
struct Line {
    kind: String,
    tags: Vec<String>,
    name: String,
    fact: Fact,
}

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let lines = lines(sheet);
    let mut out = vec![
        head("What went in"),
        faint(
            "stated: in the rig file, as measured, weighed or read. catalogue: from the parts list or a ready set for such a car. assumed: \
             typical, not known for this rig. Places and sizes stand among the parts, manoeuvres and site under what it is checked for. Electrical values without a mark are stated.",
        ),
    ];
    out.extend(assumed(sheet, &lines));
    out.push(under("Stated, and from the catalogue"));
    let known: Vec<&Line> = lines.iter().filter(|l| !l.fact.is_assumed() && !elsewhere(&l.kind)).collect();
    let mut kinds: Vec<&str> = Vec::new();
    for l in &known {
        if !kinds.contains(&l.kind.as_str()) {
            kinds.push(&l.kind);
        }
    }
    let mut few: Vec<Vec<Cell>> = Vec::new();
    for kind in kinds {
        let of: Vec<&&Line> = known.iter().filter(|l| l.kind == kind).collect();
        if ELECTRICAL.contains(&kind) {
            out.push(by_tag(title(kind), &of));
        } else if of.len() <= FEW {
            few.extend(of.iter().map(|l| row(&full_name(l), l)));
        } else {
            out.extend(halves(
                title(kind),
                columns(),
                of.iter().map(|l| row(&short_name(sheet, l), l)).collect(),
            ));
        }
    }
    out.extend(halves("Others", columns(), few));
    out
}

/// The values of each part in a line.
fn by_tag(title: &str, of: &[&&Line]) -> Block {
    let mut tags: Vec<&str> = Vec::new();
    for tag in of.iter().flat_map(|l| &l.tags) {
        if !tags.contains(&tag.as_str()) {
            tags.push(tag);
        }
    }
    let mut said = vec![Run::bold(format!("{title}\n"))];
    for (i, tag) in tags.iter().enumerate() {
        let here = of.iter().filter(|l| l.tags.iter().any(|t| t == tag));
        let each: Vec<String> = here
            .map(|l| {
                let from = if l.fact.origin == Origin::Part { " (catalogue)" } else { "" };
                format!("{} {}{from}", words(l), value(l.fact.value, l.fact.kind))
            })
            .collect();
        let end = if i + 1 == tags.len() { "" } else { "\n" };
        said.push(Run::bold(format!("{tag}: ")));
        said.push(Run::plain(format!("{}.{end}", each.join(", "))));
    }
    Block::Text(said)
}

fn columns() -> Vec<Column> {
    vec![share("", 2.0), share("", 1.5), fit("")]
}

/// What has a table of its own under what it is checked for.
fn elsewhere(kind: &str) -> bool {
    matches!(kind, "manoeuvre" | "policy" | "site")
}

/// What is assumed: with a range that was tried, and without one.
fn assumed(sheet: &Sheet<'_>, lines: &[Line]) -> Vec<Block> {
    let mut sources: Vec<String> = Vec::new();
    let mut source = |f: &Fact| {
        let at = sources.iter().position(|s| *s == f.source).unwrap_or_else(|| {
            sources.push(f.source.clone());
            sources.len() - 1
        });
        format!("({})", at + 1)
    };
    let (mut ranged, mut fixed) = (Vec::new(), Vec::new());
    for l in lines.iter().filter(|l| l.fact.is_assumed()) {
        let f = &l.fact;
        let [taken, low, high] = [f.value, f.low, f.high].map(|v| value(v, f.kind));
        if f.low < f.high {
            ranged.push([full_name(l), taken, low, high, source(f)].map(Cell::plain).to_vec());
        } else {
            fixed.push([full_name(l), taken, source(f)].map(Cell::plain).to_vec());
        }
    }
    let mut out = Vec::new();
    if !ranged.is_empty() {
        let columns = vec![
            share("", 2.4),
            share("taken as", 1.5),
            share("least", 1.5),
            share("most", 1.5),
            fit("source"),
        ];
        out.push(under("Assumed, and tried at both ends"));
        out.extend(table("", columns, ranged));
        let mut said = vec![Run::bold(format!("{}: ", assumed_head(sheet.report.answer)))];
        let moved = sheet.report.moved.iter().map(moved_words).collect::<Vec<_>>().join("; ");
        said.push(Run::plain(if moved.is_empty() { String::new() } else { format!("{moved}. ") }));
        if sheet.report.still > 0 {
            said.push(Run::plain(still_words(sheet.report)));
        }
        out.push(Block::Text(said));
    }
    if !fixed.is_empty() {
        out.push(under("Taken for granted, as one value"));
        out.extend(halves("", vec![share("", 2.0), share("", 1.5), fit("source")], fixed));
    }
    if !sources.is_empty() {
        let list: Vec<String> = sources.iter().enumerate().map(|(i, s)| format!("({}) {s}", i + 1)).collect();
        out.push(faint(format!("Sources: {}.", list.join("; "))));
    }
    out
}

fn title(kind: &str) -> &str {
    match kind {
        "vehicle" => "Car",
        "arm" => "Arm",
        "isolator" => "Isolator",
        "payload" => "Payload",
        "camera" => "Camera",
        "power" => "Power",
        other => TAGGED.iter().find(|(k, _)| *k == other).map_or(other, |(_, t)| t),
    }
}

/// Kind, tag and name of a key: `cup.FL.mass` is the `mass` of the cup FL.
fn split(key: &str) -> (String, String, String) {
    let (kind, rest) = key.split_once('.').unwrap_or((key, ""));
    if !TAGGED.iter().any(|(k, _)| *k == kind) {
        return (kind.to_owned(), String::new(), rest.to_owned());
    }
    // A tag in quotation marks may have full stops in it.
    let quoted = rest.strip_prefix('"').and_then(|r| r.split_once('"'));
    let (tag, name) = match quoted {
        Some((tag, name)) => (tag, name.trim_start_matches('.')),
        None => rest.split_once('.').unwrap_or((rest, "")),
    };
    (kind.to_owned(), tag.to_owned(), name.to_owned())
}

/// All facts in the order of the file, like ones of like parts together.
fn lines(sheet: &Sheet<'_>) -> Vec<Line> {
    let mut rig = sheet.rig.clone();
    let mut out: Vec<Line> = Vec::new();
    rig::facts_mut(&mut rig, &mut |f| {
        let (kind, tag, name) = split(&f.key);
        let same = |l: &&mut Line| {
            l.kind == kind
                && l.name == name
                && l.fact.origin == f.origin
                && alike(&l.fact, f)
                && l.fact.source == f.source
        };
        match out.iter_mut().find(same) {
            Some(l) if l.tags.contains(&tag) => {}
            Some(l) => l.tags.push(tag),
            None => out.push(Line { kind, tags: vec![tag], name, fact: f.clone() }),
        }
    });
    out
}

/// Whether two facts have one value and one range, to the last bit.
fn alike(a: &Fact, b: &Fact) -> bool {
    let bits = |f: &Fact| [f.value, f.low, f.high].map(f64::to_bits);
    bits(a) == bits(b)
}

fn value(v: f64, kind: Kind) -> String {
    if kind == Kind::Length && v.is_infinite() { "flat".to_owned() } else { both_kind(v, kind) }
}

/// The name as it is said: `axial` of a cup is a stiffness.
fn words(l: &Line) -> String {
    let name = l.name.replace('_', " ").replace('.', ", ");
    let stiff = matches!(l.fact.kind, Kind::Stiffness | Kind::RotationalStiffness);
    if stiff && !name.contains("stiffness") { format!("{name} stiffness") } else { name }
}

/// `mass of cups FL, FR`; `car: wheelbase`.
fn full_name(l: &Line) -> String {
    let parts: Vec<String> =
        l.tags.iter().filter(|t| !t.is_empty()).map(|t| format!("{} {t}", l.kind)).collect();
    if parts.is_empty() {
        let kind = if l.kind == "vehicle" { "car" } else { l.kind.as_str() };
        return format!("{kind}: {}", words(l));
    }
    format!("{} of {}", words(l), names(parts.iter().map(String::as_str)))
}

/// Under its kind's title: `mass` where all of the kind have it, else `mass of FL, FR`.
fn short_name(sheet: &Sheet<'_>, l: &Line) -> String {
    let r = sheet.rig;
    let all = match l.kind.as_str() {
        "cup" => r.cups.len(),
        "tube" => r.tubes.len(),
        "clamp" => r.clamps.len(),
        "leg" => r.legs.len(),
        "strap" => r.straps.len(),
        "panel" => r.panels.len(),
        _ => 0,
    };
    let bare = l.tags.iter().all(String::is_empty);
    if bare || l.tags.len() == all { words(l) } else { format!("{} of {}", words(l), l.tags.join(", ")) }
}

fn row(name: &str, l: &Line) -> Vec<Cell> {
    let mark = match l.fact.origin {
        Origin::Stated => "stated",
        Origin::Part => "catalogue",
        Origin::Assumed => "assumed",
    };
    vec![
        Cell::plain(name),
        Cell::plain(value(l.fact.value, l.fact.kind)),
        Cell { text: vec![Run::faint(mark)] },
    ]
}

#[cfg(test)]
mod tests {
    use super::split;

    #[test]
    fn keys_part_into_kind_tag_and_name() {
        let of = |key: &str| {
            let (a, b, c) = split(key);
            format!("{a}|{b}|{c}")
        };
        assert_eq!(of("cup.FL.mass"), "cup|FL|mass");
        assert_eq!(of("vehicle.mass"), "vehicle||mass");
        assert_eq!(of("arm.section.root.mass"), "arm||section.root.mass");
        assert_eq!(of("panel.roof"), "panel|roof|");
        assert_eq!(of("odd"), "odd||");
        assert_eq!(of("material.\"EN AW-6082.T6\".yield"), "material|EN AW-6082.T6|yield");
    }
}
