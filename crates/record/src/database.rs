//! What the store needs of a database, and no more: another engine is one more file.

use core::fmt;

/// A value in a row or of a parameter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Cell {
    Nothing,
    Number(i64),
    Text(String),
    Bytes(Vec<u8>),
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<u32> for Cell {
    fn from(number: u32) -> Self {
        Self::Number(number.into())
    }
}

impl From<i64> for Cell {
    fn from(number: i64) -> Self {
        Self::Number(number)
    }
}

/// Why a database refuses, sorted by what can be done about it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Cause {
    CannotOpen,
    ReadOnly,
    Full,
    Locked,
    NotADatabase,
    Corrupt,
    Other,
}

/// A refusal, with the engine's words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Refusal {
    pub(crate) cause: Cause,
    pub(crate) words: String,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.words)
    }
}

/// Why a transaction is begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum For {
    /// One view of the data over several questions.
    Reading,
    /// Nobody else writes until the end.
    Writing,
}

/// A connection to a database.
pub(crate) trait Database: Send {
    /// Runs a statement; gives how many rows it changed.
    fn run(&self, sql: &str, cells: &[Cell]) -> Result<usize, Refusal>;
    /// Asks a question; gives its rows.
    fn rows(&self, sql: &str, cells: &[Cell]) -> Result<Vec<Vec<Cell>>, Refusal>;
    /// Begins a transaction; one left over from a fault is taken back first.
    fn begin(&self, why: For) -> Result<(), Refusal>;
    /// Ends it; when this returns, what was written stays.
    fn commit(&self) -> Result<(), Refusal>;
    /// Takes it back.
    fn rollback(&self) -> Result<(), Refusal>;
    /// The number of the layout; 0 where there is none yet.
    fn layout(&self) -> Result<i64, Refusal>;
    /// Sets it, inside the transaction.
    fn set_layout(&self, layout: i64) -> Result<(), Refusal>;
    /// What the engine's own check finds wrong, if anything.
    fn unsound(&self) -> Result<Option<String>, Refusal>;
    /// Writes a whole copy, as of one moment, into an empty file.
    fn copy_to(&self, path: &str) -> Result<(), Refusal>;
}
