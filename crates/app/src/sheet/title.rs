//! Whose sheet it is: rig, car, job, date, revision, fingerprint.

use super::Sheet;
use super::cover::{BLANK, one_line};
use super::table::{fit, share, table};
use crate::print::text::count;
use paper::{Block, Cell, Run};
use quantity::{Kind, both_kind};
use rig::Rig;

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let (rig, cover) = (sheet.rig, sheet.cover);
    let mut out = vec![Block::Heading(1, one_line(&rig.name))];
    if !rig.note.trim().is_empty() {
        out.push(super::table::text(rig.note.trim()));
    }
    let asked = |value: &Option<String>| match value {
        Some(text) => Cell::plain(text.clone()),
        None => Cell { text: vec![Run::faint(BLANK)] },
    };
    let said = |text: String| Cell::plain(text);
    let file = cover.files.first().map_or(String::new(), |(name, _)| one_line(name));
    let rows = [
        ("Date", asked(&cover.date), "Car", said(car(rig))),
        ("Revision", asked(&cover.revision), "Done with it", said(done(rig))),
        ("Job", asked(&cover.job), "Rig file", said(file)),
        ("By", asked(&cover.by), "Fingerprint", said(cover.short())),
        ("", Cell::default(), "Worked out by", said(format!("clingfish {}", env!("CARGO_PKG_VERSION")))),
    ];
    let rows = rows.into_iter().map(|(a, b, c, d)| vec![Cell::bold(a), b, Cell::bold(c), d]).collect();
    out.extend(table("", vec![fit(""), share("", 2.0), fit(""), share("", 3.0)], rows));
    out
}

fn car(rig: &Rig) -> String {
    let v = &rig.vehicle;
    let mass = both_kind(v.mass.value, Kind::Mass);
    match &v.like {
        Some(like) => format!("{like}, {mass} with nobody in it"),
        None => format!("{mass} with nobody in it"),
    }
}

/// The manoeuvres by tag.
fn done(rig: &Rig) -> String {
    let fastest = rig.manoeuvres.iter().map(|m| m.speed.value).fold(0.0, f64::max);
    let tags: Vec<&str> = rig.manoeuvres.iter().map(|m| m.tag.as_str()).collect();
    if tags.is_empty() {
        return "no manoeuvre is stated".to_owned();
    }
    let many = count(tags.len(), "manoeuvre");
    format!("{many} at up to {}: {}", both_kind(fastest, Kind::Speed), tags.join(", "))
}
