//! What holds the rig if all vacuum is lost.

use super::Sheet;
use super::table::{faint, fit, head, number, number_of, share, table, text, word};
use crate::print::report::Word;
use mechanics::STANDARD_GRAVITY;
use paper::{Block, Cell};
use quantity::{Kind, both_kind};
use rig::model::StrapKind;
use rig::policy::CheckId;
use verdict::{Finding, Outcome};

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let found: Vec<&Finding> =
        sheet.verdict.findings.iter().filter(|f| f.check == CheckId::Retention).collect();
    if found.is_empty() {
        return Vec::new();
    }
    let mut out = vec![head("If all vacuum is lost")];
    out.extend(lines(sheet));
    let rows = found.iter().filter_map(|f| row(f)).collect();
    let columns = vec![
        fit(""),
        number("at"),
        share("force", 1.2),
        share("worst: boom, what is lost as well", 3.0),
        number("held"),
        number("factor"),
        number("margin"),
        fit(""),
    ];
    out.extend(table("", columns, rows));
    out.push(faint(
        "The second line alone: cups only bear and rub, straps and tethers hold up to their rating. \"Held\" is the share of the \
         throw that can be held: it must reach the factor.",
    ));
    for f in &found {
        match &f.outcome {
            Outcome::NotChecked(need) => {
                out.push(text(format!("NOT CHECKED: {}. To settle it: {}.", need.what, need.settle)));
            }
            Outcome::Note => out.push(text(format!("{}.", f.situation))),
            _ => {}
        }
    }
    if let Some(f) = found.iter().find(|f| !f.hand.formula.is_empty()) {
        out.push(faint(format!("Formula: {}. Source: {}.", f.hand.formula, f.hand.source)));
    }
    out
}

/// The straps and tethers.
fn lines(sheet: &Sheet<'_>) -> Option<Block> {
    let rows = sheet.rig.straps.iter().map(|s| {
        let kind = match s.kind {
            StrapKind::Strap => "strap",
            StrapKind::Tether => "tether, just slack",
        };
        let force = |v: f64| Cell::plain(both_kind(v, Kind::Force));
        vec![
            Cell::plain(&s.tag),
            Cell::plain(kind),
            Cell::plain(&s.part),
            force(s.capacity.value),
            force(s.pretension.value),
        ]
    });
    let columns = vec![
        fit("second line"),
        fit("kind"),
        share("part", 1.0),
        number("rating"),
        number("tension as fitted"),
    ];
    table("", columns, rows.collect())
}

/// A step of the sum by its symbol.
fn step(f: &Finding, symbol: &str) -> String {
    f.hand.steps.iter().find(|s| s.symbol == symbol).map_or(String::new(), |s| both_kind(s.value, s.kind))
}

/// The acceleration of the throw, g.
fn acceleration(f: &Finding) -> String {
    let a = f.hand.steps.iter().find(|s| s.symbol == "a");
    a.map_or(String::new(), |s| format!("{:.2} g", s.value / STANDARD_GRAVITY))
}

fn row(f: &Finding) -> Option<Vec<Cell>> {
    f.margin?;
    let held = quantity::show_kind(f.capacity, f.kind, quantity::System::Metric);
    // The words begin with what the first column says.
    let worst = f.situation.split_once("; ").map_or("nothing else lost", |(_, rest)| rest);
    Some(vec![
        Cell::plain(&f.place),
        Cell::plain(acceleration(f)),
        Cell::plain(step(f, "m a")),
        Cell::plain(worst),
        Cell::plain(held),
        Cell::plain(format!("{}", f.factor)),
        number_of(f.margin),
        Word::of(f).map(word).unwrap_or_default(),
    ])
}
