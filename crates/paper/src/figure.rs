//! Drawings: SVG at its own size, with text that stays text.
//!
//! **Faces.** The drawings ask for `Helvetica, Arial, 'DejaVu Sans', sans-serif`. Only the faces of this crate's packages
//! are known here, so the first two are passed over and `DejaVu Sans` is taken; a drawing that names none, or any
//! other, gets it too. No face of the machine is ever read, and no picture that a drawing points at.

use std::rc::Rc;
use std::sync::Arc;

use usvg::{ImageHrefResolver, Node, Options, Tree, fontdb, roxmltree};

use crate::lay::Lay;
use crate::part::{Glue, Mark, Part};
use crate::tags::Kind;
use crate::{Align, Block, Fault, Figure, Run};

/// Points in a CSS pixel (96 in an inch).
const PX: f32 = 0.75;

/// A drawing that is read.
pub(crate) struct Drawing {
    pub(crate) tree: Tree,
    /// Its own size, pt.
    pub(crate) wide: f32,
    pub(crate) high: f32,
    /// Whether it states its size in mm or their like, so that it may be to scale.
    to_scale: bool,
    /// Whether its text can stay text.
    pub(crate) text: bool,
}

/// A drawing as it was read, or why it was not.
pub(crate) type Read = Result<Rc<Drawing>, String>;

/// Reads all drawings of some blocks, in their order: each for itself, as many at a time as the machine does.
pub(crate) fn read_all(blocks: &[Block], faces: &Arc<fontdb::Database>) -> Vec<Read> {
    let mut figures = Vec::new();
    find(blocks, &mut figures);
    let at_a_time = std::thread::available_parallelism().map_or(1, core::num::NonZero::get);
    let share = figures.len().div_ceil(at_a_time).max(1);
    let lost = || Err("it came to grief".to_owned());
    std::thread::scope(|scope| {
        let at_work: Vec<_> = figures
            .chunks(share)
            .map(|some| {
                (
                    some.len(),
                    scope.spawn(move || some.iter().map(|f| read(&f.svg, faces)).collect::<Vec<_>>()),
                )
            })
            .collect();
        let done = at_work.into_iter().flat_map(|(count, worker)| {
            worker.join().unwrap_or_else(|_| (0..count).map(|_| lost()).collect())
        });
        done.map(|drawing| drawing.map(Rc::new)).collect()
    })
}

fn find<'b>(blocks: &'b [Block], found: &mut Vec<&'b Figure>) {
    for block in blocks {
        match block {
            Block::Figure(figure) => found.push(figure),
            Block::Together(inner) => find(inner, found),
            _ => {}
        }
    }
}

/// Reads a drawing.
fn read(svg: &str, faces: &Arc<fontdb::Database>) -> Result<Drawing, String> {
    let (tree, to_scale) = parse(svg, faces)?;
    let (mut tree, mut missing) = (tree, String::new());
    missing_letters(tree.root(), &mut missing);
    if !missing.is_empty() {
        let svg: String = svg.chars().map(|c| if missing.contains(c) { '\u{fffd}' } else { c }).collect();
        missing.clear();
        tree = parse(&svg, faces)?.0;
        missing_letters(tree.root(), &mut missing);
    }
    let size = tree.size();
    Ok(Drawing {
        wide: size.width() * PX,
        high: size.height() * PX,
        to_scale,
        text: missing.is_empty(),
        tree,
    })
}

fn parse(svg: &str, faces: &Arc<fontdb::Database>) -> Result<(Tree, bool), String> {
    let xml = roxmltree::Document::parse(svg).map_err(|e| e.to_string())?;
    let to_scale = xml
        .root_element()
        .attribute("width")
        .is_some_and(|w| ["mm", "cm", "in", "pt", "pc", "Q"].iter().any(|unit| w.trim_end().ends_with(unit)));
    let options = Options {
        fontdb: faces.clone(),
        font_family: "DejaVu Sans".to_owned(),
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..Options::default()
    };
    Ok((Tree::from_xmltree(&xml, &options).map_err(|e| e.to_string())?, to_scale))
}

/// Letters that no face shows.
fn missing_letters(group: &usvg::Group, found: &mut String) {
    for node in group.children() {
        match node {
            Node::Group(inner) => missing_letters(inner, found),
            Node::Text(text) => {
                for glyph in text.layouted().iter().flat_map(|span| &span.positioned_glyphs) {
                    if glyph.id.0 == 0 {
                        found.push_str(&glyph.text);
                    }
                }
            }
            Node::Path(_) | Node::Image(_) => {}
        }
        node.subroots(|inner| missing_letters(inner, found));
    }
}

impl Lay<'_> {
    /// A drawing and the line under it. A drawing that does not fit is made smaller; one that states its size in mm then
    /// says so, for it is no longer to scale.
    pub(crate) fn figure(&mut self, figure: &Figure) -> Result<(), Fault> {
        let says = [figure.says.trim(), figure.caption.trim(), "Drawing"]
            .into_iter()
            .find(|text| !text.is_empty())
            .unwrap_or_default();
        let read = self.drawings.next().cloned().unwrap_or_else(|| Err("it was passed over".to_owned()));
        let drawing =
            read.map_err(|why| Fault { what: format!("the drawing \"{says}\" cannot be read: {why}") })?;
        let mut caption = figure.caption.trim().to_owned();
        let room = self.high - self.glued_height();
        let (wide, least) = (self.wide, self.high * 0.5);
        let fit = |caption_high: f32| {
            let high = (room - caption_high).max(least);
            (wide / drawing.wide).min(high / drawing.high).min(1.0)
        };
        let mut scale = fit(self.text_height(&caption));
        if drawing.to_scale && scale < 0.9999 {
            let note =
                format!("Not to scale: made smaller to fit the page, {:.0} % of its size.", scale * 100.0);
            caption = if caption.is_empty() { note } else { format!("{caption} {note}") };
            scale = fit(self.text_height(&caption));
        }
        let node = self.tags.add(Kind::Figure(says.to_owned(), None), None);
        let (wide, high) = (drawing.wide * scale, drawing.high * scale);
        let mark = Mark::Drawing { drawing, x: 0.0, y: 0.0, wide, high, node };
        let lines = self.lines(&[Run::faint(&caption)], self.em, false, self.wide, Align::Left);
        let glue = if caption.is_empty() { Glue::Loose } else { Glue::Must };
        self.parts.push(Part::new(high, self.em * 0.8).with(mark).glued(glue));
        if !caption.is_empty() {
            let node = self.tags.add(Kind::Caption, None);
            self.put_lines(&lines, 0.0, node, self.em * 0.3);
        }
        Ok(())
    }
}
