//! What a document is made of.

/// Size of the sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// 210 x 297 mm.
    A4,
    /// 8.5 x 11 in.
    Letter,
}

/// A whole document.
#[derive(Clone, Debug)]
pub struct Document {
    /// Its title: the first heading of the file's own data, and the running head.
    pub title: String,
    /// Right of the title in the running head (`rev 3, 4f2a 91c0`).
    pub mark: String,
    /// The date, as written.
    pub date: String,
    /// Size of the sheets.
    pub format: Format,
    /// Size of plain text, pt.
    pub type_pt: f64,
    /// Whether pages carry head and number; a card of one side does not.
    pub running: bool,
    /// What stands on them, in order.
    pub blocks: Vec<Block>,
}

/// How a run of text is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Weight {
    /// Plain.
    #[default]
    Plain,
    /// Bold.
    Bold,
    /// Grey, for what is less asked for.
    Faint,
}

/// Text of one weight.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// As it is read; line feeds start a new line.
    pub text: String,
    /// How it is set.
    pub weight: Weight,
}

/// What a banner means; told apart without colour by its frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Holds.
    Good,
    /// Wait.
    Wait,
    /// Fails.
    Bad,
    /// A plain frame.
    Plain,
}

/// A framed word in large type with text under it: the verdict, the cautions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Banner {
    /// What it means.
    pub tone: Tone,
    /// The word (`NO-GO`); none where the text says it all.
    pub word: String,
    /// What it says.
    pub text: Vec<Run>,
}

/// Which edge text stands at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Align {
    /// Left.
    #[default]
    Left,
    /// Right: numbers.
    Right,
}

/// How wide a column is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wide {
    /// As wide as its widest cell.
    Fit,
    /// A share of what is left.
    Share(f64),
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its head.
    pub head: String,
    /// Its width.
    pub wide: Wide,
    /// Its edge.
    pub align: Align,
}

/// A cell.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cell {
    /// What it says.
    pub text: Vec<Run>,
}

/// A table; its head stands again on each page that it runs on to.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What it is, for who cannot see it, and over it.
    pub title: String,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows, each with a cell for each column.
    pub rows: Vec<Vec<Cell>>,
}

/// A drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// The drawing; its `width` and `height` in mm are kept where they fit, so that it is to scale.
    pub svg: String,
    /// What it shows, for who cannot see it.
    pub says: String,
    /// The line under it; empty for none.
    pub caption: String,
}

/// A place to sign.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signature {
    /// As what (`Rigging technician`).
    pub role: String,
    /// What is signed for.
    pub says: String,
}

/// One thing on the page after another.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading, 1 the largest; a bookmark of the file as well.
    Heading(u8, String),
    /// A paragraph.
    Text(Vec<Run>),
    /// Points.
    List(Vec<Vec<Run>>),
    /// A framed word.
    Banner(Banner),
    /// A table.
    Table(Table),
    /// A drawing.
    Figure(Figure),
    /// Places to sign: name, date, signature.
    Signatures(Vec<Signature>),
    /// What follows starts a page.
    NewPage,
    /// What must stand on one page together, if a page can take it.
    Together(Vec<Block>),
}

impl Run {
    /// Plain text.
    pub fn plain(text: impl Into<String>) -> Self {
        Self { text: text.into(), weight: Weight::Plain }
    }

    /// Bold text.
    pub fn bold(text: impl Into<String>) -> Self {
        Self { text: text.into(), weight: Weight::Bold }
    }

    /// Grey text.
    pub fn faint(text: impl Into<String>) -> Self {
        Self { text: text.into(), weight: Weight::Faint }
    }
}

impl Cell {
    /// Plain text.
    pub fn plain(text: impl Into<String>) -> Self {
        Self { text: vec![Run::plain(text)] }
    }

    /// Bold text.
    pub fn bold(text: impl Into<String>) -> Self {
        Self { text: vec![Run::bold(text)] }
    }
}
