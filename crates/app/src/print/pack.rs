//! A packing list to tick off, for the terminal and for paper.

use super::style::{self, paint};
use super::text::{count, hang};
use crate::command::pack::Sheet;
use method::cases::{Case, Way};
use method::differ::Difference;
use method::pack::{Group, LONG_M, Line, Load};
use quantity::{Kind, both_kind};
use std::io::{self, Write};

/// What is always said.
pub(crate) const RULES: [&str; 4] = [
    "Spares (common practice, no source): one of each make of cup, one clamp for every ten begun, the strongest strap once, one bolt in ten \
     and two at least, each fuse twice, plates at hand.",
    "Cases: the heaviest piece first into the first case that takes it. How many lift a piece: from the ground to a van's floor at 0.75 m \
     (29-1/2 in) with good handles, close to the body, by the lifting equation.",
    "Masses are the rig file's. Bolts, fuses, tools, cables and what is used up have none there: weigh what they are packed in.",
    "What draws power is packed as the part that it is in. A tool stands here once, however many are needed; chargers, radios and covers are \
     for you to add.",
];

fn kg(v: f64) -> String {
    both_kind(v, Kind::Mass)
}

/// Writes the list, or only the way from another load.
pub(crate) fn write(out: &mut dyn Write, sheet: &Sheet<'_>) -> io::Result<()> {
    writeln!(out, "{}", paint(style::HEAD, "Packing list"))?;
    hang(out, "", &sheet.rig.name)?;
    if let Some((name, was, way)) = sheet.against {
        return difference(out, sheet, name, was, way);
    }
    let load = sheet.load;
    hang(
        out,
        "",
        &format!("{} to load; {} of what has a mass.", count(load.pieces(), "piece"), kg(load.mass_kg())),
    )?;
    for chunk in load.lines.chunk_by(|a, b| a.group == b.group) {
        let Some(first) = chunk.first() else { continue };
        let of: f64 =
            chunk.iter().filter_map(|l| Some(l.each_kg? * f64::from(u32::try_from(l.count).ok()?))).sum();
        let mass = if of > 0.0 { format!(", {}", kg(of)) } else { String::new() };
        writeln!(out, "\n{}", paint(style::HEAD, &format!("{}{mass}", first.group.word())))?;
        chunk.iter().try_for_each(|l| line(out, l))?;
    }
    cases(out, sheet)?;
    writeln!(out, "\n{}", paint(style::HEAD, "Rules"))?;
    RULES.iter().try_for_each(|r| hang(out, "  ", r))
}

fn line(out: &mut dyn Write, l: &Line) -> io::Result<()> {
    let each = if l.count > 1 { " each" } else { "" };
    let mass = l.each_kg.map(kg).filter(|m| !l.name.contains(m.as_str()));
    let mass = mass.map_or_else(String::new, |m| format!(", {m}{each}"));
    // A tag that is the whole name is not said twice.
    let named = l.tags.iter().all(|t| l.name.contains(t.as_str())) || l.group == Group::Cables;
    let tags = if named { String::new() } else { format!(": {}", l.tags.join(", ")) };
    let why = if l.why.is_empty() { String::new() } else { format!(" ({})", l.why) };
    let many = match l.group {
        Group::Tools | Group::UsedUp => String::new(),
        _ => format!("{:>2} x ", l.count),
    };
    hang(out, &format!("  [ ] {many}"), &format!("{}{mass}{why}{tags}", l.name))
}

/// Name of a line where the groups are not under each other.
pub(crate) fn name(l: &Line) -> String {
    if l.group == Group::Spares { format!("spare {}", l.name) } else { l.name.clone() }
}

/// What is in a case: `4 x kit-250, 1 x mast base`.
pub(crate) fn inside(load: &Load, case: &Case) -> String {
    let each =
        case.pieces.iter().filter_map(|(i, n)| load.lines.get(*i).map(|l| format!("{n} x {}", name(l))));
    each.collect::<Vec<_>>().join("; ")
}

/// Who lifts it.
pub(crate) fn lifters(case: &Case) -> String {
    match case.people {
        Some(1) => "1 person".to_owned(),
        Some(n) => format!("{n} people"),
        None => "no team of 3: barrow and tail lift".to_owned(),
    }
}

/// How pieces travel, in a word.
pub(crate) fn way(w: Way) -> &'static str {
    match w {
        Way::Case => "case",
        Way::Bundle => "bundle",
        Way::Alone => "alone",
        Way::Unweighed => "not weighed",
    }
}

fn cases(out: &mut dyn Write, sheet: &Sheet<'_>) -> io::Result<()> {
    let long = both_kind(LONG_M, Kind::Length);
    let most = kg(sheet.most_kg);
    writeln!(
        out,
        "\n{}",
        paint(style::HEAD, &format!("Into cases of at most {most}; longer than {long} in bundles"))
    )?;
    let mut number = 0;
    for case in sheet.cases {
        let first = match case.way {
            Way::Unweighed => continue,
            Way::Alone => "  [ ] alone     ".to_owned(),
            Way::Case | Way::Bundle => {
                number += 1;
                format!("  [ ] {:<9} ", format!("{} {number}", way(case.way)))
            }
        };
        let text = format!("{}, {}: {}", kg(case.mass_kg), lifters(case), inside(sheet.load, case));
        hang(out, &first, &text)?;
    }
    if let Some(rest) = sheet.cases.iter().find(|c| c.way == Way::Unweighed) {
        let n: usize = rest.pieces.iter().map(|p| p.1).sum();
        hang(out, "  [ ] ", &format!("{} without a mass: pack, then weigh", count(n, "piece")))?;
    }
    Ok(())
}

fn difference(
    out: &mut dyn Write,
    sheet: &Sheet<'_>,
    name: &str,
    was: f64,
    way: &Difference,
) -> io::Result<()> {
    hang(out, "", &format!("after {name}"))?;
    let now = sheet.load.mass_kg();
    hang(out, "", &format!("{} of what has a mass, {} before.", kg(now), kg(was)))?;
    if way.is_empty() {
        return hang(out, "", "The same load, set the same way.");
    }
    let word = |g: Group| if g == Group::Spares { "spare " } else { "" };
    let add = way.changes.iter().filter(|c| c.now > c.before).map(|c| (c.now - c.before, c));
    let leave = way.changes.iter().filter(|c| c.now < c.before).map(|c| (c.before - c.now, c));
    for (head, list) in [("Add", add.collect::<Vec<_>>()), ("Leave at home", leave.collect())] {
        if list.is_empty() {
            continue;
        }
        writeln!(out, "\n{}", paint(style::HEAD, head))?;
        for (n, c) in list {
            let text = format!("{}{} ({} before, {} now)", word(c.group), c.name, c.before, c.now);
            hang(out, &format!("  [ ] {n:>2} x "), &text)?;
        }
    }
    if !way.settings.is_empty() {
        writeln!(out, "\n{}", paint(style::HEAD, "Set otherwise"))?;
        for s in &way.settings {
            hang(out, "  [ ] ", &format!("{}: {} now, {} before", s.what, s.now, s.before))?;
        }
    }
    Ok(())
}
