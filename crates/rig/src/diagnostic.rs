//! What is wrong in a rig file: where, why, and how to mend it.

use crate::source::Spot;
use std::ops::Range;

/// How grave it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Read, but look at it.
    Warning,
    /// No model comes out while it stands.
    Error,
}

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// `R001` and so on: see [`CODES`].
    pub code: &'static str,
    /// How grave.
    pub severity: Severity,
    /// Index into [`Reading::sources`](crate::Reading::sources).
    pub source: usize,
    /// Bytes of that source; inside it, on character boundaries.
    pub span: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// Why it is wrong.
    pub why: String,
    /// How to mend it.
    pub mend: String,
    /// Other places that matter: source, span, label.
    pub related: Vec<(usize, Range<usize>, String)>,
}

impl Diagnostic {
    pub(crate) fn error(code: &'static str, spot: &Spot, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            source: spot.source,
            span: spot.span.clone(),
            message: message.into(),
            why: String::new(),
            mend: String::new(),
            related: Vec::new(),
        }
    }

    pub(crate) fn warning(code: &'static str, spot: &Spot, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, spot, message) }
    }

    pub(crate) fn why(mut self, why: impl Into<String>) -> Self {
        self.why = why.into();
        self
    }

    pub(crate) fn mend(mut self, mend: impl Into<String>) -> Self {
        self.mend = mend.into();
        self
    }

    pub(crate) fn related(mut self, spot: &Spot, label: impl Into<String>) -> Self {
        self.related.push((spot.source, spot.span.clone(), label.into()));
        self
    }
}

/// Every code with what it means, in order.
pub const CODES: &[(&str, &str)] = &[
    ("R001", "the text is not TOML"),
    ("R002", "a key that this table does not have"),
    ("R003", "a value of the wrong sort (text, table, list, yes or no)"),
    ("R004", "a bare number where a unit is needed"),
    ("R005", "a quantity that cannot be read"),
    ("R006", "a key that must be there is missing"),
    ("R007", "a word that is not one of the choices"),
    ("R008", "a tag that nothing carries"),
    ("R009", "a key or tag that stands twice"),
    ("R010", "the version of the file format"),
    ("R011", "a part that no parts file has"),
    ("R012", "a value beyond what can be"),
    ("R013", "a value beyond what is usual (warning)"),
    ("R014", "two keys that say the same thing twice or against each other"),
    ("R015", "a place that is not on its panel or platform"),
    ("R016", "a cup too low or too high for what it holds"),
    ("R017", "a cup that does not stand under what it holds"),
    ("R018", "a clamp whose tubes are not its spacing apart"),
    ("R019", "tubes too nearly parallel to place a clamp"),
    ("R020", "a place off the end of a tube"),
    ("R021", "a strap's path"),
    ("R022", "boom sections that do not join"),
    ("R023", "an arm that lacks a part, or a part that lacks an arm"),
    ("R024", "a required factor below 1"),
    ("R025", "a required factor below its default (warning; printed on the sheet)"),
    ("R026", "a parts or steps file that cannot be read"),
    ("R027", "a range whose value is not between low and high"),
    ("R028", "values that cannot go together"),
    ("R029", "wiring: something without a feed, fed twice, or in a circle"),
    ("R030", "a measured value for something that the plan does not have"),
];

#[cfg(test)]
mod tests {
    use super::CODES;

    #[test]
    fn codes_are_in_order_and_without_gaps() {
        for (i, (code, _)) in CODES.iter().enumerate() {
            assert_eq!(*code, format!("R{:03}", i + 1));
        }
    }
}
