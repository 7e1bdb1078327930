//! The sheet: what stands in it, one file a part, in the order of [`PARTS`].
//!
//! Nothing is worked out here: the parts put into words and tables what `verdict`, `rig` and `draw` give.

mod answer;
mod arm;
mod car;
pub(crate) mod card;
mod cautions;
mod checks;
pub(crate) mod cover;
mod drawings;
mod files;
mod inputs;
mod limits;
mod losses;
mod parts;
mod plan;
mod power;
mod retention;
mod sign;
mod sums;
mod table;
mod title;

use crate::drawing::Desk;
use crate::io::Stop;
use crate::print::report::Report;
use cover::Cover;
use paper::{Block, Document};
use rig::Rig;
use verdict::Verdict;

/// What the parts are written from.
pub(crate) struct Sheet<'a> {
    pub(crate) desk: &'a Desk<'a>,
    pub(crate) rig: &'a Rig,
    pub(crate) verdict: &'a Verdict,
    pub(crate) report: &'a Report,
    pub(crate) cover: &'a Cover,
    /// Whether limits are worked out for it.
    pub(crate) limits: bool,
}

/// A part of the sheet; empty where the rig has nothing of the kind.
pub(crate) enum Part {
    /// Puts into words what the sheet has.
    Said(fn(&Sheet<'_>) -> Vec<Block>),
    /// Asks for more, which may not be to be had.
    Asked(fn(&Sheet<'_>) -> Result<Vec<Block>, Stop>),
}

/// The parts in order: the answer, what must be kept, what it looks like, then what proves it.
pub(crate) const PARTS: &[Part] = &[
    Part::Said(title::part),
    Part::Said(answer::part),
    Part::Said(cautions::part),
    Part::Asked(limits::part),
    Part::Said(drawings::part),
    Part::Said(checks::part),
    Part::Asked(losses::part),
    Part::Said(retention::part),
    Part::Said(car::part),
    Part::Said(sums::part),
    Part::Said(plan::part),
    Part::Said(parts::part),
    Part::Said(inputs::part),
    Part::Asked(arm::part),
    Part::Said(power::part),
    Part::Said(sign::part),
    Part::Said(files::part),
];

/// The whole sheet; its largest headings are numbered.
pub(crate) fn document(sheet: &Sheet<'_>) -> Result<Document, Stop> {
    let mut blocks = Vec::new();
    for part in PARTS {
        blocks.extend(match part {
            Part::Said(say) => say(sheet),
            Part::Asked(ask) => ask(sheet)?,
        });
    }
    number(&mut blocks, &mut 0);
    let cover = sheet.cover;
    Ok(Document {
        title: cover::one_line(&sheet.rig.name),
        mark: cover.mark(),
        date: cover.date.clone().unwrap_or_default(),
        format: cover.format,
        type_pt: 7.5,
        running: true,
        blocks,
    })
}

/// Headings of the second size get numbers: the first size is the sheet's own name.
fn number(blocks: &mut [Block], last: &mut usize) {
    for block in blocks {
        match block {
            Block::Heading(2, text) => {
                *last += 1;
                *text = format!("{last}. {text}");
            }
            Block::Together(inner) => number(inner, last),
            _ => {}
        }
    }
}
