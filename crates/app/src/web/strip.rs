//! The answer in a column: GO, HOLD or NO-GO, the least margins, what to settle.

use super::frame::{capital, plain, segment, wrong};
use super::shelf::Known;
use crate::print::report::{Report, Row, Word};
use crate::print::text::margin;
use maud::{Markup, html};
use rig::{Rig, Severity};
use verdict::Answer;

/// Margins that are shown beside the drawing.
const ROWS: usize = 8;

/// A margin as a length against a line at 1.00, a number and a word.
pub(crate) fn bar(value: Option<f64>, word: Word) -> Markup {
    // The line of 1.00 stands in the middle; what is twice what is asked and more fills it.
    let share = value.map(|m| (m / 2.0).clamp(0.0, 1.0) * 100.0);
    html! {
        span.margin.(class(word)) {
            svg.bar viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true" focusable="false" {
                rect.ground x="0" y="2" width="100" height="6" {}
                @if let Some(share) = share { rect.fill x="0" y="2" width=(format!("{share:.1}")) height="6" {} }
                line.one x1="50" y1="0" x2="50" y2="10" {}
            }
            @if let Some(m) = value { b { (margin(m)) } " " }
            span.word { (word.text()) }
        }
    }
}

/// The class of a word: `holds`, `close`, `fails`, `unknown`.
pub(crate) fn class(word: Word) -> &'static str {
    match word {
        Word::Fails => "fails",
        Word::NotChecked => "unknown",
        Word::Close => "close",
        Word::Holds => "holds",
    }
}

/// The class of an answer.
pub(crate) fn of_answer(answer: Answer) -> &'static str {
    match answer {
        Answer::Go => "go",
        Answer::Hold => "hold",
        Answer::NoGo => "no-go",
    }
}

/// What the reader found wrong in the file, each at its line, with how to mend it.
pub(crate) fn faults(known: &Known) -> Markup {
    let all = &known.reading.diagnostics;
    let errors = all.iter().filter(|d| d.severity == Severity::Error);
    html! {
        h1 { (known.name) ".toml has faults" }
        p { "It is read again as soon as it is saved." }
        ol.faults {
            @for d in errors { (fault(known, d)) }
        }
    }
}

/// One of them.
pub(crate) fn fault(known: &Known, d: &rig::Diagnostic) -> Markup {
    let place = known.reading.sources.get(d.source).map(|source| {
        let (line, _) = rig::line_column(&source.text, d.span.start);
        let text = source.text.lines().nth(line.saturating_sub(1)).unwrap_or_default();
        (source.name.clone(), line, text.trim().to_owned())
    });
    html! {
        li {
            p { strong { (plain(&d.message)) } }
            @if let Some((file, line, text)) = place { p { (file) ", line " (line) ": " code { (text) } } }
            @if !d.why.is_empty() { p { (plain(&d.why)) } }
            @if !d.mend.is_empty() { p { "Mend: " (plain(&d.mend)) } }
        }
    }
}

fn row(known: &Known, row: &Row) -> Markup {
    let check = row.check.row();
    html! {
        li {
            a href={ "/rig/" (segment(&known.name)) "/margins?check=" (check.name) } {
                span.what { (check.title) } (bar(row.margin, row.word))
            }
        }
    }
}

/// GO, HOLD or NO-GO, and why.
pub(crate) fn head(report: &Report) -> Markup {
    html! { p.verdict.(of_answer(report.answer)) { b { (report.answer.word()) } span { (capital(&report.why)) } } }
}

/// The answer so far; on a small screen the margins are folded away.
pub(crate) fn answer(known: &Known, rig: &Rig, small: bool) -> Markup {
    let verdict = match known.verdict_so_far() {
        None => {
            return html! {
                p.verdict.working { b { "Working it out" } span { "every state, every loss, what is assumed at the ends of its range" } }
            };
        }
        Some(Err(why)) => return wrong("this rig cannot be computed", why),
        Some(Ok(verdict)) => verdict,
    };
    let report = Report::of(rig, verdict);
    let rows: Vec<&Row> = report.rows.iter().take(ROWS).collect();
    let (more, name) = (report.rows.len().saturating_sub(rows.len()), segment(&known.name));
    html! {
        (head(&report))
        details.more open[!small] {
            summary { "Least margins" }
            ul.rows { @for r in rows { (row(known, r)) } }
            @if more > 0 { p { a href={ "/rig/" (name) "/margins" } { "All margins: " (more) " more" } } }
        }
        @if !report.holds.is_empty() {
            details.more {
                summary { (report.holds.len()) " to settle" }
                ul { @for h in &report.holds { li { (capital(&h.what)) ": " (h.how) } } }
            }
        }
    }
}
