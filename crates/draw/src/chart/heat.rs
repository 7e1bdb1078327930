//! A table in shades: the number in each cell, darker where less is allowed, hatched where nothing is.

use super::Width;
use super::axis::{Axis, Ruled};
use super::pen::{Pen, SIZE, STEP, Sheet, count, widest};
use crate::text::{lines, shortened, width};
use std::fmt::Write as _;

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A value, SI, and its number as it is written, rounded to the safe side.
    Value(f64, String),
    /// Nothing is allowed.
    Nothing,
    /// There is no such place.
    Blank,
}

/// One table of cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// What it is of.
    pub name: String,
    /// Rows, the lowest first; of each its columns.
    pub rows: Vec<Vec<Cell>>,
}

/// Tables in shades that share their columns, rows and steps.
#[derive(Clone, Debug, PartialEq)]
pub struct Heat {
    /// What is seen.
    pub title: String,
    /// Name and unit of the numbers.
    pub axis: Axis,
    /// What the columns are.
    pub across: String,
    /// Their names.
    pub columns: Vec<String>,
    /// What the rows are.
    pub up: String,
    /// Their names, the lowest first.
    pub rows: Vec<String>,
    /// The tables.
    pub blocks: Vec<Block>,
    /// What a hatched cell says.
    pub nothing: String,
    /// Sentences under the chart.
    pub notes: Vec<String>,
}

/// Fills of the least and of the greatest step, red, green and blue; those between are in even steps, so that each is lighter than
/// the one before.
const DARK: [f64; 3] = [8.0, 48.0, 107.0];
const LIGHT: [f64; 3] = [234.0, 242.0, 249.0];
/// No more steps than this.
const STEPS: usize = 10;
/// Over this luminance black reads better than white; both read at 4.58:1 there (WCAG 2.2, contrast ratio).
const HALFWAY: f64 = 0.179;

/// Fill and ink of a step, by where it is from the least, 0, to the greatest, 1.
fn shade(share: f64) -> (String, &'static str) {
    let part = |k: usize| (DARK[k] + share.clamp(0.0, 1.0) * (LIGHT[k] - DARK[k])).round();
    let [r, g, b] = [part(0), part(1), part(2)];
    let linear = |c: f64| if c <= 10.0 { c / 255.0 / 12.92 } else { ((c / 255.0 + 0.055) / 1.055).powf(2.4) };
    let luminance = 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
    (format!("rgb({r:.0},{g:.0},{b:.0})"), if luminance > HALFWAY { "#000000" } else { "#ffffff" })
}

/// Height of a cell.
const TALL: f64 = 24.0;

/// How the tables stand on the paper.
struct Plan {
    /// Columns run down and rows across, since so many numbers do not fit side by side.
    turned: bool,
    /// Width of a cell.
    cell: f64,
    /// Width of the names at the left.
    side: f64,
    /// Tables side by side.
    abreast: usize,
    /// Width between the paper's edges.
    room: f64,
}

impl Heat {
    /// The chart as an SVG file, for a width of paper.
    pub fn svg_for(&self, paper: Width) -> String {
        let mut sheet = Sheet::new(&self.title, paper);
        let ruled = self.steps();
        let plan = self.plan(sheet.paper);
        let mut low = sheet.top + 6.0;
        let (down, beside) =
            if plan.turned { (self.columns.len(), &self.rows) } else { (self.rows.len(), &self.columns) };
        let tall = STEP + count(down) * TALL + STEP + 14.0;
        let wide = plan.side + plan.cell * count(beside.len()) + 24.0;
        for blocks in self.blocks.chunks(plan.abreast) {
            for (k, block) in blocks.iter().enumerate() {
                let at = (12.0 + count(k) * wide, low);
                self.block(&mut sheet.pen, &plan, &ruled, block, at);
            }
            low += tall;
        }
        let (across, down) = if plan.turned { (&self.up, &self.across) } else { (&self.across, &self.up) };
        let names = format!("Across: {across}; {}: {down}.", if plan.turned { "down" } else { "up" });
        for text in lines(&names, SIZE, sheet.paper - 24.0) {
            sheet.pen.write((12.0, low + 10.0), "start", "", &text);
            low += STEP;
        }
        let low = self.legend(&mut sheet.pen, &ruled, low + 6.0, sheet.paper);
        sheet.finish(&self.notes, low)
    }

    fn cells(&self) -> impl Iterator<Item = &Cell> {
        self.blocks.iter().flat_map(|b| &b.rows).flatten()
    }

    /// Even steps over all values, no more of them than there are fills.
    fn steps(&self) -> Ruled {
        let values = || {
            self.cells().filter_map(|c| match c {
                Cell::Value(v, _) if v.is_finite() => Some(*v),
                _ => None,
            })
        };
        let mut ruled = self.axis.ruled(values(), STEPS - 2);
        for wanted in (2..STEPS - 2).rev() {
            if ruled.marks.len() <= STEPS + 1 {
                break;
            }
            ruled = self.axis.ruled(values(), wanted);
        }
        ruled
    }

    fn plan(&self, paper: f64) -> Plan {
        let numbers = self.cells().map(|c| match c {
            Cell::Value(_, text) => text.as_str(),
            Cell::Nothing => "none",
            Cell::Blank => "",
        });
        let number = widest(numbers).min(90.0) + 10.0;
        let columns = widest(self.columns.iter().map(String::as_str)).min(110.0);
        let rows = widest(self.rows.iter().map(String::as_str)).min(110.0);
        let flat = (paper - 24.0 - rows - 8.0) / count(self.columns.len().max(1));
        if flat >= number.max(columns + 6.0) || self.columns.len() <= self.rows.len() {
            return Plan {
                turned: false,
                cell: flat.min(64.0),
                side: rows + 8.0,
                abreast: 1,
                room: paper - 24.0,
            };
        }
        let side = columns + 8.0;
        let room = (paper - 24.0 - side) / count(self.rows.len().max(1));
        let cell = number.max(rows + 8.0).min(room);
        let wide = side + cell * count(self.rows.len()) + 24.0;
        // As many side by side as there is room for, names of blocks and all.
        let abreast = (1..=4).rev().find(|n| count(*n) * wide - 24.0 <= paper - 24.0).unwrap_or(1);
        Plan { turned: true, cell, side, abreast, room: paper - 24.0 }
    }

    /// Where the step of a value is, from the least, 0, to the greatest, 1; a value on a mark is in the step over it.
    fn step(ruled: &Ruled, value: f64) -> f64 {
        let steps = ruled.marks.len().saturating_sub(1);
        let over = ruled.marks.iter().rposition(|m| value >= m.si - m.si.abs() * 1e-9).unwrap_or(0);
        if steps < 2 { 0.5 } else { count(over.min(steps - 1)) / count(steps - 1) }
    }

    fn block(&self, pen: &mut Pen, plan: &Plan, ruled: &Ruled, block: &Block, (left, top): (f64, f64)) {
        let (down, across) =
            if plan.turned { (&self.columns, &self.rows) } else { (&self.rows, &self.columns) };
        let (first, field) = (left + plan.side, top + STEP + 6.0);
        let wide = plan.cell * count(across.len());
        let name =
            shortened(&block.name, SIZE * 1.1, if plan.abreast > 1 { plan.side + wide } else { plan.room });
        pen.write((left, top + 14.0), "start", " font-weight=\"bold\"", &name);
        for d in 0..down.len() {
            // The lowest row stands at the bottom; turned, the first column stands on top.
            let y = field + TALL * count(if plan.turned { d } else { down.len() - 1 - d });
            let text = shortened(&down[d], SIZE, plan.side - 8.0);
            pen.write((first - 7.0, y + 16.5), "end", "", &text);
            for a in 0..across.len() {
                let (row, column) = if plan.turned { (a, d) } else { (d, a) };
                let cell = block.rows.get(row).and_then(|r| r.get(column)).unwrap_or(&Cell::Blank);
                one(pen, cell, ruled, (first + plan.cell * count(a), y, plan.cell));
            }
        }
        let bottom = field + TALL * count(down.len());
        for (a, text) in across.iter().enumerate() {
            let x = first + plan.cell * (count(a) + 0.5);
            pen.write((x, bottom + STEP - 2.0), "middle", "", &shortened(text, SIZE, plan.cell - 3.0));
        }
    }

    /// What the shades mean; gives back the lowest base line.
    fn legend(&self, pen: &mut Pen, ruled: &Ruled, top: f64, paper: f64) -> f64 {
        let mut low = top + 14.0;
        pen.write((12.0, low), "start", "", &shortened(&self.axis.words(), SIZE, paper - 24.0));
        low += 6.0;
        let mut x = 12.0;
        let mut entries: Vec<(Cell, String)> = ruled
            .marks
            .windows(2)
            .map(|w| (Cell::Value(w[0].si, String::new()), format!("{} to {}", w[0].text, w[1].text)))
            .collect();
        if self.cells().any(|c| *c == Cell::Nothing) {
            entries.push((Cell::Nothing, self.nothing.clone()));
        }
        let mut line = low;
        for (cell, text) in entries {
            let text = shortened(&text, SIZE, paper - 70.0);
            let wide = 34.0 + width(&text, SIZE) + 16.0;
            if x + wide - 16.0 > paper - 12.0 && x > 12.0 {
                (x, line) = (12.0, line + TALL - 2.0);
            }
            swatch(pen, &cell, ruled, (x, line, 28.0, 17.0));
            pen.write((x + 34.0, line + 13.5), "start", "", &text);
            low = line + 15.0;
            x += wide;
        }
        low + 4.0
    }
}

/// The fill of a cell; gives back the ink for its number.
fn swatch(
    pen: &mut Pen,
    cell: &Cell,
    ruled: &Ruled,
    (x, y, wide, tall): (f64, f64, f64, f64),
) -> &'static str {
    let (fill, ink) = match cell {
        Cell::Value(v, _) if v.is_finite() => shade(Heat::step(ruled, *v)),
        Cell::Value(..) | Cell::Nothing => ("#ffffff".to_owned(), "#000000"),
        Cell::Blank => return "#000000",
    };
    pen.put(format_args!(
        "<rect class=\"cell\" x=\"{x:.1}\" y=\"{y:.1}\" width=\"{wide:.1}\" height=\"{tall:.1}\" fill=\"{fill}\" stroke=\"#fff\"/>"
    ));
    if fill == "#ffffff" {
        let mut path = String::new();
        let mut k = 5.0;
        while k < wide + tall {
            let (a, b) = ((k - tall).max(0.0), k.min(wide));
            let _ = write!(path, "M{:.1} {:.1}L{:.1} {:.1}", x + a, y + (k - a), x + b, y + (k - b));
            k += 6.0;
        }
        pen.put(format_args!("<path d=\"{path}\" stroke=\"#5c5c5c\" stroke-width=\"1\"/>"));
    }
    ink
}

fn one(pen: &mut Pen, cell: &Cell, ruled: &Ruled, (x, y, wide): (f64, f64, f64)) {
    let ink = swatch(pen, cell, ruled, (x, y, wide, TALL));
    let (text, plate) = match cell {
        Cell::Value(v, text) if v.is_finite() => (text.as_str(), false),
        Cell::Value(..) => ("?", true),
        Cell::Nothing => ("none", true),
        Cell::Blank => return,
    };
    let text = shortened(text, SIZE, wide - 2.0);
    if plate {
        let half = (width(&text, SIZE) / 2.0 - 1.0).min(wide / 2.0 - 1.0);
        pen.put(format_args!(
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"16\" fill=\"#fff\"/>",
            x + wide / 2.0 - half,
            y + 4.0,
            2.0 * half
        ));
    }
    pen.write((x + wide / 2.0, y + 16.5), "middle", &format!(" fill=\"{ink}\""), &text);
}
