//! The files that the sheet was worked out from, with their sums whole.

use super::Sheet;
use super::cover::{fours, one_line};
use super::table::{faint, fit, head, share, table};
use paper::{Block, Cell};

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let cover = sheet.cover;
    let mut rows: Vec<Vec<Cell>> = cover
        .files
        .iter()
        .map(|(name, sum)| vec![Cell::plain(one_line(name)), Cell::plain(fours(sum))])
        .collect();
    let how = if cover.files.len() > 1 {
        rows.push(vec![Cell::bold("fingerprint"), Cell::bold(fours(&cover.fingerprint))]);
        "SHA-256 of each file; the fingerprint is that of these sums, in hex without blanks, a line each."
    } else {
        "SHA-256 of the file: the fingerprint."
    };
    let mut inner = vec![head("Files and fingerprint")];
    inner.extend(table("", vec![fit("file"), share("sum", 1.0)], rows));
    inner.push(faint(format!(
        "{how} A rig file with another sum is another rig: work out its own sheet. clingfish {}: the same file gives the same verdict on \
         every machine.",
        env!("CARGO_PKG_VERSION")
    )));
    vec![Block::Together(inner)]
}
