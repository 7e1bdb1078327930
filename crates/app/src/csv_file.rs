//! Rows as CSV for spreadsheets (RFC 4180: commas, quotes doubled inside quotes, CRLF; UTF-8).
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@`, a tab or a line end for a formula, and a tag can hold anything.
//! Such a cell gets an apostrophe in front, by which spreadsheets know text; numbers stay as they are.

use crate::io::Stop;
use csv::{ReaderBuilder, Terminator, WriterBuilder};
use serde::Serialize;
use std::borrow::Cow;
use std::io::Write;

/// Writes rows under a line with their names.
pub(crate) fn write<T: Serialize>(out: &mut dyn Write, rows: &[T]) -> Result<(), Stop> {
    let wrong = |e: &dyn std::fmt::Display| Stop::bad(format!("the list cannot be written as CSV: {e}"), "");
    let mut plain = WriterBuilder::new().from_writer(Vec::new());
    for row in rows {
        plain.serialize(row).map_err(|e| wrong(&e))?;
    }
    let plain = plain.into_inner().map_err(|e| wrong(&e))?;
    let mut guarded = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    for record in ReaderBuilder::new().has_headers(false).from_reader(&plain[..]).records() {
        let record = record.map_err(|e| wrong(&e))?;
        guarded.write_record(record.iter().map(|cell| guard(cell).into_owned())).map_err(|e| wrong(&e))?;
    }
    out.write_all(&guarded.into_inner().map_err(|e| wrong(&e))?)?;
    Ok(())
}

/// A cell that no spreadsheet runs.
fn guard(cell: &str) -> Cow<'_, str> {
    let number = cell.parse::<f64>().is_ok_and(f64::is_finite);
    if !number && cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) {
        Cow::Owned(format!("'{cell}"))
    } else {
        Cow::Borrowed(cell)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Serialize)]
    struct Row {
        tag: &'static str,
        length_mm: Option<f64>,
    }

    fn text(rows: &[Row]) -> String {
        let mut out = Vec::new();
        write(&mut out, rows).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn rows_come_back_as_they_went() {
        let tags = ["FL", "a,b", "say \"L\"", "two\nlines", "ünï 🚗", "", " blank "];
        let rows: Vec<Row> = tags.into_iter().map(|tag| Row { tag, length_mm: Some(-12.5) }).collect();
        let text = text(&rows);
        assert!(text.starts_with("tag,length_mm\r\nFL,-12.5\r\n"), "{text}");
        let mut reader = ReaderBuilder::new().from_reader(text.as_bytes());
        let back: Vec<String> = reader.records().map(|r| r.unwrap()[0].to_owned()).collect();
        assert_eq!(back, tags);
    }

    #[test]
    fn no_cell_is_a_formula_and_no_number_is_touched() {
        for tag in ["=1+1", "+SUM(A1)", "-2+3", "@x", "\tx", "\rx", "\n=x", "-inf", "=cmd|' /C calc'!A0", "-"]
        {
            let text = text(&[Row { tag, length_mm: Some(-3.0) }]);
            let record = ReaderBuilder::new().from_reader(text.as_bytes()).records().next().unwrap().unwrap();
            assert_eq!((&record[0], &record[1]), (format!("'{tag}").as_str(), "-3.0"));
        }
        for tag in ["-3", "+4.5", "1e3"] {
            assert!(text(&[Row { tag, length_mm: None }]).contains(&format!("\n{tag},\r\n")));
        }
    }
}
