//! Tables and paragraphs in few words.

use crate::print::report::Word;
use crate::print::text::margin;
use paper::{Align, Block, Cell, Column, Run, Table, Wide};

/// A column as wide as its widest cell.
pub(super) fn fit(head: &str) -> Column {
    Column { head: head.to_owned(), wide: Wide::Fit, align: Align::Left }
}

/// The same with numbers at its right edge.
pub(super) fn number(head: &str) -> Column {
    Column { align: Align::Right, ..fit(head) }
}

/// A column with a share of what is left.
pub(super) fn share(head: &str, parts: f64) -> Column {
    Column { wide: Wide::Share(parts), ..fit(head) }
}

/// A table, or nothing where it has no rows.
pub(super) fn table(title: &str, columns: Vec<Column>, rows: Vec<Vec<Cell>>) -> Option<Block> {
    (!rows.is_empty()).then(|| Block::Table(Table { title: title.to_owned(), columns, rows }))
}

/// A table with its rows in two halves side by side, the left one read first; few rows stay under each other.
pub(super) fn halves(title: &str, columns: Vec<Column>, rows: Vec<Vec<Cell>>) -> Option<Block> {
    if rows.len() < 4 {
        return table(title, columns, rows);
    }
    let many = columns.len();
    let left = rows.len().div_ceil(2);
    let right = rows.get(left..).unwrap_or_default().to_vec();
    let empty = vec![Cell::default(); many];
    let paired = rows.into_iter().take(left).enumerate().map(|(i, mut row)| {
        row.extend(right.get(i).cloned().unwrap_or_else(|| empty.clone()));
        row
    });
    let both = columns.iter().chain(&columns).cloned().collect();
    table(title, both, paired.collect())
}

/// Plain text.
pub(super) fn text(words: impl Into<String>) -> Block {
    Block::Text(vec![Run::plain(words)])
}

/// Small print.
pub(super) fn faint(words: impl Into<String>) -> Block {
    Block::Text(vec![Run::faint(words)])
}

/// Plain points.
pub(super) fn points<T: Into<String>>(all: impl IntoIterator<Item = T>) -> Option<Block> {
    let points: Vec<Vec<Run>> = all.into_iter().map(|p| vec![Run::plain(p)]).collect();
    (!points.is_empty()).then_some(Block::List(points))
}

/// A part of the sheet.
pub(super) fn head(words: &str) -> Block {
    Block::Heading(2, words.to_owned())
}

/// A smaller heading.
pub(super) fn under(words: impl Into<String>) -> Block {
    Block::Heading(3, words.into())
}

/// The word of a check: what does not simply hold stands out.
pub(super) fn word(w: Word) -> Cell {
    if w == Word::Holds { Cell::plain(w.text()) } else { Cell::bold(w.text()) }
}

/// A margin; what is not over 1.15 stands out.
pub(super) fn number_of(m: Option<f64>) -> Cell {
    match m {
        None => Cell::plain("-"),
        Some(m) if m < crate::print::report::CLOSE => Cell::bold(margin(m)),
        Some(m) => Cell::plain(margin(m)),
    }
}
