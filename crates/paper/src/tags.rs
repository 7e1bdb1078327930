//! The tag tree: what each thing on the page is, for who has the file read aloud.

use std::num::NonZeroU16;

use krilla::tagging::{
    BBox, Identifier, ListNumbering, Node, TableHeaderScope, Tag, TagGroup, TagKind, TagTree,
};

/// What a node is.
#[derive(Clone, Debug)]
pub(crate) enum Kind {
    Heading(u16, String),
    Paragraph,
    List,
    Item,
    Label,
    Body,
    /// A table and what it is.
    Table(String),
    Caption,
    Head,
    Rows,
    Row,
    ColumnHead,
    RowHead,
    Cell,
    /// A drawing: what it shows, and where it stands once it is placed.
    Figure(String, Option<BBox>),
    /// Things that belong together.
    Group,
}

#[derive(Debug)]
enum Child {
    Node(usize),
    Leaf(Identifier),
}

#[derive(Debug)]
struct Entry {
    kind: Kind,
    children: Vec<Child>,
}

/// Nodes by number; those without a parent stand on top, in the order in which they were made.
#[derive(Debug, Default)]
pub(crate) struct Tags {
    nodes: Vec<Entry>,
    top: Vec<usize>,
    level: u16,
}

impl Tags {
    /// A new node under another or on top.
    pub(crate) fn add(&mut self, kind: Kind, under: Option<usize>) -> usize {
        let number = self.nodes.len();
        self.nodes.push(Entry { kind, children: Vec::new() });
        match under.and_then(|parent| self.nodes.get_mut(parent)) {
            Some(parent) => parent.children.push(Child::Node(number)),
            None => self.top.push(number),
        }
        number
    }

    /// A heading. No level is passed over on the way down, whatever its size on the page.
    pub(crate) fn heading(&mut self, level: usize, words: &str) -> (usize, usize) {
        let level = u16::try_from(level).unwrap_or(u16::MAX).clamp(1, self.level + 1);
        self.level = level;
        (self.add(Kind::Heading(level, words.to_owned()), None), usize::from(level))
    }

    /// Content on a page that belongs to a node.
    pub(crate) fn leaf(&mut self, node: usize, content: Identifier) {
        if let Some(entry) = self.nodes.get_mut(node) {
            entry.children.push(Child::Leaf(content));
        }
    }

    /// Where a drawing stands.
    pub(crate) fn place(&mut self, node: usize, place: BBox) {
        if let Some(Entry { kind: Kind::Figure(_, at), .. }) = self.nodes.get_mut(node) {
            *at = Some(place);
        }
    }

    /// The tree for the file.
    pub(crate) fn tree(&self) -> TagTree {
        let mut tree = TagTree::new();
        for number in &self.top {
            if let Some(group) = self.group(*number) {
                tree.push(group);
            }
        }
        tree
    }

    fn group(&self, number: usize) -> Option<TagGroup> {
        let entry = self.nodes.get(number)?;
        let mut group = TagGroup::new(tag(&entry.kind));
        for child in &entry.children {
            match child {
                Child::Leaf(content) => group.push(*content),
                Child::Node(number) => {
                    if let Some(inner) = self.group(*number) {
                        group.push(Node::Group(inner));
                    }
                }
            }
        }
        Some(group)
    }
}

fn tag(kind: &Kind) -> TagKind {
    match kind {
        Kind::Heading(level, words) => {
            Tag::Hn(NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN), Some(words.clone())).into()
        }
        Kind::Paragraph => Tag::P.into(),
        Kind::List => Tag::L(ListNumbering::Disc).into(),
        Kind::Item => Tag::LI.into(),
        Kind::Label => Tag::Lbl.into(),
        Kind::Body => Tag::LBody.into(),
        Kind::Table(title) => Tag::Table.with_summary((!title.is_empty()).then(|| title.clone())).into(),
        Kind::Caption => Tag::Caption.into(),
        Kind::Head => Tag::THead.into(),
        Kind::Rows => Tag::TBody.into(),
        Kind::Row => Tag::TR.into(),
        Kind::ColumnHead => Tag::TH(TableHeaderScope::Column).into(),
        Kind::RowHead => Tag::TH(TableHeaderScope::Row).into(),
        Kind::Cell => Tag::TD.into(),
        Kind::Figure(says, place) => Tag::Figure(Some(says.clone())).with_bbox(*place).into(),
        Kind::Group => Tag::Div.into(),
    }
}
