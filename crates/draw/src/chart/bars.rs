//! Level bars: a name, a length against a ruled line, a number and a word; told apart by pattern, so that grey paper does.

use super::Width;
use super::axis::{Axis, Mark, Ruled};
use super::pen::{HALO, Pen, SIZE, STEP, Sheet, clear, widest};
use crate::text::{lines, shortened, width};
use crate::view::Word;
use std::fmt::Write as _;

/// One bar.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bar {
    /// What it is, beside its start.
    pub label: String,
    /// How long, SI; none where it is not known.
    pub value: Option<f64>,
    /// An outline that goes on to here, SI: what was there before.
    pub outline: Option<f64>,
    /// A tick across the bar, SI: where it must not end before.
    pub tick: Option<f64>,
    /// Its number as it is written, rounded to the safe side.
    pub text: String,
    /// How it came out; a bar without a word is plain.
    pub word: Option<Word>,
}

/// Bars of one thing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Group {
    /// Its name.
    pub name: String,
    /// One under another.
    pub bars: Vec<Bar>,
}

/// What the parts of a bar are, told under the chart; an empty one is left out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Key {
    /// The filled length.
    pub value: String,
    /// The outline.
    pub outline: String,
    /// The tick.
    pub tick: String,
}

/// A chart of bars.
#[derive(Clone, Debug, PartialEq)]
pub struct Bars {
    /// What is seen.
    pub title: String,
    /// What lengths are marked in; it starts at nothing.
    pub axis: Axis,
    /// Bars, from the top.
    pub groups: Vec<Group>,
    /// A ruled line, its name and where it is, SI.
    pub limit: Option<(String, f64)>,
    /// Longer bars are broken off here, SI.
    pub most: Option<f64>,
    /// What the parts of a bar are.
    pub key: Key,
    /// Sentences under the chart.
    pub notes: Vec<String>,
}

/// Names leave so much to the lengths.
const LEAST: f64 = 200.0;
/// Height of a bar.
const TALL: f64 = 12.0;

impl Word {
    /// As it is written.
    pub(super) fn text(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Close => "close",
            Self::Fails => "FAILS",
            Self::Unknown => "not checked",
        }
    }
}

/// Columns and the field of the lengths.
struct Field {
    wide: bool,
    /// Units are named beside the marks; else in rows of their own.
    aside: bool,
    /// Where names and labels start.
    name: f64,
    label: f64,
    left: f64,
    right: f64,
    /// Where the words start, behind the numbers.
    word: f64,
    /// Where the words end.
    end: f64,
    ruled: Ruled,
}

impl Field {
    fn at(&self, si: f64) -> f64 {
        let at = self.left + self.ruled.share(si) * (self.right - self.left);
        if at.is_finite() { at.clamp(self.left, self.right) } else { self.right }
    }

    /// Where the number of a bar ends.
    fn number(&self) -> f64 {
        if self.word < self.end { self.word - 10.0 } else { self.end }
    }

    /// Whether label and number of a bar need a line each.
    fn two(&self, bar: &Bar) -> bool {
        let both = width(&bar.label, SIZE) + width(&bar.text, SIZE) + 10.0;
        !self.wide && !bar.label.is_empty() && both > self.number() - self.label
    }
}

/// How wide the word of a bar is; what fails is bold.
fn word_wide(bar: &Bar) -> f64 {
    bar.word.map_or(0.0, |w| width(w.text(), if loud(bar) { SIZE * 1.1 } else { SIZE }))
}

/// Whether it must not be passed over.
fn loud(bar: &Bar) -> bool {
    matches!(bar.word, Some(Word::Fails | Word::Unknown))
}

impl Bars {
    /// The chart as an SVG file, for a width of paper.
    pub fn svg_for(&self, paper: Width) -> String {
        let mut sheet = Sheet::new(&self.title, paper);
        let field = self.field(&sheet);
        let head = self.head(&sheet, &field);
        let (rows, bottom) = self.rows(&field, head);
        let low = self.frame(&mut sheet.pen, &field, head, bottom);
        for (top, bar) in &rows {
            length(&mut sheet.pen, &field, *top, bar);
        }
        if let Some((_, at)) = self.limit.as_ref().filter(|l| l.1.is_finite()) {
            let (x, top) = (field.at(*at), head - 4.0);
            sheet.pen.put(format_args!(
                "<path d=\"M{x:.1} {top:.1}V{bottom:.1}\" stroke=\"#111\" stroke-width=\"1.8\"/>"
            ));
        }
        self.words(&mut sheet.pen, &field, &rows);
        let low = self.key(&mut sheet.pen, low, sheet.paper);
        sheet.finish(&self.notes, low)
    }

    fn bars(&self) -> impl Iterator<Item = &Bar> {
        self.groups.iter().flat_map(|g| &g.bars)
    }

    fn field(&self, sheet: &Sheet<'_>) -> Field {
        let most = self.most.filter(|m| m.is_finite() && *m > 0.0).unwrap_or(f64::INFINITY);
        let values = self
            .bars()
            .flat_map(|b| [b.value, b.outline, b.tick])
            .flatten()
            .chain(self.limit.iter().map(|l| l.1))
            .map(|v| v.min(most));
        let ruled = self.axis.ruled_lengths(values, if sheet.wide { 7 } else { 4 });
        let end = sheet.paper - 12.0;
        let texts = widest(self.bars().map(|b| b.text.as_str()));
        let word = end - self.bars().map(word_wide).fold(0.0, f64::max);
        if sheet.wide {
            let label = widest(self.bars().map(|b| b.label.as_str())).min(215.0);
            let right = word - 10.0 - texts.min(190.0) - 14.0;
            let names = widest(self.groups.iter().map(|g| g.name.as_str()));
            let name = names.min((right - LEAST - 36.0 - label).max(80.0));
            let left = 12.0 + name + 12.0 + if label > 0.0 { label + 12.0 } else { 0.0 };
            let names = [Some(self.axis.words()), self.axis.other_words().map(str::to_owned)];
            let aside = names.into_iter().flatten().all(|n| width(&n, SIZE) <= left - 24.0);
            Field { wide: true, aside, name: 12.0, label: 12.0 + name + 12.0, left, right, word, end, ruled }
        } else {
            Field {
                wide: false,
                aside: false,
                name: 12.0,
                label: 12.0,
                left: 12.0,
                right: end,
                word,
                end,
                ruled,
            }
        }
    }

    /// Where the field begins: under the marks and the name of the line.
    fn head(&self, sheet: &Sheet<'_>, f: &Field) -> f64 {
        let rows = if f.aside { 1.0 } else { 2.0 };
        sheet.top + 14.0 + rows * STEP + if self.limit.is_some() { STEP } else { 0.0 }
    }

    /// Where each bar stands, and where the last one ends.
    fn rows(&self, f: &Field, top: f64) -> (Vec<(f64, &Bar)>, f64) {
        let mut at = top + 4.0;
        let mut out = Vec::new();
        for group in &self.groups {
            if !f.wide && !group.name.is_empty() {
                at += STEP + 2.0;
            }
            for bar in &group.bars {
                at += if f.wide { 4.0 } else { STEP * if f.two(bar) { 2.0 } else { 1.0 } + 2.0 };
                out.push((at, bar));
                at += TALL + 2.0;
            }
            // An empty group still shows its name.
            at += if f.wide && group.bars.is_empty() { STEP + 6.0 } else { 7.0 };
        }
        (out, at.max(top + 20.0))
    }

    /// Marks over and under the field, its grid, its name and the name of the line; gives back where all this ends.
    fn frame(&self, pen: &mut Pen, f: &Field, top: f64, bottom: f64) -> f64 {
        let (l, r) = (f.left, f.right);
        let seen = |marks: &[Mark]| -> Vec<(f64, String)> {
            let all: Vec<(f64, f64, &Mark)> = marks
                .iter()
                .map(|m| (f.at(m.si), width(&m.text, SIZE), m))
                .filter(|(x, w, _)| x + w / 2.0 <= f.end + 8.0 && x - w / 2.0 >= 2.0)
                .collect();
            clear(&all, |(x, w, _)| (x - w / 2.0, x + w / 2.0))
                .into_iter()
                .map(|(x, _, m)| (*x, m.text.clone()))
                .collect()
        };
        for (x, text) in seen(&f.ruled.marks) {
            pen.put(format_args!("<path d=\"M{x:.1} {top:.1}V{bottom:.1}\" stroke=\"#e2e2e2\"/>"));
            pen.write((x, top - 5.0), "middle", "", &text);
        }
        let far =
            if f.ruled.other.is_empty() { String::new() } else { format!("M{l:.1} {bottom:.1}H{r:.1}") };
        pen.put(format_args!(
            "<path d=\"M{l:.1} {:.1}V{top:.1}H{r:.1}{far}\" fill=\"none\" stroke=\"#111\"/>",
            // Names and labels stand on the line of the start where there is no column for them.
            if f.wide { bottom } else { top }
        ));
        let mut low = bottom;
        for (x, text) in seen(&f.ruled.other) {
            pen.put(format_args!("<path d=\"M{x:.1} {bottom:.1}v5\" stroke=\"#111\"/>"));
            pen.write((x, bottom + STEP), "middle", " fill=\"#444\"", &text);
            low = bottom + STEP;
        }
        if let (Some(text), false) = (self.axis.other_words(), f.ruled.other.is_empty()) {
            let (x, anchor, down) = if f.aside { (l - 12.0, "end", 0.0) } else { (l, "start", STEP) };
            let text = shortened(text, SIZE, f.end - l);
            pen.write((x, bottom + STEP + down), anchor, " fill=\"#444\"", &text);
            low = bottom + STEP + down;
        }
        low += 6.0;
        let name = shortened(&self.axis.words(), SIZE, f.end - l);
        let (x, y, anchor) =
            if f.aside { (l - 12.0, top - 5.0, "end") } else { (l, top - 5.0 - STEP, "start") };
        pen.write((x, y), anchor, "", &name);
        if let Some((label, at)) = self.limit.as_ref().filter(|l| l.1.is_finite()) {
            let up = top - 5.0 - if f.aside { STEP } else { 2.0 * STEP };
            let text = shortened(label, SIZE, f.end - l);
            let long = width(&text, SIZE);
            let start = (f.at(*at) - long / 2.0).min(f.end - long).max(12.0);
            pen.write((start, up), "start", " font-weight=\"bold\"", &text);
        }
        low
    }

    /// Names, labels, numbers and words.
    fn words(&self, pen: &mut Pen, f: &Field, rows: &[(f64, &Bar)]) {
        let mut left = rows.iter();
        let mut below = rows.first().map_or(0.0, |r| r.0);
        for group in &self.groups {
            let here: Vec<&(f64, &Bar)> = left.by_ref().take(group.bars.len()).collect();
            let first = here.first().map_or(below, |r| r.0);
            let extra = here.first().map_or(0.0, |r| if f.two(r.1) { STEP } else { 0.0 });
            let bold = " font-weight=\"bold\"";
            if f.wide {
                // Bold letters are wider.
                let room = (f.label - 12.0 - f.name).max(20.0);
                pen.write((f.name, first + 10.5), "start", "", &shortened(&group.name, SIZE, room));
            } else if !group.name.is_empty() {
                let up = if here.is_empty() { 0.0 } else { STEP + 2.0 + extra };
                let text = shortened(&group.name, SIZE * 1.1, f.end - f.name);
                pen.write((f.name, first - 5.0 - up), "start", &format!("{bold}{HALO}"), &text);
            }
            for (top, bar) in here {
                let halo = if f.wide { "" } else { HALO };
                let (y, least) = if f.wide { (top + 10.5, f.right + 8.0) } else { (top - 4.5, f.left) };
                if let Some(word) = bar.word {
                    let more = format!("{}{halo}", if loud(bar) { bold } else { "" });
                    pen.write((f.word, y), "start", &more, word.text());
                }
                let end = f.number();
                let text = shortened(&bar.text, SIZE, end - least);
                pen.write((end, y), "end", halo, &text);
                let (to, up) = match (f.wide, f.two(bar)) {
                    (true, _) => (f.left - 10.0, 0.0),
                    (false, true) => (f.end, STEP),
                    (false, false) => (end - width(&text, SIZE) - 10.0, 0.0),
                };
                if !bar.label.is_empty() {
                    let label = shortened(&bar.label, SIZE, to - f.label);
                    pen.write((f.label, y - up), "start", halo, &label);
                }
                below = top + TALL + if f.wide { 11.0 } else { 9.0 + STEP };
            }
            if group.bars.is_empty() {
                below += if f.wide { STEP + 6.0 } else { STEP + 9.0 };
            }
        }
    }

    /// What the parts of a bar are; gives back the lowest base line.
    fn key(&self, pen: &mut Pen, mut low: f64, paper: f64) -> f64 {
        let key = &self.key;
        if [&key.value, &key.outline, &key.tick].iter().any(|t| !t.is_empty()) {
            low += 8.0;
        }
        for (k, text) in [&key.value, &key.outline, &key.tick].into_iter().enumerate() {
            if text.is_empty() {
                continue;
            }
            low += STEP;
            let top = low - 10.5;
            match k {
                0 => fill(pen, (12.0, 38.0), top, None),
                1 => outline(pen, (12.0, 38.0), top),
                _ => tick(pen, 25.0, top),
            }
            for (row, text) in lines(text, SIZE, paper - 58.0).iter().enumerate() {
                low += if row > 0 { STEP } else { 0.0 };
                pen.write((46.0, low), "start", "", text);
            }
        }
        low + 6.0
    }
}

/// One bar: its outline, its filled length, its tick.
fn length(pen: &mut Pen, f: &Field, top: f64, bar: &Bar) {
    let known = |v: Option<f64>| v.filter(|v| !v.is_nan()).map(|v| f.at(v.max(0.0)));
    let (value, before) = (known(bar.value), known(bar.outline));
    if !f.wide {
        let (t, b) = (top - 2.0, top + TALL + 2.0);
        pen.put(format_args!("<path d=\"M{:.1} {t:.1}V{b:.1}\" stroke=\"#111\"/>", f.left));
    }
    if let Some(x) = before {
        outline(pen, (f.left, x), top);
    }
    if let Some(x) = value {
        fill(pen, (f.left, x), top, bar.word);
        if bar.value.is_some_and(|v| f.ruled.share(v) > 1.0 + 1e-9) {
            // Broken off: two white cuts.
            let (b, t) = (top + TALL + 1.0, top - 1.0);
            pen.put(format_args!(
                "<path d=\"M{:.1} {b:.1}L{:.1} {t:.1}M{:.1} {b:.1}L{:.1} {t:.1}\" stroke=\"#fff\" stroke-width=\"2.5\"/>",
                x - 18.0,
                x - 12.0,
                x - 12.0,
                x - 6.0
            ));
        }
    } else if bar.word == Some(Word::Unknown) {
        pen.put(format_args!(
            "<rect x=\"{:.1}\" y=\"{top:.1}\" width=\"{:.1}\" height=\"{TALL}\" fill=\"none\" stroke=\"#5c5c5c\" stroke-dasharray=\"2 3\"/>",
            f.left,
            f.right - f.left
        ));
    }
    if let Some(x) = known(bar.tick) {
        tick(pen, x, top);
    }
}

fn outline(pen: &mut Pen, (l, r): (f64, f64), top: f64) {
    pen.put(format_args!(
        "<rect x=\"{l:.1}\" y=\"{top:.1}\" width=\"{:.1}\" height=\"{TALL}\" fill=\"#fff\" stroke=\"#111\"/>",
        (r - l).max(0.0)
    ));
}

fn tick(pen: &mut Pen, x: f64, top: f64) {
    let (t, b) = (top - 2.5, top + TALL + 2.5);
    pen.put(format_args!(
        "<path d=\"M{x:.1} {t:.1}V{b:.1}\" stroke=\"#fff\" stroke-width=\"6\"/><path d=\"M{x:.1} {t:.1}V{b:.1}\" stroke=\"#111\" stroke-width=\"3\"/>"
    ));
}

/// A filled length: plain holds, slanted strokes are close, crossed ones on dark fail.
fn fill(pen: &mut Pen, (l, r): (f64, f64), top: f64, word: Option<Word>) {
    let (paper, strokes) = match word {
        Some(Word::Fails) => ("#8c2d04", Some(("#fff", true))),
        Some(Word::Close) => ("#fff", Some(("#0b4f8a", false))),
        Some(Word::Holds | Word::Unknown) | None => ("#9dbdd9", None),
    };
    let (wide, b) = ((r - l).max(0.0), top + TALL);
    pen.put(format_args!(
        "<rect class=\"length\" x=\"{l:.1}\" y=\"{top:.1}\" width=\"{wide:.1}\" height=\"{TALL}\" fill=\"{paper}\" stroke=\"#111\"/>"
    ));
    let Some((ink, crossed)) = strokes else { return };
    // Slanted strokes, each cut where it leaves the bar.
    let mut path = String::new();
    let mut x = l - TALL + 4.0;
    while x < r {
        let (from, to) = (x.max(l), (x + TALL).min(r));
        if to > from {
            let _ = write!(path, "M{from:.1} {:.1}L{to:.1} {:.1}", b - (from - x), b - (to - x));
            if crossed {
                let _ = write!(path, "M{from:.1} {:.1}L{to:.1} {:.1}", top + (from - x), top + (to - x));
            }
        }
        x += 7.0;
    }
    if !path.is_empty() {
        pen.put(format_args!("<path d=\"{path}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"1.6\"/>"));
    }
}
