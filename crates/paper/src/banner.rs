//! A framed word in large type with text under it.

use crate::lay::Lay;
use crate::part::{Edge, Frame, Glue, Part};
use crate::tags::Kind;
use crate::{Align, Banner, Run, Tone};

impl Lay<'_> {
    pub(crate) fn banner(&mut self, banner: &Banner) {
        let inset = self.em * 0.9;
        let inner = self.wide - 2.0 * inset;
        let size = self.em * if banner.tone == Tone::Plain { 1.15 } else { 2.0 };
        let word = self.lines(&[Run::plain(&banner.word)], size, true, inner, Align::Left);
        let text = self.lines(&banner.text, self.em, false, inner, Align::Left);
        if word.is_empty() && text.is_empty() {
            return;
        }
        let frame = self.frame(banner.tone);
        let group = self.tags.add(Kind::Group, None);
        let from = self.parts.len();
        self.parts.push(Part::new(self.em * 0.6, self.em * 0.8));
        let between = if word.is_empty() { 0.0 } else { self.em * 0.2 };
        for (lines, gap) in [(&word, 0.0), (&text, between)] {
            if !lines.is_empty() {
                let node = self.tags.add(Kind::Paragraph, Some(group));
                self.put_lines(lines, inset, node, gap);
            }
        }
        self.parts.push(Part::new(self.em * 0.7, 0.0));
        self.hold(from, frame);
        // The edges stand with the lines next to them.
        let last = self.parts.len() - 1;
        self.parts[from].glue = Glue::Must;
        self.parts[last - 1].glue = Glue::Must;
    }

    fn frame(&mut self, tone: Tone) -> usize {
        let edge = match tone {
            Tone::Good => Edge::Strong,
            Tone::Wait => Edge::Dashed,
            Tone::Bad => Edge::Double,
            Tone::Plain => Edge::Thin,
        };
        self.frames.push(Frame { edge, x: 0.0, wide: self.wide });
        self.frames.len() - 1
    }

    /// Puts the parts from one on into a frame, together if a page can take them.
    pub(crate) fn hold(&mut self, from: usize, frame: usize) {
        let count = self.parts.len().saturating_sub(from);
        for (k, part) in self.parts.iter_mut().skip(from).enumerate() {
            part.frames.push(frame);
            if k + 1 < count {
                part.glue = part.glue.max(Glue::Wish);
            }
        }
    }
}
