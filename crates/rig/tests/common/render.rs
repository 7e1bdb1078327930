//! Faults as text.

use rig::{Diagnostic, Reading, Severity, line_column};
use std::fmt::Write as _;

/// Reads with no parts files at hand.
pub(crate) fn read(text: &str) -> Reading {
    rig::read(text, "rig.toml", &|_| Err("there is no such file".to_owned()))
}

/// All faults as text: code, place, the line with a caret, why, mend.
pub(crate) fn render(reading: &Reading) -> String {
    let mut out = String::new();
    for d in &reading.diagnostics {
        one(&mut out, d, reading);
    }
    if out.is_empty() { "no faults".to_owned() } else { out.trim_end().to_owned() }
}

fn one(out: &mut String, d: &Diagnostic, reading: &Reading) {
    let severity = if d.severity == Severity::Error { "error" } else { "warning" };
    let source = &reading.sources[d.source];
    let (line, column) = line_column(&source.text, d.span.start);
    let shown = source.text.lines().nth(line - 1).unwrap_or("");
    let covered = source.text[d.span.clone()].lines().next().unwrap_or("").chars().count().max(1);
    let gutter = line.to_string().len();
    let _ = writeln!(out, "{severity}[{}]: {}", d.code, d.message);
    let _ = writeln!(out, "{:gutter$}--> {}:{line}:{column}", "", source.name);
    let _ = writeln!(out, "{line} | {shown}");
    let _ = writeln!(out, "{:gutter$} | {}{}", "", " ".repeat(column - 1), "^".repeat(covered));
    let _ = writeln!(out, "{:gutter$} = why:  {}", "", d.why);
    let _ = writeln!(out, "{:gutter$} = mend: {}", "", d.mend);
    for (index, span, label) in &d.related {
        let other = &reading.sources[*index];
        let (line, column) = line_column(&other.text, span.start);
        let _ = writeln!(out, "{:gutter$} = see:  {}:{line}:{column} {label}", "", other.name);
    }
    out.push('\n');
}
