//! A dial around the car, seen from above: how long each sector is, by where something points. Forward is up, left is left.

use super::Width;
use super::axis::{Axis, Ruled};
use super::pen::{HALO, Pen, SIZE, STEP, STYLES, Sheet, clear, count};
use crate::text::{lines, shortened, width};
use core::f64::consts::{FRAC_PI_2, PI, TAU};
use std::fmt::Write as _;

/// What is allowed in one sector.
#[derive(Clone, Debug, PartialEq)]
pub struct Sector {
    /// Its right end, rad, left of straight ahead positive.
    pub from: f64,
    /// Its left end.
    pub to: f64,
    /// Its name, at the rim.
    pub name: String,
    /// How long, SI; none where nothing is allowed.
    pub value: Option<f64>,
    /// Its number as it is written, rounded to the safe side.
    pub text: String,
}

/// One dial.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Dial {
    /// What it is of.
    pub name: String,
    /// Its sectors.
    pub sectors: Vec<Sector>,
    /// A sentence under it.
    pub note: String,
}

/// Dials that share their rings.
#[derive(Clone, Debug, PartialEq)]
pub struct Sectors {
    /// What is seen.
    pub title: String,
    /// What lengths are marked in; they start at nothing.
    pub axis: Axis,
    /// One or more.
    pub dials: Vec<Dial>,
    /// A ring that means something, its name and where it is, SI.
    pub limit: Option<(String, f64)>,
    /// What a hatched sector says.
    pub nothing: String,
    /// Sentences under the chart.
    pub notes: Vec<String>,
}

/// Radius of the ring that the car stands in, where lengths start.
const HUB: f64 = 34.0;
/// Sectors that are no wider than this have thin borders, and numbers at their ends alone, rad.
const NARROW: f64 = 0.2;
/// Room around the rim for names.
const RIM: f64 = 34.0;

/// A dial's place on the paper.
struct Face<'a> {
    x: f64,
    y: f64,
    rim: f64,
    paper: f64,
    ruled: &'a Ruled,
}

impl Face<'_> {
    /// Radius of a value.
    fn radius(&self, si: f64) -> f64 {
        let share = self.ruled.share(si.max(0.0));
        HUB + if share.is_finite() { share.clamp(0.0, 1.0) } else { 1.0 } * (self.rim - HUB)
    }

    /// A place by radius and bearing.
    fn at(&self, radius: f64, bearing: f64) -> (f64, f64) {
        (self.x - radius * bearing.sin(), self.y - radius * bearing.cos())
    }
}

/// Boxes that texts have taken: left, right, top, bottom; on a paper of a width.
struct Taken(Vec<[f64; 4]>, f64);

impl Taken {
    /// Takes a box around a middle if it is free.
    fn take(&mut self, (x, y): (f64, f64), (wide, tall): (f64, f64)) -> bool {
        let b = [x - wide / 2.0, x + wide / 2.0, y - tall / 2.0, y + tall / 2.0];
        let free = b[0] >= 2.0
            && b[1] <= self.1 - 2.0
            && self.0.iter().all(|t| b[1] <= t[0] || b[0] >= t[1] || b[3] <= t[2] || b[2] >= t[3]);
        if free {
            self.0.push(b);
        }
        free
    }
}

impl Sectors {
    /// The chart as an SVG file, for a width of paper.
    pub fn svg_for(&self, paper: Width) -> String {
        let mut sheet = Sheet::new(&self.title, paper);
        let most = self.dials.iter().flat_map(|d| &d.sectors).filter_map(|s| s.value);
        let ruled = self.axis.ruled_lengths(most.chain(self.limit.iter().map(|l| l.1)), 6);
        let abreast = if sheet.wide { self.dials.len().clamp(1, 2) } else { 1 };
        let wide = (sheet.paper - 24.0) / count(abreast);
        let rim = wide.min(400.0) / 2.0 - RIM - 4.0;
        let mut low = sheet.top + 4.0;
        for row in self.dials.chunks(abreast) {
            let mut end = low;
            for (k, dial) in row.iter().enumerate() {
                let left = 12.0 + count(k) * wide;
                let face = Face {
                    x: left + wide / 2.0,
                    y: low + 26.0 + RIM + rim,
                    rim,
                    paper: sheet.paper,
                    ruled: &ruled,
                };
                sheet.pen.write(
                    (left, low + 15.0),
                    "start",
                    " font-weight=\"bold\"",
                    &shortened(&dial.name, SIZE * 1.1, wide - 8.0),
                );
                self.dial(&mut sheet.pen, &face, dial);
                let mut under = face.y + rim + 22.0;
                for text in lines(&dial.note, SIZE, wide - 16.0) {
                    under += STEP;
                    sheet.pen.write((left, under), "start", "", &text);
                }
                end = end.max(under);
            }
            low = end + 14.0;
        }
        let low = self.key(&mut sheet.pen, &ruled, (low, rim), sheet.paper);
        sheet.finish(&self.notes, low)
    }

    fn dial(&self, pen: &mut Pen, f: &Face<'_>, dial: &Dial) {
        for m in f.ruled.marks.iter().filter(|m| m.si > 0.0) {
            ring(pen, f, f.radius(m.si), " stroke=\"#c4c4c4\"");
        }
        for s in &dial.sectors {
            sector(pen, f, s);
        }
        ring(pen, f, HUB, " stroke=\"#111\"");
        if let Some((_, at)) = self.limit.as_ref().filter(|l| l.1.is_finite() && l.1 > 0.0) {
            ring(pen, f, f.radius(*at), " stroke=\"#a33b00\" stroke-width=\"2\" stroke-dasharray=\"7 4\"");
        }
        car(pen, f);
        Self::words(pen, f, dial);
    }

    /// Names at the rim, numbers in the sectors, marks on the rings: the least number first; what finds no room is left out.
    fn words(pen: &mut Pen, f: &Face<'_>, dial: &Dial) {
        let mut taken = Taken(Vec::new(), f.paper);
        let middle = |s: &Sector| f64::midpoint(s.from, s.to);
        let mut names: Vec<&Sector> =
            dial.sectors.iter().filter(|s| s.from.is_finite() && s.to.is_finite()).collect();
        // Quarter hours of the dial first: ahead, left, behind, right.
        names.sort_by_key(|s| {
            let quarters = middle(s) / FRAC_PI_2;
            u8::from((quarters - quarters.round()).abs() > 1e-6)
        });
        for s in names {
            let text = shortened(&s.name, SIZE, 2.0 * RIM);
            let wide = width(&text, SIZE);
            let (x, y) = f.at(f.rim + 4.0, middle(s));
            // Pushed out from the rim by half its own size.
            let (side, up) = (middle(s).sin(), middle(s).cos());
            let p = (x - side * wide / 2.0, y - up * 9.0);
            if taken.take(p, (wide + 6.0, 15.0)) {
                pen.write((p.0, p.1 + 4.7), "middle", " fill=\"#444\"", &text);
            }
        }
        let mut order: Vec<&Sector> =
            dial.sectors.iter().filter(|s| s.from.is_finite() && s.to.is_finite()).collect();
        let long = |s: &Sector| s.value.map_or(-1.0, |v| if v.is_nan() { -1.0 } else { v });
        order.sort_by(|a, b| long(a).total_cmp(&long(b)));
        for s in order {
            let (text, end) = match s.value {
                Some(v) => (s.text.as_str(), f.radius(v)),
                None => ("none", f.rim),
            };
            let text = shortened(text, SIZE, 70.0);
            // Narrow letters: a number is digits, a point and a sign.
            let size = (width(&text, SIZE) + 2.0, 15.0);
            // As far in from its own end as half its size asks.
            let (side, up) = (middle(s).sin().abs(), middle(s).cos().abs());
            let inside = (end - 5.0 - side * size.0 / 2.0 - up * 9.0).max(HUB + 30.0);
            // Aside from its own end only where it is clear whose it is.
            let aside = if s.to - s.from > NARROW { 22.0 } else { 0.0 };
            let tries = [inside, inside + aside, inside - aside, inside + 2.0 * aside, inside - 2.0 * aside];
            let place = tries
                .into_iter()
                .filter(|r| *r >= HUB + 14.0 && *r <= f.rim - 6.0)
                .map(|r| f.at(r, middle(s)))
                .find(|p| taken.take(*p, size));
            if let Some((x, y)) = place {
                pen.write((x, y + 4.7), "middle", HALO, &text);
            }
        }
        // Marks along one border, where no number stands; the ruler has them all.
        for m in f.ruled.marks.iter().filter(|m| m.si > 0.0) {
            let ray = dial.sectors.first().map_or(0.0, |s| s.from);
            let size = (width(&m.text, SIZE) + 2.0, 14.0);
            let (x, y) = f.at(f.radius(m.si), ray);
            if taken.take((x, y), size) {
                let more = format!(" fill=\"#444\" font-style=\"italic\"{HALO}");
                pen.write((x, y + 4.7), "middle", &more, &m.text);
            }
        }
    }

    /// A ruler of the rings in both units, the ring that means something, the hatch; gives back the lowest base line.
    fn key(&self, pen: &mut Pen, ruled: &Ruled, (top, rim): (f64, f64), paper: f64) -> f64 {
        let mut low = top + 6.0;
        let left = 24.0;
        let right = left + (rim - HUB).max(60.0) * if paper > 500.0 { 1.0 } else { 1.2 };
        let at = |si: f64| left + ruled.share(si) * (right - left);
        let last = ruled.marks.last().map_or(0.0, |m| width(&m.text, SIZE) / 2.0);
        let free = right + 12.0 + last.max(12.0);
        low += STEP;
        for m in clear(&ruled.marks, |m| {
            let half = width(&m.text, SIZE) / 2.0;
            (at(m.si) - half, at(m.si) + half)
        }) {
            pen.put(format_args!("<path d=\"M{:.1} {:.1}v-5\" stroke=\"#111\"/>", at(m.si), low + 9.0));
            pen.write((at(m.si), low), "middle", "", &m.text);
        }
        pen.write((free, low), "start", "", &shortened(&self.axis.words(), SIZE, paper - 12.0 - free));
        let rule = low + 9.0;
        pen.put(format_args!("<path d=\"M{left:.1} {rule:.1}H{right:.1}\" stroke=\"#111\"/>"));
        if !ruled.other.is_empty() {
            low = rule + STEP + 1.0;
            let inside: Vec<_> = ruled.other.iter().filter(|m| at(m.si) <= right + 0.1).collect();
            for m in clear(&inside, |m| {
                let half = width(&m.text, SIZE) / 2.0;
                (at(m.si) - half, at(m.si) + half)
            }) {
                pen.put(format_args!("<path d=\"M{:.1} {rule:.1}v5\" stroke=\"#111\"/>", at(m.si)));
                pen.write((at(m.si), low), "middle", " fill=\"#444\"", &m.text);
            }
            let other = self.axis.other_words().unwrap_or_default();
            pen.write((free, low), "start", " fill=\"#444\"", &shortened(other, SIZE, paper - 12.0 - free));
        }
        low = low.max(rule) + 6.0;
        if let Some((label, _)) = self.limit.as_ref().filter(|l| l.1.is_finite() && l.1 > 0.0) {
            low += STEP;
            pen.put(format_args!(
                "<path d=\"M12 {:.1}h28\" stroke=\"#a33b00\" stroke-width=\"2\" stroke-dasharray=\"7 4\"/>",
                low - 4.5
            ));
            pen.write((48.0, low), "start", "", &shortened(label, SIZE, paper - 60.0));
        }
        if self.dials.iter().flat_map(|d| &d.sectors).any(|s| s.value.is_none()) {
            low += STEP;
            let mut path = String::new();
            for k in 0..5 {
                let _ = write!(path, "M{:.1} {:.1}l10 -10", 12.0 + 5.0 * f64::from(k), low);
            }
            pen.put(format_args!("<path d=\"{path}\" stroke=\"#5c5c5c\"/>"));
            pen.write((48.0, low), "start", "", &shortened(&self.nothing, SIZE, paper - 60.0));
        }
        low + 6.0
    }
}

fn ring(pen: &mut Pen, f: &Face<'_>, radius: f64, more: &str) {
    pen.put(format_args!(
        "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"{radius:.1}\" fill=\"none\"{more}/>",
        f.x, f.y
    ));
}

/// The outline of a ring's sector between two radii.
fn outline(f: &Face<'_>, (from, to): (f64, f64), (near, far): (f64, f64)) -> String {
    if to - from > TAU - 1e-6 {
        // All round: two half turns each way.
        let circle = |r: f64| {
            let (x, y) = (f.x, f.y);
            format!(
                "M{x:.1} {:.1}A{r:.1} {r:.1} 0 1 0 {x:.1} {:.1}A{r:.1} {r:.1} 0 1 0 {x:.1} {:.1}Z",
                y - r,
                y + r,
                y - r
            )
        };
        return format!("{}{}", circle(near), circle(far));
    }
    let large = u8::from(to - from > PI);
    let [a, b, c, d] = [f.at(near, from), f.at(far, from), f.at(far, to), f.at(near, to)];
    format!(
        "M{:.1} {:.1}L{:.1} {:.1}A{far:.1} {far:.1} 0 {large} 0 {:.1} {:.1}L{:.1} {:.1}A{near:.1} {near:.1} 0 {large} 1 {:.1} {:.1}Z",
        a.0, a.1, b.0, b.1, c.0, c.1, d.0, d.1, a.0, a.1
    )
}

fn sector(pen: &mut Pen, f: &Face<'_>, s: &Sector) {
    if !(s.from.is_finite() && s.to.is_finite() && s.to > s.from) {
        return;
    }
    let span = (s.from, s.to.min(s.from + TAU));
    let border = if s.to - s.from > NARROW { 1.2 } else { 0.5 };
    match s.value {
        Some(v) if !v.is_nan() => {
            let path = outline(f, span, (HUB, f.radius(v)));
            pen.put(format_args!(
                "<path class=\"length\" d=\"{path}\" fill=\"#bcd3e8\" fill-rule=\"evenodd\" stroke=\"{}\" stroke-width=\"{border}\"/>",
                STYLES[0].0
            ));
        }
        Some(_) => {}
        None => {
            let path = outline(f, span, (HUB, f.rim));
            pen.put(format_args!(
                "<path d=\"{path}\" fill=\"#fff\" fill-rule=\"evenodd\" stroke=\"#5c5c5c\" stroke-width=\"{border}\"/>"
            ));
            pen.put(format_args!("<path d=\"{}\" stroke=\"#5c5c5c\"/>", hatch(f, span)));
        }
    }
}

/// Slanted strokes in a ring's sector from the hub to the rim.
fn hatch(f: &Face<'_>, (from, to): (f64, f64)) -> String {
    let mut path = String::new();
    // Wedges of at most a quarter are cut out by two straight borders.
    let parts = ((to - from) / FRAC_PI_2).ceil().clamp(1.0, 4.0);
    let mut part = 0.0;
    while part < parts {
        let a = from + (to - from) * part / parts;
        let b = from + (to - from) * (part + 1.0) / parts;
        // Inside is left of the right border and right of the left one; x to the right, y down, about the middle.
        let borders = [(-a.cos(), a.sin()), (b.cos(), -b.sin())];
        let mut offset = -f.rim * 1.5;
        while offset < f.rim * 1.5 {
            // Points of the stroke: x = t, y = offset - t.
            strokes(f, &borders, offset, &mut path);
            offset += 8.0;
        }
        part += 1.0;
    }
    path
}

/// What of the line `x + y = offset` about the middle lies between two borders, the hub and the rim.
fn strokes(f: &Face<'_>, borders: &[(f64, f64); 2], offset: f64, path: &mut String) {
    let circle = |r: f64| {
        // t² + (offset - t)² = r²
        let under = 2.0 * r * r - offset * offset;
        (under > 0.0).then(|| ((offset - under.sqrt()) / 2.0, f64::midpoint(offset, under.sqrt())))
    };
    let Some((mut low, mut high)) = circle(f.rim) else { return };
    for (nx, ny) in borders {
        // nx t + ny (offset - t) >= 0
        let (slope, level) = (nx - ny, ny * offset);
        if slope.abs() < 1e-9 {
            if level < 0.0 {
                return;
            }
        } else if slope > 0.0 {
            low = low.max(-level / slope);
        } else {
            high = high.min(-level / slope);
        }
    }
    let pieces = match circle(HUB) {
        Some((a, b)) => [(low, high.min(a)), (low.max(b), high)],
        None => [(low, high), (0.0, 0.0)],
    };
    for (a, b) in pieces.into_iter().filter(|(a, b)| b - a > 0.5) {
        let _ =
            write!(path, "M{:.1} {:.1}L{:.1} {:.1}", f.x + a, f.y + offset - a, f.x + b, f.y + offset - b);
    }
}

/// A car from above: body, windscreen and rear window, wheels.
fn car(pen: &mut Pen, f: &Face<'_>) {
    let (x, y) = (f.x, f.y);
    pen.put(format_args!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{HUB}\" fill=\"#fff\" stroke=\"#111\"/>"));
    for (dx, dy) in [(-12.0, -17.0), (9.0, -17.0), (-12.0, 9.0), (9.0, 9.0)] {
        pen.put(format_args!(
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"3\" height=\"8\" rx=\"1\" fill=\"#111\"/>",
            x + dx,
            y + dy
        ));
    }
    pen.put(format_args!(
        "<path d=\"M{:.1} {:.1}q10 -7 20 0q1.5 5 1.5 12v22q0 8 -3 9q-8.500 2.500 -17 0q-3 -1 -3 -9v-22q0 -7 1.5 -12z\" fill=\"#fff\" stroke=\"#111\" stroke-width=\"1.3\"/>",
        x - 10.0,
        y - 21.0
    ));
    pen.put(format_args!(
        "<path d=\"M{:.1} {:.1}q8 -4 16 0l-2 7h-12zM{:.1} {:.1}q6.500 2.500 13 0l-1.500 -5h-10z\" fill=\"#111\"/>",
        x - 8.0,
        y - 8.0,
        x - 6.5,
        y + 17.0
    ));
}
