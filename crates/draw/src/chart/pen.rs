//! What every chart is written with: the pen, the type, the inks and marks, and the sheet with its title and notes.

use super::Width;
use crate::text::{escaped, lines, width};
use std::fmt::Write as _;

pub(super) const SIZE: f64 = 13.0;
const TITLE: f64 = 15.0;
/// Between base lines.
pub(super) const STEP: f64 = 17.0;
/// Ink and dash of each line in turn. Ink is dark enough for 4.5:1 on white and differs in grey; the dash tells apart without it.
pub(super) const STYLES: [(&str, &str); 6] = [
    ("#111111", ""),
    ("#0b5fa5", "8 4"),
    ("#a33b00", "2 3"),
    ("#00684f", "11 3 2 3"),
    ("#6b3a8f", "5 2"),
    ("#5c5c5c", "14 4"),
];
/// White around letters that stand on lines.
pub(super) const HALO: &str =
    " stroke=\"#fff\" stroke-width=\"4\" paint-order=\"stroke\" stroke-linejoin=\"round\"";

/// Writes elements one under another.
#[derive(Default)]
pub(super) struct Pen {
    out: String,
}

impl Pen {
    pub(super) fn put(&mut self, text: std::fmt::Arguments<'_>) {
        // Writing to a string does not fail.
        let _ = writeln!(self.out, "{text}");
    }

    pub(super) fn write(&mut self, (x, y): (f64, f64), anchor: &str, more: &str, text: &str) {
        self.put(format_args!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\"{more}>{}</text>",
            escaped(text)
        ));
    }
}

/// A count as a number to reckon with.
pub(super) fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

pub(super) fn widest<'a>(texts: impl Iterator<Item = &'a str>) -> f64 {
    texts.map(|t| width(t, SIZE)).fold(0.0, f64::max)
}

/// Every one, or every second, third … of them in a row: as many as stand clear of each other. `span` is the left and right end of one.
pub(super) fn clear<T>(all: &[T], span: impl Fn(&T) -> (f64, f64)) -> Vec<&T> {
    for every in 1..all.len() {
        let some: Vec<&T> = all.iter().step_by(every).collect();
        if some.windows(2).all(|w| span(w[1]).0 - span(w[0]).1 >= 6.0) {
            return some;
        }
    }
    all.iter().take(1).collect()
}

pub(super) fn dashes(dash: &str) -> String {
    if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") }
}

/// A mark of the line's own.
pub(super) fn mark(k: usize, (x, y): (f64, f64), ink: &str) -> String {
    match k % 4 {
        0 => format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3.6\" fill=\"{ink}\"/>"),
        1 => format!(
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"7\" height=\"7\" fill=\"#fff\" stroke=\"{ink}\" stroke-width=\"1.8\"/>",
            x - 3.5,
            y - 3.5
        ),
        2 => format!("<path d=\"M{x:.1} {:.1}l4.6 8.4h-9.2z\" fill=\"{ink}\"/>", y - 4.8),
        _ => format!(
            "<path d=\"M{x:.1} {:.1}l4.6 4.6-4.6 4.6-4.6-4.6z\" fill=\"#fff\" stroke=\"{ink}\"/>",
            y - 4.6
        ),
    }
}

/// The paper of a chart: its title above, its notes below, and what the pen draws between them.
pub(super) struct Sheet<'a> {
    title: &'a str,
    head: Vec<String>,
    /// How wide the paper is.
    pub(super) paper: f64,
    /// Whether there is room beside a chart for the names in it.
    pub(super) wide: bool,
    /// Where the title ends.
    pub(super) top: f64,
    pub(super) pen: Pen,
}

impl<'a> Sheet<'a> {
    pub(super) fn new(title: &'a str, paper: Width) -> Self {
        let paper = match paper {
            Width::Page => 760.0,
            Width::Phone => 390.0,
        };
        let head = lines(title, TITLE, paper - 24.0);
        let top = 12.0 + count(head.len()) * STEP;
        Self { title, head, paper, wide: paper > 500.0, top, pen: Pen::default() }
    }

    /// Sentences under all that is drawn; gives back the lowest base line.
    fn notes(&mut self, notes: &[String], mut low: f64) -> f64 {
        for text in notes.iter().flat_map(|note| lines(note, SIZE, self.paper - 24.0)) {
            low += STEP;
            self.pen.write((12.0, low), "start", " fill=\"#333\"", &text);
        }
        low
    }

    /// The finished file; `low` is the lowest base line or edge of what was drawn.
    pub(super) fn finish(mut self, notes: &[String], low: f64) -> String {
        let (paper, height) = (self.paper, self.notes(notes, low) + 12.0);
        let mut head = Pen::default();
        for (k, text) in self.head.iter().enumerate() {
            head.write(
                (12.0, 9.0 + count(k + 1) * STEP),
                "start",
                &format!(" font-size=\"{TITLE}\" font-weight=\"bold\""),
                text,
            );
        }
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {paper:.0} {height:.0}\" width=\"{paper:.0}\" height=\"{height:.0}\" font-family=\"Helvetica, Arial, 'DejaVu Sans', sans-serif\" font-size=\"{SIZE}\" fill=\"#111\" role=\"img\">\n<title>{}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n{}{}</svg>\n",
            escaped(self.title),
            head.out,
            self.pen.out
        )
    }
}
