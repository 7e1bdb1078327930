//! The least margin of each part, to stand on it.

use super::Desk;
use super::seen::drawn;
use crate::io::Stop;
use crate::print::report::Word;
use crate::print::text::{self, count};
use draw::view::{self, Margin, Part};
use rig::Rig;
use verdict::{Finding, Verdict};

/// Parts that cannot be drawn (the car, a panel, a cable) and are named under the drawing, at most.
const NAMED: usize = 4;

/// The verdict in a sentence.
pub(super) fn answer(desk: &Desk<'_>) -> Result<String, Stop> {
    desk.verdict().map_err(|stop| match stop {
        Stop::Bad(what, mend) => Stop::Bad(what, format!("{mend}; --plain draws it without its margins")),
        other => other,
    })?;
    let report = desk.report()?;
    // On the terminal the things to settle follow; here is no room for them.
    let why = report.why.replace("listed below", "listed by clingfish check");
    Ok(format!("{}: {why}", report.answer.word()))
}

/// Margins on the parts, and sentences on them and on the rest.
pub(super) fn of(desk: &Desk<'_>) -> Result<(Vec<Margin>, Vec<String>), Stop> {
    let verdict = desk.verdict()?;
    let mut said = Vec::new();
    let marks = on_parts(&verdict.findings);
    if !marks.is_empty() {
        said.push(
            "Numbers on the parts: the least margin of each over every state that was looked at, with nothing lost and \
             with each cup and strap lost in turn; 1.00 is just what is required."
                .to_owned(),
        );
    }
    said.extend(elsewhere(desk.rig, verdict));
    Ok((marks, said))
}

/// How bad a word is: what fails, then what nobody knows, then what is close.
fn rank(word: Word) -> u8 {
    match word {
        Word::Fails => 0,
        Word::NotChecked => 1,
        Word::Close => 2,
        Word::Holds => 3,
    }
}

/// The least margin of each drawn part that has one, in the order of the parts.
pub(crate) fn on_parts(findings: &[Finding]) -> Vec<Margin> {
    let mut worst: Vec<(Part, Word, Option<f64>)> = Vec::new();
    for f in findings {
        let (Some(part), Some(word)) = (drawn(f.part), Word::of(f)) else { continue };
        let value = f.margin.filter(|m| m.is_finite());
        if value.is_none() && word != Word::NotChecked {
            // It holds, and there is no number to it.
            continue;
        }
        let key = |word: Word, value: Option<f64>| (rank(word), value.unwrap_or(0.0));
        match worst.iter_mut().find(|(p, ..)| *p == part) {
            Some(entry) if key(word, value) < key(entry.1, entry.2) => *entry = (part, word, value),
            Some(_) => {}
            None => worst.push((part, word, value)),
        }
    }
    worst.sort_by_key(|(part, ..)| *part);
    worst
        .into_iter()
        .map(|(part, word, value)| Margin {
            part,
            value,
            word: match word {
                Word::Fails => view::Word::Fails,
                Word::NotChecked => view::Word::Unknown,
                Word::Close => view::Word::Close,
                Word::Holds => view::Word::Holds,
            },
        })
        .collect()
}

/// What fails or is not known on things that are not drawn.
fn elsewhere(rig: &Rig, verdict: &Verdict) -> Option<String> {
    let mut seen: Vec<(String, &Finding)> = Vec::new();
    for f in verdict.findings.iter().filter(|f| drawn(f.part).is_none()) {
        let Some(word @ (Word::Fails | Word::NotChecked)) = Word::of(f) else { continue };
        if seen.iter().any(|(_, s)| s.check == f.check && s.part == f.part) {
            continue;
        }
        let number = f
            .margin
            .filter(|_| word == Word::Fails)
            .map_or(String::new(), |m| format!(" {}", text::margin(m)));
        let name = f.part.name(rig);
        seen.push((format!("{name}: {} {}{number}", f.check.row().title.to_lowercase(), word.text()), f));
    }
    let more = seen.len().saturating_sub(NAMED);
    let mut texts: Vec<String> = seen.into_iter().take(NAMED).map(|(t, _)| t).collect();
    if more > 0 {
        texts.push(count(more, "other"));
    }
    (!texts.is_empty()).then(|| format!("Not on a part that is drawn: {}.", texts.join("; ")))
}
