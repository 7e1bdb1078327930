//! How hard the car may go: as the plan has it; with the card's rows where they are asked for and there is a card.

use super::Sheet;
use super::drawings::{self, SECTORS};
use super::table::{faint, fit, head, share, table, text};
use crate::io::Stop;
use crate::print::card::{AS_PLANNED, Card, KEEP, MUCH, place_words, row_words};
use paper::{Block, Cell, Run};
use verdict::Answer;

/// What may be done where no limits are worked out.
const AS_THE_PLAN: &str = "Drive as the plan has it and no harder. Each manoeuvre listed under \"What it is checked for\" was \
    checked at its own speed, with its own bend, braking and gust; the speed of one with the bend of another was not.";
/// What rain changes where no limits are worked out.
const WET: &str =
    "Rain, dew or a wash on panels that were planned dry: stop, until the card's wet rows say how to go on.";
/// Height of the chart, mm.
const CHART_MM: f64 = 95.0;

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
        // What speaks of rows is for a table of them.
        let keep: Vec<&str> = KEEP.iter().copied().filter(|k| !k.contains(" row")).collect();
        out.push(said("Always", &format!("{WET} {}", keep.join(" "))));
        return Ok(out);
    }
    let card = Card::of(sheet.rig, sheet.desk.envelope()?, sheet.desk.stretched()?);
    out.extend(rows(&card));
    if card.has_as_planned() {
        out.push(faint(format!("* {AS_PLANNED}")));
    }
    out.extend(drawings::chart(sheet, SECTORS, CHART_MM)?);
    if !card.operator.is_empty() {
        out.push(said("Operator", &card.operator.join(" ")));
    }
    out.push(said("Always", &KEEP.join(" ")));
    out.push(faint(MUCH));
    Ok(out)
}

/// A paragraph under its word.
fn said(name: &str, words: &str) -> Block {
    Block::Text(vec![Run::bold(format!("{name}: ")), Run::plain(words)])
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
