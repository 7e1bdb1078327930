//! The text with the place of every heading, key and value, and how pieces of it are replaced.

use super::fault::EditFault;
use crate::describe::inner;
use crate::pass::{key_text, printable};
use crate::spec::root::RIG;
use crate::spec::{Row, Shape, Table as Definition};
use std::ops::Range;
use toml_edit::{Array, ArrayOfTables, InlineTable, Item, Key, Table, Value};

/// A piece of the text and what takes its place.
pub(crate) type Splice = (Range<usize>, String);

/// What stands under a key.
#[derive(Clone, Copy)]
pub(crate) enum Node<'d> {
    /// Keys under a heading, or dotted keys.
    Table(&'d Table),
    /// Keys between braces, or dotted keys there.
    Inline(&'d InlineTable),
    /// Tables under `[[heading]]`.
    Tables(&'d ArrayOfTables),
    /// A list between brackets.
    List(&'d Array),
    /// One value.
    Plain(&'d Value),
}

impl<'d> Node<'d> {
    fn of_value(value: &'d Value) -> Self {
        match value {
            Value::InlineTable(t) => Self::Inline(t),
            Value::Array(a) => Self::List(a),
            plain => Self::Plain(plain),
        }
    }

    fn of_item(item: &'d Item) -> Option<Self> {
        match item {
            Item::None => None,
            Item::Value(v) => Some(Self::of_value(v)),
            Item::Table(t) => Some(Self::Table(t)),
            Item::ArrayOfTables(a) => Some(Self::Tables(a)),
        }
    }

    /// What stands in it, each with its name and the place of that; things of a list count from 1.
    pub(crate) fn entries(self) -> Vec<(String, Option<Range<usize>>, Node<'d>)> {
        let keyed = |table: &'d dyn toml_edit::TableLike| {
            table
                .iter()
                .filter_map(|(k, item)| {
                    Some((k.to_owned(), table.key(k).and_then(Key::span), Node::of_item(item)?))
                })
                .collect()
        };
        match self {
            Self::Table(t) => keyed(t),
            Self::Inline(t) => keyed(t),
            Self::Tables(a) => {
                a.iter().enumerate().map(|(i, t)| ((i + 1).to_string(), None, Node::Table(t))).collect()
            }
            Self::List(a) => {
                a.iter().enumerate().map(|(i, v)| ((i + 1).to_string(), None, Node::of_value(v))).collect()
            }
            Self::Plain(_) => Vec::new(),
        }
    }

    pub(crate) fn child(self, name: &str) -> Option<(Option<Range<usize>>, Node<'d>)> {
        let keyed = |table: &'d dyn toml_edit::TableLike| {
            Some((table.key(name).and_then(Key::span), Node::of_item(table.get(name)?)?))
        };
        let index = name.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
        match self {
            Self::Table(t) => keyed(t),
            Self::Inline(t) => keyed(t),
            Self::Tables(a) => Some((None, Node::Table(a.get(index?)?))),
            Self::List(a) => Some((None, Node::of_value(a.get(index?)?))),
            Self::Plain(_) => None,
        }
    }

    pub(crate) fn is_table(self) -> bool {
        matches!(self, Self::Table(_) | Self::Inline(_))
    }

    /// The bytes of a value; not of a table of dotted keys.
    pub(crate) fn span(self) -> Option<Range<usize>> {
        match self {
            Self::Table(_) | Self::Tables(_) => None,
            Self::Inline(t) if t.is_dotted() => None,
            Self::Inline(t) => t.span(),
            Self::List(a) => a.span(),
            Self::Plain(v) => v.span(),
        }
    }

    /// The text of a text.
    pub(crate) fn text(self) -> Option<&'d str> {
        if let Self::Plain(v) = self { v.as_str() } else { None }
    }
}

/// A value with its key, on a line of its own.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    /// From the top of the file.
    pub(crate) path: Vec<String>,
    /// The last step of its key.
    pub(crate) key: Range<usize>,
    pub(crate) value: Range<usize>,
}

/// A heading.
#[derive(Clone, Debug)]
pub(crate) struct Heading {
    pub(crate) path: Vec<String>,
    pub(crate) span: Range<usize>,
}

/// A text that was read.
pub(crate) struct Document<'t> {
    pub(crate) text: &'t str,
    tree: toml_edit::Document<&'t str>,
    /// In order of place.
    pub(crate) lines: Vec<Line>,
    pub(crate) headings: Vec<Heading>,
}

impl<'t> Document<'t> {
    pub(crate) fn read(text: &'t str) -> Result<Self, EditFault> {
        let tree = toml_edit::Document::parse(text).map_err(|e| {
            EditFault::new(
                "the file cannot be changed while it is not TOML",
                e.message().to_owned(),
                "mend the fault that reading it tells",
            )
        })?;
        let (mut lines, mut headings) = (Vec::new(), Vec::new());
        gather(Node::Table(tree.as_table()), &mut Vec::new(), &mut lines, &mut headings);
        lines.sort_by_key(|l| l.key.start);
        headings.sort_by_key(|h| h.span.start);
        Ok(Self { text, tree, lines, headings })
    }

    pub(crate) fn root(&self) -> Node<'_> {
        Node::Table(self.tree.as_table())
    }

    pub(crate) fn find<S: AsRef<str>>(&self, path: &[S]) -> Option<Node<'_>> {
        path.iter().try_fold(self.root(), |node, step| Some(node.child(step.as_ref())?.1))
    }

    /// The text under a path.
    pub(crate) fn word<S: AsRef<str>>(&self, path: &[S]) -> Option<&str> {
        self.find(path)?.text()
    }

    pub(crate) fn slice(&self, span: Range<usize>) -> &'t str {
        self.text.get(span).unwrap_or("")
    }

    /// How lines end in this file.
    pub(crate) fn eol(&self) -> &'static str {
        let first = self.text.find('\n').and_then(|i| self.text.get(..i));
        if first.is_some_and(|t| t.ends_with('\r')) { "\r\n" } else { "\n" }
    }

    /// Start of the line that `at` is on.
    pub(crate) fn line_start(&self, at: usize) -> usize {
        let start = self.slice(0..at).rfind('\n').map_or(0, |i| i + 1);
        // A mark of byte order is not part of the line.
        if start == 0 && self.text.starts_with('\u{feff}') { '\u{feff}'.len_utf8().min(at) } else { start }
    }

    /// End of that line, behind its line break.
    pub(crate) fn line_end(&self, at: usize) -> usize {
        self.slice(at..self.text.len()).find('\n').map_or(self.text.len(), |i| at + i + 1)
    }

    /// Index of the heading that a place stands under.
    pub(crate) fn heading_of(&self, at: usize) -> Option<usize> {
        self.headings.iter().rposition(|h| h.span.start <= at)
    }

    /// Lines under a heading (none: above the first), in order.
    pub(crate) fn under(&self, heading: Option<usize>) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(move |l| self.heading_of(l.key.start) == heading)
    }

    /// The text with pieces replaced; a piece that begins inside another is left out.
    pub(crate) fn with(&self, mut splices: Vec<Splice>) -> String {
        splices.sort_by_key(|(span, _)| span.start);
        let (mut out, mut at) = (String::with_capacity(self.text.len() + 64), 0);
        for (span, new) in splices {
            if span.start < at {
                continue;
            }
            out.push_str(self.slice(at..span.start));
            out.push_str(&new);
            at = span.end.max(span.start);
        }
        out.push_str(self.slice(at..self.text.len()));
        out
    }
}

fn gather(node: Node<'_>, path: &mut Vec<String>, lines: &mut Vec<Line>, headings: &mut Vec<Heading>) {
    for (name, key, child) in node.entries() {
        path.push(name);
        match child {
            Node::Table(table) => {
                let head =
                    table.span().filter(|s| !table.is_dotted() && !table.is_implicit() && !s.is_empty());
                headings.extend(head.map(|span| Heading { path: path.clone(), span }));
                gather(child, path, lines, headings);
            }
            Node::Tables(_) => gather(child, path, lines, headings),
            _ => match (key, child.span()) {
                (Some(key), Some(value)) => lines.push(Line { path: path.clone(), key, value }),
                // Dotted keys.
                _ => gather(child, path, lines, headings),
            },
        }
        path.pop();
    }
}

/// The steps of a dotted key.
pub(crate) fn steps(key: &str) -> Result<Vec<String>, EditFault> {
    let read = Key::parse(key).ok().map(|keys| keys.iter().map(|k| k.get().to_owned()).collect::<Vec<_>>());
    read.filter(|k| !k.is_empty()).ok_or_else(|| {
        EditFault::new(
            format!("`{}` is no key", printable(key)),
            "a key is names with dots between; a tag with blanks or dots stands between quotes",
            "write it like `cup.FL.vacuum` or `tube.\"my tube\".from`",
        )
    })
}

/// A path as it is written.
pub(crate) fn dotted<S: AsRef<str>>(path: &[S]) -> String {
    path.iter().map(|s| key_text(s.as_ref())).collect::<Vec<_>>().join(".")
}

/// The definition of what stands under a path: the row of its last key; and, for a table, its keys. A tag or a place in a list has
/// the row of its table.
pub(crate) fn defined<S: AsRef<str>>(path: &[S]) -> Option<(&'static Row, Option<&'static Definition>)> {
    let mut table = Some(&RIG);
    let mut row = None;
    let mut steps = path.iter();
    while let Some(step) = steps.next() {
        let found = table?.row(step.as_ref())?;
        row = Some(found);
        table = inner(&found.shape);
        if matches!(found.shape, Shape::Tagged(_) | Shape::List(_)) && steps.next().is_none() {
            // The tables of all tags, or the list itself.
            return Some((found, None));
        }
    }
    Some((row?, table))
}
