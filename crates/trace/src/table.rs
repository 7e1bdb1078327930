//! Lines to cells: separator, comments, head.

use crate::fault::{Fault, shown};
use crate::number::{Cell, cell};
use crate::{clock, unit};
use csv::{ReaderBuilder, StringRecord, Trim};

/// Cells of one line.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub(crate) line: u64,
    pub(crate) cells: Vec<String>,
}

/// A file in rows and named columns.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    /// Head of each column as written; empty without one.
    pub(crate) head: Vec<String>,
    /// Units from a line of their own under the head; empty without one.
    pub(crate) units: Vec<String>,
    pub(crate) rows: Vec<Row>,
    /// A comma may part decimals.
    pub(crate) comma: bool,
}

/// More cells than this a line has no logger.
const MOST_CELLS: usize = 500;

impl Table {
    /// Columns there are.
    pub(crate) fn width(&self) -> usize {
        self.head.len().max(self.rows.iter().take(50).map(|r| r.cells.len()).max().unwrap_or(0))
    }
}

fn comment(line: &str) -> bool {
    let line = line.trim_start();
    line.starts_with(['#', '%']) || line.starts_with("//") || line.to_ascii_lowercase().starts_with("sep=")
}

/// Splits a file into cells.
pub(crate) fn table(text: &str) -> Result<Table, Fault> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    // Comments become blank lines, so that line numbers stay.
    let clean: String = text.lines().flat_map(|l| [if comment(l) { "" } else { l }, "\n"]).collect();
    let separator = separator(&clean)?;
    let mut reader = ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .trim(Trim::All)
        .from_reader(clean.as_bytes());
    let mut rows = Vec::new();
    let mut record = StringRecord::new();
    loop {
        match reader.read_record(&mut record) {
            Ok(false) => break,
            Ok(true) => {
                let line = record.position().map_or(0, csv::Position::line);
                if record.len() > MOST_CELLS {
                    let what = format!("{} cells in one line", record.len());
                    return Err(Fault::whole(what, "is this a logger's text file?").at_line(line));
                }
                // Blank lines and lines of separators alone are nothing.
                if record.iter().any(|c| !c.is_empty()) {
                    rows.push(Row { line, cells: record.iter().map(str::to_owned).collect() });
                }
            }
            Err(e) => {
                let line = e.position().map(csv::Position::line);
                return Err(Fault {
                    line,
                    ..Fault::whole(
                        "this line cannot be parted into cells",
                        "look for a quote that is not closed",
                    )
                });
            }
        }
    }
    let comma = separator != b',';
    let (head, units, rows) = parted(rows, comma)?;
    Ok(Table { head, units, rows, comma })
}

/// The separator that most lines have: tab, semicolon, then comma.
fn separator(text: &str) -> Result<u8, Fault> {
    let lines: Vec<&str> = text.lines().filter(|l| !l.trim().is_empty()).take(200).collect();
    if lines.is_empty() {
        return Err(Fault::whole("there is nothing in the file", "export the log again"));
    }
    let with = |c: char| lines.iter().filter(|l| l.contains(c)).count();
    let most = |c: char| with(c) * 10 >= lines.len() * 6;
    if let Some(c) = ['\t', ';', ','].into_iter().find(|c| most(*c)) {
        return Ok(c as u8);
    }
    Err(Fault::whole(
        "no separator: the lines have neither tabs, semicolons nor commas between cells",
        "export as CSV with a column of time and a column of the signal",
    ))
}

/// Whether a cell stands in the data and not in a head: a number, a clock, or nothing but digits and marks (a number written amiss).
fn datum(text: &str, comma: bool) -> bool {
    let digits = text.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c))
        && text.chars().all(|c| c.is_ascii_digit() || "+-.,eE".contains(c))
        && text.contains(|c: char| c.is_ascii_digit());
    digits || matches!(cell(text, comma), Cell::Number(..)) || clock::seconds(text).is_some()
}

type Parted = (Vec<String>, Vec<String>, Vec<Row>);

/// The head is the last line before the first line of data; over it may stand whatever the logger tells of itself.
fn parted(mut rows: Vec<Row>, comma: bool) -> Result<Parted, Fault> {
    let data = |r: &Row| r.cells.iter().filter(|c| datum(c, comma)).count();
    let full = |r: &Row| r.cells.iter().filter(|c| !c.is_empty()).count();
    // Two cells with data, and not fewer than half.
    let first = rows.iter().position(|r| data(r) >= 2 && 2 * data(r) >= full(r));
    let Some(first) = first else {
        let seen = rows
            .first()
            .map_or(String::new(), |r| format!("; line {} is \"{}\"", r.line, shown(&r.cells.join(" | "))));
        return Err(Fault::whole(
            format!("no line has two numbers{seen}"),
            "export a column of time and a column of the signal, one sample a line",
        ));
    };
    let rest = rows.split_off(first);
    let width = rest.first().map_or(0, |r| r.cells.len());
    // Half as many names as cells: a comma parts both cells and decimals, which is told later.
    let alike = |r: &Row| (r.cells.len() + 1 >= width || r.cells.len() * 2 == width) && full(r) >= 2;
    let mut before = rows.into_iter().rev().filter(alike);
    let head = before.next().map(|r| r.cells).unwrap_or_default();
    let is_units = |c: &Vec<String>| {
        !c.is_empty() && c.iter().filter(|c| !c.is_empty()).all(|c| unit::unit(bare(c)).is_some())
    };
    if is_units(&head)
        && let Some(names) = before.next()
    {
        return Ok((names.cells, head, rest));
    }
    Ok((head, Vec::new(), rest))
}

/// Without brackets round it.
pub(crate) fn bare(text: &str) -> &str {
    text.trim().trim_matches(|c| "[]()<>{}".contains(c)).trim()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn separators_heads_and_what_stands_over_them() {
        let t = table("\u{feff}# phone log\nDevice: none\n\ntime;x\n0;1,5\n1;2,5\n").unwrap();
        assert_eq!(
            (t.head, t.comma, t.rows.len(), t.rows[0].line),
            (vec!["time".into(), "x".into()], true, 2, 5)
        );
        let t = table("t\tx\n[s]\t[mm]\n0\t1\n").unwrap();
        assert_eq!(
            (t.head, t.units, t.rows.len()),
            (vec!["t".into(), "x".into()], vec!["[s]".into(), "[mm]".into()], 1)
        );
        let t = table("0,1\n1,2\n").unwrap();
        assert!(t.head.is_empty() && !t.comma && t.rows.len() == 2);
        for bad in ["", "\n\n", "# only\n", "hello\nworld\n", "a,b\nc,d\n", "1\n2\n3\n"] {
            assert!(table(bad).is_err(), "{bad:?}");
        }
    }
}
