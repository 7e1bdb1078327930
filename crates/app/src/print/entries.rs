//! What a record has, entry by entry; what may be done next.

use super::style::{self, paint};
use super::text::{count, hang};
use crate::notebook::Notebook;
use method::{Method, Progress};
use record::{Current, Head, State, Value, Wear};
use std::io::{self, Write};

/// An entry's value in words.
pub(crate) fn words(about: &str, value: &Value) -> String {
    let opt = |name: &str, v: &Option<String>| v.as_ref().map(|v| format!("{name} {v}"));
    match value {
        Value::Rig(r) => format!("plan: {} and {}", r.file.name, count(r.parts.len(), "other file")),
        Value::Measured(m) => format!("{about} measured: {} ({})", m.value, m.with),
        Value::Torque(t) => format!("{about} tightened: {} ({})", t.value, t.with),
        Value::Weight(w) => format!("{about} weighed: {} ({})", w.value, w.with),
        Value::Reading(r) => format!("cup {about}: {}{}", r.vacuum, if r.pumped { ", pumped" } else { "" }),
        Value::Step(s) => {
            let what = match s.state {
                State::Done => "done",
                State::Undone => "taken back",
                State::Skipped => "left out",
            };
            let why = s.reason.as_ref().map_or(String::new(), |r| format!(": {r}"));
            format!("{what}: {about}{why}")
        }
        Value::Signature(s) => format!("signed: {about}, {} as {}", s.name, s.role),
        Value::Note(n) if about.is_empty() => format!("note: {}", n.text),
        Value::Note(n) => format!("note on {about}: {}", n.text),
        Value::Photo(p) => {
            format!("photo of {}: {}", if about.is_empty() { "the job" } else { about }, p.caption)
        }
        Value::Weather(w) => {
            let all = [opt("air", &w.temperature), opt("gusts", &w.wind), opt("panels", &w.rain)];
            format!("weather: {}", all.into_iter().flatten().collect::<Vec<_>>().join(", "))
        }
        Value::Verdict(v) => {
            let word = match v.answer {
                record::Answer::Go => "GO",
                record::Answer::Hold => "HOLD",
                record::Answer::NoGo => "NO-GO",
            };
            let why = v.reasons.first().map_or(String::new(), |r| format!(": {r}"));
            format!("{word}{why}")
        }
        Value::Damage(d) => {
            let on = if d.on == Wear::Car { "car" } else { "kit" };
            format!("{on}, {about}: {}{}", if d.sound { "sound; " } else { "" }, d.text)
        }
    }
}

/// A line an entry.
pub(crate) fn write(
    out: &mut dyn Write,
    book: &Notebook,
    entries: &[Current],
    head: &Head,
) -> io::Result<()> {
    hang(out, "", &format!("{} ({}), {}", book.job.name, &book.job.id[..8], book.job.rig))?;
    for c in entries {
        let e = &c.entry;
        let mark = c.corrected_by.map_or(String::new(), |n| format!(" [put right by {n}]"));
        let puts = e.corrects.map_or(String::new(), |n| format!(" [in place of {n}]"));
        hang(
            out,
            &format!("{:>4} {:<12} ", e.number, book.clock.shown(e.at_ms)),
            &format!("{}; {}{mark}{puts}", words(&e.about, &e.value), e.by),
        )?;
    }
    hang(out, "", &format!("Last: {}:{}", head.number, head.hash))
}

/// What may be done now, and what waits for a signature.
pub(crate) fn next(out: &mut dyn Write, method: &Method, progress: &Progress) -> io::Result<()> {
    let unsigned = progress.unsigned(method);
    if !unsigned.is_empty() {
        writeln!(out, "{}", paint(style::HEAD, "To be signed"))?;
        for s in &unsigned {
            let step = &method.steps[*s];
            if let Some(hold) = &step.hold {
                hang(out, "  ", &format!("{}: {} signs: {}", step.name, hold.role, hold.says))?;
            }
        }
    }
    let free = progress.next(method);
    if !free.is_empty() {
        writeln!(out, "{}", paint(style::HEAD, "May be done now"))?;
        for s in &free {
            let step = &method.steps[*s];
            hang(out, "  ", &format!("{}: {}", step.name, step.does))?;
            for r in progress.unwritten(method, *s) {
                let record = &step.records[r];
                hang(
                    out,
                    "    ",
                    &format!(
                        "write down: {} ({}, {})",
                        record.what,
                        crate::json::steps::kind(record.kind),
                        record.key
                    ),
                )?;
            }
        }
    }
    let left = method.steps.len() - progress.done.len();
    hang(
        out,
        "",
        &if progress.is_complete(method) {
            "All done and signed.".to_owned()
        } else {
            format!("{} of {} done.", method.steps.len() - left, count(method.steps.len(), "step"))
        },
    )
}
