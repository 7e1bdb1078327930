//! Advice for the terminal: what governs, what would help, what would not.

use super::report::{settle, where_and_when};
use super::style::{self, paint};
use super::text::{WIDTH, count, hang, margin, wrap};
use super::verdict::keys;
use rig::Rig;
use rig::policy::CheckRow;
use std::fmt::Write as _;
use std::io::{self, Write};
use verdict::advise::{Advice, Tried};
use verdict::verdict::Hold;
use verdict::{Finding, Need};

/// What stands under all advice.
pub(crate) const WARNING: &str = "Each change was tried alone, at the typical value of what is assumed; two together do not \
     add up. A change found here must be entered in the file and checked: nothing here is a GO.";
/// Changes shown without `--all`.
const BEST: usize = 12;
/// Changes that make it worse, named in one line.
const WORST: usize = 3;
/// Columns before the words of a change.
const INDENT: usize = 33;

/// Writes it all; `all` shows every change that helps.
pub(crate) fn write(
    out: &mut dyn Write,
    rig: &Rig,
    asked: Option<&CheckRow>,
    (a, all): (&Advice, bool),
) -> io::Result<()> {
    writeln!(out, "{}", paint(style::HEAD, "What would help"))?;
    hang(out, "", &rig.name)?;
    missing(out, &a.missing)?;
    let Some(target) = &a.target else { return nothing(out, asked, a) };
    governs(out, rig, asked, (target, a))?;
    let now = target.margin.unwrap_or(0.0);
    let (good, bad): (Vec<&Tried>, Vec<&Tried>) = a.helps.iter().partition(|t| !t.breaks());
    // A gain that two decimals do not show is not worth a line.
    let seen = |t: &&&Tried| all || margin(t.margin) != margin(now);
    let (shown, worst) = (good.iter().filter(seen).count(), bad.iter().filter(seen).count());
    let most = if all { usize::MAX } else { shown.min(BEST) };
    head(out, "What would help, the most first")?;
    if good.is_empty() {
        hang(out, "  ", "Nothing that was tried raises it and leaves the rest as it is.")?;
    } else {
        writeln!(out, "  margin         whole rig then    do this")?;
    }
    for t in good.iter().take(most) {
        change(out, now, a, t)?;
    }
    if good.len() > most {
        let rest = good.len() - most;
        let (more, which) = if rest == 1 { ("helps", "it") } else { ("help", "them") };
        hang(out, "  ", &format!("{rest} more {more} less: --all shows {which}."))?;
    }
    if !bad.is_empty() {
        head(out, "Raises it, and then something else fails, or fails worse")?;
        let most = if all { usize::MAX } else { worst.min(BEST / 3) };
        for t in bad.iter().take(most) {
            change(out, now, a, t)?;
        }
        let rest = bad.len().saturating_sub(most);
        if rest > 0 {
            hang(out, "  ", &format!("{rest} more: --all shows them."))?;
        }
    }
    head(out, "What would not")?;
    worse(out, a)?;
    if asked.is_none() && a.next.0.is_finite() {
        let name = a.next.1.row().name;
        head(out, "Next")?;
        let text = format!("{name} has {}: clingfish advise RIG {name}", margin(a.next.0));
        hang(out, "  ", &text)?;
    }
    head(out, "Mind")?;
    hang(out, "  ", WARNING)
}

fn head(out: &mut dyn Write, text: &str) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::HEAD, text))
}

/// What is missing is said first: measuring it is worth more than any change.
fn missing(out: &mut dyn Write, needs: &[Need]) -> io::Result<()> {
    if needs.is_empty() {
        return Ok(());
    }
    head(out, "First measure what is missing: without it no change gives a GO")?;
    let hold = |n: &Need| Hold {
        what: n.what.clone(),
        why: String::new(),
        key: n.key.clone(),
        settle: n.settle.clone(),
    };
    let holds: Vec<Hold> = needs.iter().map(hold).collect();
    for s in settle(&holds) {
        hang(out, "  - ", &format!("{}: {}; write {}", s.what, s.how, keys(&s.keys)))?;
    }
    Ok(())
}

fn nothing(out: &mut dyn Write, asked: Option<&CheckRow>, a: &Advice) -> io::Result<()> {
    writeln!(out)?;
    let what = asked.map_or("Every check".to_owned(), |c| format!("{} ({})", c.title, c.name));
    let text = if a.missing.is_empty() {
        format!("{what} holds, and has no margin that a change could move.")
    } else {
        format!("{what} has no margin yet: there is nothing to advise on until that is known.")
    };
    hang(out, "", &text)
}

fn governs(
    out: &mut dyn Write,
    rig: &Rig,
    asked: Option<&CheckRow>,
    (f, a): (&Finding, &Advice),
) -> io::Result<()> {
    head(out, if asked.is_some() { "The check that is asked for" } else { "What governs now" })?;
    let m = f.margin.unwrap_or(0.0);
    let word = super::report::Word::of(f);
    let line = format!("{} {}", margin(m), word.map_or("", super::report::Word::text));
    let row = f.check.row();
    writeln!(
        out,
        "  {}  {} ({})",
        paint(word.map_or(style::HEAD, super::verdict::colour), &line),
        row.title,
        row.name
    )?;
    let (part, state) = where_and_when(rig, f);
    hang(out, "  ", &if state.is_empty() { part } else { format!("{part}: {state}") })?;
    if a.least.1 != f.check {
        let row = a.least.1.row();
        let least = format!("The whole rig has its least at {} ({}).", margin(a.least.0), row.name);
        hang(out, "  ", &least)?;
    }
    Ok(())
}

/// One change: margin from and to, the whole rig's least and its check, the words.
fn change(out: &mut dyn Write, now: f64, a: &Advice, t: &Tried) -> io::Result<()> {
    let to = if t.margin.is_finite() { margin(t.margin) } else { "yes".to_owned() };
    let numbers = format!("{} -> {to}", margin(now));
    // A String takes everything that is written to it.
    let mut left = format!("  {numbers:<13}");
    let mut text = t.what.clone();
    if let Some(w) = &t.whole {
        let _ = write!(left, "{:>5} {:<12}", margin(w.least), w.governs.row().name);
        let broken: Vec<&str> = w.breaks.iter().map(|c| c.row().name).collect();
        if !broken.is_empty() {
            let _ = write!(text, "; then FAILS: {}", broken.join(", "));
        } else if w.holds && !a.holds {
            text += "; then nothing fails";
        }
    }
    if !t.caution.is_empty() {
        let _ = write!(text, ". {}", t.caution);
    }
    for (i, line) in wrap(&text, WIDTH - INDENT).iter().enumerate() {
        let left = if i == 0 { left.as_str() } else { "" };
        writeln!(out, "{left:<INDENT$}{line}")?;
    }
    Ok(())
}

fn worse(out: &mut dyn Write, a: &Advice) -> io::Result<()> {
    if !a.worse.is_empty() {
        let shown: Vec<String> =
            a.worse.iter().take(WORST).map(|t| format!("{} ({})", t.what, margin(t.margin))).collect();
        let rest = a.worse.len().saturating_sub(WORST);
        let more = if rest > 0 { format!("; and {rest} more") } else { String::new() };
        hang(out, "  ", &format!("These make it worse: {}{more}.", shown.join("; ")))?;
    }
    if !a.idle.is_empty() {
        hang(out, "  ", &format!("{} would not move it.", count(a.idle.len(), "change")))?;
    }
    if a.refused > 0 {
        hang(out, "  ", &format!("{} could not be worked out.", count(a.refused, "change")))?;
    }
    if a.worse.is_empty() && a.idle.is_empty() && a.refused == 0 {
        hang(out, "  ", "Nothing that was tried.")?;
    }
    Ok(())
}
