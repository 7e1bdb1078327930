//! A first rig file from answers to questions.

pub(crate) mod ask;
mod file;
mod grid;
mod question;

pub(crate) use ask::ask_all;
pub(crate) use file::file;

use std::collections::BTreeMap;

/// Answers by the key of their question; `None` is "not known yet".
#[derive(Clone, Debug, Default)]
pub(crate) struct Answers {
    given: BTreeMap<&'static str, Option<String>>,
}

impl Answers {
    /// The answer, or the example while it is not given yet.
    pub(crate) fn text(&self, key: &str) -> &str {
        let given = self.given.get(key).and_then(|a| a.as_deref());
        given.or_else(|| question::named(key).map(|q| q.example)).unwrap_or_default()
    }

    /// Whether the person said that it is not known.
    pub(crate) fn unknown(&self, key: &str) -> bool {
        matches!(self.given.get(key), Some(None))
    }

    /// A length answer in m; 0 when it is none.
    pub(crate) fn metres(&self, key: &str) -> f64 {
        quantity::parse_kind(self.text(key), quantity::Kind::Length).unwrap_or(0.0)
    }

    /// A count.
    pub(crate) fn count(&self, key: &str) -> u32 {
        self.text(key).parse().unwrap_or(2)
    }

    pub(crate) fn set(&mut self, key: &'static str, answer: Option<String>) {
        self.given.insert(key, answer);
    }

    /// Whether an arm is carried.
    pub(crate) fn has_arm(&self) -> bool {
        self.text("carry") == "arm"
    }
}
