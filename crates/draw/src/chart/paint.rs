//! A chart put on paper: what stands where, then the SVG.

use super::axis::{Mark, Ruled};
use super::labels::apart;
use super::{Along, Chart, Line, Width};
use crate::text::{escaped, lines, shortened, width};
use std::fmt::Write as _;

const SIZE: f64 = 13.0;
const TITLE: f64 = 15.0;
/// Between base lines.
const STEP: f64 = 17.0;
/// Ink and dash of each line in turn. Ink is dark enough for 4.5:1 on white and differs in grey; the dash tells apart without it.
const STYLES: [(&str, &str); 6] = [
    ("#111111", ""),
    ("#0b5fa5", "8 4"),
    ("#a33b00", "2 3"),
    ("#00684f", "11 3 2 3"),
    ("#6b3a8f", "5 2"),
    ("#5c5c5c", "14 4"),
];
/// Lines of more points than this carry no marks, and a cloud of more is drawn in dots.
const MOST_MARKS: usize = 24;

/// The field that is drawn in, and the width of the paper.
struct Field {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    paper: f64,
}

struct Pen {
    out: String,
}

impl Pen {
    fn put(&mut self, text: std::fmt::Arguments<'_>) {
        // Writing to a string does not fail.
        let _ = writeln!(self.out, "{text}");
    }

    fn write(&mut self, (x, y): (f64, f64), anchor: &str, more: &str, text: &str) {
        self.put(format_args!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\"{more}>{}</text>",
            escaped(text)
        ));
    }
}

fn widest<'a>(texts: impl Iterator<Item = &'a str>) -> f64 {
    texts.map(|t| width(t, SIZE)).fold(0.0, f64::max)
}

pub(super) fn svg(chart: &Chart, paper: Width) -> String {
    let (paper, tall, wanted) = match paper {
        Width::Page => (760.0, 320.0, 8),
        Width::Phone => (390.0, 260.0, 4),
    };
    let beside = paper > 500.0;
    let drawn =
        || chart.lines.iter().flat_map(|l| &l.points).filter(|p| chart.x.shows(p.0) && chart.y.shows(p.1));
    let ruled = |along: Along| chart.limits.iter().filter(move |l| l.along == along).map(|l| l.at);
    let x = chart.x.ruled(drawn().map(|p| p.0).chain(ruled(Along::X)), wanted);
    let y = chart.y.ruled(drawn().map(|p| p.1).chain(ruled(Along::Y)), 6);

    let title = lines(&chart.title, TITLE, paper - 24.0);
    let column = if beside && !chart.lines.is_empty() { 190.0 } else { 8.0 };
    let far = widest(y.other.iter().map(|m| m.text.as_str()));
    let rows = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX)) * STEP;
    let left = 16.0 + widest(y.marks.iter().map(|m| m.text.as_str()));
    let top = 12.0 + rows(title.len()) + 26.0 + if x.other.is_empty() { 0.0 } else { STEP };
    let field = Field {
        left,
        right: paper - column - if far > 0.0 { far + 12.0 } else { 10.0 },
        top,
        bottom: top + tall,
        paper,
    };
    let mut pen = Pen { out: String::new() };
    axes(&mut pen, chart, &field, (&x, &y));
    limits(&mut pen, chart, &field, (&x, &y));
    let ends: Vec<Option<f64>> =
        chart.lines.iter().enumerate().map(|(k, l)| line(&mut pen, &field, (&x, &y), k, l)).collect();
    let mut low = field.bottom + 2.0 * STEP + 6.0;
    if beside {
        low = low.max(names_beside(&mut pen, chart, &field, &ends, far));
    } else {
        low = names_under(&mut pen, chart, &field, low);
    }
    for note in &chart.notes {
        for text in lines(note, SIZE, paper - 24.0) {
            low += STEP;
            pen.write((12.0, low), "start", " fill=\"#333\"", &text);
        }
    }
    let height = low + 12.0;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {paper:.0} {height:.0}\" width=\"{paper:.0}\" height=\"{height:.0}\" font-family=\"Helvetica, Arial, 'DejaVu Sans', sans-serif\" font-size=\"{SIZE}\" fill=\"#111\" role=\"img\">\n<title>{}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n",
        escaped(&chart.title)
    );
    let mut head = Pen { out: String::new() };
    for (k, text) in title.iter().enumerate() {
        head.write(
            (12.0, 9.0 + rows(k + 1)),
            "start",
            &format!(" font-size=\"{TITLE}\" font-weight=\"bold\""),
            text,
        );
    }
    out.push_str(&head.out);
    out.push_str(&pen.out);
    out.push_str("</svg>\n");
    out
}

impl Field {
    fn across(&self, x: &Ruled, si: f64) -> f64 {
        self.left + x.share(si) * (self.right - self.left)
    }

    fn up(&self, y: &Ruled, si: f64) -> f64 {
        self.bottom - y.share(si) * (self.bottom - self.top)
    }
}

/// Every mark, or every second, third … of them: as many as stand clear of each other.
fn spaced<'a>(marks: &'a [Mark], x: &Ruled, f: &Field) -> Vec<&'a Mark> {
    let on_paper = |m: &&Mark| {
        let (at, half) = (f.across(x, m.si), width(&m.text, SIZE) / 2.0);
        at - half >= 2.0 && at + half <= f.paper - 2.0
    };
    let marks: Vec<&Mark> = marks.iter().filter(on_paper).collect();
    for every in 1..marks.len() {
        let some: Vec<&Mark> = marks.iter().step_by(every).copied().collect();
        let clear = some.windows(2).all(|w| {
            let gap = f.across(x, w[1].si) - f.across(x, w[0].si);
            gap >= f64::midpoint(width(&w[0].text, SIZE), width(&w[1].text, SIZE)) + 6.0
        });
        if clear {
            return some;
        }
    }
    marks.into_iter().take(1).collect()
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
        pen.write((r + 8.0, over), "start", " fill=\"#444\"", text);
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
    let halo = " stroke=\"#fff\" stroke-width=\"4\" paint-order=\"stroke\" stroke-linejoin=\"round\"";
    let room = f.right - f.left - 12.0;
    let short = |text: &str| shortened(text, SIZE, room);
    let level: Vec<_> = chart.limits.iter().filter(seen).filter(|l| l.along == Along::Y).collect();
    let upright: Vec<_> = chart.limits.iter().filter(seen).filter(|l| l.along == Along::X).collect();
    // Upright names take the top rows, level ones what is left.
    let rows = f64::from(u32::try_from(upright.len()).unwrap_or(u32::MAX));
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
        pen.write((f.left + 6.0, top + 12.0), "start", halo, &short(&l.label));
    }
    let mut order: Vec<_> = upright.iter().map(|l| (f.across(x, l.at), &l.label)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (k, (at, label)) in order.iter().enumerate() {
        let text = short(label);
        let low = f.top + 12.0 + 16.0 * f64::from(u32::try_from(k).unwrap_or(u32::MAX));
        // Beside its line, on the side where it has room; pushed in where neither has.
        let long = width(&text, SIZE);
        let start = if at + 5.0 + long <= f.right { at + 5.0 } else { (at - 5.0 - long).max(f.left + 4.0) };
        pen.write((start, low), "start", halo, &text);
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
        if !(place.0.is_finite() && place.1.is_finite()) {
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

fn dashes(dash: &str) -> String {
    if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") }
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
fn names_beside(pen: &mut Pen, chart: &Chart, f: &Field, ends: &[Option<f64>], far: f64) -> f64 {
    let left = f.right + if far > 0.0 { far + 16.0 } else { 12.0 };
    let texts: Vec<Vec<String>> =
        chart.lines.iter().map(|l| lines(&l.label, SIZE, f.paper - left - 38.0)).collect();
    let tall = |n: usize| f64::from(u32::try_from(n.max(1)).unwrap_or(u32::MAX)) * STEP + 4.0;
    let wishes: Vec<(f64, f64)> =
        texts.iter().zip(ends).map(|(t, end)| (end.unwrap_or(f.bottom), tall(t.len()))).collect();
    let mut low = f.bottom;
    for (k, top) in apart(&wishes, f.top, f.bottom + STEP).into_iter().enumerate() {
        sample(pen, k, &chart.lines[k], (left, top + 11.0));
        for (row, text) in texts[k].iter().enumerate() {
            let y = top + 15.5 + STEP * f64::from(u32::try_from(row).unwrap_or(u32::MAX));
            pen.write((left + 32.0, y), "start", "", text);
            low = low.max(y);
        }
    }
    low
}

/// Names one under another below the chart.
fn names_under(pen: &mut Pen, chart: &Chart, f: &Field, mut low: f64) -> f64 {
    for (k, l) in chart.lines.iter().enumerate() {
        for (row, text) in lines(&l.label, SIZE, f.paper - 56.0).iter().enumerate() {
            low += STEP;
            if row == 0 {
                sample(pen, k, l, (12.0, low - 4.5));
            }
            pen.write((44.0, low), "start", "", text);
        }
    }
    low + 4.0
}

/// A mark of the line's own.
fn mark(k: usize, (x, y): (f64, f64), ink: &str) -> String {
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
