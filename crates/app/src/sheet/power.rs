//! Batteries, cables and fuses in brief.

use super::Sheet;
use super::table::{faint, fit, head, number, points, share, table, text, under};
use crate::print::power::{self as words, amps, bank, battery, kind, volts};
use paper::{Block, Cell, Run};
use quantity::{Kind, System, show_kind};
use verdict::power::{self, Plan, Report};

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let Some(plan) = Plan::of(sheet.rig) else { return Vec::new() };
    let (answer, findings, needs) = power::answer(sheet.rig);
    let tables = match &plan {
        Ok(plan) => Report::of(plan).ok(),
        Err(_) => None,
    };
    let plan = plan.as_ref().ok();
    let said = words::Sheet {
        rig: sheet.rig,
        plan,
        answer,
        findings: &findings,
        needs: &needs,
        tables: tables.as_ref(),
    };
    let mut out =
        vec![head("Power"), Block::Text(vec![Run::bold(format!("{} of the power alone.", answer.word()))])];
    for (name, lines) in words::findings(&said) {
        out.push(text(format!("{name}:")));
        out.extend(points(lines));
    }
    if let (Some(plan), Some(tables)) = (plan, &tables) {
        out.extend(batteries(plan, tables));
        out.extend(cables(plan, tables));
        out.extend(consumers(plan, tables));
    }
    out.push(faint(
        "Order of starting up and shutting down, and the cautions of the power: clingfish power RIG.",
    ));
    out
}

fn batteries(plan: &Plan<'_>, tables: &Report) -> Option<Block> {
    let lines = tables.batteries.iter().filter_map(|row| {
        let b = plan.power.batteries.get(row.battery)?;
        Some(format!("{}: {}; {}", b.tag, bank(b), battery(b, row).join("; ")))
    });
    points(lines)
}

fn cables(plan: &Plan<'_>, tables: &Report) -> Vec<Block> {
    let rows = tables.cables.iter().filter_map(|row| {
        let cable = plan.power.cables.get(row.cable)?;
        let fuse = cable
            .fuse
            .as_ref()
            .map_or("none".to_owned(), |f| show_kind(f.rating, Kind::Current, System::Metric));
        let drop = if row.drop_v.is_finite() { format!("{:.2} V", row.drop_v) } else { "no end".to_owned() };
        let carries = row.carries_a.map_or_else(|| "-".to_owned(), |a| format!("{a:.0} A"));
        Some(
            [cable.tag.clone(), kind(cable), amps(row.average_a), amps(row.peak_a), drop, carries, fuse]
                .map(Cell::plain)
                .to_vec(),
        )
    });
    let columns = vec![
        fit("cable"),
        share("size and length", 1.0),
        number("average"),
        number("peak"),
        number("drop at peak"),
        number("carries"),
        number("fuse"),
    ];
    let mut out = vec![under("Cables and fuses, out and back")];
    out.extend(table("", columns, rows.collect()));
    out
}

fn consumers(plan: &Plan<'_>, tables: &Report) -> Vec<Block> {
    let rows = tables.consumers.iter().filter_map(|row| {
        let c = plan.power.consumers.get(row.consumer)?;
        let lowest = if row.volts.is_some() { volts(row.volts) } else { "none".to_owned() };
        Some([c.tag.clone(), lowest, volts(row.needs), plan.words(row.moment)].map(Cell::plain).to_vec())
    });
    let columns = vec![fit("consumer"), number("lowest"), number("needs"), share("when it is lowest", 1.0)];
    let mut out = vec![under("What reaches each consumer, the battery at the end of its charge")];
    out.extend(table("", columns, rows.collect()));
    out
}
