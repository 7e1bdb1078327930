//! Who signs for what, and what was changed after.

use super::Sheet;
use super::table::{faint, fit, head, share, table, under};
use paper::{Block, Cell, Signature};
use verdict::Answer;

/// Empty lines of the record.
const LINES: usize = 5;

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let sign = |role: &str, says: &str| Signature { role: role.to_owned(), says: says.to_owned() };
    let mut all = vec![
        sign(
            "Rigging technician",
            "Built as drawn; every torque set, every gauge read, the second line fitted.",
        ),
        sign("Safety officer", "Has read this sheet and seen the rig; the area is kept clear."),
        sign("Driver", "Has the card and keeps to it; knows the height."),
    ];
    if sheet.rig.arm.is_some() {
        all.push(sign("Operator", "Has the card and keeps to it; stop button tried."));
    }
    let mut inner = vec![head("Sign-off")];
    if sheet.verdict.answer != Answer::Go {
        inner.push(faint(format!(
            "The verdict is {}: nobody signs this rig off for driving. Signed, this page says that the sheet was read.",
            sheet.verdict.answer.word()
        )));
    }
    inner.push(Block::Signatures(all));
    let mut record = vec![under("Record of changes after this sheet: a change of the rig needs a new one")];
    let columns = vec![
        fit("revision"),
        share("date", 1.0),
        share("what was changed, and by whom it was checked", 4.0),
        share("signed", 1.5),
    ];
    let rows = (0..LINES).map(|_| ["\n", "", "", ""].map(Cell::plain).to_vec()).collect();
    record.extend(table("", columns, rows));
    vec![Block::Together(inner), Block::Together(record)]
}
