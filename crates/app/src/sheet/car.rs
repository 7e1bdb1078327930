//! What the rig does to the car: roof, gross mass, axles, rolling over, height and width.

use super::Sheet;
use super::sums::sum;
use super::table::{fit, head, number, number_of, share, table, text, word};
use crate::io::Stop;
use crate::print::hand::name;
use crate::print::report::{Asked, Word};
use paper::{Block, Cell};
use rig::policy::CheckId;
use verdict::{Finding, Outcome};

/// The car's own checks.
pub(super) const CHECKS: &[CheckId] =
    &[CheckId::RoofLoad, CheckId::GrossMass, CheckId::AxleLoad, CheckId::Rollover, CheckId::Clearance];

pub(super) fn part(sheet: &Sheet<'_>) -> Result<Vec<Block>, Stop> {
    let found: Vec<&Finding> =
        CHECKS.iter().flat_map(|c| sheet.verdict.findings.iter().filter(move |f| f.check == *c)).collect();
    if found.is_empty() {
        return Ok(Vec::new());
    }
    let columns = vec![
        share("check", 2.0),
        share("what", 2.0),
        share("when", 3.0),
        fit("demand"),
        fit("capacity"),
        number("factor"),
        number("margin"),
        fit(""),
    ];
    let rows = found.iter().filter(|f| f.outcome != Outcome::Note).map(|f| row(f)).collect();
    let mut out = vec![head("The car")];
    out.extend(table("", columns, rows));
    for f in found.iter().filter(|f| f.outcome == Outcome::Note) {
        out.push(text(format!("{}: {}.", f.check.row().title, f.situation)));
    }
    for f in found.iter().filter(|f| f.check != CheckId::Clearance && !f.hand.steps.is_empty()) {
        out.extend(sum(&format!("{}: {}", f.check.row().title, name(sheet.rig, f)), f));
    }
    Ok(out)
}

fn row(f: &Finding) -> Vec<Cell> {
    let asked = Asked::of(f);
    let title = Cell::plain(f.check.row().title);
    let result = Word::of(f).map(word).unwrap_or_default();
    if let Outcome::NotChecked(need) = &f.outcome {
        let says = format!("missing: {}. {}", need.what, need.settle);
        return vec![
            title,
            Cell::plain(&f.place),
            Cell::plain(says),
            Cell::default(),
            Cell::default(),
            Cell::default(),
            Cell::default(),
            result,
        ];
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
