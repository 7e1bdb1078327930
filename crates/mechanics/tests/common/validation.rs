//! Hands what the outside checks found to the validation page (`docs/validation.md`, written by `cargo xtask docs`).
//!
//! A test program of any crate may include this file by its path. Nothing is written unless `CLINGFISH_VALIDATION_DIR` names a
//! folder; the checks themselves run all the same.

use std::fmt::Write as _;
use std::path::Path;

/// One published value and ours.
pub struct Row<'a> {
    /// Author, title, place.
    pub source: &'a str,
    /// Name of the case in its table.
    pub id: &'a str,
    /// What was compared, in words.
    pub quantity: &'a str,
    /// As printed.
    pub published: f64,
    /// As computed here.
    pub ours: f64,
    /// Unit of both.
    pub unit: &'a str,
    /// Difference that the test lets pass, in `unit`.
    pub allowed: f64,
    /// How well the published value is known: `looked up`, `computed`, `from memory`.
    pub marker: &'a str,
}

/// Writes the rows of one table to a file of its own, named after the table.
///
/// # Panics
///
/// If the folder cannot be written to, or if there are no rows: either would leave a hole in the page.
#[allow(
    clippy::disallowed_methods,
    clippy::panic,
    reason = "a test program may ask whether the page is being written, and stops where it cannot be"
)]
pub fn record(table: &str, rows: &[Row<'_>]) {
    assert!(!rows.is_empty(), "{table} has no rows");
    let Ok(folder) = std::env::var("CLINGFISH_VALIDATION_DIR") else { return };
    let mut text = String::new();
    for r in rows {
        for field in [r.source, r.id, r.quantity, r.unit, r.marker] {
            let clean: String = field.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            text.push_str(&clean);
            text.push('\t');
        }
        let _ = writeln!(text, "{}\t{:e}\t{:e}", r.published, r.ours, r.allowed);
    }
    let file = Path::new(&folder).join(format!("{table}.tsv"));
    if let Err(error) = std::fs::write(&file, text) {
        panic!("{}: {error}", file.display());
    }
}
