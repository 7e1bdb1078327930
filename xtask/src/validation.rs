//! The validation page: every outside check with its source, published value, ours and the difference.
//!
//! The test programs write one file of rows a table (`crates/mechanics/tests/common/validation.rs`) into [`folder`].

use crate::run;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// One published value and ours.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Row {
    source: String,
    id: String,
    quantity: String,
    unit: String,
    marker: String,
    published: String,
    ours: f64,
    allowed: f64,
}

/// Where test programs leave their rows.
pub(crate) fn folder(root: &Path) -> PathBuf {
    run::target(root).join("validation")
}

/// Names of the test programs that record rows.
pub(crate) fn test_programs(root: &Path) -> Vec<String> {
    let mut names = Vec::new();
    for folder in std::fs::read_dir(root.join("crates")).into_iter().flatten().flatten() {
        for file in std::fs::read_dir(folder.path().join("tests")).into_iter().flatten().flatten() {
            let path = file.path();
            let records = std::fs::read_to_string(&path)
                .is_ok_and(|text| text.contains("validation::record(") || text.contains("cases::check("));
            if let Some(name) = path.file_stem().filter(|_| records && path.is_file()) {
                names.push(name.to_string_lossy().into_owned());
            }
        }
    }
    names.sort();
    names
}

fn row(line: &str) -> Option<Row> {
    let fields: Vec<&str> = line.split('\t').collect();
    let [source, id, quantity, unit, marker, published, ours, allowed] = fields.as_slice() else {
        return None;
    };
    Some(Row {
        source: (*source).to_owned(),
        id: (*id).to_owned(),
        quantity: (*quantity).to_owned(),
        unit: (*unit).to_owned(),
        marker: (*marker).to_owned(),
        published: (*published).to_owned(),
        ours: ours.parse().ok()?,
        allowed: allowed.parse().ok()?,
    })
}

/// All rows, table by table in the order of the names, each in its table's order.
pub(crate) fn read(folder: &Path) -> Result<Vec<Row>, String> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .map_err(|error| format!("{}: {error}", folder.display()))?
        .flatten()
        .map(|f| f.path())
        .collect();
    files.sort();
    let mut rows = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).map_err(|error| format!("{}: {error}", file.display()))?;
        for line in text.lines() {
            rows.push(row(line).ok_or_else(|| format!("{}: cannot read {line}", file.display()))?);
        }
    }
    if rows.is_empty() { Err(format!("{}: no outside check left a row", folder.display())) } else { Ok(rows) }
}

/// Five significant digits, without trailing zeros: few enough to be the same on every machine.
fn digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let text = format!("{value:.4e}");
    let rounded: f64 = text.parse().unwrap_or(value);
    if (1e-4..1e7).contains(&rounded.abs()) { format!("{rounded}") } else { text.replace(".0000e", "e") }
}

/// Difference as a share of the published value; where that is zero, or rounding is all that is left, in words.
fn difference(published: f64, ours: f64, allowed: f64) -> String {
    let miss = (ours - published).abs();
    if published == 0.0 {
        return if miss <= allowed { "none".to_owned() } else { digits(miss) };
    }
    let percent = 100.0 * (ours - published) / published.abs();
    if percent.abs() < 1e-4 { "none".to_owned() } else { format!("{percent:+.1e} %").replace("e0 ", " ") }
}

fn class(marker: &str) -> &'static str {
    if marker.contains("from memory") {
        "from memory"
    } else if marker.contains("looked up") {
        "looked up"
    } else {
        "computed"
    }
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// The page.
pub(crate) fn page(rows: &[Row]) -> String {
    let mut sources: BTreeMap<&str, Vec<&Row>> = BTreeMap::new();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for row in rows {
        sources.entry(&row.source).or_default().push(row);
        *counts.entry(class(&row.marker)).or_default() += 1;
    }
    let count = |name: &str| counts.get(name).copied().unwrap_or(0);
    let mut out = format!(
        "# Outside checks\n\n<!-- Written by `cargo xtask docs` from the tests. Do not edit. -->\n\n\
        {} values from {} sources, each computed anew and compared by a test. How well the published value is known:\n\n\
        | known | values | meaning |\n|---|---|---|\n\
        | looked up | {} | read in the source or in a copy that quotes it |\n\
        | computed | {} | worked out independently of this code, by hand or by another program |\n\
        | from memory | {} | recalled from the source and not read again: open it before leaning on it |\n\n\
        A difference is a share of the published value; \"none\" is less than 0.0001 %. Ours has five digits. What a test lets pass \
        is in the tables under `crates/*/tests/sources/`.\n",
        rows.len(),
        sources.len(),
        count("looked up"),
        count("computed"),
        count("from memory"),
    );
    for (source, rows) in sources {
        let _ = write!(
            out,
            "\n## {source}\n\n| case | quantity | published | ours | unit | difference | known |\n|---|---|---|---|---|---|---|\n"
        );
        for r in rows {
            let published: f64 = r.published.parse().unwrap_or(f64::NAN);
            let ours = if published == 0.0 && r.ours.abs() <= r.allowed { 0.0 } else { r.ours };
            let _ = writeln!(
                out,
                "| {} | {} | {} | {} | {} | {} | {} |",
                cell(&r.id),
                cell(&r.quantity),
                shown(&r.published, published),
                digits(ours),
                cell(&r.unit),
                difference(published, r.ours, r.allowed),
                cell(&r.marker)
            );
        }
    }
    out
}

/// A published value as printed, unless it is a computed one with all its digits.
fn shown(text: &str, value: f64) -> String {
    let count = text.chars().filter(char::is_ascii_digit).collect::<String>().trim_start_matches('0').len();
    if count > 8 || (value != 0.0 && value.abs() < 1e-4) { digits(value) } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_differences_are_shares() {
        assert_eq!(digits(8.817_599_999), "8.8176");
        assert_eq!(digits(600.000_000_000_2), "600");
        assert_eq!(digits(1.6e-5), "1.6000e-5");
        assert_eq!(difference(8.8, 8.8176, 0.05), "+2.0e-1 %");
        assert_eq!(difference(-2.0, -2.06, 0.1), "-3.0 %");
        assert_eq!(difference(2.0, 2.000_001, 0.1), "none");
        assert_eq!(difference(0.0, 1e-20, 1e-9), "none");
    }

    #[test]
    fn a_row_comes_back_and_a_torn_one_does_not() {
        let line = "Book | 1\tA\tforce\tN\tlooked up\t2.5\t2.5e0\t1e-3";
        let r = row(line).unwrap();
        assert_eq!((r.published.as_str(), r.id.as_str()), ("2.5", "A"));
        assert!(page(&[r]).contains("| A | force | 2.5 | 2.5 | N | none | looked up |"));
        assert_eq!(row("Book\tA\tforce"), None);
    }
}
