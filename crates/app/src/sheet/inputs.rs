//! Every number that went in: stated, from the parts list, or assumed.

use super::Sheet;
use super::table::{faint, fit, head, points, share, table, text, under};
use crate::io::Stop;
use crate::print::group::names;
use crate::print::verdict::{assumed_head, moved_words, still_words};
use paper::{Block, Cell};
use quantity::{Kind, both_kind};
use rig::{Fact, Origin};

/// Kinds in the file whose tables have a tag, and how a table of them is called.
const TAGGED: &[(&str, &str)] = &[
    ("aboard", "In the car"),
    ("panel", "Panels"),
    ("cup", "Cups"),
    ("tube", "Tubes"),
    ("clamp", "Clamps"),
    ("platform", "Platforms"),
    ("leg", "Legs"),
    ("strap", "Straps"),
    ("tether", "Tethers"),
    ("item", "Items"),
    ("manoeuvre", "Manoeuvres"),
    ("battery", "Batteries"),
    ("supply", "Supplies"),
    ("consumer", "Consumers"),
    ("cable", "Cables"),
];

/// The same value of like parts.
struct Line {
    kind: String,
    tags: Vec<String>,
    name: String,
    fact: Fact,
}

pub(super) fn part(sheet: &Sheet<'_>) -> Result<Vec<Block>, Stop> {
    let mut out = vec![
        head("What went in"),
        faint(
            "stated: in the rig file, as measured, weighed or read. catalogue: from the parts list or a ready set of the car's kind. \
             assumed: typical, not known for this rig; its range was tried. Places and sizes stand in the parts list; what stands there, \
             among the manoeuvres or the factors is not repeated.",
        ),
    ];
    let lines = lines(sheet);
    let mut kinds: Vec<&str> = Vec::new();
    for l in &lines {
        if !kinds.contains(&l.kind.as_str()) {
            kinds.push(&l.kind);
        }
    }
    let assumed = lines.iter().filter(|l| l.fact.is_assumed());
    let rows: Vec<Vec<Cell>> = assumed.map(row_assumed).collect();
    if !rows.is_empty() {
        let columns = vec![
            share("assumed", 2.5),
            fit("taken as"),
            fit("from"),
            fit("to"),
            share("source", 3.0),
            share("how to settle it", 3.0),
        ];
        out.push(under("Assumed"));
        out.extend(table("", columns, rows));
        out.push(text(format!("{}:", assumed_head(sheet.report.answer))));
        out.extend(points(sheet.report.moved.iter().map(moved_words)));
        if sheet.report.still > 0 {
            out.push(text(still_words(sheet.report)));
        }
    }
    out.push(under("Stated, and from the catalogue"));
    for kind in kinds {
        let rows: Vec<Vec<Cell>> =
            lines.iter().filter(|l| l.kind == kind && !l.fact.is_assumed()).map(row).collect();
        out.extend(table(title(kind), vec![share("", 2.0), share("", 1.5), share("", 2.0), fit("")], rows));
    }
    Ok(out)
}

fn title(kind: &str) -> &str {
    match kind {
        "site" => "Site",
        "vehicle" => "Car",
        "arm" => "Arm",
        "isolator" => "Isolator",
        "payload" => "Payload",
        "camera" => "Camera",
        "policy" => "Policy",
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
    let (tag, name) = rest.split_once('.').unwrap_or((rest, ""));
    (kind.to_owned(), tag.to_owned(), name.to_owned())
}

/// All facts in the order of the file, like ones of like parts together.
fn lines(sheet: &Sheet<'_>) -> Vec<Line> {
    let mut rig = sheet.rig.clone();
    let mut out: Vec<Line> = Vec::new();
    rig::facts_mut(&mut rig, &mut |f| {
        let (kind, tag, name) = split(&f.key);
        // These have tables of their own.
        if matches!(kind.as_str(), "manoeuvre" | "policy" | "site") && !f.is_assumed() {
            return;
        }
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

/// `mass`, `cups FL, FR`.
fn of(l: &Line) -> String {
    let parts: Vec<String> =
        l.tags.iter().filter(|t| !t.is_empty()).map(|t| format!("{} {t}", l.kind)).collect();
    names(parts.iter().map(String::as_str))
}

fn name(l: &Line) -> String {
    l.name.replace('_', " ").replace('.', ", ")
}

fn row(l: &Line) -> Vec<Cell> {
    let mark = match l.fact.origin {
        Origin::Stated => "stated",
        Origin::Part => "catalogue",
        Origin::Assumed => "assumed",
    };
    vec![
        Cell::plain(name(l)),
        Cell::plain(value(l.fact.value, l.fact.kind)),
        Cell::plain(of(l)),
        Cell::plain(mark),
    ]
}

fn row_assumed(l: &Line) -> Vec<Cell> {
    let f = &l.fact;
    let of = of(l);
    let what = if of.is_empty() { format!("{} {}", l.kind, name(l)) } else { format!("{} of {of}", name(l)) };
    let ends = [f.low, f.high].map(|v| value(v, f.kind));
    let [low, high] = ends;
    [what, value(f.value, f.kind), low, high, f.source.clone(), f.settle.clone()].map(Cell::plain).to_vec()
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
    }
}
