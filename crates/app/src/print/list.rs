//! What goes on the car, for who loads it.

use super::style::{self, paint};
use super::text::{count, hang};
use crate::json::list::PartRow;
use quantity::{Kind, both_kind};
use rig::Rig;
use std::io::{self, Write};

/// Parts of a kind under each other, then how many and how heavy.
pub(crate) fn write(out: &mut dyn Write, rig: &Rig, parts: &[PartRow]) -> io::Result<()> {
    hang(out, "", &rig.name)?;
    let mut groups: Vec<(&str, Vec<&PartRow>)> = Vec::new();
    for part in parts {
        let group = group(part);
        match groups.iter_mut().find(|(g, _)| *g == group) {
            Some((_, list)) => list.push(part),
            None => groups.push((group, vec![part])),
        }
    }
    for (group, list) in groups {
        let mass = both_kind(list.iter().map(|p| p.mass).sum(), Kind::Mass);
        let head = if group == ARM {
            format!("{ARM}, {mass}")
        } else {
            format!("{}, {mass}", count(list.len(), group))
        };
        writeln!(out, "\n{}", paint(style::HEAD, &head))?;
        for part in list {
            let name = if group == ARM { format!("{} {}", part.kind, part.tag) } else { part.tag.clone() };
            let width = if group == ARM { 20 } else { 8 };
            hang(out, &format!("  {:<width$} ", name.trim()), &line(part, group))?;
        }
    }
    let mass: f64 = parts.iter().map(|p| p.mass).sum();
    writeln!(out)?;
    hang(out, "", &format!("{}, {} in all.", count(parts.len(), "part"), both_kind(mass, Kind::Mass)))
}

/// What the arm's parts stand under.
const ARM: &str = "the arm";

fn group(part: &PartRow) -> &'static str {
    match part.kind {
        "arm base" | "arm head" | "boom section" | "counterweight" | "isolator" | "payload" => ARM,
        kind => kind,
    }
}

fn line(part: &PartRow, group: &str) -> String {
    let mut said = Vec::new();
    if !part.part.is_empty() {
        said.push(part.part.clone());
    }
    // A cup's length is its stack, which its clamp sets.
    if let Some(length) = part.length.filter(|_| part.kind != "cup") {
        let flat = part.flat.into_iter().flat_map(|(width, thickness)| [width, thickness]);
        let sides = [length].into_iter().chain(flat).map(|m| both_kind(m, Kind::Length));
        said.push(sides.collect::<Vec<_>>().join(" x "));
    }
    let guess = if part.mass_from == "assumed" { " (assumed)" } else { "" };
    said.push(format!("{}{guess}", both_kind(part.mass, Kind::Mass)));
    let places = [&part.on, &part.holds].into_iter().filter(|t| group != ARM && !t.is_empty());
    let places: Vec<&str> = places.map(String::as_str).collect();
    if !places.is_empty() {
        said.push(format!("on {}", places.join(" and ")));
    }
    said.join(", ")
}
