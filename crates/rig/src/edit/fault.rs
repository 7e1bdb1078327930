//! Why a change was not made.

use std::fmt;

/// Why a change was not made, in plain words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EditFault {
    /// What cannot be done.
    pub what: String,
    /// Why.
    pub why: String,
    /// What to do instead.
    pub mend: String,
}

impl EditFault {
    pub(crate) fn new(what: impl Into<String>, why: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { what: what.into(), why: why.into(), mend: mend.into() }
    }

    /// The model that was handed over is not of this text.
    pub(crate) fn stale(part: &str) -> Self {
        Self::new(
            format!("`{part}` is not in the model"),
            "the file was changed, or has faults, since the model was read",
            "read the file again, and mend its faults first",
        )
    }

    /// Nothing stands under this key.
    pub(crate) fn absent(key: &str) -> Self {
        Self::new(
            format!("the file has no `{key}`"),
            "nothing stands under that key",
            "check the key and the tag; a tag with blanks or dots stands between quotes",
        )
    }
}

impl fmt::Display for EditFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}; {}", self.what, self.why, self.mend)
    }
}

impl std::error::Error for EditFault {}
