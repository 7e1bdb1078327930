//! A number with where it comes from.

use quantity::Kind;

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// The person's file states it.
    Stated,
    /// The part's own data, stated by the parts file.
    Part,
    /// Typical, not known for this rig: varied from `low` to `high`.
    Assumed,
}

/// One value of the model in SI, its range, and how to settle it.
#[derive(Clone, Debug)]
pub struct Fact {
    /// SI.
    pub value: f64,
    /// Lowest it may be; equal to `value` when it is not assumed.
    pub low: f64,
    /// Highest it may be.
    pub high: f64,
    /// What it measures.
    pub kind: Kind,
    /// Where it comes from.
    pub origin: Origin,
    /// Key in the rig file that would state it (`panel.roof.stiffness`).
    pub key: String,
    /// Facts of one group are one unknown (the same value of the same part): they vary together.
    pub group: String,
    /// The text as written, when it was.
    pub text: Option<String>,
    /// Source of an assumed value, or `common practice, no source`.
    pub source: String,
    /// How to measure it, in one short sentence.
    pub settle: String,
}

impl Fact {
    /// A stated value.
    pub fn stated(value: f64, kind: Kind, key: &str) -> Self {
        Self {
            value,
            low: value,
            high: value,
            kind,
            origin: Origin::Stated,
            key: key.to_owned(),
            group: key.to_owned(),
            text: None,
            source: String::new(),
            settle: String::new(),
        }
    }

    /// Whether the value is a guess.
    pub fn is_assumed(&self) -> bool {
        self.origin == Origin::Assumed
    }
}
