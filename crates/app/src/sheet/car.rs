//! What the rig does to the car: roof, gross mass, axles, rolling over, height and width.

use super::Sheet;
use super::sums::sum;
use super::table::{fit, head, number, number_of, points, share, table, text, word};
use crate::print::hand::name;
use crate::print::report::{Asked, Word};
use paper::{Block, Cell};
use rig::policy::CheckId;
use verdict::{Finding, Outcome};

/// The car's own checks.
pub(super) const CHECKS: &[CheckId] =
    &[CheckId::RoofLoad, CheckId::GrossMass, CheckId::AxleLoad, CheckId::Rollover, CheckId::Clearance];

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let found: Vec<&Finding> =
        CHECKS.iter().flat_map(|c| sheet.verdict.findings.iter().filter(move |f| f.check == *c)).collect();
    if found.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        share("check", 1.4),
        share("what", 1.4),
        share("when", 2.6),
        share("demand", 1.5),
        share("capacity", 1.5),
        number("factor"),
        number("margin"),
        fit(""),
    ];
    let rows = found.iter().filter(|f| f.outcome != Outcome::Note && !gap(f)).map(|f| row(f)).collect();
    let mut out = vec![head("The car")];
    out.extend(table("", columns, rows));
    let gaps: Vec<String> = found
        .iter()
        .filter(|f| gap(f))
        .map(|f| format!("{} {}", f.place, quantity::both_kind(f.capacity, f.kind)))
        .collect();
    if let Some(first) = found.iter().find(|f| gap(f)) {
        let asked = quantity::both_kind(first.demand, first.kind);
        out.push(text(format!(
            "Clear by more than the {asked} that it must, at its nearest: {}.",
            gaps.join("; ")
        )));
    }
    let notes = sheet.report.notes.iter().filter(|(id, _)| CHECKS.contains(id));
    out.extend(points(notes.map(|(id, words)| format!("{}: {words}.", id.row().title))));
    // Of the same sum for several things the first, that of the least margin, shows how it goes.
    let mut told: Vec<&str> = Vec::new();
    for f in found.iter().filter(|f| f.check != CheckId::Clearance && !f.hand.steps.is_empty()) {
        if !told.contains(&f.hand.formula) {
            told.push(f.hand.formula);
            out.push(sum(&format!("{}: {}", f.check.row().title, name(sheet.rig, f)), f, false));
        }
    }
    out
}

/// A gap that is wide enough: told in a line with its likes.
fn gap(f: &Finding) -> bool {
    f.check == CheckId::Clearance
        && f.outcome == Outcome::Holds
        && f.margin.is_none()
        && f.place.contains(" to ")
}

fn row(f: &Finding) -> Vec<Cell> {
    let asked = Asked::of(f);
    let title = Cell::plain(f.check.row().title);
    let result = Word::of(f).map(word).unwrap_or_default();
    if let Outcome::NotChecked(need) = &f.outcome {
        let says = format!("missing: {}. {}", need.what, need.settle);
        let none = Cell::default;
        return vec![title, Cell::plain(&f.place), Cell::plain(says), none(), none(), none(), none(), result];
    }
    vec![
        title,
        Cell::plain(&f.place),
        Cell::plain(&f.situation),
        Cell::plain(asked.demand),
        Cell::plain(asked.capacity),
        Cell::plain(format!("{}", f.factor)),
        f.margin.map_or(Cell::plain("yes"), |m| number_of(Some(m))),
        result,
    ]
}
