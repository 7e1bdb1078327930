//! A sum that a hand calculator can follow.

use super::report::{Word, is_lost};
use super::style::{self, paint};
use super::text::{WIDTH, hang, margin, wrap};
use quantity::both_kind;
use rig::Rig;
use rig::policy::CheckRow;
use std::io::{self, Write};
use verdict::sums::{Sum, Topic};
use verdict::{Finding, Outcome, Step};

/// Column of the words beside a value.
const WORDS: usize = 36;

/// Writes the sums to show, then the others of the part in a line each.
pub(crate) fn write(
    out: &mut dyn Write,
    rig: &Rig,
    check: &CheckRow,
    shown: &[&Finding],
    rest: &[&Finding],
) -> io::Result<()> {
    writeln!(out, "{} ({})", paint(style::HEAD, check.title), check.name)?;
    let both = shown.iter().any(|f| is_lost(f)) && shown.iter().any(|f| !is_lost(f) && f.margin.is_some());
    for f in shown {
        writeln!(out)?;
        one(out, rig, check, f, both)?;
    }
    if !rest.is_empty() {
        writeln!(out, "\n{}", paint(style::HEAD, "Also looked at (--all shows the sums)"))?;
        for f in rest {
            let word = Word::of(f).map_or("note", Word::text);
            let number = f.margin.map_or(String::new(), margin);
            hang(out, &format!("  {number:>5} {word:<6} "), &about(rig, f))?;
        }
    }
    Ok(())
}

/// Writes the sums of what is no check and has no margin.
pub(crate) fn sums(out: &mut dyn Write, topic: &Topic, sums: &[Sum]) -> io::Result<()> {
    writeln!(out, "{}", paint(style::HEAD, topic.title))?;
    for s in sums {
        writeln!(out, "\n{}", paint(style::HEAD, &s.title))?;
        hang(out, "  formula   ", s.hand.formula)?;
        writeln!(out)?;
        for s in &s.hand.steps {
            step(out, s)?;
        }
        writeln!(out)?;
        hang(out, "  source    ", s.hand.source)?;
    }
    Ok(())
}

fn about(rig: &Rig, f: &Finding) -> String {
    let mut text = f.part.name(rig);
    for more in [f.place.as_str(), f.situation.as_str()] {
        if !more.is_empty() {
            text = format!("{text}; {more}");
        }
    }
    text
}

fn one(out: &mut dyn Write, rig: &Rig, check: &CheckRow, f: &Finding, both: bool) -> io::Result<()> {
    let mut name = f.part.name(rig);
    if !f.place.is_empty() {
        name = format!("{name}, {}", f.place);
    }
    if both {
        name += if is_lost(f) { ", with one lost" } else { ", nothing lost" };
    }
    writeln!(out, "{}", paint(style::HEAD, &name))?;
    if !f.situation.is_empty() {
        hang(out, "  when      ", &f.situation)?;
    }
    if let Outcome::NotChecked(need) = &f.outcome {
        writeln!(out, "  {}", paint(style::FAIL, "NOT CHECKED"))?;
        hang(out, "  missing   ", &need.what)?;
        hang(out, "  settle    ", &need.settle)?;
        return hang(out, "  write     ", &super::verdict::keys(std::slice::from_ref(&need.key)));
    }
    if !f.hand.formula.is_empty() {
        hang(out, "  formula   ", f.hand.formula)?;
    }
    if !f.hand.steps.is_empty() {
        writeln!(out)?;
    }
    for s in &f.hand.steps {
        step(out, s)?;
    }
    if !f.hand.steps.is_empty() {
        writeln!(out)?;
    }
    result(out, check, f)?;
    if !f.contact.is_empty() {
        hang(out, "  contact   ", &f.contact)?;
    }
    if !f.hand.source.is_empty() {
        hang(out, "  source    ", f.hand.source)?;
    }
    Ok(())
}

fn step(out: &mut dyn Write, s: &Step) -> io::Result<()> {
    let head = format!("  {:<8} = {}", s.symbol, both_kind(s.value, s.kind));
    let lines = wrap(&s.text, WIDTH - WORDS);
    let length = head.chars().count();
    if length + 1 > WORDS {
        writeln!(out, "{head}")?;
        return lines.iter().try_for_each(|l| writeln!(out, "{:WORDS$}{l}", ""));
    }
    for (i, line) in lines.iter().enumerate() {
        let first = if i == 0 { head.as_str() } else { "" };
        writeln!(out, "{}", format!("{first:<WORDS$}{line}").trim_end())?;
    }
    Ok(())
}

fn result(out: &mut dyn Write, check: &CheckRow, f: &Finding) -> io::Result<()> {
    let Some(m) = f.margin else {
        let text = match f.outcome {
            Outcome::Holds => "holds: a yes or no, not a number to rank beside forces",
            _ => "a note: it does not decide",
        };
        if f.outcome == Outcome::Holds {
            hang(out, "  demand    ", &both_kind(f.demand, f.kind))?;
            hang(out, "  capacity  ", &both_kind(f.capacity, f.kind))?;
        }
        return hang(out, "  answer    ", text);
    };
    hang(out, "  demand    ", &both_kind(f.demand, f.kind))?;
    hang(out, "  capacity  ", &both_kind(f.capacity, f.kind))?;
    hang(out, "  factor    ", &format!("{} ({})", f.factor, check.source))?;
    let (word, colour) = match Word::of(f) {
        Some(Word::Fails) | None => ("FAILS", style::FAIL),
        Some(Word::Close) => ("holds, close", style::CLOSE),
        Some(_) => ("holds", style::HOLDS),
    };
    if m.is_infinite() {
        return writeln!(out, "  margin    nothing is asked of it: {}", paint(colour, word));
    }
    let plain = |v: f64| quantity::show_kind(v, f.kind, quantity::System::Metric);
    writeln!(out, "  margin    capacity / (factor x demand)")?;
    let sum = format!("= {} / ({} x {}) = {}", plain(f.capacity), f.factor, plain(f.demand), margin(m));
    writeln!(out, "            {sum}  {}", paint(colour, word))
}
