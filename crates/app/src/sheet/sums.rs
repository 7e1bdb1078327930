//! Sums of what decides, to be followed with a hand calculator.

use super::Sheet;
use super::table::{faint, fit, halves, head, share, under};
use crate::print::hand::{Line, lines, name, verdict_of};
use paper::{Block, Cell, Run};
use rig::policy::CheckId;
use verdict::{Finding, Outcome};

/// Sums of the least margins, of that many checks.
const CLOSEST: usize = 5;
/// Most sums, however many checks fail.
const MOST: usize = 10;
/// A sum of fewer steps only says what came out: the whole of it is no work for a hand.
const STEPS: usize = 3;

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let chosen = chosen(&sheet.verdict.findings);
    if chosen.is_empty() {
        return Vec::new();
    }
    let mut out = vec![head("Sums by hand")];
    for f in chosen {
        let row = f.check.row();
        out.push(sum(&format!("{} ({}): {}", row.title, row.name, name(sheet.rig, f)), f, true));
    }
    out.push(faint(format!(
        "Of the checks that a hand can follow the {CLOSEST} with the least margins, and more that fail, up to {MOST} in all; the car's \
         own and the second line's stand before. Any other: clingfish explain RIG CHECK PART."
    )));
    out
}

/// Checks whose sums stand in another part.
fn elsewhere(check: CheckId) -> bool {
    super::car::CHECKS.contains(&check) || check == CheckId::Retention
}

/// The worst finding of each check that fails or comes close, least margin first.
fn chosen(findings: &[Finding]) -> Vec<&Finding> {
    let mut out: Vec<&Finding> = Vec::new();
    for f in findings.iter().filter(|f| f.margin.is_some_and(f64::is_finite) && !elsewhere(f.check)) {
        let wanted = out.len() < CLOSEST || (f.outcome == Outcome::Fails && out.len() < MOST);
        if wanted && f.hand.steps.len() >= STEPS && !out.iter().any(|o| o.check == f.check) {
            out.push(f);
        }
    }
    out
}

/// One sum under its name, with or without the margin that comes of it.
pub(super) fn sum(title: &str, f: &Finding, margin: bool) -> Block {
    let (mut before, mut steps, mut after): (Vec<Run>, Vec<Vec<Cell>>, Vec<Run>) =
        (Vec::new(), Vec::new(), Vec::new());
    let mut asked: Vec<String> = Vec::new();
    for line in lines(f.check.row(), f) {
        match line {
            Line::Gap => {}
            Line::Step(symbol, value, words) => {
                steps.push(vec![Cell::bold(symbol), Cell::plain(value), Cell::plain(words)]);
            }
            Line::NotChecked => before.push(Run::bold("NOT CHECKED\n")),
            Line::Said("demand" | "capacity" | "factor" | "answer", _) | Line::Margin(..) if !margin => {}
            Line::Said(label @ ("demand" | "capacity" | "factor"), words) => {
                asked.push(format!("{label} {words}"));
            }
            Line::Said(label, words) => {
                let to = if steps.is_empty() { &mut before } else { &mut after };
                to.push(Run::bold(format!("{label}: ")));
                to.push(Run::plain(format!("{words}\n")));
            }
            Line::Margin(sum, word) => {
                let sum = sum.map_or("nothing is asked of it".to_owned(), |s| {
                    format!("capacity / (factor x demand) = {s}")
                });
                after.push(Run::plain(format!("{}\n", asked.join("; "))));
                after.push(Run::bold(format!("margin: {sum}, {}\n", verdict_of(word))));
            }
        }
    }
    if f.margin.is_none() && !asked.is_empty() {
        after.insert(0, Run::plain(format!("{}\n", asked.join("; "))));
    }
    let mut inner = vec![under(title)];
    inner.extend(paragraph(before));
    inner.extend(halves("", vec![fit(""), share("", 1.5), share("", 2.0)], steps));
    inner.extend(paragraph(after));
    Block::Together(inner)
}

/// A paragraph without the line feed at its end.
fn paragraph(mut runs: Vec<Run>) -> Option<Block> {
    if let Some(last) = runs.last_mut() {
        last.text.truncate(last.text.trim_end().len());
    }
    (!runs.is_empty()).then_some(Block::Text(runs))
}
