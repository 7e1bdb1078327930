//! What is taken on the paper: no text is placed on another or off the edge, and busy places are avoided.

use super::ink::{Ink, number};
use crate::text::{escaped, width};
use glam::DVec2;

/// A rectangle: left, top, right, bottom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rect {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Rect {
    pub(crate) fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self { left, top, right, bottom }
    }

    pub(crate) fn meets(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    pub(crate) fn within(&self, other: &Self) -> bool {
        self.left >= other.left
            && self.right <= other.right
            && self.top >= other.top
            && self.bottom <= other.bottom
    }

    pub(crate) fn wide(&self) -> f64 {
        self.right - self.left
    }

    pub(crate) fn tall(&self) -> f64 {
        self.bottom - self.top
    }

    pub(crate) fn middle(&self) -> DVec2 {
        DVec2::new(f64::midpoint(self.left, self.right), f64::midpoint(self.top, self.bottom))
    }

    /// The point of it that is nearest to `p`.
    pub(crate) fn nearest(&self, p: DVec2) -> DVec2 {
        DVec2::new(p.x.clamp(self.left, self.right), p.y.clamp(self.top, self.bottom))
    }

    /// The part of a straight line inside it (Liang and Barsky's clipping).
    pub(crate) fn cut(&self, a: DVec2, b: DVec2) -> Option<(DVec2, DVec2)> {
        let d = b - a;
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (p, q) in [
            (-d.x, a.x - self.left),
            (d.x, self.right - a.x),
            (-d.y, a.y - self.top),
            (d.y, self.bottom - a.y),
        ] {
            if p == 0.0 {
                if q < 0.0 {
                    return None;
                }
            } else if p < 0.0 {
                from = from.max(q / p);
            } else {
                to = to.min(q / p);
            }
        }
        (from <= to).then(|| (a + d * from, a + d * to))
    }
}

/// Which end of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Type {
    pub(crate) size: f64,
    pub(crate) bold: bool,
    pub(crate) ink: &'static str,
    pub(crate) anchor: Anchor,
    /// A white edge around the letters.
    pub(crate) halo: bool,
}

impl Type {
    pub(crate) fn new(size: f64, ink: &'static str) -> Self {
        Self { size, bold: false, ink, anchor: Anchor::Start, halo: false }
    }

    pub(crate) fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    pub(crate) fn at(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    pub(crate) fn halo(self) -> Self {
        Self { halo: true, ..self }
    }

    /// How wide a text will be.
    pub(crate) fn width(&self, text: &str) -> f64 {
        width(text, self.size) * if self.bold { BOLD } else { 1.0 }
    }

    /// The room of a text whose base line starts, is centred or ends at `p`.
    pub(crate) fn room(&self, p: DVec2, text: &str) -> Rect {
        let w = self.width(text);
        let left = match self.anchor {
            Anchor::Start => p.x,
            Anchor::Middle => p.x - w / 2.0,
            Anchor::End => p.x - w,
        };
        Rect::new(left, p.y - 0.8 * self.size, left + w, p.y + 0.24 * self.size)
    }
}

/// How much wider bold letters run (common faces, no source).
pub(crate) const BOLD: f64 = 1.1;
/// Edge of a cell in which ink is counted.
const CELL: f64 = 4.0;

/// The paper with what stands on it.
pub(crate) struct Board {
    pub(crate) paper: Rect,
    taken: Vec<Rect>,
    leaders: Vec<(DVec2, DVec2)>,
    columns: usize,
    rows: usize,
    ink: Vec<f32>,
    /// Sums of ink over everything above and to the left.
    sums: Vec<f64>,
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the paper first")]
fn cell(v: f64, most: usize) -> usize {
    if v > 0.0 { ((v / CELL).min(1e6) as usize).min(most) } else { 0 }
}

impl Board {
    pub(crate) fn new(width: f64, height: f64) -> Self {
        let (columns, rows) = (cell(width, 6000) + 1, cell(height, 6000) + 1);
        Self {
            paper: Rect::new(0.0, 0.0, width, height),
            taken: Vec::new(),
            leaders: Vec::new(),
            columns,
            rows,
            ink: vec![0.0; columns * rows],
            sums: Vec::new(),
        }
    }

    /// Counts ink along a line.
    pub(crate) fn draw(&mut self, points: &[DVec2], weight: f32) {
        for pair in points.windows(2) {
            let [a, b] = pair else { continue };
            let Some((a, b)) = self.paper.cut(*a, *b) else { continue };
            let steps = ((b - a).length() / CELL).ceil().max(1.0);
            let mut k = 0.5;
            while k < steps {
                let p = a + (b - a) * (k / steps);
                let (x, y) = (cell(p.x, self.columns - 1), cell(p.y, self.rows - 1));
                self.ink[y * self.columns + x] += weight;
                k += 1.0;
            }
        }
    }

    /// Adds the ink up, once all of it is on the paper.
    pub(crate) fn settle(&mut self) {
        let wide = self.columns + 1;
        let mut sums = vec![0.0; wide * (self.rows + 1)];
        for y in 0..self.rows {
            let mut row = 0.0;
            for x in 0..self.columns {
                row += f64::from(self.ink[y * self.columns + x]);
                sums[(y + 1) * wide + x + 1] = sums[y * wide + x + 1] + row;
            }
        }
        self.sums = sums;
    }

    /// Ink in a rectangle.
    pub(crate) fn ink(&self, r: &Rect) -> f64 {
        if self.sums.is_empty() {
            return 0.0;
        }
        let wide = self.columns + 1;
        let (x0, x1) = (cell(r.left, self.columns), cell(r.right + CELL, self.columns));
        let (y0, y1) = (cell(r.top, self.rows), cell(r.bottom + CELL, self.rows));
        let at = |x: usize, y: usize| self.sums[y * wide + x];
        at(x1, y1) - at(x0, y1) - at(x1, y0) + at(x0, y0)
    }

    /// Whether a rectangle is on the paper and clear of texts.
    pub(crate) fn is_free(&self, r: &Rect) -> bool {
        r.within(&self.paper) && self.is_clear(r)
    }

    fn is_clear(&self, r: &Rect) -> bool {
        !self.taken.iter().any(|t| t.meets(r))
    }

    /// How many leaders run through a rectangle.
    pub(crate) fn leaders_in(&self, r: &Rect) -> f64 {
        let mut out = 0.0;
        for (a, b) in &self.leaders {
            if r.cut(*a, *b).is_some() {
                out += 1.0;
            }
        }
        out
    }

    /// How many texts and leaders a line would cross.
    pub(crate) fn crossings(&self, a: DVec2, b: DVec2) -> f64 {
        let mut out = 0.0;
        for t in &self.taken {
            if t.cut(a, b).is_some() {
                out += 1.0;
            }
        }
        for (c, d) in &self.leaders {
            let side = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
            if side(a, b, *c) * side(a, b, *d) < 0.0 && side(*c, *d, a) * side(*c, *d, b) < 0.0 {
                out += 1.0;
            }
        }
        out
    }

    /// Keeps a rectangle free of text.
    pub(crate) fn take(&mut self, r: Rect) {
        self.taken.push(r);
    }

    pub(crate) fn lead(&mut self, a: DVec2, b: DVec2) {
        self.leaders.push((a, b));
    }

    /// Writes a text if its place is free; says whether it was.
    pub(crate) fn write(&mut self, ink: &mut Ink, p: DVec2, kind: Type, text: &str) -> bool {
        self.write_two(ink, p, kind, (text, ""))
    }

    /// The same with plain words after the first.
    pub(crate) fn write_two(
        &mut self,
        ink: &mut Ink,
        p: DVec2,
        kind: Type,
        (text, rest): (&str, &str),
    ) -> bool {
        let room = kind.room(p, &format!("{text}{rest}"));
        if text.is_empty() || !self.is_free(&room) {
            return false;
        }
        self.take(room);
        let anchor = match kind.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let bold = if kind.bold { " font-weight=\"bold\"" } else { "" };
        let halo = if kind.halo {
            " stroke=\"#ffffff\" stroke-width=\"3\" stroke-linejoin=\"round\" paint-order=\"stroke\""
        } else {
            ""
        };
        let rest = if rest.is_empty() {
            String::new()
        } else {
            format!("<tspan font-weight=\"normal\">{}</tspan>", escaped(rest))
        };
        ink.put(format_args!(
            "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\" font-size=\"{}\"{bold} fill=\"{}\"{halo}>{}{rest}</text>",
            number(p.x),
            number(p.y),
            number(kind.size),
            kind.ink,
            escaped(text)
        ));
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_is_written_on_another_or_off_the_paper() {
        let (mut board, mut ink) = (Board::new(200.0, 100.0), Ink::default());
        let kind = Type::new(10.0, "#111");
        assert!(board.write(&mut ink, DVec2::new(20.0, 50.0), kind, "one"));
        assert!(!board.write(&mut ink, DVec2::new(25.0, 52.0), kind, "two"));
        assert!(!board.write(&mut ink, DVec2::new(190.0, 80.0), kind, "three"));
        assert!(!board.write(&mut ink, DVec2::new(20.0, 5.0), kind, "four"));
        assert!(board.write(&mut ink, DVec2::new(20.0, 70.0), kind, "five"));
        assert_eq!(ink.out.matches("<text").count(), 2);
    }

    #[test]
    fn ink_is_found_where_it_was_drawn() {
        let mut board = Board::new(200.0, 100.0);
        board.draw(&[DVec2::new(10.0, 50.0), DVec2::new(190.0, 50.0)], 1.0);
        board.settle();
        assert!(board.ink(&Rect::new(50.0, 40.0, 90.0, 60.0)) >= 9.0);
        assert!(board.ink(&Rect::new(50.0, 10.0, 90.0, 30.0)) == 0.0);
    }

    #[test]
    fn a_line_is_cut_at_the_edge() {
        let r = Rect::new(0.0, 0.0, 10.0, 10.0);
        assert_eq!(
            r.cut(DVec2::new(-5.0, 5.0), DVec2::new(5.0, 5.0)),
            Some((DVec2::new(0.0, 5.0), DVec2::new(5.0, 5.0)))
        );
        assert!(r.cut(DVec2::new(-5.0, 12.0), DVec2::new(15.0, 12.0)).is_none());
    }
}
