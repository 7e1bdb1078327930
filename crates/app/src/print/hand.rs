//! A sum that a hand calculator can follow.

use super::report::{Word, is_lost};
use super::style::{self, paint};
use super::text::{WIDTH, hang, margin, wrap};
use quantity::both_kind;
use rig::Rig;
use rig::policy::CheckRow;
use std::io::{self, Write};
use verdict::sums::{Sum, Topic};
use verdict::{Finding, Outcome};

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
            step(out, s.symbol, &both_kind(s.value, s.kind), &s.text)?;
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

/// A line of a sum, in the words that terminal and sheet share.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Line {
    /// Something under its label.
    Said(&'static str, String),
    /// Steps begin or end.
    Gap,
    /// A value or a step: symbol, value in both systems, what it is.
    Step(&'static str, String, String),
    /// A fact is missing.
    NotChecked,
    /// The margin: the numbers, if anything is asked, and the word.
    Margin(Option<String>, Word),
}

/// What a finding's sum is about.
pub(crate) fn name(rig: &Rig, f: &Finding) -> String {
    let name = f.part.name(rig);
    if f.place.is_empty() { name } else { format!("{name}, {}", f.place) }
}

/// A finding's sum, line by line.
pub(crate) fn lines(check: &CheckRow, f: &Finding) -> Vec<Line> {
    let mut out = Vec::new();
    let said = |out: &mut Vec<Line>, label: &'static str, text: &str| {
        if !text.is_empty() {
            out.push(Line::Said(label, text.to_owned()));
        }
    };
    said(&mut out, "when", &f.situation);
    if let Outcome::NotChecked(need) = &f.outcome {
        out.push(Line::NotChecked);
        said(&mut out, "missing", &need.what);
        said(&mut out, "settle", &need.settle);
        said(&mut out, "write", &super::verdict::keys(std::slice::from_ref(&need.key)));
        return out;
    }
    said(&mut out, "formula", f.hand.formula);
    if !f.hand.steps.is_empty() {
        out.push(Line::Gap);
        out.extend(
            f.hand.steps.iter().map(|s| Line::Step(s.symbol, both_kind(s.value, s.kind), s.text.clone())),
        );
        out.push(Line::Gap);
    }
    let numbers = |out: &mut Vec<Line>| {
        out.push(Line::Said("demand", both_kind(f.demand, f.kind)));
        out.push(Line::Said("capacity", both_kind(f.capacity, f.kind)));
    };
    match (f.margin, &f.outcome) {
        (Some(m), _) => {
            numbers(&mut out);
            out.push(Line::Said("factor", format!("{} ({})", f.factor, check.source)));
            let word = Word::of(f).unwrap_or(Word::Fails);
            let plain = |v: f64| quantity::show_kind(v, f.kind, quantity::System::Metric);
            let sum =
                || format!("{} / ({} x {}) = {}", plain(f.capacity), f.factor, plain(f.demand), margin(m));
            out.push(Line::Margin(m.is_finite().then(sum), word));
        }
        (None, Outcome::Holds) => {
            numbers(&mut out);
            said(&mut out, "answer", "holds: a yes or no, not a number to rank beside forces");
        }
        (None, _) => said(&mut out, "answer", "a note: it does not decide"),
    }
    said(&mut out, "contact", &f.contact);
    said(&mut out, "source", f.hand.source);
    out
}

/// How the word of a margin reads at the end of its sum.
pub(crate) fn verdict_of(word: Word) -> &'static str {
    match word {
        Word::Fails | Word::NotChecked => "FAILS",
        Word::Close => "holds, close",
        Word::Holds => "holds",
    }
}

fn one(out: &mut dyn Write, rig: &Rig, check: &CheckRow, f: &Finding, both: bool) -> io::Result<()> {
    let mut name = name(rig, f);
    if both {
        name += if is_lost(f) { ", with one lost" } else { ", nothing lost" };
    }
    writeln!(out, "{}", paint(style::HEAD, &name))?;
    for line in lines(check, f) {
        match line {
            Line::Said(label, text) => hang(out, &format!("  {label:<10}"), &text)?,
            Line::Gap => writeln!(out)?,
            Line::Step(symbol, value, text) => step(out, symbol, &value, &text)?,
            Line::NotChecked => writeln!(out, "  {}", paint(style::FAIL, "NOT CHECKED"))?,
            Line::Margin(sum, word) => {
                let said = paint(super::verdict::colour(word), verdict_of(word));
                match sum {
                    Some(sum) => {
                        writeln!(out, "  margin    capacity / (factor x demand)")?;
                        writeln!(out, "            = {sum}  {said}")?;
                    }
                    None => writeln!(out, "  margin    nothing is asked of it: {said}")?,
                }
            }
        }
    }
    Ok(())
}

fn step(out: &mut dyn Write, symbol: &str, value: &str, text: &str) -> io::Result<()> {
    let head = format!("  {symbol:<8} = {value}");
    let lines = wrap(text, WIDTH - WORDS);
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
