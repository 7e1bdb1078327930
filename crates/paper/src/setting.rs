//! Text to lines of placed glyphs: shaping, directions and line breaks by parley.

use std::rc::Rc;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use parley::{
    Alignment, AlignmentOptions, BaseDirection, FontWeight, Layout, LayoutContext, OverflowWrap,
    StyleProperty,
};

use crate::fonts::{self, ASCENT, DESCENT, Faces};
use crate::words::{Shown, Words, paragraphs};
use crate::{Align, Fault, Run, Weight};

/// From one base line to the next, in type sizes.
const LEADING: f32 = 1.32;
/// How far a mark may stand off its letter, in type sizes, before a heap of marks is shown as boxes.
const HEAP: f32 = 0.8;
/// How many letters of such a heap are shown as they are.
const SPARED: usize = 4;
/// How often boxes are put in before all that is not plain becomes one.
const TRIES: usize = 4;

/// Grey of what is less asked for; 7 to 1 on white.
const FAINT: u8 = 89;

/// Shapes text; one for a file.
pub(crate) struct Setter {
    pub(crate) faces: Faces,
    context: LayoutContext<u8>,
}

/// Text that is shaped but not yet in lines.
pub(crate) struct Shaped {
    paragraphs: Vec<(Words, Shown, Layout<u8>)>,
    size: f32,
}

/// Glyphs of one face and grey.
pub(crate) struct Piece {
    pub(crate) font: Font,
    pub(crate) size: f32,
    pub(crate) grey: u8,
    /// From the line's left edge.
    pub(crate) x: f32,
    pub(crate) glyphs: Vec<KrillaGlyph>,
}

/// A line; its height is [`Line::leading`].
pub(crate) struct Line {
    /// In the order in which they are read.
    pub(crate) pieces: Vec<Piece>,
    /// The paragraph that the glyphs stand for.
    pub(crate) said: Rc<str>,
    pub(crate) size: f32,
}

impl Line {
    pub(crate) fn leading(&self) -> f32 {
        leading(self.size)
    }

    /// Of its base line, from its top.
    pub(crate) fn base(&self) -> f32 {
        (self.leading() - (ASCENT + DESCENT) * self.size) / 2.0 + ASCENT * self.size
    }
}

/// From one base line to the next at a type size.
pub(crate) fn leading(size: f32) -> f32 {
    LEADING * size
}

impl Setter {
    pub(crate) fn new() -> Result<Self, Fault> {
        Ok(Self { faces: Faces::load()?, context: LayoutContext::new() })
    }

    /// Shapes text. A letter that no face has, and a heap of marks that would leave its line, is shown as a box and
    /// still said as it is.
    pub(crate) fn shape(&mut self, runs: &[Run], size: f32, bold: bool) -> Shaped {
        let mut done = Vec::new();
        for mut words in paragraphs(runs) {
            words.box_missing(|c| self.faces.has(c));
            let mut shaped = self.layout(&words, size, bold);
            // The first face has all of ASCII.
            if words.said.is_ascii() {
                done.push((words, shaped.0, shaped.1));
                continue;
            }
            for _ in 0..TRIES {
                if !box_what_fails(&mut words, &shaped.0, &mut shaped.1) {
                    break;
                }
                shaped = self.layout(&words, size, bold);
            }
            if box_what_fails(&mut words.clone(), &shaped.0, &mut shaped.1) {
                words.only_plain();
                shaped = self.layout(&words, size, bold);
            }
            done.push((words, shaped.0, shaped.1));
        }
        Shaped { paragraphs: done, size }
    }

    fn layout(&mut self, words: &Words, size: f32, bold: bool) -> (Shown, Layout<u8>) {
        let shown = words.shown();
        let mut builder = self.context.ranged_builder(&mut self.faces.context, &shown.text, 1.0, false);
        builder.push_default(fonts::family());
        builder.push_default(StyleProperty::FontSize(size));
        builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::BreakWord));
        if bold {
            builder.push_default(StyleProperty::FontWeight(FontWeight::BOLD));
        }
        for (part, weight) in &words.weights {
            let part = shown.shown(part);
            match weight {
                Weight::Plain => {}
                Weight::Bold => builder.push(StyleProperty::FontWeight(FontWeight::BOLD), part),
                Weight::Faint => builder.push(StyleProperty::Brush(FAINT), part),
            }
        }
        builder.set_base_direction(if words.runs_right() { BaseDirection::Ltr } else { BaseDirection::Auto });
        let layout = builder.build(&shown.text);
        (shown, layout)
    }

    /// Shaped text in lines no wider than asked.
    pub(crate) fn lines(&self, shaped: Shaped, wide: f32, align: Align) -> Vec<Rc<Line>> {
        let mut lines = Vec::new();
        let wide = wide.max(1.0);
        for (words, shown, mut layout) in shaped.paragraphs {
            layout.break_all_lines(Some(wide));
            let edge = match align {
                Align::Left => Alignment::Left,
                Align::Right => Alignment::Right,
            };
            layout.align(edge, AlignmentOptions::default());
            let said: Rc<str> = words.said.as_str().into();
            for line in layout.lines() {
                let pieces = self.pieces(&line, &layout, &shown);
                lines.push(Rc::new(Line { pieces, said: said.clone(), size: shaped.size }));
            }
        }
        lines
    }

    /// Text on one line no wider than asked; one that is too wide ends in an ellipsis.
    pub(crate) fn one_line(&mut self, text: &str, size: f32, wide: f32, align: Align) -> Option<Rc<Line>> {
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let fits = |this: &mut Self, text: &str| {
            let shaped = this.shape(&[Run::faint(text)], size, false);
            (shaped.widths().1 <= wide).then_some(shaped)
        };
        if let Some(shaped) = fits(self, &flat) {
            return self.lines(shaped, wide, align).into_iter().next();
        }
        let ends: Vec<usize> = flat.char_indices().map(|(at, _)| at).take(400).collect();
        let (mut low, mut high) = (0, ends.len());
        while low + 1 < high {
            let middle = usize::midpoint(low, high);
            let cut = format!("{}…", flat[..ends[middle]].trim_end());
            if fits(self, &cut).is_some() { low = middle } else { high = middle }
        }
        let cut = format!("{}…", flat[..ends.get(low).copied().unwrap_or(0)].trim_end());
        let shaped = fits(self, &cut)?;
        self.lines(shaped, wide, align).into_iter().next()
    }

    fn pieces(&self, line: &parley::Line<'_, u8>, layout: &Layout<u8>, shown: &Shown) -> Vec<Piece> {
        let metrics = line.metrics();
        let mut x = metrics.offset + metrics.inline_min_coord;
        let mut pieces: Vec<(usize, Piece)> = Vec::new();
        for run in line.runs() {
            let Some(font) = self.faces.file(run.font().data.id()) else { continue };
            let size = run.font_size();
            let mut style = None;
            let mut fresh = true;
            // Letters joined to one on their right, which comes after them in a run to the left.
            let mut joined: Option<usize> = None;
            for cluster in run.visual_clusters() {
                let mut said = shown.said(cluster.text_range());
                if cluster.is_ligature_continuation() {
                    if run.is_rtl() {
                        joined = Some(joined.unwrap_or(said.end));
                    } else if let Some(glyph) = pieces.last_mut().and_then(|(_, p)| p.glyphs.last_mut()) {
                        glyph.text_range.end = said.end;
                    }
                    continue;
                }
                said.end = joined.take().unwrap_or(said.end);
                // What runs to the left is read from the right: each letter is a piece, so that all stand in order.
                fresh |= run.is_rtl() || style != Some(cluster.style_index());
                style = Some(cluster.style_index());
                for glyph in cluster.glyphs() {
                    if fresh && !said.is_empty() {
                        let grey =
                            layout.styles().get(usize::from(cluster.style_index())).map_or(0, |s| s.brush);
                        let piece = Piece { font: font.clone(), size, grey, x, glyphs: Vec::new() };
                        pieces.push((said.start, piece));
                        fresh = false;
                    }
                    if !said.is_empty()
                        && let Some((_, piece)) = pieces.last_mut()
                    {
                        piece.glyphs.push(KrillaGlyph::new(
                            GlyphId::new(glyph.id),
                            glyph.advance / size,
                            glyph.x / size,
                            glyph.y / size,
                            0.0,
                            said.clone(),
                            None,
                        ));
                    }
                    x += glyph.advance;
                }
            }
        }
        pieces.sort_by_key(|(from, _)| *from);
        pieces.into_iter().map(|(_, piece)| piece).collect()
    }
}

/// Has what no face shows, and heaps of marks, shown as boxes; whether there was any.
fn box_what_fails(words: &mut Words, shown: &Shown, layout: &mut Layout<u8>) -> bool {
    layout.break_all_lines(None);
    let mut any = false;
    for line in layout.lines() {
        for run in line.runs() {
            for cluster in run.clusters() {
                let missing = cluster.glyphs().any(|g| g.id == 0);
                let heap = cluster.glyphs().any(|g| g.y.abs() > HEAP * run.font_size());
                if missing || heap {
                    let spared = if missing { 0 } else { SPARED };
                    any |= words.box_part(shown.said(cluster.text_range()), spared);
                }
            }
        }
    }
    any
}

impl Shaped {
    /// Whether it has a letter that is not a space.
    pub(crate) fn says_something(&self) -> bool {
        self.paragraphs.iter().any(|(words, _, _)| words.says_something())
    }

    /// Width of the widest word, and without any line break.
    pub(crate) fn widths(&self) -> (f32, f32) {
        let all = self.paragraphs.iter().map(|(_, _, layout)| layout.calculate_content_widths());
        all.fold((0.0, 0.0), |(word, widest), w| (w.min.max(word), w.max.max(widest)))
    }
}
