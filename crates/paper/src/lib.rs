//! Headings, text, tables and drawings to a PDF that can be searched and read aloud.
//!
//! Knows nothing of rigs: what is said comes in finished, as [`Block`]s; where it stands on which page is worked out here.

pub mod block;
mod plain;

pub use block::{
    Align, Banner, Block, Cell, Column, Document, Figure, Format, Run, Signature, Table, Tone, Weight, Wide,
};

/// Why no file could be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What went wrong, in words.
    pub what: String,
}

/// The document as a PDF file.
///
/// # Errors
///
/// [`Fault`] where the PDF library refuses what it is given.
pub fn pdf(document: &Document) -> Result<Vec<u8>, Fault> {
    Err(Fault { what: format!("{} is not set yet", document.title) })
}
