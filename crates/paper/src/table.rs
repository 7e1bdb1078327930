//! Tables: widths, rows, and the head that stands again.

use std::rc::Rc;

use crate::lay::Lay;
use crate::part::{Again, Glue, Mark, Part};
use crate::setting::{Line, Shaped};
use crate::sheet::{number, points};
use crate::tags::Kind;
use crate::{Align, Cell, Run, Table, Wide};

/// Size of a table's text, in sizes of plain text.
const SIZE: f32 = 0.94;
/// Beside and over the text of a cell, in sizes of plain text.
const SIDE: f32 = 0.4;
/// See [`SIDE`].
const OVER: f32 = 0.22;
/// Grey of the rules between rows.
const RULE: u8 = 170;
/// Grey of every other row.
const STRIPE: u8 = 246;

/// A column's wishes: its widest text, its widest word, its share of what is left.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wish {
    pub(crate) widest: f32,
    pub(crate) word: f32,
    pub(crate) share: Option<f32>,
}

/// Widths that fill no more than there is. Columns that fit their text get it; where that leaves too little for the words of
/// the others, they give way, and where even words do not fit, all do.
pub(crate) fn widths(wishes: &[Wish], wide: f32) -> Vec<f32> {
    let even = wide / number(wishes.len().max(1));
    let least: Vec<f32> = wishes.iter().map(|w| w.word.min(even * 1.6)).collect();
    let least_sum: f32 = least.iter().sum();
    if least_sum >= wide {
        return least.iter().map(|w| w * wide / least_sum).collect();
    }
    let shares: f32 = wishes.iter().filter_map(|w| w.share).sum();
    let wanted: Vec<f32> = wishes
        .iter()
        .zip(&least)
        .map(|(w, least)| if w.share.is_some() { *least } else { w.widest.max(*least) })
        .collect();
    let wanted_sum: f32 = wanted.iter().sum();
    if wanted_sum > wide {
        // Between the least and what is wanted.
        let part = (wide - least_sum) / (wanted_sum - least_sum);
        return least.iter().zip(&wanted).map(|(least, wanted)| least + part * (wanted - least)).collect();
    }
    if shares <= 0.0 {
        return wanted;
    }
    shared(wishes, &least, &wanted, wide)
}

/// Shares what the fitting columns leave; a column whose share is less than its words keeps its words.
fn shared(wishes: &[Wish], least: &[f32], wanted: &[f32], wide: f32) -> Vec<f32> {
    let mut held: Vec<bool> = wishes.iter().map(|w| w.share.is_none()).collect();
    loop {
        let mut left = wide;
        let mut shares = 0.0;
        for (k, wish) in wishes.iter().enumerate() {
            if held[k] { left -= wanted[k] } else { shares += wish.share.unwrap_or(0.0) }
        }
        let width = |k: usize| {
            if held[k] {
                wanted[k]
            } else {
                left * wishes[k].share.unwrap_or(0.0) / shares.max(f32::MIN_POSITIVE)
            }
        };
        let widths: Vec<f32> = (0..wishes.len()).map(width).collect();
        let mut again = false;
        for (k, width) in widths.iter().enumerate() {
            if !held[k] && *width < least[k] {
                held[k] = true;
                again = true;
            }
        }
        if !again {
            return widths;
        }
    }
}

struct Grid {
    /// Left edge and width of each column.
    columns: Vec<(f32, f32, Align)>,
    wide: f32,
}

impl Lay<'_> {
    pub(crate) fn table(&mut self, table: &Table) {
        let count = table.rows.iter().map(Vec::len).max().unwrap_or(0).max(table.columns.len());
        if count == 0 {
            return;
        }
        let size = self.em * SIZE;
        let head_of = |k: usize| table.columns.get(k).map_or("", |column| column.head.as_str());
        let mut heads: Vec<Shaped> =
            (0..count).map(|k| self.setter.shape(&[Run::plain(head_of(k))], size, true)).collect();
        let mut rows: Vec<Vec<Shaped>> =
            table.rows.iter().map(|row| (0..count).map(|k| self.cell(row.get(k), size)).collect()).collect();
        let grid = self.grid(table, &heads, &rows);

        let node = self.tags.add(Kind::Table(table.title.trim().to_owned()), None);
        let title = self.lines(&[Run::plain(&table.title)], self.em, true, self.wide, Align::Left);
        if !title.is_empty() {
            let caption = self.tags.add(Kind::Caption, Some(node));
            let from = self.parts.len();
            self.put_lines(&title, 0.0, caption, self.em * 0.9);
            self.parts.iter_mut().skip(from).for_each(|part| part.glue = Glue::Must);
        }
        let mut gap = self.em * if title.is_empty() { 0.9 } else { 0.2 };
        let mut again = None;
        let headed = heads.iter().any(Shaped::says_something);
        if headed {
            let group = self.tags.add(Kind::Head, Some(node));
            let row = self.tags.add(Kind::Row, Some(group));
            let cells =
                self.cells(heads.drain(..), &grid, |lay, _| lay.tags.add(Kind::ColumnHead, Some(row)));
            again = self.head(&cells, &grid, std::mem::take(&mut gap));
        }
        if rows.is_empty() {
            return;
        }
        let body = self.tags.add(Kind::Rows, Some(node));
        let last = rows.len() - 1;
        for (k, row) in rows.drain(..).enumerate() {
            let node = self.tags.add(Kind::Row, Some(body));
            let cells = self.cells(row.into_iter(), &grid, |lay, column| {
                let kind = if column == 0 && !headed { Kind::RowHead } else { Kind::Cell };
                lay.tags.add(kind, Some(node))
            });
            // The first rows stand with the head and the last with the one before it.
            let glue = if k < last && (k == 0 || k + 1 == last) { Glue::Wish } else { Glue::Loose };
            self.table_row(&cells, &grid, again.as_ref(), std::mem::take(&mut gap), (k, glue));
        }
    }

    fn cell(&mut self, cell: Option<&Cell>, size: f32) -> Shaped {
        self.setter.shape(cell.map_or(&[], |cell| &cell.text), size, false)
    }

    fn grid(&self, table: &Table, heads: &[Shaped], rows: &[Vec<Shaped>]) -> Grid {
        let side = 2.0 * self.em * SIDE;
        let mut wishes = Vec::new();
        for (k, head) in heads.iter().enumerate() {
            let share = match table.columns.get(k).map_or(Wide::Share(1.0), |column| column.wide) {
                Wide::Fit => None,
                Wide::Share(share) if share.is_finite() && share > 0.0 => Some(points(share)),
                Wide::Share(_) => Some(1.0),
            };
            let cells = std::iter::once(head).chain(rows.iter().filter_map(|row| row.get(k)));
            let (mut word, mut widest) = (0.0_f32, 0.0_f32);
            for (a_word, a_text) in cells.map(Shaped::widths) {
                word = word.max(a_word);
                widest = widest.max(a_text);
            }
            // A hair more, so that a text is not broken by the rounding of its own width.
            let (word, widest) = (word + side + 0.1, widest + side + 0.1);
            wishes.push(Wish { widest, word, share });
        }
        let mut x = 0.0;
        let mut columns = Vec::new();
        for (k, wide) in widths(&wishes, self.wide).into_iter().enumerate() {
            columns.push((x, wide, table.columns.get(k).map_or(Align::Left, |column| column.align)));
            x += wide;
        }
        Grid { columns, wide: x }
    }

    fn cells(
        &mut self,
        shaped: impl Iterator<Item = Shaped>,
        grid: &Grid,
        mut node: impl FnMut(&mut Self, usize) -> usize,
    ) -> Vec<(Vec<Rc<Line>>, usize)> {
        let mut cells = Vec::new();
        for (k, (shaped, (_, wide, align))) in shaped.zip(&grid.columns).enumerate() {
            let node = node(self, k);
            let inner = wide - 2.0 * self.em * SIDE;
            let lines =
                if shaped.says_something() { self.setter.lines(shaped, inner, *align) } else { Vec::new() };
            cells.push((lines, node));
        }
        cells
    }

    /// The head's parts, and the head as it stands again; not if it would fill much of a page.
    fn head(&mut self, cells: &[(Vec<Rc<Line>>, usize)], grid: &Grid, gap: f32) -> Option<Rc<Again>> {
        let from = self.parts.len();
        self.row_parts(cells, grid, None, gap, None);
        let rule = |y: f32| Mark::Rule { from: (0.0, y), to: (grid.wide, y), wide: 0.9, grey: 0 };
        if let Some(last) = self.parts.last_mut() {
            last.marks.push(rule(last.high));
        }
        self.parts.iter_mut().skip(from).for_each(|part| part.glue = Glue::Must);
        match &self.parts[from..] {
            [head] if head.high < self.high * 0.3 => {
                Some(Rc::new(Again { high: head.high, marks: head.marks.clone() }))
            }
            _ => None,
        }
    }

    fn table_row(
        &mut self,
        cells: &[(Vec<Rc<Line>>, usize)],
        grid: &Grid,
        again: Option<&Rc<Again>>,
        gap: f32,
        (number, glue): (usize, Glue),
    ) {
        let stripe = (number % 2 == 1).then_some(STRIPE);
        self.row_parts(cells, grid, again, gap, stripe);
        if let Some(last) = self.parts.last_mut() {
            let y = last.high;
            last.marks.push(Mark::Rule { from: (0.0, y), to: (grid.wide, y), wide: 0.4, grey: RULE });
            last.glue = glue;
        }
    }

    /// A row as one part, or a part for each line where it is taller than a page.
    fn row_parts(
        &mut self,
        cells: &[(Vec<Rc<Line>>, usize)],
        grid: &Grid,
        again: Option<&Rc<Again>>,
        gap: f32,
        stripe: Option<u8>,
    ) {
        let (side, over) = (self.em * SIDE, self.em * OVER);
        let count = cells.iter().map(|(lines, _)| lines.len()).max().unwrap_or(0).max(1);
        let step = crate::setting::leading(self.em * SIZE);
        let room = self.high - again.map_or(0.0, |again| again.high);
        let whole = step * number(count) + 2.0 * over <= room;
        let a_part = if whole { count } else { 1 };
        let mut first = 0;
        while first < count {
            let top = if first == 0 { over } else { 0.0 };
            let bottom = if first + a_part >= count { over } else { 0.0 };
            let mut part =
                Part::new(top + step * number(a_part) + bottom, if first == 0 { gap } else { 0.0 });
            part.again = again.cloned();
            if let Some(grey) = stripe {
                part.marks.push(Mark::Fill { x: 0.0, y: 0.0, wide: grid.wide, high: part.high, grey });
            }
            for ((lines, node), (x, _, _)) in cells.iter().zip(&grid.columns) {
                for (k, line) in lines.iter().skip(first).take(a_part).enumerate() {
                    let y = top + step * number(k);
                    part.marks.push(Mark::Line { line: line.clone(), x: x + side, y, node: *node });
                }
            }
            self.parts.push(part);
            first += a_part;
        }
    }
}
