//! Draws the pages.

use krilla::color::luma;
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, BBox, ContentTag, SpanTag};
use krilla_svg::{SurfaceExt, SvgSettings};

use crate::flow::Page;
use crate::part::{Edge, Frame, Mark, Part};
use crate::setting::{Line, Setter};
use crate::sheet::{MM, Sheet};
use crate::tags::Tags;
use crate::{Align, Document, Fault};

/// Size of the running head and foot, pt.
const RUNNING: f32 = 8.0;

/// All that is drawn.
pub(crate) struct Set {
    pub(crate) sheet: Sheet,
    pub(crate) parts: Vec<Part>,
    pub(crate) frames: Vec<Frame>,
    pub(crate) pages: Vec<Page>,
    pub(crate) tags: Tags,
}

/// Draws all pages into the file, with tags and bookmarks.
pub(crate) fn draw(
    file: &mut krilla::Document,
    set: &mut Set,
    document: &Document,
    setter: &mut Setter,
) -> Result<(), Fault> {
    let mut bookmarks = Vec::new();
    let sheet = set.sheet;
    for (number, page) in set.pages.iter().enumerate() {
        let settings = PageSettings::from_wh(sheet.wide, sheet.high)
            .ok_or_else(|| Fault { what: "the sheet has no size".to_owned() })?;
        let mut canvas = file.start_page_with(settings);
        let mut surface = canvas.surface();
        if document.running {
            running(&mut surface, &sheet, document, (number + 1, set.pages.len()), setter);
        }
        let mut pen = Pen { surface: &mut surface, tags: &mut set.tags, sheet, page: number };
        pen.frames(page, &set.parts, &set.frames);
        // Tints first: one must not cover the rule of the row above.
        for (i, y) in &page.parts {
            set.parts[*i]
                .marks
                .iter()
                .filter(|mark| mark.is_tint())
                .for_each(|mark| pen.mark(mark, *y, false));
        }
        if let Some(again) = page.again.and_then(|i| set.parts[i].again.as_ref()) {
            again.marks.iter().for_each(|mark| pen.mark(mark, 0.0, true));
        }
        for (i, y) in &page.parts {
            let part = &set.parts[*i];
            if let Some((level, words)) = &part.bookmark {
                bookmarks.push((*level, words.clone(), number, sheet.top + y));
            }
            part.marks.iter().filter(|mark| !mark.is_tint()).for_each(|mark| pen.mark(mark, *y, false));
        }
        surface.finish();
        canvas.finish();
    }
    file.set_outline(outline(&bookmarks, &document.title, sheet.left));
    file.set_tag_tree(set.tags.tree());
    Ok(())
}

/// Headings as bookmarks, each under the last of a higher level; the title alone where there is none.
fn outline(bookmarks: &[(usize, String, usize, f32)], title: &str, left: f32) -> Outline {
    fn close(open: &mut Vec<(usize, OutlineNode)>, level: usize, outline: &mut Outline) {
        while open.last().is_some_and(|(last, _)| *last >= level) {
            let Some((_, done)) = open.pop() else { return };
            match open.last_mut() {
                Some((_, parent)) => parent.push_child(done),
                None => outline.push_child(done),
            }
        }
    }
    let mut outline = Outline::new();
    let mut open: Vec<(usize, OutlineNode)> = Vec::new();
    for (level, words, page, y) in bookmarks {
        close(&mut open, *level, &mut outline);
        let place = XyzDestination::new(*page, Point::from_xy(left, (y - 6.0).max(0.0)));
        open.push((*level, OutlineNode::new(words.clone(), place).with_open(*level < 2)));
    }
    close(&mut open, 0, &mut outline);
    if bookmarks.is_empty() {
        let place = XyzDestination::new(0, Point::from_xy(left, 0.0));
        outline.push_child(OutlineNode::new(crate::title(title), place));
    }
    outline
}

fn running(
    surface: &mut Surface,
    sheet: &Sheet,
    document: &Document,
    page: (usize, usize),
    setter: &mut Setter,
) {
    let wide = sheet.text_wide();
    let foot = sheet.high - 11.0 * MM;
    let number = format!("page {} of {}", page.0, page.1);
    let words = [
        (ArtifactType::Header, document.title.as_str(), Align::Left, 0.62, 11.0 * MM),
        (ArtifactType::Header, document.mark.as_str(), Align::Right, 0.36, 11.0 * MM),
        (ArtifactType::Footer, document.date.as_str(), Align::Left, 0.6, foot),
        (ArtifactType::Footer, number.as_str(), Align::Right, 0.38, foot),
    ];
    for (kind, text, align, share, y) in words {
        let Some(line) = setter.one_line(text, RUNNING, wide * share, align) else { continue };
        let x = sheet.left + if align == Align::Right { wide * (1.0 - share) } else { 0.0 };
        surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(kind)));
        glyphs(surface, &line, x, y - line.base());
        surface.end_tagged();
    }
    surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Header)));
    let y = 13.2 * MM;
    rule(surface, (sheet.left, y), (sheet.left + wide, y), 0.5, 0);
    surface.end_tagged();
}

fn fill(grey: u8) -> Fill {
    Fill { paint: luma::Color::new(grey).into(), ..Fill::default() }
}

fn stroke(wide: f32, grey: u8) -> Stroke {
    Stroke { paint: luma::Color::new(grey).into(), width: wide, ..Stroke::default() }
}

fn rule(surface: &mut Surface, from: (f32, f32), to: (f32, f32), wide: f32, grey: u8) {
    let mut path = PathBuilder::new();
    path.move_to(from.0, from.1);
    path.line_to(to.0, to.1);
    if let Some(path) = path.finish() {
        surface.set_fill(None);
        surface.set_stroke(Some(stroke(wide, grey)));
        surface.draw_path(&path);
    }
}

fn boxed(surface: &mut Surface, [x, y, wide, high]: [f32; 4], fill: Option<Fill>, stroke: Option<Stroke>) {
    let Some(rect) = Rect::from_xywh(x, y, wide, high) else { return };
    let mut path = PathBuilder::new();
    path.push_rect(rect);
    if let Some(path) = path.finish() {
        surface.set_fill(fill);
        surface.set_stroke(stroke);
        surface.draw_path(&path);
    }
}

fn glyphs(surface: &mut Surface, line: &Line, x: f32, y: f32) {
    surface.set_stroke(None);
    for piece in &line.pieces {
        surface.set_fill(Some(fill(piece.grey)));
        let start = Point::from_xy(x + piece.x, y + line.base());
        surface.draw_glyphs(start, &piece.glyphs, piece.font.clone(), &line.said, piece.size, false);
    }
}

/// Draws on one page.
struct Pen<'a, 'b> {
    surface: &'a mut Surface<'b>,
    tags: &'a mut Tags,
    sheet: Sheet,
    page: usize,
}

impl Pen<'_, '_> {
    /// Draws a mark of a part that stands `down` from the top; what stands again is no part of the text.
    fn mark(&mut self, mark: &Mark, down: f32, again: bool) {
        let (left, top) = (self.sheet.left, self.sheet.top + down);
        match mark {
            Mark::Line { line, x, y, node } => {
                let tag = if again {
                    ContentTag::Artifact(Artifact::with_kind(ArtifactType::PaginationOther))
                } else {
                    ContentTag::Span(SpanTag::empty())
                };
                let content = self.surface.start_tagged(tag);
                glyphs(self.surface, line, left + x, top + y);
                self.surface.end_tagged();
                if !again {
                    self.tags.leaf(*node, content);
                }
            }
            Mark::Rule { from, to, wide, grey } => self.layout(|surface| {
                rule(surface, (left + from.0, top + from.1), (left + to.0, top + to.1), *wide, *grey);
            }),
            Mark::Fill { x, y, wide, high, grey } => self.layout(|surface| {
                boxed(surface, [left + x, top + y, *wide, *high], Some(fill(*grey)), None);
            }),
            Mark::Drawing { drawing, x, y, wide, high, node } => {
                let (x, y) = (left + x, top + y);
                let (Some(size), Some(place)) =
                    (Size::from_wh(*wide, *high), Rect::from_xywh(x, y, *wide, *high))
                else {
                    return;
                };
                let content = self.surface.start_tagged(ContentTag::Other);
                self.surface.push_transform(&Transform::from_translate(x, y));
                let settings = SvgSettings { embed_text: drawing.text, ..SvgSettings::default() };
                self.surface.draw_svg(&drawing.tree, size, settings);
                self.surface.pop();
                self.surface.end_tagged();
                self.tags.leaf(*node, content);
                self.tags.place(*node, BBox::new(self.page, place));
            }
        }
    }

    /// Draws what only looks.
    fn layout(&mut self, draw: impl FnOnce(&mut Surface)) {
        self.surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)));
        draw(self.surface);
        self.surface.end_tagged();
    }

    /// The page's piece of each frame.
    fn frames(&mut self, page: &Page, parts: &[Part], frames: &[Frame]) {
        for (number, frame) in frames.iter().enumerate() {
            let held = || page.parts.iter().filter(|(i, _)| parts[*i].frames.contains(&number));
            let (Some((_, top)), Some((last, y))) = (held().next(), held().next_back()) else { continue };
            let high = y + parts[*last].high - top;
            let place = [self.sheet.left + frame.x, self.sheet.top + top, frame.wide, high];
            self.layout(|surface| edge(surface, place, frame.edge));
        }
    }
}

fn edge(surface: &mut Surface, place: [f32; 4], edge: Edge) {
    let inset = |by: f32| {
        let [x, y, wide, high] = place;
        [x + by, y + by, wide - 2.0 * by, high - 2.0 * by]
    };
    match edge {
        Edge::Strong => boxed(surface, inset(0.9), None, Some(stroke(1.8, 0))),
        Edge::Dashed => {
            let dash = Some(StrokeDash { array: vec![6.0, 3.0], offset: 0.0 });
            boxed(surface, inset(0.9), None, Some(Stroke { dash, ..stroke(1.8, 0) }));
        }
        Edge::Double => {
            boxed(surface, inset(1.1), Some(fill(238)), Some(stroke(2.2, 0)));
            boxed(surface, inset(4.0), None, Some(stroke(0.8, 0)));
        }
        Edge::Thin => boxed(surface, inset(0.25), None, Some(stroke(0.6, 60))),
    }
}
