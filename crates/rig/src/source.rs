//! The texts that were read, and places in them.

use std::ops::Range;

/// One text: the rig file itself (index 0) or a parts file that it names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// File name, as given.
    pub name: String,
    /// Its whole text.
    pub text: String,
}

/// A place in one of the sources.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Spot {
    pub(crate) source: usize,
    pub(crate) span: Range<usize>,
}

impl Spot {
    pub(crate) fn new(source: usize, span: Range<usize>) -> Self {
        Self { source, span }
    }

    /// The top of a source.
    pub(crate) fn top(source: usize) -> Self {
        Self::new(source, 0..0)
    }
}

/// Line and column of a byte offset, both from 1; columns count characters. Offsets past the end give the end.
pub fn line_column(text: &str, offset: usize) -> (usize, usize) {
    let offset = floor_boundary(text, offset);
    let before = text.get(..offset).unwrap_or("");
    let line = before.bytes().filter(|b| *b == b'\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    (line, before.get(start..).map_or(0, |s| s.chars().count()) + 1)
}

/// The nearest character boundary at or before `offset`.
fn floor_boundary(text: &str, offset: usize) -> usize {
    let mut at = offset.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// `span` clipped to `text` and its character boundaries.
pub(crate) fn clip(text: &str, span: &Range<usize>) -> Range<usize> {
    let start = floor_boundary(text, span.start);
    start..floor_boundary(text, span.end).max(start)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_count_from_one_and_by_characters() {
        let text = "a = 1\n# µm\nb = 2\n";
        assert_eq!(line_column(text, 0), (1, 1));
        assert_eq!(line_column(text, 6), (2, 1));
        assert_eq!(line_column(text, 10), (2, 4), "µ is two bytes, one column");
        assert_eq!(line_column(text, 9), (2, 3), "inside µ: its start");
        assert_eq!(line_column(text, 999), (4, 1));
        assert_eq!(clip(text, &(9..400)), 8..text.len());
    }
}
