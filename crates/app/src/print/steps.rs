//! An order of work as a list to tick.

use super::style::{self, paint};
use super::text::{count, hang};
use method::{Kind, Method, Schedule, Stage, Step};
use quantity::{Kind as Unit, both_kind};
use std::io::{self, Write};

/// What is printed.
pub(crate) struct Page<'a> {
    pub(crate) method: &'a Method,
    pub(crate) rig: &'a str,
    pub(crate) what: &'static str,
    pub(crate) crew: usize,
    pub(crate) plan: &'a Schedule,
    pub(crate) path: &'a [usize],
    pub(crate) chain: f64,
    pub(crate) brief: bool,
}

/// Minutes in words: `25 min`, `2 h 05 min`.
pub(crate) fn minutes(m: f64) -> String {
    let whole = m.round().max(0.0);
    let (hours, rest) = ((whole / 60.0).floor(), whole % 60.0);
    match (hours > 0.0, rest > 0.0) {
        (true, true) => format!("{hours:.0} h {rest:02.0} min"),
        (true, false) => format!("{hours:.0} h"),
        _ => format!("{rest:.0} min"),
    }
}

/// Everything, stage by stage.
pub(crate) fn write(out: &mut dyn Write, page: &Page<'_>) -> io::Result<()> {
    hang(out, "", &format!("{}: {}", page.what, page.rig))?;
    let signed = page.method.steps.iter().filter(|s| s.hold.is_some()).count();
    hang(
        out,
        "",
        &format!(
            "{}, {} to be signed. About {} for a crew of {}; the longest chain takes {}. Times are estimates.",
            count(page.method.steps.len(), "step"),
            count(signed, "hold point"),
            minutes(page.plan.minutes),
            page.crew,
            minutes(page.chain)
        ),
    )?;
    for stage in Stage::ALL {
        let here = page.method.steps.iter().enumerate().filter(|(_, s)| s.stage == stage);
        let here: Vec<(usize, &Step)> = here.collect();
        if here.is_empty() {
            continue;
        }
        writeln!(out, "\n{}", paint(style::HEAD, stage.word()))?;
        for (i, step) in here {
            one(out, page, i, step)?;
        }
    }
    writeln!(out, "\n{}", paint(style::HEAD, "The longest chain"))?;
    hang(out, "  ", &chain(page))?;
    if !page.plan.short.is_empty() {
        let names: Vec<&str> = page.plan.short.iter().map(|s| page.method.steps[*s].name.as_str()).collect();
        writeln!(out, "\n{}", paint(style::HEAD, "More hands than the crew has"))?;
        hang(
            out,
            "  ",
            &format!("{}. Ask for help at these; nobody lifts alone what takes two.", names.join(", ")),
        )?;
    }
    Ok(())
}

/// The chain, like steps in a row said once: `cup FL: seat, place, pump`.
fn chain(page: &Page<'_>) -> String {
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for step in page.path {
        let name = &page.method.steps[*step].name;
        let (thing, does) = name.split_once(": ").unwrap_or((name, ""));
        match said.last_mut() {
            Some((last, list)) if last == thing => list.push(does.to_owned()),
            _ => said.push((thing.to_owned(), vec![does.to_owned()])),
        }
    }
    let parts = said.iter().map(|(thing, list)| {
        if list.iter().all(String::is_empty) {
            thing.clone()
        } else {
            format!("{thing}: {}", list.join(", "))
        }
    });
    format!("{}.", parts.collect::<Vec<_>>().join("; "))
}

fn one(out: &mut dyn Write, page: &Page<'_>, i: usize, step: &Step) -> io::Result<()> {
    let number = format!("{:>3} [ ] ", i + 1);
    let own = if step.is_own { " (your own)" } else { "" };
    hang(out, &number, &format!("{}{own}", step.name))?;
    if page.brief {
        if let Some(hold) = &step.hold {
            hang(out, "        ", &format!("HOLD POINT: {} signs", hold.role))?;
        }
        return Ok(());
    }
    let indent = "        ";
    hang(out, indent, &sentence(&step.does))?;
    if !step.why.is_empty() {
        hang(out, indent, &format!("Why: {}", sentence(&step.why)))?;
    }
    let mut with = vec![format!("{}, {}", people(step.people), minutes(step.minutes))];
    if let Some(torque) = step.torque_nm {
        with.push(format!("to {}", both_kind(torque, Unit::Moment)));
    }
    if !step.tools.is_empty() {
        with.push(step.tools.join(", "));
    }
    hang(out, indent, &with.join("; "))?;
    let before: Vec<String> = page.method.before[i].iter().map(|b| (b + 1).to_string()).collect();
    if !before.is_empty() && before.len() <= 12 {
        hang(out, indent, &format!("after {}", before.join(", ")))?;
    } else if !before.is_empty() {
        hang(out, indent, &format!("after {} others", before.len()))?;
    }
    for record in &step.records {
        let key = match record.kind {
            Kind::Measured | Kind::Torque | Kind::Weight => format!(" ({})", record.key),
            Kind::Reading | Kind::Note => String::new(),
        };
        hang(out, indent, &format!("Write down: {}{key} ____________", record.what))?;
    }
    if let Some(hold) = &step.hold {
        hang(out, indent, &format!("HOLD POINT: {} signs: {}.", hold.role, hold.says))?;
    }
    Ok(())
}

fn people(n: usize) -> String {
    if n == 1 { "1 person".to_owned() } else { format!("{n} people") }
}

fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.ends_with(['.', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}
