//! The person's own steps and rules for the order of work, as read; what they come to is for the order of work to say.

use crate::diagnostic::Diagnostic;
use crate::parts::version;
use crate::pass::Pass;
use crate::record::{Record, Value};
use crate::source::{Source, Spot};
use crate::spec::steps::STEPS;
use crate::tree;

/// Steps, rules and what is left out, of all steps files in their order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct House {
    /// Steps.
    pub steps: Vec<OwnStep>,
    /// Orders between steps.
    pub rules: Vec<OwnRule>,
    /// Steps that are not done: name and why.
    pub left_out: Vec<(String, String)>,
}

/// A step of the person's own.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnStep {
    /// Its name.
    pub name: String,
    /// What is done.
    pub does: String,
    /// Why.
    pub why: String,
    /// The part of the work, as written.
    pub stage: String,
    /// Names, `*` for anything, of the steps before it.
    pub after: Vec<String>,
    /// Names of the steps that wait for it.
    pub before: Vec<String>,
    /// People it takes.
    pub people: usize,
    /// How long it takes, s.
    pub time_s: Option<f64>,
    /// What they need.
    pub tools: Vec<String>,
    /// What is written down.
    pub records: Vec<String>,
    /// Who signs.
    pub signed_by: Option<String>,
}

/// An order between steps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnRule {
    /// Its tag.
    pub tag: String,
    /// What comes first.
    pub first: String,
    /// What waits.
    pub then: String,
    /// Why.
    pub why: String,
}

impl House {
    /// Adds the steps file `sources[index]`.
    pub(crate) fn add(&mut self, sources: &[Source], index: usize, faults: &mut Vec<Diagnostic>) {
        let Some(text) = sources.get(index).map(|s| s.text.as_str()) else { return };
        let before = faults.len();
        let entries = tree::parse(text, index, faults);
        if faults.len() > before {
            return;
        }
        let mut pass = Pass { sources, faults };
        let record = pass.record(&entries, &STEPS, "", &Spot::top(index));
        pass.missing(&record);
        version(&record, faults);
        self.steps.extend(record.tagged("step").iter().map(step));
        self.rules.extend(record.tagged("rule").iter().map(|r| OwnRule {
            tag: r.tag.clone(),
            first: text_of(r, "first"),
            then: text_of(r, "then"),
            why: text_of(r, "why"),
        }));
        self.left_out.extend(record.tagged("leave_out").iter().map(|r| (r.tag.clone(), text_of(r, "why"))));
    }
}

fn text_of(record: &Record, key: &str) -> String {
    record.text(key).unwrap_or_default().trim().to_owned()
}

fn step(record: &Record) -> OwnStep {
    let list = |key: &str| -> Vec<String> {
        let texts = record.list(key).iter().filter_map(|c| match &c.value {
            Value::Text(t) => Some(t.trim().to_owned()),
            _ => None,
        });
        texts.filter(|t| !t.is_empty()).collect()
    };
    let signed_by = text_of(record, "signed_by");
    OwnStep {
        name: record.tag.trim().to_owned(),
        does: text_of(record, "does"),
        why: text_of(record, "why"),
        stage: record.text("stage").unwrap_or("before driving").to_owned(),
        after: list("after"),
        before: list("before"),
        people: record.count("people").unwrap_or(1),
        time_s: record.measure("time"),
        tools: list("tools"),
        records: list("record"),
        signed_by: (!signed_by.is_empty()).then_some(signed_by),
    }
}
