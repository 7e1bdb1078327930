//! A verdict in the words that terminal and JSON share.

use super::group::{Said, alike, names, together};
use super::text::{count, margin, thousands};
use rig::Rig;
use rig::model::StrapKind;
use rig::policy::CheckId;
use std::fmt::Write as _;
use verdict::context::{Context, Resolution};
use verdict::structure::BuildOptions;
use verdict::verdict::{Hold, Verdict};
use verdict::{Answer, Finding, Outcome, PartRef};

/// A margin under this is close.
pub(crate) const CLOSE: f64 = 1.15;
/// An assumed value that moves the least margin by less than this share is only counted.
const MOVES: f64 = 0.02;

/// How a check came out, in a word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Word {
    Fails,
    NotChecked,
    Close,
    Holds,
}

impl Word {
    pub(crate) fn of(f: &Finding) -> Option<Self> {
        match (&f.outcome, f.margin) {
            (Outcome::Fails, _) => Some(Self::Fails),
            (Outcome::NotChecked(_), _) => Some(Self::NotChecked),
            (Outcome::Holds, Some(m)) if m < CLOSE => Some(Self::Close),
            (Outcome::Holds, _) => Some(Self::Holds),
            (Outcome::Note, _) => None,
        }
    }

    /// Of a margin that is known.
    pub(crate) fn of_margin(margin: f64) -> Self {
        if margin >= CLOSE {
            Self::Holds
        } else if margin >= 1.0 {
            Self::Close
        } else {
            // A number that is lost is no pass.
            Self::Fails
        }
    }

    pub(crate) fn text(self) -> &'static str {
        match self {
            Self::Fails => "FAILS",
            Self::NotChecked => "NOT CHECKED",
            Self::Close => "close",
            Self::Holds => "holds",
        }
    }
}

/// One check on one line: its worst part.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub(crate) check: CheckId,
    pub(crate) word: Word,
    /// `None` for what holds or does not, without a number.
    pub(crate) margin: Option<f64>,
    pub(crate) intact: Option<f64>,
    pub(crate) lost: Option<f64>,
    /// Part, place and state of the worst; or what is missing.
    pub(crate) detail: String,
    /// What is asked of the worst, where it has a margin.
    pub(crate) asked: Option<Asked>,
}

/// The numbers of a margin, in both systems.
#[derive(Clone, Debug)]
pub(crate) struct Asked {
    pub(crate) demand: String,
    pub(crate) capacity: String,
    pub(crate) factor: f64,
}

impl Asked {
    pub(crate) fn of(f: &Finding) -> Self {
        Self {
            demand: quantity::both_kind(f.demand, f.kind),
            capacity: quantity::both_kind(f.capacity, f.kind),
            factor: f.factor,
        }
    }

    /// The numbers under their labels.
    pub(crate) fn words(&self) -> [(&'static str, String); 3] {
        let must = if (self.factor - 1.0).abs() < 1e-9 {
            "what is asked".to_owned()
        } else {
            format!("{} times what is asked", self.factor)
        };
        [("asked of it", self.demand.clone()), ("can bear", self.capacity.clone()), ("must bear", must)]
    }
}

/// What has the least margin.
#[derive(Clone, Debug)]
pub(crate) struct Governs {
    pub(crate) check: CheckId,
    pub(crate) margin: f64,
    pub(crate) word: Word,
    pub(crate) part: String,
    pub(crate) state: String,
    pub(crate) asked: Asked,
}

impl Governs {
    /// The part and its state.
    pub(crate) fn state(&self) -> String {
        if self.state.is_empty() { self.part.clone() } else { format!("{}: {}", self.part, self.state) }
    }
}

/// Like things to settle.
#[derive(Clone, Debug)]
pub(crate) struct Settle {
    pub(crate) what: String,
    pub(crate) why: String,
    pub(crate) how: String,
    pub(crate) keys: Vec<String>,
}

/// What one assumed value does to the least margin at one end of its range.
#[derive(Clone, Debug)]
pub(crate) struct Moved {
    pub(crate) name: String,
    pub(crate) value: String,
    pub(crate) least: f64,
    pub(crate) check: CheckId,
}

/// A verdict in words.
#[derive(Clone, Debug)]
pub(crate) struct Report {
    pub(crate) name: String,
    pub(crate) answer: Answer,
    pub(crate) why: String,
    pub(crate) governs: Option<Governs>,
    pub(crate) rows: Vec<Row>,
    pub(crate) notes: Vec<(CheckId, String)>,
    pub(crate) holds: Vec<Settle>,
    pub(crate) moved: Vec<Moved>,
    /// Assumed values that hardly move the least margin.
    pub(crate) still: usize,
    pub(crate) scope: String,
}

/// Part, place and situation of a finding in one line.
pub(crate) fn where_and_when(rig: &Rig, f: &Finding) -> (String, String) {
    let mut part = f.part.name(rig);
    if !f.place.is_empty() && !f.situation.contains(f.place.as_str()) {
        part = format!("{part}, {}", f.place);
    }
    (part, f.situation.clone())
}

/// Whether a finding is one with a cup or strap lost.
pub(crate) fn is_lost(f: &Finding) -> bool {
    f.state.map_or(f.situation.ends_with(" lost"), |s| s.failure > 0)
}

impl Report {
    pub(crate) fn of(rig: &Rig, verdict: &Verdict) -> Self {
        let holds = settle(&verdict.holds);
        let rows = rows(rig, &verdict.findings);
        let governs = governs(rig, &verdict.findings);
        let base = governs.as_ref().map_or(f64::INFINITY, |g| g.margin);
        let moved: Vec<Moved> = verdict
            .varied
            .iter()
            .filter(|v| base.is_finite() && (v.least - base).abs() > MOVES * base)
            .map(|v| Moved {
                name: v.name.clone(),
                value: quantity::both_kind(v.value, v.kind),
                least: v.least,
                check: v.check,
            })
            .collect();
        let still = verdict.assumed.iter().filter(|g| !moved.iter().any(|m| m.name == g.name)).count();
        Self {
            name: rig.name.clone(),
            answer: verdict.answer,
            why: why(verdict.answer, governs.as_ref(), &rows, holds.len()),
            notes: notes(rig, &verdict.findings),
            governs,
            rows,
            holds,
            moved,
            still,
            scope: scope(rig, verdict),
        }
    }
}

fn line(rig: &Rig, f: &Finding) -> String {
    let (part, state) = where_and_when(rig, f);
    if state.is_empty() { part } else { format!("{part}: {state}") }
}

/// Notes; the same note of a part in another state is left out, and of like parts said once.
fn notes(rig: &Rig, findings: &[Finding]) -> Vec<(CheckId, String)> {
    let mut seen: Vec<&Finding> = Vec::new();
    let mut groups: Vec<(CheckId, Vec<Said>)> = Vec::new();
    for f in findings.iter().filter(|f| f.outcome == Outcome::Note) {
        if seen.iter().any(|s| s.check == f.check && s.part == f.part && s.place == f.place) {
            continue;
        }
        seen.push(f);
        // A note on the whole names what it is about itself.
        let whole = matches!(f.part, PartRef::Rig | PartRef::Vehicle | PartRef::Arm);
        let text = if whole { f.situation.clone() } else { line(rig, f) };
        let said = Said { text, part: if whole { String::new() } else { f.part.name(rig) } };
        match groups.iter_mut().find(|(id, g)| *id == f.check && g.first().is_some_and(|s| alike(s, &said))) {
            Some((_, g)) => g.push(said),
            None => groups.push((f.check, vec![said])),
        }
    }
    groups.into_iter().map(|(id, g)| (id, together(&g))).collect()
}

fn rows(rig: &Rig, findings: &[Finding]) -> Vec<Row> {
    let mut out: Vec<Row> = Vec::new();
    for f in findings {
        let Some(word) = Word::of(f) else { continue };
        if word == Word::NotChecked {
            if !out.iter().any(|r| r.check == f.check && r.word == word) {
                let detail = missing(rig, findings, f.check);
                out.push(Row {
                    check: f.check,
                    word,
                    margin: None,
                    intact: None,
                    lost: None,
                    detail,
                    asked: None,
                });
            }
            continue;
        }
        let lost = is_lost(f);
        let row = if let Some(row) = out.iter_mut().find(|r| r.check == f.check && r.word != Word::NotChecked)
        {
            row
        } else {
            out.push(Row {
                check: f.check,
                word,
                margin: f.margin,
                intact: None,
                lost: None,
                detail: String::new(),
                asked: f.margin.map(|_| Asked::of(f)),
            });
            let Some(row) = out.last_mut() else { continue };
            row
        };
        // Findings come least margin first, so the first of each is the worst.
        let cell = if lost { &mut row.lost } else { &mut row.intact };
        if cell.is_none() {
            *cell = f.margin;
        }
        if row.detail.is_empty() {
            row.detail = if f.margin.is_none() { held(rig, findings, f.check) } else { line(rig, f) };
        }
    }
    // Not checked is as bad as failing: first in the list, in the verdict's order within.
    out.sort_by_key(|r| match r.word {
        Word::Fails => 0,
        Word::NotChecked => 1,
        _ if r.margin.is_some() => 2,
        _ => 3,
    });
    out
}

/// What a check lacks, like things together.
fn missing(rig: &Rig, findings: &[Finding], check: CheckId) -> String {
    let mut groups: Vec<Vec<Said>> = Vec::new();
    for f in findings.iter().filter(|f| f.check == check) {
        let Outcome::NotChecked(need) = &f.outcome else { continue };
        let said = Said { text: need.what.clone(), part: f.part.name(rig) };
        match groups.iter_mut().find(|g| g.first().is_some_and(|s| alike(s, &said))) {
            Some(g) if g.contains(&said) => {}
            Some(g) => g.push(said),
            None => groups.push(vec![said]),
        }
    }
    let texts: Vec<String> = groups.iter().map(|g| together(g)).collect();
    format!("missing: {}", texts.join("; "))
}

/// What a check without a number looked at.
fn held(rig: &Rig, findings: &[Finding], check: CheckId) -> String {
    if matches!(check, CheckId::Clash | CheckId::Stable) {
        // These look at the whole rig; the part that a finding names is only the nearest.
        return String::new();
    }
    let parts: Vec<String> = findings
        .iter()
        .filter(|f| f.check == check && Word::of(f) == Some(Word::Holds))
        .map(|f| f.part.name(rig))
        .collect();
    names(parts.iter().map(String::as_str))
}

fn governs(rig: &Rig, findings: &[Finding]) -> Option<Governs> {
    let with_margin = findings.iter().filter_map(|f| Some((f, f.margin?, Word::of(f)?)));
    let (f, margin, word) = with_margin.min_by(|a, b| a.1.total_cmp(&b.1))?;
    if !margin.is_finite() {
        return None;
    }
    let (part, state) = where_and_when(rig, f);
    Some(Governs { check: f.check, margin, word, part, state, asked: Asked::of(f) })
}

pub(crate) fn settle(holds: &[Hold]) -> Vec<Settle> {
    let mut groups: Vec<(Vec<Said>, &Hold, Vec<String>)> = Vec::new();
    for hold in holds {
        let words: Vec<&str> = hold.key.splitn(3, '.').collect();
        let part = match &words[..] {
            [kind, tag, _] => format!("{kind} {tag}"),
            _ => String::new(),
        };
        let said = Said { text: hold.what.clone(), part };
        let same = |(g, first, _): &&mut (Vec<Said>, &Hold, Vec<String>)| {
            first.why == hold.why && first.settle == hold.settle && g.first().is_some_and(|s| alike(s, &said))
        };
        match groups.iter_mut().find(same) {
            Some((g, _, keys)) => {
                g.push(said);
                if !keys.contains(&hold.key) {
                    keys.push(hold.key.clone());
                }
            }
            None => groups.push((vec![said], hold, vec![hold.key.clone()])),
        }
    }
    groups
        .into_iter()
        .map(|(said, hold, keys)| Settle {
            what: together(&said),
            why: hold.why.clone(),
            how: hold.settle.clone(),
            keys,
        })
        .collect()
}

fn why(answer: Answer, governs: Option<&Governs>, rows: &[Row], holds: usize) -> String {
    let failing = rows.iter().filter(|r| r.word == Word::Fails).count();
    let fail = if failing == 1 { "1 check fails".to_owned() } else { format!("{failing} checks fail") };
    let worst = governs.map_or(String::new(), |g| {
        format!("{} ({}) at margin {}", g.check.row().title.to_lowercase(), g.part, margin(g.margin))
    });
    let gaps = match rows.iter().filter(|r| r.word == Word::NotChecked).count() {
        0 => String::new(),
        1 => " 1 check could not be made.".to_owned(),
        n => format!(" {n} checks could not be made."),
    };
    let things = if holds == 1 { "1 thing is".to_owned() } else { format!("{holds} things are") };
    match answer {
        Answer::Go if worst.is_empty() => "Every check holds, and no guess decides.".to_owned(),
        Answer::Go => format!("Every check holds, and no guess decides; the least is {worst}."),
        Answer::Hold if failing > 0 => format!(
            "{fail} with the assumed values, but a guess decides: {things} to be settled, listed below, before \
             anyone can say GO or NO-GO.{gaps}"
        ),
        Answer::Hold => format!(
            "Nothing fails so far, but {things} missing or guessed and to be settled, listed below, before a GO.{gaps}"
        ),
        Answer::NoGo => {
            format!("{fail}, whatever the assumed values turn out to be; the worst is {worst}.{gaps}")
        }
    }
}

fn scope(rig: &Rig, verdict: &Verdict) -> String {
    let straps = rig.straps.iter().filter(|s| s.kind == StrapKind::Strap).count();
    // A String takes everything that is written to it.
    let mut text = format!("Looked at {} states: ", thousands(verdict.states));
    text += &count(rig.manoeuvres.len(), "manoeuvre");
    if let Ok(ctx) = Context::new(rig, BuildOptions::default()) {
        let _ = write!(text, " in {}", count(ctx.actions.drives.len(), "instant"));
        if rig.arm.is_some() {
            let _ = write!(text, ", the boom in {} poses 5° apart", ctx.poses(Resolution::fine()).len());
        }
    }
    let _ = write!(text, ", with nothing lost and with each of {}", count(rig.cups.len(), "cup"));
    if straps > 0 {
        let _ = write!(text, " and {}", count(straps, "strap"));
    }
    text += " lost in turn.";
    if verdict.runs > 0 {
        let _ = write!(
            text,
            " The worst of them were looked at again {} more times with assumed values at the ends of their ranges.",
            verdict.runs
        );
    }
    text
}
