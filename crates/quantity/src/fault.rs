//! What is wrong with a piece of text, where, why, and how to mend it.

use core::fmt;
use core::ops::Range;

/// A quantity that could not be read, or could be read two ways.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Bytes of the text the fault points at; always inside it, on character boundaries.
    pub span: Range<usize>,
    /// What is wrong.
    pub what: String,
    /// Why it is wrong.
    pub why: String,
    /// How to mend it.
    pub mend: String,
}

impl Fault {
    pub(crate) fn new(
        span: Range<usize>,
        what: impl Into<String>,
        why: impl Into<String>,
        mend: impl Into<String>,
    ) -> Self {
        Self { span, what: what.into(), why: why.into(), mend: mend.into() }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; {}", self.what, self.why, self.mend)
    }
}

impl std::error::Error for Fault {}
