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

/// A point under a heading.
pub(crate) enum Point<'a> {
    /// What is against a GO, or missing for it.
    Want(&'a Want),
    /// In words.
    Said(String),
    /// An entry of the record, and what it says.
    Entry(u32, &'a str),
}

/// What is said of a standing under one heading.
pub(crate) struct Section<'a> {
    pub(crate) heading: String,
    pub(crate) points: Vec<Point<'a>>,
}

/// All that is said of a standing but the word itself, for the terminal and for the page.
pub(crate) fn sections<'s>(s: &'s Standing) -> Vec<Section<'s>> {
    let mut out = Vec::new();
    let mut put = |heading: &str, points: Vec<Point<'s>>| {
        if !points.is_empty() {
            out.push(Section { heading: heading.to_owned(), points });
        }
    };
    put("Against it", s.against.iter().map(Point::Want).collect());
    put("Missing", s.wants.iter().map(Point::Want).collect());
    let governs =
        s.verdict.findings.iter().filter_map(|f| Some((f, f.margin?))).min_by(|a, b| a.1.total_cmp(&b.1));
    let governs = governs.map(|(f, m)| format!("{} {}: {}", margin(m), f.check.row().title, f.situation));
    put("What governs", governs.into_iter().map(Point::Said).collect());
    let changed = s.built.changed().map(|d| {
        let planned = d.planned.as_deref().unwrap_or("left open");
        format!("{}: {} (planned {planned})", d.key, d.measured)
    });
    put("Measured and planned", changed.map(Point::Said).collect());
    let mut moved: Vec<String> = s
        .moved
        .iter()
        .take(8)
        .map(|m| {
            let way = if m.built < m.planned { "less" } else { "more" };
            format!("{}: {} planned, {} now ({way})", m.check, margin(m.planned), margin(m.built))
        })
        .collect();
    if s.moved.len() > 8 {
        moved.push(format!("and {} more that moved less", s.moved.len() - 8));
    }
    put("What that does to the margins", moved.into_iter().map(Point::Said).collect());
    if let Some((go, changes)) = &s.since_go {
        let mut points: Vec<Point<'s>> = changes.iter().map(|c| Point::Entry(c.number, &c.what)).collect();
        if points.is_empty() {
            points.push(Point::Said("nothing".to_owned()));
        }
        put(&format!("Since the last GO (entry {go})"), points);
    }
    out
}

/// What is always said with it.
pub(crate) const CAUTION: &str = "A planning and record aid, not an approval: a competent person signs the rig \
        off. Stop and look again after rain, heat, a hard stop, a kerb, or any \
        reading that drops.";

/// The whole of it.
pub(crate) fn write(out: &mut dyn Write, book: &Notebook, s: &Standing, head: &Head) -> io::Result<()> {
    let word = s.answer.word();
    let line = "-".repeat(word.len() + 4);
    writeln!(out, "+{line}+\n|  {}  |\n+{line}+", paint(of_answer(s.answer), word))?;
    hang(out, "", &format!("{}, {}", book.job.name, book.clock.shown(book.now_ms())))?;
    hang(out, "", &format!("{}, as built", s.rig.name))?;
    for section in sections(s) {
        writeln!(out, "\n{}", paint(style::HEAD, &section.heading))?;
        for point in &section.points {
            match point {
                Point::Want(w) => {
                    hang(out, "  - ", &w.what)?;
                    if !w.mend.is_empty() {
                        hang(out, "    ", &format!("-> {}", w.mend))?;
                    }
                }
                Point::Said(text) => hang(out, "  ", text)?,
                Point::Entry(number, text) => hang(out, &format!("  {number:>4} "), text)?,
            }
        }
    }
    if let Some(due) = s.due_ms {
        writeln!(out)?;
        hang(out, "", &format!("Next round of the gauges by {}.", book.clock.shown(due)))?;
    }
    writeln!(out)?;
    hang(out, "", CAUTION)?;
    for line in wrap(&format!("Record: {}:{}", head.number, head.hash), 80) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}
