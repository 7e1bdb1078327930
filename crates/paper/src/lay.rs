//! Blocks to parts.

use std::rc::Rc;
use std::slice::Iter;

use crate::figure::Read;
use crate::part::{Frame, Glue, Mark, Part};
use crate::setting::{Line, Setter};
use crate::tags::{Kind, Tags};
use crate::{Align, Block, Fault, Run};

/// Takes blocks and makes parts of them.
pub(crate) struct Lay<'a> {
    pub(crate) setter: &'a mut Setter,
    pub(crate) tags: Tags,
    pub(crate) parts: Vec<Part>,
    pub(crate) frames: Vec<Frame>,
    /// Size of plain text, pt.
    pub(crate) em: f32,
    /// Width and height of the text on a page, pt.
    pub(crate) wide: f32,
    pub(crate) high: f32,
    /// The drawings in their order.
    pub(crate) drawings: Iter<'a, Read>,
    /// Whether the next part starts a page.
    fresh: bool,
}

impl<'a> Lay<'a> {
    pub(crate) fn new(setter: &'a mut Setter, em: f32, room: (f32, f32), drawings: &'a [Read]) -> Self {
        Self {
            setter,
            tags: Tags::default(),
            parts: Vec::new(),
            frames: Vec::new(),
            em,
            wide: room.0,
            high: room.1,
            drawings: drawings.iter(),
            fresh: false,
        }
    }

    /// Adds blocks.
    pub(crate) fn blocks(&mut self, blocks: &[Block]) -> Result<(), Fault> {
        for block in blocks {
            let from = self.parts.len();
            match block {
                Block::Heading(level, words) => self.heading(*level, words),
                Block::Text(runs) => self.text(runs),
                Block::List(points) => self.list(points),
                Block::Banner(banner) => self.banner(banner),
                Block::Table(table) => self.table(table),
                Block::Figure(figure) => self.figure(figure)?,
                Block::Signatures(places) => self.signatures(places),
                Block::NewPage => self.fresh = true,
                Block::Together(inner) => self.together(inner)?,
            }
            let outer = matches!(block, Block::NewPage | Block::Together(_));
            if self.fresh
                && !outer
                && let Some(first) = self.parts.get_mut(from)
            {
                first.fresh = true;
                self.fresh = false;
            }
        }
        Ok(())
    }

    fn together(&mut self, inner: &[Block]) -> Result<(), Fault> {
        let from = self.parts.len();
        self.blocks(inner)?;
        let to = self.parts.len();
        for part in self.parts.get_mut(from..to.max(from + 1) - 1).unwrap_or_default() {
            part.glue = part.glue.max(Glue::Wish);
        }
        Ok(())
    }

    fn heading(&mut self, level: u8, words: &str) {
        let (size, gap) = match level {
            0 | 1 => (1.9, 1.2),
            2 => (1.4, 1.4),
            3 => (1.15, 1.1),
            _ => (1.0, 0.9),
        };
        let lines = self.lines(&[Run::plain(words)], self.em * size, true, self.wide, Align::Left);
        if lines.is_empty() {
            return;
        }
        let flat = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let (node, level) = self.tags.heading(usize::from(level.max(1)), &flat);
        let from = self.parts.len();
        self.put_lines(&lines, 0.0, node, self.em * gap);
        for part in &mut self.parts[from..] {
            part.glue = Glue::Must;
        }
        self.parts[from].bookmark = Some((level, flat));
    }

    fn text(&mut self, runs: &[Run]) {
        let lines = self.lines(runs, self.em, false, self.wide, Align::Left);
        if !lines.is_empty() {
            let node = self.tags.add(Kind::Paragraph, None);
            self.put_lines(&lines, 0.0, node, self.em * 0.5);
        }
    }

    fn list(&mut self, points: &[Vec<Run>]) {
        let indent = self.em * 1.3;
        let mut list = None;
        for runs in points {
            let lines = self.lines(runs, self.em, false, self.wide - indent, Align::Left);
            if lines.is_empty() {
                continue;
            }
            let gap = if list.is_none() { 0.5 } else { 0.25 };
            let list = *list.get_or_insert_with(|| self.tags.add(Kind::List, None));
            let item = self.tags.add(Kind::Item, Some(list));
            let label = self.tags.add(Kind::Label, Some(item));
            let body = self.tags.add(Kind::Body, Some(item));
            let from = self.parts.len();
            self.put_lines(&lines, indent, body, self.em * gap);
            let dot = self.lines(&[Run::plain("•")], self.em, false, indent, Align::Left);
            if let (Some(line), Some(part)) = (dot.into_iter().next(), self.parts.get_mut(from)) {
                part.marks.insert(0, Mark::Line { line, x: self.em * 0.3, y: 0.0, node: label });
            }
        }
    }

    /// Text in lines; none if it says nothing.
    pub(crate) fn lines(
        &mut self,
        runs: &[Run],
        size: f32,
        bold: bool,
        wide: f32,
        align: Align,
    ) -> Vec<Rc<Line>> {
        let shaped = self.setter.shape(runs, size, bold);
        if shaped.says_something() { self.setter.lines(shaped, wide, align) } else { Vec::new() }
    }

    /// Adds lines as parts; neither the first nor the last stands alone on a page.
    pub(crate) fn put_lines(&mut self, lines: &[Rc<Line>], x: f32, node: usize, gap: f32) {
        for (k, line) in lines.iter().enumerate() {
            let near_end = k == 0 || k + 2 == lines.len();
            let glue = if near_end && k + 1 < lines.len() { Glue::Must } else { Glue::Loose };
            let mark = Mark::Line { line: line.clone(), x, y: 0.0, node };
            let gap = if k == 0 { gap } else { 0.0 };
            self.parts.push(Part::new(line.leading(), gap).with(mark).glued(glue));
        }
    }

    /// Height of a text over the full width, with the space above it.
    pub(crate) fn text_height(&mut self, text: &str) -> f32 {
        let lines = self.lines(&[Run::plain(text)], self.em, false, self.wide, Align::Left);
        lines.iter().map(|line| line.leading()).sum::<f32>() + self.em * 0.4
    }

    /// Height of what must stand with the next part.
    pub(crate) fn glued_height(&self) -> f32 {
        let glued = self.parts.iter().rev().take_while(|part| part.glue == Glue::Must);
        glued.map(|part| part.high + part.gap).sum::<f32>() + self.em
    }
}
