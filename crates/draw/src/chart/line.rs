//! Lines over an axis: what stands where, then the SVG.

use super::axis::{Mark, Ruled};
use super::labels::apart;
use super::pen::{HALO, Pen, SIZE, STEP, STYLES, Sheet, clear, count, dashes, mark, widest};
use super::trend::Band;
use super::{Along, Chart, Line, Width};
use crate::text::{lines, shortened, width};
use std::fmt::Write as _;

/// Lines of more points than this carry no marks, and a cloud of more is drawn in dots.
const MOST_MARKS: usize = 24;
/// A band is this grey.
const BAND: &str = "#dfe7ee";

/// The field that is drawn in, and the width of the paper.
struct Field {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    paper: f64,
}

pub(super) fn svg(chart: &Chart, bands: &[Band], paper: Width) -> String {
    let mut sheet = Sheet::new(&chart.title, paper);
    let (tall, wanted) = if sheet.wide { (320.0, 8) } else { (260.0, 4) };
    let drawn =
        || chart.lines.iter().flat_map(|l| &l.points).filter(|p| chart.x.shows(p.0) && chart.y.shows(p.1));
    let ruled = |along: Along| chart.limits.iter().filter(move |l| l.along == along).map(|l| l.at);
    let banded = || bands.iter().flat_map(|b| &b.points).flat_map(|p| [(p.0, p.1), (p.0, p.2)]);
    let shown = || banded().filter(|p| chart.x.shows(p.0) && chart.y.shows(p.1));
    let x = chart.x.ruled(drawn().map(|p| p.0).chain(shown().map(|p| p.0)).chain(ruled(Along::X)), wanted);
    let y = chart.y.ruled(drawn().map(|p| p.1).chain(shown().map(|p| p.1)).chain(ruled(Along::Y)), 6);

    let column = if sheet.wide && !(chart.lines.is_empty() && bands.is_empty()) { 190.0 } else { 8.0 };
    let far = widest(y.other.iter().map(|m| m.text.as_str()));
    let left = 16.0 + widest(y.marks.iter().map(|m| m.text.as_str()));
    let top = sheet.top + 26.0 + if x.other.is_empty() { 0.0 } else { STEP };
    let field = Field {
        left,
        right: sheet.paper - column - if far > 0.0 { far + 12.0 } else { 10.0 },
        top,
        bottom: top + tall,
        paper: sheet.paper,
    };
    let pen = &mut sheet.pen;
    let ends: Vec<Option<f64>> = bands.iter().map(|b| band(pen, &field, (&x, &y), b)).collect();
    axes(pen, chart, &field, (&x, &y));
    limits(pen, chart, &field, (&x, &y));
    let lines = chart.lines.iter().enumerate();
    let lines: Vec<(Name<'_>, Option<f64>)> =
        lines.map(|(k, l)| (Name::Line(k, l), line(pen, &field, (&x, &y), k, l))).collect();
    let names: Vec<_> = lines.into_iter().chain(bands.iter().map(Name::Band).zip(ends)).collect();
    let low = field.bottom + 2.0 * STEP + 6.0;
    let low = if sheet.wide {
        low.max(names_beside(pen, &names, &field, far))
    } else {
        names_under(pen, &names, &field, low)
    };
    sheet.finish(&chart.notes, low)
}

impl Field {
    fn across(&self, x: &Ruled, si: f64) -> f64 {
        self.left + x.share(si) * (self.right - self.left)
    }

    fn up(&self, y: &Ruled, si: f64) -> f64 {
        self.bottom - y.share(si) * (self.bottom - self.top)
    }
}

/// The marks that stand clear of each other and of the paper's edge.
fn spaced<'a>(marks: &'a [Mark], x: &Ruled, f: &Field) -> Vec<&'a Mark> {
    let span = |m: &&Mark| {
        let (at, half) = (f.across(x, m.si), width(&m.text, SIZE) / 2.0);
        (at - half, at + half)
    };
    let marks: Vec<&Mark> = marks.iter().filter(|m| span(m).0 >= 2.0 && span(m).1 <= f.paper - 2.0).collect();
    clear(&marks, span).into_iter().copied().collect()
}

/// Grid, marks of both systems and the axes' names.
fn axes(pen: &mut Pen, chart: &Chart, f: &Field, (x, y): (&Ruled, &Ruled)) {
    let (l, r, t, b) = (f.left, f.right, f.top, f.bottom);
    for m in spaced(&x.marks, x, f) {
        let at = f.across(x, m.si);
        pen.put(format_args!("<path d=\"M{at:.1} {t:.1}V{b:.1}\" stroke=\"#e2e2e2\"/>"));
        pen.write((at, b + STEP), "middle", "", &m.text);
    }
    for m in &y.marks {
        let at = f.up(y, m.si);
        pen.put(format_args!("<path d=\"M{l:.1} {at:.1}H{r:.1}\" stroke=\"#e2e2e2\"/>"));
        pen.write((l - 7.0, at + 4.5), "end", "", &m.text);
    }
    for m in spaced(&x.other, x, f) {
        let at = f.across(x, m.si);
        pen.put(format_args!("<path d=\"M{at:.1} {t:.1}v-5\" stroke=\"#111\"/>"));
        pen.write((at, t - 8.0), "middle", " fill=\"#444\"", &m.text);
    }
    for m in &y.other {
        let at = f.up(y, m.si);
        pen.put(format_args!("<path d=\"M{r:.1} {at:.1}h5\" stroke=\"#111\"/>"));
        pen.write((r + 8.0, at + 4.5), "start", " fill=\"#444\"", &m.text);
    }
    let far_side = if y.other.is_empty() { String::new() } else { format!("M{r:.1} {t:.1}V{b:.1}") };
    let far_top = if x.other.is_empty() { String::new() } else { format!("M{l:.1} {t:.1}H{r:.1}") };
    pen.put(format_args!(
        "<path d=\"M{l:.1} {t:.1}V{b:.1}H{r:.1}{far_side}{far_top}\" fill=\"none\" stroke=\"#111\"/>"
    ));
    let over = t - 10.0 - if x.other.is_empty() { 0.0 } else { STEP };
    pen.write((12.0, over), "start", "", &chart.y.words());
    if let (Some(text), false) = (chart.y.other_words(), y.other.is_empty()) {
        let at = (r + 8.0).min(f.paper - 4.0 - width(text, SIZE));
        pen.write((at, over), "start", " fill=\"#444\"", text);
    }
    if let (Some(text), false) = (chart.x.other_words(), x.other.is_empty()) {
        pen.write((r - 2.0, over), "end", " fill=\"#444\"", &format!("{text} above"));
    }
    pen.write((f64::midpoint(l, r), b + 2.0 * STEP), "middle", "", &chart.x.words());
}

/// Ruled lines with their names on them, level ones at the left, upright ones one under another from the top.
fn limits(pen: &mut Pen, chart: &Chart, f: &Field, (x, y): (&Ruled, &Ruled)) {
    let seen = |l: &&super::Limit| match l.along {
        Along::X => chart.x.shows(l.at),
        Along::Y => chart.y.shows(l.at),
    };
    let room = f.right - f.left - 12.0;
    let short = |text: &str| shortened(text, SIZE, room);
    let level: Vec<_> = chart.limits.iter().filter(seen).filter(|l| l.along == Along::Y).collect();
    let upright: Vec<_> = chart.limits.iter().filter(seen).filter(|l| l.along == Along::X).collect();
    // Upright names take the top rows, level ones what is left.
    let rows = count(upright.len());
    let wishes: Vec<(f64, f64)> = level.iter().map(|l| (f.up(y, l.at) - 8.0, 16.0)).collect();
    let places = apart(&wishes, f.top + rows * 16.0, f.bottom);
    for l in &level {
        let at = f.up(y, l.at);
        pen.put(format_args!(
            "<path d=\"M{:.1} {at:.1}H{:.1}\" stroke=\"#111\" stroke-width=\"1.2\" stroke-dasharray=\"1 3\"/>",
            f.left, f.right
        ));
    }
    for l in &upright {
        let at = f.across(x, l.at);
        pen.put(format_args!(
            "<path d=\"M{at:.1} {:.1}V{:.1}\" stroke=\"#111\" stroke-width=\"1.2\" stroke-dasharray=\"1 3\"/>",
            f.top, f.bottom
        ));
    }
    for (l, top) in level.iter().zip(places) {
        pen.write((f.left + 6.0, top + 12.0), "start", HALO, &short(&l.label));
    }
    let mut order: Vec<_> = upright.iter().map(|l| (f.across(x, l.at), &l.label)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (k, (at, label)) in order.iter().enumerate() {
        let text = short(label);
        let low = f.top + 12.0 + 16.0 * count(k);
        // Beside its line, on the side where it has room; pushed in where neither has.
        let long = width(&text, SIZE);
        let start = if at + 5.0 + long <= f.right { at + 5.0 } else { (at - 5.0 - long).max(f.left + 4.0) };
        pen.write((start, low), "start", HALO, &text);
    }
}

/// One line; gives back how high it ends.
fn line(pen: &mut Pen, f: &Field, (x, y): (&Ruled, &Ruled), k: usize, line: &Line) -> Option<f64> {
    let (ink, dash) = STYLES[k % STYLES.len()];
    let mut path = String::new();
    let mut down = false;
    let mut at = Vec::new();
    for &(px, py) in &line.points {
        let place = (f.across(x, px), f.up(y, py));
        if !(x.holds(px) && y.holds(py)) {
            down = false;
            continue;
        }
        let command = if line.dots || !down { 'M' } else { 'L' };
        let _ = write!(path, "{command}{:.1} {:.1}{}", place.0, place.1, if line.dots { "h0" } else { "" });
        down = true;
        at.push(place);
    }
    let few = at.len() <= MOST_MARKS;
    if line.dots && !few {
        pen.put(format_args!(
            "<path d=\"{path}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"3\" stroke-linecap=\"round\"/>"
        ));
    } else if !line.dots {
        pen.put(format_args!(
            "<path d=\"{path}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"2\" stroke-linejoin=\"round\"{}/>",
            dashes(dash)
        ));
    }
    if few {
        for place in &at {
            pen.put(format_args!("{}", mark(k, *place, ink)));
        }
    }
    at.last().map(|p| p.1)
}

/// A band's fill and borders; gives back how high it ends.
fn band(pen: &mut Pen, f: &Field, (x, y): (&Ruled, &Ruled), band: &Band) -> Option<f64> {
    let mut end = None;
    let on = |p: &(f64, f64, f64)| x.holds(p.0) && y.holds(p.1) && y.holds(p.2);
    for piece in band.points.split(|p| !on(p)).filter(|p| p.len() > 1) {
        let at = |(t, v): (f64, f64)| format!("{:.1} {:.1}", f.across(x, t), f.up(y, v));
        let over: Vec<String> = piece.iter().map(|p| at((p.0, p.2))).collect();
        let under: Vec<String> = piece.iter().rev().map(|p| at((p.0, p.1))).collect();
        let (over, under) = (over.join("L"), under.join("L"));
        pen.put(format_args!(
            "<path d=\"M{over}L{under}Z\" fill=\"{BAND}\"/><path d=\"M{over}M{under}\" fill=\"none\" stroke=\"#5c5c5c\" stroke-dasharray=\"1 2\"/>"
        ));
        end = piece.last().map(|p| f.up(y, f64::midpoint(p.1, p.2)));
    }
    end
}

/// What a name stands for.
enum Name<'a> {
    Line(usize, &'a Line),
    Band(&'a Band),
}

impl Name<'_> {
    fn text(&self) -> &str {
        match self {
            Self::Line(_, l) => &l.label,
            Self::Band(b) => &b.label,
        }
    }

    /// How it looks, before its name.
    fn sample(&self, pen: &mut Pen, (px, py): (f64, f64)) {
        match self {
            Self::Line(k, l) => sample(pen, *k, l, (px, py)),
            Self::Band(_) => pen.put(format_args!(
                "<rect x=\"{px:.1}\" y=\"{:.1}\" width=\"24\" height=\"10\" fill=\"{BAND}\" stroke=\"#5c5c5c\" stroke-dasharray=\"1 2\"/>",
                py - 5.0
            )),
        }
    }
}

/// How a line looks, in a stroke of its own before its name.
fn sample(pen: &mut Pen, k: usize, line: &Line, (px, py): (f64, f64)) {
    let (ink, dash) = STYLES[k % STYLES.len()];
    let few = line.points.len() <= MOST_MARKS;
    if line.dots && !few {
        pen.put(format_args!(
            "<path d=\"M{px:.1} {py:.1}m4 0h0m8 0h0m8 0h0\" stroke=\"{ink}\" stroke-width=\"3\" stroke-linecap=\"round\"/>"
        ));
        return;
    }
    if !line.dots {
        pen.put(format_args!(
            "<path d=\"M{px:.1} {py:.1}h24\" stroke=\"{ink}\" stroke-width=\"2\"{}/>",
            dashes(dash)
        ));
    }
    if few {
        pen.put(format_args!("{}", mark(k, (px + 12.0, py), ink)));
    }
}

/// Names in a column at the right, each as near the end of its line as the others let it; gives back the lowest place used.
fn names_beside(pen: &mut Pen, names: &[(Name<'_>, Option<f64>)], f: &Field, far: f64) -> f64 {
    let left = f.right + if far > 0.0 { far + 16.0 } else { 12.0 };
    let texts: Vec<Vec<String>> =
        names.iter().map(|(n, _)| lines(n.text(), SIZE, f.paper - left - 38.0)).collect();
    let tall = |n: usize| count(n.max(1)) * STEP + 4.0;
    let wishes: Vec<(f64, f64)> =
        texts.iter().zip(names).map(|(t, (_, end))| (end.unwrap_or(f.bottom), tall(t.len()))).collect();
    let mut low = f.bottom;
    for (k, top) in apart(&wishes, f.top, f.bottom + STEP).into_iter().enumerate() {
        names[k].0.sample(pen, (left, top + 11.0));
        for (row, text) in texts[k].iter().enumerate() {
            let y = top + 15.5 + STEP * count(row);
            pen.write((left + 32.0, y), "start", "", text);
            low = low.max(y);
        }
    }
    low
}

/// Names one under another below the chart.
fn names_under(pen: &mut Pen, names: &[(Name<'_>, Option<f64>)], f: &Field, mut low: f64) -> f64 {
    for (name, _) in names {
        for (row, text) in lines(name.text(), SIZE, f.paper - 56.0).iter().enumerate() {
            low += STEP;
            if row == 0 {
                name.sample(pen, (12.0, low - 4.5));
            }
            pen.write((44.0, low), "start", "", text);
        }
    }
    low + 4.0
}
