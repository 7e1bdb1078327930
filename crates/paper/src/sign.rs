//! Places to sign: two a row, each with what is signed for, name, date and signature.

use std::rc::Rc;

use crate::lay::Lay;
use crate::part::{Edge, Frame, Glue, Mark, Part};
use crate::setting::{Line, leading};
use crate::sheet::MM;
use crate::tags::Kind;
use crate::{Align, Run, Signature};

/// What is written in, with how much room, mm.
const FIELDS: [(&str, f32); 3] = [("Name", 9.0), ("Date", 9.0), ("Signature", 13.0)];
/// Between two boxes, mm.
const BETWEEN: f32 = 5.0;

struct Place {
    x: f32,
    wide: f32,
    frame: usize,
    lines: Vec<(Rc<Line>, usize)>,
    fields: Vec<(Rc<Line>, usize)>,
}

impl Lay<'_> {
    pub(crate) fn signatures(&mut self, places: &[Signature]) {
        for pair in places.chunks(2) {
            let wide = (self.wide - BETWEEN * MM) / 2.0;
            let boxes: Vec<Place> = pair
                .iter()
                .enumerate()
                .map(|(k, place)| self.place(place, if k == 0 { 0.0 } else { wide + BETWEEN * MM }, wide))
                .collect();
            self.row(&boxes);
        }
    }

    fn place(&mut self, place: &Signature, x: f32, wide: f32) -> Place {
        let inner = wide - 2.0 * self.em * 0.7;
        self.frames.push(Frame { edge: Edge::Thin, x, wide });
        let frame = self.frames.len() - 1;
        let group = self.tags.add(Kind::Group, None);
        let mut lines = Vec::new();
        for (words, bold) in [(&place.role, true), (&place.says, false)] {
            let set = self.lines(&[Run::plain(words)], self.em, bold, inner, Align::Left);
            if !set.is_empty() {
                let node = self.tags.add(Kind::Paragraph, Some(group));
                lines.extend(set.into_iter().map(|line| (line, node)));
            }
        }
        let mut fields = Vec::new();
        for (words, _) in FIELDS {
            let node = self.tags.add(Kind::Paragraph, Some(group));
            let set = self.lines(&[Run::faint(words)], self.em * 0.9, false, inner, Align::Left);
            fields.extend(set.into_iter().next().map(|line| (line, node)));
        }
        Place { x, wide, frame, lines, fields }
    }

    fn row(&mut self, boxes: &[Place]) {
        let inset = self.em * 0.7;
        let from = self.parts.len();
        self.parts.push(Part::new(self.em * 0.5, self.em).glued(Glue::Must));
        let count = boxes.iter().map(|place| place.lines.len()).max().unwrap_or(0);
        for k in 0..count {
            let mut part = Part::new(leading(self.em), 0.0).glued(Glue::Wish);
            for place in boxes {
                if let Some((line, node)) = place.lines.get(k) {
                    part.marks.push(Mark::Line {
                        line: line.clone(),
                        x: place.x + inset,
                        y: 0.0,
                        node: *node,
                    });
                }
            }
            self.parts.push(part);
        }
        if let Some(last) = self.parts.last_mut() {
            last.glue = Glue::Must;
        }
        let label =
            boxes.iter().flat_map(|place| &place.fields).map(|(line, _)| width(line)).fold(0.0, f32::max);
        for (k, (_, high)) in FIELDS.iter().enumerate() {
            let high = high * MM;
            let mut part = Part::new(high, 0.0).glued(Glue::Must);
            for place in boxes {
                let rule = high - self.em * 0.2;
                let from = (place.x + inset + label + self.em * 0.5, rule);
                let to = (place.x + place.wide - inset, rule);
                part.marks.push(Mark::Rule { from, to, wide: 0.5, grey: 60 });
                if let Some((line, node)) = place.fields.get(k) {
                    let y = rule - line.base() - self.em * 0.1;
                    part.marks.push(Mark::Line { line: line.clone(), x: place.x + inset, y, node: *node });
                }
            }
            self.parts.push(part);
        }
        self.parts.push(Part::new(self.em * 0.6, 0.0));
        for part in self.parts.iter_mut().skip(from) {
            part.frames.extend(boxes.iter().map(|place| place.frame));
        }
    }
}

fn width(line: &Line) -> f32 {
    let end = |piece: &crate::setting::Piece| {
        piece.x + piece.glyphs.iter().map(|glyph| glyph.x_advance).sum::<f32>() * piece.size
    };
    line.pieces.iter().map(end).fold(0.0, f32::max)
}
