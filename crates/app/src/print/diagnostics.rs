//! Faults of a rig file, with the lines that they stand on.

use super::text::{WIDTH, count, wrap};
use annotate_snippets::{AnnotationKind, Group, Level, Message, Renderer, Snippet};
use rig::{Diagnostic, Reading, Severity};
use std::io::{self, Write};

/// Every fault, then how many.
pub(crate) fn errors(out: &mut dyn Write, reading: &Reading) -> io::Result<()> {
    for d in &reading.diagnostics {
        one(out, reading, d)?;
    }
    let errors = reading.diagnostics.iter().filter(|d| d.severity == Severity::Error).count();
    let warnings = reading.diagnostics.len() - errors;
    let name = reading.sources.first().map_or("", |s| s.name.as_str());
    let mut line = count(errors, "error");
    if warnings > 0 {
        line = format!("{line} and {}", count(warnings, "warning"));
    }
    for line in wrap(&format!("{line} in {name}: nothing was checked."), WIDTH) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}

/// The warnings only.
pub(crate) fn warnings(out: &mut dyn Write, reading: &Reading) -> io::Result<()> {
    reading
        .diagnostics
        .iter()
        .filter(|d| d.severity == Severity::Warning)
        .try_for_each(|d| one(out, reading, d))
}

fn one(out: &mut dyn Write, reading: &Reading, d: &Diagnostic) -> io::Result<()> {
    let level = match d.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let file = |i: usize| reading.sources.get(i);
    // "warning[R000]: " stands before the first line.
    let title = wrap(&d.message, WIDTH - 15).join("\n");
    let mut group = level.primary_title(title).id(d.code).elements(Vec::<Message<'_>>::new());
    let mut here = Vec::new();
    let mut elsewhere = Vec::new();
    for (source, span, label) in &d.related {
        let note = AnnotationKind::Context.span(span.clone()).label(label.as_str());
        if *source == d.source { here.push(note) } else { elsewhere.push((*source, note)) }
    }
    if let Some(s) = file(d.source) {
        let mark = AnnotationKind::Primary.span(d.span.clone());
        group = group.element(
            Snippet::source(s.text.as_str()).path(s.name.as_str()).annotation(mark).annotations(here),
        );
    }
    for (source, note) in elsewhere {
        if let Some(s) = file(source) {
            group = group.element(Snippet::source(s.text.as_str()).path(s.name.as_str()).annotation(note));
        }
    }
    group = footer(group, "why", &d.why);
    group = footer(group, "mend", &d.mend);
    let text = Renderer::styled().term_width(WIDTH).render(&[group]);
    writeln!(out, "{text}\n")
}

fn footer<'a>(group: Group<'a>, name: &'static str, text: &str) -> Group<'a> {
    if text.is_empty() {
        return group;
    }
    // At most "9999 | = mend: " stands before the text.
    let text = wrap(text, WIDTH - 14).join("\n");
    group.element(Level::NOTE.with_name(name).message(text))
}
