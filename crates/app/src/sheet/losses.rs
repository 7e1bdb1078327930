//! What is left when one cup or one strap lets go.

use super::Sheet;
use super::drawings::{self, SECTORS};
use super::table::{faint, fit, head, number, number_of, share, table, word};
use crate::io::Stop;
use crate::print::report::Word;
use paper::{Block, Cell};
use verdict::Answer;
use verdict::losses::Loss;

/// Height of a chart, mm.
const CHART_MM: f64 = 66.0;

pub(super) fn part(sheet: &Sheet<'_>) -> Result<Vec<Block>, Stop> {
    let losses = sheet.desk.losses()?;
    if losses.is_empty() {
        return Ok(Vec::new());
    }
    let rows = losses.iter().map(|l| row(sheet, l)).collect();
    let columns = vec![
        fit("lost"),
        number("least"),
        fit(""),
        share("check", 1.7),
        share("part", 0.8),
        share("state", 4.5),
    ];
    let mut out = vec![head("Any one cup or strap lost")];
    out.extend(table("", columns, rows));
    out.push(faint(
        "Each cup and each strap lost in turn, and what then comes nearest to its limit over every state of the plan, under the \
         factors for one part lost; values as they stand in the rig file. A slack tether carries nothing until something moves, so \
         it is not among them.",
    ));
    // Where there are limits by sector, their chart shows where it is tightest.
    if sheet.limits && (sheet.verdict.answer != Answer::Go || !drawings::has(SECTORS)) {
        out.extend(drawings::chart(sheet, "bearings", CHART_MM)?);
    }
    Ok(out)
}

fn row(sheet: &Sheet<'_>, l: &Loss) -> Vec<Cell> {
    let lost = Cell::plain(l.lost.name(sheet.rig));
    let Some(least) = l.least.filter(|_| l.stands) else {
        let (m, says) = if l.stands {
            (None, "nothing is asked of anything")
        } else {
            (Some(0.0), "what is left moves freely")
        };
        let result = word(if l.stands { Word::Holds } else { Word::Fails });
        return vec![lost, number_of(m), result, Cell::plain(says), Cell::default(), Cell::plain(&l.when)];
    };
    let check = least.check.row();
    vec![
        lost,
        number_of(Some(least.margin)),
        word(Word::of_margin(least.margin)),
        Cell::plain(check.title),
        Cell::plain(least.part.name(sheet.rig)),
        Cell::plain(l.when.strip_suffix(&format!("; {} lost", l.lost.name(sheet.rig))).unwrap_or(&l.when)),
    ]
}
