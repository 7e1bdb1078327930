//! How hard the car may go: as the plan has it; with the card's rows where they are asked for and there is a card.

use super::Sheet;
use super::table::{faint, fit, head, points, share, table, text, under};
use crate::io::Stop;
use crate::print::card::{AS_PLANNED, Card, KEEP, MUCH, place_words, row_words};
use paper::{Block, Cell};
use verdict::Answer;

/// What may be done where no limits are worked out.
const AS_THE_PLAN: &str = "Drive as the plan has it and no harder. Each manoeuvre listed under \"What it is checked for\" was \
    checked at its own speed, with its own bend, braking and gust; the speed of one with the bend of another was not.";
/// Charts of where it is tightest, by the names that they are asked for with.
const CHARTS: &[&str] = &["sectors", "bearings"];
/// Height of a chart, mm.
const CHART_MM: f64 = 80.0;

pub(super) fn part(sheet: &Sheet<'_>) -> Result<Vec<Block>, Stop> {
    let mut out = vec![head("Limits for driver and operator")];
    if sheet.verdict.answer != Answer::Go {
        out.push(text(format!(
            "None. Limits and a card are for a rig that is a GO; this one is {}.",
            sheet.verdict.answer.word()
        )));
        return Ok(out);
    }
    if !sheet.limits {
        out.push(text(AS_THE_PLAN));
        out.push(faint(
            "How much more would hold, dry and wet, wherever the boom points: the card and the envelope say it, and so does this sheet \
             if it is written with its limits.",
        ));
        if let Some(list) = points(KEEP.iter().copied()) {
            out.extend([under("Always"), list]);
        }
        return Ok(out);
    }
    let card = Card::of(sheet.rig, sheet.desk.envelope()?, sheet.desk.stretched()?);
    out.extend(rows(&card));
    if card.has_as_planned() {
        out.push(faint(format!("* {AS_PLANNED}")));
    }
    if let Some(list) = points(card.operator.iter().map(String::as_str)) {
        out.extend([under("Operator"), list]);
    }
    out.push(faint(MUCH));
    for name in CHARTS {
        out.extend(super::drawings::chart(sheet, name, CHART_MM)?);
    }
    if let Some(list) = points(KEEP.iter().copied()) {
        out.extend([under("Always"), list]);
    }
    Ok(out)
}

/// The card's rows in one table.
pub(super) fn rows(card: &Card) -> Option<Block> {
    let cells = card.rows.iter().map(|r| {
        let words = row_words(r);
        let place = place_words(r.boom, card.moving);
        vec![
            Cell::bold(if r.wet { "WET" } else { "DRY" }),
            Cell::plain(place),
            Cell::plain(words.speed),
            Cell::plain(match words.better {
                Some(better) => format!("{}\n{better}", words.bends),
                None => words.bends,
            }),
            Cell::plain(words.brake),
            Cell::plain(words.both),
        ]
    });
    let columns = vec![
        fit("panels"),
        share("boom", 1.6),
        fit("up to"),
        share("bends", 2.0),
        fit("brake"),
        fit("both at once"),
    ];
    table("", columns, cells.collect())
}
