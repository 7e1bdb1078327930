//! What stands on a page, before it is known on which.

use std::rc::Rc;

use crate::figure::Drawing;
use crate::setting::Line;

/// How firmly a part stands with the one after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Glue {
    /// Not at all.
    Loose,
    /// If a page can take all that is wished together.
    Wish,
    /// Always, but where even that is taller than a page.
    Must,
}

/// What is drawn; places are from the part's left and top.
#[derive(Clone)]
pub(crate) enum Mark {
    /// A line of text, for a node of the tag tree.
    Line { line: Rc<Line>, x: f32, y: f32, node: usize },
    /// A straight rule across or down.
    Rule { from: (f32, f32), to: (f32, f32), wide: f32, grey: u8 },
    /// A filled box.
    Fill { x: f32, y: f32, wide: f32, high: f32, grey: u8 },
    /// A drawing, for a node of the tag tree.
    Drawing { drawing: Rc<Drawing>, x: f32, y: f32, wide: f32, high: f32, node: usize },
}

impl Mark {
    /// Whether it lies under all else.
    pub(crate) fn is_tint(&self) -> bool {
        matches!(self, Self::Fill { .. })
    }
}

/// What stands again on top of each page that a table runs on to.
pub(crate) struct Again {
    pub(crate) high: f32,
    pub(crate) marks: Vec<Mark>,
}

/// A piece that no page break cuts.
pub(crate) struct Part {
    pub(crate) high: f32,
    /// Space above it; none on top of a page.
    pub(crate) gap: f32,
    pub(crate) glue: Glue,
    pub(crate) marks: Vec<Mark>,
    pub(crate) again: Option<Rc<Again>>,
    /// The frames that it stands in.
    pub(crate) frames: Vec<usize>,
    /// A heading's level and words, for the bookmarks.
    pub(crate) bookmark: Option<(usize, String)>,
    /// Whether it starts a page.
    pub(crate) fresh: bool,
}

impl Part {
    pub(crate) fn new(high: f32, gap: f32) -> Self {
        Self {
            high,
            gap,
            glue: Glue::Loose,
            marks: Vec::new(),
            again: None,
            frames: Vec::new(),
            bookmark: None,
            fresh: false,
        }
    }

    pub(crate) fn glued(mut self, glue: Glue) -> Self {
        self.glue = glue;
        self
    }

    pub(crate) fn with(mut self, mark: Mark) -> Self {
        self.marks.push(mark);
        self
    }
}

/// How a frame is drawn; told apart without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Edge {
    /// One strong line.
    Strong,
    /// Strong dashes.
    Dashed,
    /// Two lines, and a light tint.
    Double,
    /// A thin line.
    Thin,
}

/// A frame around parts that follow one another; each page has its own piece of it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    pub(crate) edge: Edge,
    pub(crate) x: f32,
    pub(crate) wide: f32,
}
