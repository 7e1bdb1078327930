//! The one definition of the file format. Every table of a rig or parts file is a constant list of rows; the
//! reader, its hints, the format page and the JSON Schema are all made from them. A new key is one new row.

pub(crate) mod arm;
pub(crate) mod camera;
pub(crate) mod car;
pub(crate) mod cup;
pub(crate) mod grid;
pub(crate) mod isolator;
pub(crate) mod panel;
pub(crate) mod place;
pub(crate) mod platform;
pub(crate) mod policy;
pub(crate) mod power;
pub(crate) mod root;
pub(crate) mod steps;
pub(crate) mod strap;

use quantity::Kind;

/// What a key's value looks like.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Shape {
    /// A quantity, or a range `{ value, low, high }` when it is not known well.
    Quantity(Kind),
    /// A quantity that must be one value: a place or a size.
    Measure(Kind),
    /// A radius, or the word `flat`.
    Radius,
    /// Any text.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// A whole number from the first to the second.
    Count(usize, usize),
    /// The tag of a thing in one of these tables.
    Tag(&'static [&'static str]),
    /// The name of a part of this kind.
    Part(&'static str),
    /// A list of such values.
    List(&'static Shape),
    /// A table with set keys.
    Table(&'static Table),
    /// Tables keyed by a tag of the person's choice.
    Tagged(&'static Table),
}

/// What happens when the key is absent.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Need {
    /// A fault.
    Required,
    /// Nothing.
    Optional,
    /// Taken from the named part or ready set; a fault if that has none either.
    Part,
    /// Taken from the part, else from the panel's material and finish.
    Surface,
    /// This word, flag or count.
    Default(&'static str),
    /// This value, as an assumption.
    Assume(Assume),
}

/// A typical value.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Assume {
    pub(crate) value: &'static str,
    pub(crate) low: &'static str,
    pub(crate) high: &'static str,
    pub(crate) source: &'static str,
}

/// The words for a typical value that nobody has published.
pub(crate) const COMMON: &str = "common practice, no source";

/// One key of a table.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Row {
    pub(crate) key: &'static str,
    pub(crate) shape: Shape,
    pub(crate) need: Need,
    /// In the technician's words.
    pub(crate) doc: &'static str,
    /// As it would be written, quotes and all.
    pub(crate) example: &'static str,
    /// How to measure it with hand tools.
    pub(crate) settle: &'static str,
    /// Beyond this is an error.
    pub(crate) within: Option<(&'static str, &'static str)>,
    /// Beyond this is a warning.
    pub(crate) usual: Option<(&'static str, &'static str)>,
}

impl Row {
    pub(crate) const fn new(
        key: &'static str,
        shape: Shape,
        doc: &'static str,
        example: &'static str,
    ) -> Self {
        Self { key, shape, need: Need::Optional, doc, example, settle: "", within: None, usual: None }
    }

    pub(crate) const fn need(self, need: Need) -> Self {
        Self { need, ..self }
    }

    pub(crate) const fn required(self) -> Self {
        self.need(Need::Required)
    }

    pub(crate) const fn part(self) -> Self {
        self.need(Need::Part)
    }

    pub(crate) const fn or(self, word: &'static str) -> Self {
        self.need(Need::Default(word))
    }

    /// A typical value and its range, common practice without a source.
    pub(crate) const fn assume(self, value: &'static str, low: &'static str, high: &'static str) -> Self {
        self.need(Need::Assume(Assume { value, low, high, source: COMMON }))
    }

    pub(crate) const fn assume_from(self, value: &'static str, source: &'static str) -> Self {
        self.need(Need::Assume(Assume { value, low: value, high: value, source }))
    }

    pub(crate) const fn settle(self, settle: &'static str) -> Self {
        Self { settle, ..self }
    }

    pub(crate) const fn within(self, least: &'static str, most: &'static str) -> Self {
        Self { within: Some((least, most)), ..self }
    }

    pub(crate) const fn usual(self, least: &'static str, most: &'static str) -> Self {
        Self { usual: Some((least, most)), ..self }
    }
}

/// One table of the format.
#[derive(Debug)]
pub(crate) struct Table {
    /// Its name in headings (`cup`).
    pub(crate) name: &'static str,
    /// What it holds, in one sentence.
    pub(crate) doc: &'static str,
    /// Its rows, in groups that several tables share.
    pub(crate) groups: &'static [&'static [Row]],
}

impl Table {
    pub(crate) fn rows(&self) -> impl Iterator<Item = &'static Row> + use<> {
        self.groups.iter().flat_map(|g| g.iter())
    }

    pub(crate) fn row(&self, key: &str) -> Option<&'static Row> {
        self.rows().find(|r| r.key == key)
    }
}
