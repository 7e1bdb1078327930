//! How a job stands: the answer, what is against it, what is missing, what changed.

use super::style;
use super::style::{of_answer, paint};
use super::text::{hang, margin, wrap};
use crate::notebook::Notebook;
use record::Head;
use std::io::{self, Write};
use watch::{Standing, Want};

/// A reason short enough for the record.
pub(crate) fn short(text: &str) -> String {
    const MOST: usize = 240;
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(MOST).collect();
    if text.chars().count() > MOST { format!("{clean}...") } else { clean }
}

fn wants(out: &mut dyn Write, heading: &str, wants: &[Want]) -> io::Result<()> {
    if wants.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{}", paint(style::HEAD, heading))?;
    for w in wants {
        hang(out, "  - ", &w.what)?;
        if !w.mend.is_empty() {
            hang(out, "    ", &format!("-> {}", w.mend))?;
        }
    }
    Ok(())
}

/// The whole of it.
pub(crate) fn write(out: &mut dyn Write, book: &Notebook, s: &Standing, head: &Head) -> io::Result<()> {
    let word = s.answer.word();
    let line = "-".repeat(word.len() + 4);
    writeln!(out, "+{line}+\n|  {}  |\n+{line}+", paint(of_answer(s.answer), word))?;
    hang(out, "", &format!("{}, {}", book.job.name, book.clock.shown(book.now_ms())))?;
    hang(out, "", &format!("{}, as built", s.rig.name))?;
    wants(out, "Against it", &s.against)?;
    wants(out, "Missing", &s.wants)?;
    let governs =
        s.verdict.findings.iter().filter_map(|f| Some((f, f.margin?))).min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((f, m)) = governs {
        writeln!(out, "\n{}", paint(style::HEAD, "What governs"))?;
        hang(out, "  ", &format!("{} {}: {}", margin(m), f.check.row().title, f.situation))?;
    }
    let changed: Vec<_> = s.built.changed().collect();
    if !changed.is_empty() {
        writeln!(out, "\n{}", paint(style::HEAD, "Measured and planned"))?;
        for d in changed {
            let planned = d.planned.as_deref().unwrap_or("left open");
            hang(out, "  ", &format!("{}: {} (planned {planned})", d.key, d.measured))?;
        }
    }
    if !s.moved.is_empty() {
        writeln!(out, "\n{}", paint(style::HEAD, "What that does to the margins"))?;
        for m in s.moved.iter().take(8) {
            let way = if m.built < m.planned { "less" } else { "more" };
            hang(
                out,
                "  ",
                &format!("{}: {} planned, {} now ({way})", m.check, margin(m.planned), margin(m.built)),
            )?;
        }
        if s.moved.len() > 8 {
            hang(out, "  ", &format!("and {} more that moved less", s.moved.len() - 8))?;
        }
    }
    if let Some((go, changes)) = &s.since_go {
        writeln!(out, "\n{}", paint(style::HEAD, &format!("Since the last GO (entry {go})")))?;
        if changes.is_empty() {
            hang(out, "  ", "nothing")?;
        }
        for c in changes {
            hang(out, &format!("  {:>4} ", c.number), &c.what)?;
        }
    }
    if let Some(due) = s.due_ms {
        writeln!(out)?;
        hang(out, "", &format!("Next round of the gauges by {}.", book.clock.shown(due)))?;
    }
    writeln!(out)?;
    hang(
        out,
        "",
        "A planning and record aid, not an approval: a competent person signs the rig off. Stop and look again after rain, heat, a hard stop, a kerb, or any reading that drops.",
    )?;
    for line in wrap(&format!("Record: {}:{}", head.number, head.hash), 80) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}
