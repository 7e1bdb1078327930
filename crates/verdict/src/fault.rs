//! What stops a rig from being computed at all.

use core::fmt;

/// A fault that the file's reader could not see, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// What is wrong.
    pub what: String,
}

impl Fault {
    /// From any error's own words.
    pub fn from_error(e: impl fmt::Display) -> Self {
        Self { what: e.to_string() }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what)
    }
}

impl core::error::Error for Fault {}
