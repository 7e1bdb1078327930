//! Every check at its worst, failing and not checked first.

use super::Sheet;
use super::table::{faint, fit, head, number, number_of, share, table, word};
use crate::io::Stop;
use crate::print::report::{Row, Word};
use paper::{Block, Cell};

pub(super) fn part(sheet: &Sheet<'_>) -> Result<Vec<Block>, Stop> {
    let mut out = vec![
        head("Checks"),
        faint(
            "Each check at its worst part in its worst state. Margin = capacity / (required factor x demand): 1.00 is exactly what is \
             required, under 1.15 is close. Intact: nothing lost. 1 lost: any one cup or strap lost.",
        ),
    ];
    let columns = vec![
        fit(""),
        number("margin"),
        share("check", 2.4),
        number("intact"),
        number("1 lost"),
        share("worst part and state", 4.0),
        share("demand", 1.7),
        share("capacity", 1.7),
        number("factor"),
    ];
    out.extend(table("", columns, sheet.report.rows.iter().map(row).collect()));
    Ok(out)
}

fn row(r: &Row) -> Vec<Cell> {
    let id = r.check.row();
    let numbers = r.word != Word::NotChecked && r.margin.is_some();
    let cell = |m: Option<f64>| if numbers { number_of(m) } else { Cell::default() };
    let margin = match (r.word, r.margin) {
        (Word::NotChecked, _) => Cell::default(),
        (_, None) => Cell::plain("yes"),
        (_, m) => number_of(m),
    };
    let (demand, capacity, factor) =
        r.asked.as_ref().map_or((String::new(), String::new(), String::new()), |a| {
            (a.demand.clone(), a.capacity.clone(), format!("{}", a.factor))
        });
    vec![
        word(r.word),
        margin,
        Cell::plain(format!("{} ({})", id.title, id.name)),
        cell(r.intact),
        cell(r.lost),
        Cell::plain(&r.detail),
        Cell::plain(demand),
        Cell::plain(capacity),
        Cell::plain(factor),
    ]
}
