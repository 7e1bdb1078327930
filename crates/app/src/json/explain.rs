//! What `explain --json` prints.

use super::finding::{Found, Hand};
use rig::Rig;
use rig::policy::CheckRow;
use serde::Serialize;
use verdict::{Finding, sums};

/// The sums behind a check of one part.
#[derive(Debug, Serialize)]
pub(crate) struct Explain {
    check: &'static str,
    title: &'static str,
    factor_source: &'static str,
    sums: Vec<Sum>,
    /// Further findings of the same part, without their sums; `--all` gives those.
    also: Vec<Found>,
}

#[derive(Debug, Serialize)]
struct Sum {
    finding: Found,
    hand: Hand,
}

/// The sums behind what is no check.
#[derive(Debug, Serialize)]
pub(crate) struct Topic {
    of: &'static str,
    title: &'static str,
    sums: Vec<Titled>,
}

#[derive(Debug, Serialize)]
struct Titled {
    title: String,
    hand: Hand,
}

impl Topic {
    pub(crate) fn of(topic: &sums::Topic, sums: &[sums::Sum]) -> Self {
        let titled = |s: &sums::Sum| Titled { title: s.title.clone(), hand: Hand::of(&s.hand) };
        Self { of: topic.name, title: topic.title, sums: sums.iter().map(titled).collect() }
    }
}

impl Explain {
    pub(crate) fn of(rig: &Rig, check: &CheckRow, shown: &[&Finding], rest: &[&Finding]) -> Self {
        Self {
            check: check.name,
            title: check.title,
            factor_source: check.source,
            sums: shown.iter().map(|f| Sum { finding: Found::of(rig, f), hand: Hand::of(&f.hand) }).collect(),
            also: rest.iter().map(|f| Found::of(rig, f)).collect(),
        }
    }
}
