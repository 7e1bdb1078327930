//! The cautions in full, how far this looked, and what it does not check.

use super::Sheet;
use super::table::{head, text, under};
use paper::{Banner, Block, Run, Tone};

/// The cautions in full, as README has them.
const CAUTIONS: &[&str] = &[
    "It is a planning and record aid, not an approval. A competent person signs the rig off. Local law, the road authority, the \
     vehicle's and each part's maker, the insurer and licensed engineers come first, and the lowest rating wins.",
    "Inputs decide the answer: weigh, measure and read gauges; do not guess.",
    "Nobody rides on, stands under or within the sweep of the rig; keep clear of overhead lines.",
    "Every rig has a second line of retention that does not rely on vacuum.",
    "Stop and re-check after rain, heat, a hard stop, a kerb, or any reading that drops.",
];

/// What no check looks at, as README has it.
const NOT_CHECKED: &str = "Fatigue and wear; collision; the strength of a car's body beyond the ratings you state; loosening of screws; \
     wind shelter, lift and flutter; people lifting, beyond what clingfish lift works out.";

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let cautions = CAUTIONS.iter().map(|c| format!("- {c}")).collect::<Vec<_>>().join("\n");
    let banner = Banner {
        tone: Tone::Plain,
        word: String::new(),
        text: vec![Run::bold("Cautions\n"), Run::plain(cautions)],
    };
    let mut out = vec![
        head("Cautions and scope"),
        Block::Banner(banner),
        under("What was looked at"),
        text(&sheet.report.scope),
    ];
    out.push(under("What is not checked"));
    out.push(text(format!(
        "{NOT_CHECKED} Nothing that it was not told. Which way each omission errs: the program's page \
         docs/mechanics/11-not-modelled.md."
    )));
    out
}
