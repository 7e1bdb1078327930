//! The page `docs/file-format.md`, written from the definition.

use crate::diagnostic::CODES;
use crate::policy::CHECKS;
use crate::spec::root::{PARTS, RIG};
use crate::spec::{Need, Row, Shape, Table};
use std::fmt::Write as _;

const OPENING: &str = "\
# The rig file

This page is written by the program from the definition that also reads the file.

A rig file is TOML: `key = value` lines under `[headings]`, `#` starts a remark. Write what your tape, scale and gauge
say, with the unit, between quotes: `\"13-5/8 in\"`, `\"346 mm\"`, `\"62 lb\"`, `\"24 inHg\"`, `\"0.5 g\"`. A bare number is a
fault, except where the unit below is *plain number*.

**About.** A value that you do not know well is a range, and the verdict must hold over all of it:
`mass = { value = \"62 lb\", low = \"58 lb\", high = \"70 lb\" }`. It may have `source` and `settle` (how to measure it) as
texts. Places and sizes are one value.

**Places** count from the top edge of the windscreen on the centreline: `aft` or `forward`, `left` or `right` (as the
driver sits), `up` or `down`. A minus sign turns one into the other.

**Tags** (`FL` in `[cup.FL]`) are yours. They are unique in their kind of thing, and name things elsewhere in the file.

";

/// The whole page in Markdown.
pub fn file_format_markdown() -> String {
    let mut out = OPENING.to_owned();
    let mut done: Vec<&'static str> = Vec::new();
    table(&mut out, &RIG, 2, &mut done);
    out.push_str("# The parts file\n\nNamed by `parts` in a rig file. A part of yours replaces a built-in one of the same name.\n\n");
    let mut done_parts: Vec<&'static str> = Vec::new();
    table(&mut out, &PARTS, 2, &mut done_parts);
    out.push_str("# Checks\n\nNames for `[policy.factor.NAME]`, with their default factors.\n\n");
    out.push_str("| check | what | intact | one lost | where it comes from |\n|---|---|---|---|---|\n");
    for c in CHECKS {
        let _ = writeln!(
            out,
            "| `{}` | {} | {} | {} | {} |",
            c.name, c.title, c.factors.intact, c.factors.lost, c.source
        );
    }
    out.push_str("\n# Faults\n\n| code | meaning |\n|---|---|\n");
    for (code, what) in CODES {
        let _ = writeln!(out, "| {code} | {what} |");
    }
    out
}

fn table(out: &mut String, table: &'static Table, level: usize, done: &mut Vec<&'static str>) {
    if done.contains(&table.name) {
        return;
    }
    done.push(table.name);
    let _ = writeln!(out, "{} {}\n\n{}\n", "#".repeat(level), heading(table), table.doc);
    out.push_str("| key | what | value | when left out | example |\n|---|---|---|---|---|\n");
    for row in table.rows() {
        let mut doc = row.doc.to_owned();
        if !row.settle.is_empty() {
            let _ = write!(doc, " To settle it: {}.", row.settle);
        }
        let _ = writeln!(
            out,
            "| `{}` | {} | {} | {} | `{}` |",
            row.key,
            cell(&doc),
            cell(&sort(row)),
            cell(&absent(row)),
            cell(row.example)
        );
    }
    out.push('\n');
    for row in table.rows() {
        if let Some(sub) = inner(&row.shape) {
            self::table(out, sub, level + 1, done);
        }
    }
}

fn heading(table: &Table) -> String {
    let mut name = table.name.replace('_', "-");
    if let Some(first) = name.get(..1).map(str::to_uppercase) {
        name.replace_range(..1, &first);
    }
    name
}

/// The table inside a shape.
pub(crate) fn inner(shape: &Shape) -> Option<&'static Table> {
    match shape {
        Shape::Table(t) | Shape::Tagged(t) => Some(t),
        Shape::List(inner_shape) => inner(inner_shape),
        _ => None,
    }
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

fn sort(row: &Row) -> String {
    if row.key == "version" {
        return format!("`{}`", crate::spec::root::VERSION);
    }
    let mut out = shape(&row.shape);
    if let Some((least, most)) = row.within {
        let _ = write!(out, ", {least} to {most}");
    }
    out
}

fn shape(s: &Shape) -> String {
    match s {
        Shape::Quantity(kind) => format!("{}, or a range", kind.name()),
        Shape::Measure(kind) => kind.name().to_owned(),
        Shape::Radius => "length, a range, or `flat`".to_owned(),
        Shape::Text => "text".to_owned(),
        Shape::Word(words) => words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", "),
        Shape::Flag => "`true` or `false`".to_owned(),
        Shape::Count(least, most) => format!("whole number, {least} to {most}"),
        Shape::Tag(tables) => format!("tag of a {}", tables.join(" or ")),
        Shape::Part(kind) => format!("name of a {kind} in the parts list"),
        Shape::List(inner_shape) => format!("list of: {}", shape(inner_shape)),
        Shape::Table(t) => format!("table: {}", t.name),
        Shape::Tagged(t) => format!("a table for each tag: {}", t.name),
    }
}

fn absent(row: &Row) -> String {
    match row.need {
        // The version has its own message, but must be there like any other.
        _ if row.key == "version" => "must be there".to_owned(),
        Need::Required => "must be there".to_owned(),
        Need::Optional => "nothing".to_owned(),
        Need::Part => "from the part or ready set".to_owned(),
        Need::Surface => "from the panel's material or finish, assumed".to_owned(),
        Need::Default(word) => format!("`{word}`"),
        Need::Assume(a) if a.low == a.high => format!("{} ({})", a.value, a.source),
        Need::Assume(a) => format!("assumed {}, from {} to {} ({})", a.value, a.low, a.high, a.source),
    }
}
