//! Every check at its worst, failing and not checked first.

use super::Sheet;
use super::table::{faint, fit, head, number, number_of, points, share, table, text, under, word};
use crate::print::report::{Row, Word};
use paper::{Block, Cell};

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let mut out = vec![head("Checks")];
    let plain = |r: &&Row| r.word == Word::Holds && r.margin.is_none();
    let rows = &sheet.report.rows;
    let columns = vec![
        fit(""),
        number("margin"),
        share("check", 1.7),
        share("worst part and state", 4.0),
        share("demand", 1.3),
        share("capacity", 1.3),
        number("factor"),
    ];
    out.extend(table("", columns, rows.iter().filter(|r| !plain(r)).map(row).collect()));
    out.push(faint(
        "Each check at its worst part in its worst state, with nothing lost or any one cup or strap. Margin = capacity / (factor x \
         demand): 1.00 is exactly what is required, under 1.15 is close.",
    ));
    let holds: Vec<String> = rows.iter().filter(plain).map(yes).collect();
    if !holds.is_empty() {
        out.push(text(format!("A yes or no, and yes: {}.", holds.join("; "))));
    }
    let notes = sheet.report.notes.iter().filter(|(id, _)| !super::car::CHECKS.contains(id));
    if let Some(list) = points(notes.map(|(id, words)| format!("{}: {words}.", id.row().title))) {
        out.extend([under("Worth knowing; it does not decide"), list]);
    }
    out
}

fn yes(r: &Row) -> String {
    let title = r.check.row().title.to_lowercase();
    if r.detail.is_empty() { title } else { format!("{title} ({})", r.detail) }
}

fn row(r: &Row) -> Vec<Cell> {
    let margin = if r.word == Word::NotChecked { Cell::default() } else { number_of(r.margin) };
    let (demand, capacity, factor) =
        r.asked.as_ref().map_or((String::new(), String::new(), String::new()), |a| {
            (a.demand.clone(), a.capacity.clone(), format!("{}", a.factor))
        });
    vec![
        word(r.word),
        margin,
        Cell::plain(r.check.row().title),
        Cell::plain(&r.detail),
        Cell::plain(demand),
        Cell::plain(capacity),
        Cell::plain(factor),
    ]
}
