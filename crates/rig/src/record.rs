//! A table of the file after the reading pass: every value of its right sort, with its place.

use crate::fact::Fact;
use crate::source::Spot;
use crate::spec::Table;

/// A value that has the shape its row asks for.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    Fact(Fact),
    Text(String),
    Word(&'static str),
    Flag(bool),
    Count(usize),
    List(Vec<Cell>),
    Table(Record),
    Tagged(Vec<Record>),
    /// Already reported.
    Faulty,
}

/// A value with the places of its key and itself.
#[derive(Clone, Debug)]
pub(crate) struct Cell {
    pub(crate) key: &'static str,
    pub(crate) key_at: Spot,
    pub(crate) at: Spot,
    pub(crate) value: Value,
}

/// One table that was read.
#[derive(Clone, Debug)]
pub(crate) struct Record {
    pub(crate) table: &'static Table,
    /// Dotted key of the table in its file (`cup.FL`).
    pub(crate) path: String,
    /// Its tag, or empty.
    pub(crate) tag: String,
    /// Its heading.
    pub(crate) at: Spot,
    pub(crate) cells: Vec<Cell>,
}

impl Record {
    pub(crate) fn empty(table: &'static Table, path: &str, at: &Spot) -> Self {
        Self { table, path: path.to_owned(), tag: String::new(), at: at.clone(), cells: Vec::new() }
    }

    pub(crate) fn cell(&self, key: &str) -> Option<&Cell> {
        self.cells.iter().find(|c| c.key == key)
    }

    /// Whether the key stands in the file, faulty or not.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.cell(key).is_some()
    }

    /// The text or word of a key.
    pub(crate) fn text(&self, key: &str) -> Option<&str> {
        match &self.cell(key)?.value {
            Value::Text(t) => Some(t),
            Value::Word(w) => Some(w),
            _ => None,
        }
    }

    pub(crate) fn fact(&self, key: &str) -> Option<&Fact> {
        match &self.cell(key)?.value {
            Value::Fact(f) => Some(f),
            _ => None,
        }
    }

    /// A measure as stated, without any default.
    pub(crate) fn measure(&self, key: &str) -> Option<f64> {
        self.fact(key).map(|f| f.value)
    }

    pub(crate) fn flag(&self, key: &str) -> Option<bool> {
        match self.cell(key)?.value {
            Value::Flag(f) => Some(f),
            _ => None,
        }
    }

    pub(crate) fn count(&self, key: &str) -> Option<usize> {
        match self.cell(key)?.value {
            Value::Count(n) => Some(n),
            _ => None,
        }
    }

    pub(crate) fn sub(&self, key: &str) -> Option<&Self> {
        match &self.cell(key)?.value {
            Value::Table(r) => Some(r),
            _ => None,
        }
    }

    pub(crate) fn tagged(&self, key: &str) -> &[Self] {
        match self.cell(key).map(|c| &c.value) {
            Some(Value::Tagged(list)) => list,
            _ => &[],
        }
    }

    pub(crate) fn list(&self, key: &str) -> &[Cell] {
        match self.cell(key).map(|c| &c.value) {
            Some(Value::List(list)) => list,
            _ => &[],
        }
    }

    /// Whether the key stands there but was already reported.
    pub(crate) fn is_faulty(&self, key: &str) -> bool {
        self.cell(key).is_some_and(|c| matches!(c.value, Value::Faulty))
    }

    /// Place of a key's value, or of the table when the key is absent.
    pub(crate) fn spot(&self, key: &str) -> &Spot {
        self.cell(key).map_or(&self.at, |c| &c.at)
    }

    /// How the table is named in a message: `cup FL`, `policy`.
    pub(crate) fn title(&self) -> String {
        if self.tag.is_empty() {
            format!("[{}]", self.path)
        } else {
            let kind = self.table.name.rsplit('.').next().unwrap_or(self.table.name);
            format!("{} \"{}\"", kind.replace('_', "-"), self.tag)
        }
    }
}
