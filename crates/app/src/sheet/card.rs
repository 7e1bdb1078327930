//! The card as one side of paper, for the dashboard.

use super::cover::{Cover, one_line};
use super::table::{faint, fit, points, share, table, text, under};
use crate::print::card::{AS_PLANNED, Card, KEEP, MUCH, head_words, row_words};
use paper::{Block, Cell, Document, Run};
use rig::Rig;
use verdict::limits::card::{Boom, Row};

/// The card; set as large as one side takes.
pub(crate) fn document(rig: &Rig, card: &Card, cover: &Cover) -> Document {
    let mut blocks = body(rig, card);
    let date = cover.date.as_ref().map_or(String::new(), |d| format!("{d}; "));
    blocks.push(faint(format!("{date}rig file {}; clingfish {}", cover.short(), env!("CARGO_PKG_VERSION"))));
    Document {
        title: one_line(&rig.name),
        mark: cover.mark(),
        date: cover.date.clone().unwrap_or_default(),
        format: cover.format,
        type_pt: 16.0,
        running: false,
        blocks,
    }
}

/// What stands on it, its files apart.
pub(crate) fn body(rig: &Rig, card: &Card) -> Vec<Block> {
    let mut blocks = vec![
        Block::Heading(1, "Driver and operator".to_owned()),
        Block::Text(vec![Run::bold(one_line(&rig.name))]),
    ];
    for boom in [Boom::None, Boom::Anywhere, Boom::Parked] {
        for wet in [false, true] {
            let rows: Vec<&Row> = card.rows.iter().filter(|r| r.boom == boom && r.wet == wet).collect();
            let columns = vec![fit("up to"), share("bends", 1.0), fit("brake"), fit("both at once")];
            if let Some(rows) = table("", columns, rows.into_iter().map(row).collect()) {
                blocks.push(Block::Together(vec![under(head_words(boom, wet, card.moving)), rows]));
            }
        }
    }
    if card.has_as_planned() {
        blocks.push(faint(format!("* {AS_PLANNED}")));
    }
    if let Some(list) = points(card.operator.iter().map(String::as_str)) {
        blocks.extend([under("Operator"), list]);
    }
    blocks.extend([under("How much is that"), text(MUCH)]);
    if let Some(list) = points(KEEP.iter().copied()) {
        blocks.extend([under("Always"), list]);
    }
    blocks
}

fn row(r: &Row) -> Vec<Cell> {
    let words = row_words(r);
    let bends = match words.better {
        Some(better) => vec![Run::bold(words.bends), Run::plain(format!("\n{better}"))],
        None => vec![Run::bold(words.bends)],
    };
    vec![Cell::bold(words.speed), Cell { text: bends }, Cell::bold(words.brake), Cell::bold(words.both)]
}
