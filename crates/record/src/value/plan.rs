//! What was planned: the rig's files, and the program's answer on them.

use super::Checked;
use crate::fault::Fault;
use crate::limits::{FILE_BYTES, NAME_CHARS, PARTS_FILES, REASON_CHARS, REASONS};
use crate::text;
use serde::{Deserialize, Serialize};

/// A file's name and text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct File {
    /// Its name, without folders.
    pub name: String,
    /// What stands in it.
    pub text: String,
}

impl File {
    fn check(&self, what: &str) -> Result<(), Fault> {
        text::line(&format!("{what}'s name"), &self.name, NAME_CHARS)?;
        text::file(what, &self.text, FILE_BYTES)
    }
}

/// The rig file and the parts files it refers to, so that a job needs no other file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rig {
    /// The rig file.
    pub file: File,
    /// Its parts files.
    pub parts: Vec<File>,
}

impl Checked for Rig {
    const ABOUT: bool = false;

    fn check(&self) -> Result<(), Fault> {
        self.file.check("rig file")?;
        most("parts files", self.parts.len(), PARTS_FILES)?;
        self.parts.iter().try_for_each(|p| p.check("parts file"))
    }
}

/// The three answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Answer {
    /// Every check passes.
    #[serde(rename = "GO")]
    Go,
    /// Something is not known.
    #[serde(rename = "HOLD")]
    Hold,
    /// A check fails.
    #[serde(rename = "NO-GO")]
    NoGo,
}

/// What the program answered about a rig.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Verdict {
    /// The answer.
    pub answer: Answer,
    /// Fingerprint of the rig that was looked at.
    pub fingerprint: String,
    /// Name and version of the program.
    pub program: String,
    /// Why, one reason each.
    pub reasons: Vec<String>,
}

impl Checked for Verdict {
    const ABOUT: bool = false;

    fn check(&self) -> Result<(), Fault> {
        text::line("fingerprint", &self.fingerprint, NAME_CHARS)?;
        text::line("program", &self.program, NAME_CHARS)?;
        most("reasons", self.reasons.len(), REASONS)?;
        self.reasons.iter().try_for_each(|r| text::line("reason", r, REASON_CHARS))
    }
}

fn most(what: &str, found: usize, limit: usize) -> Result<(), Fault> {
    if found <= limit {
        return Ok(());
    }
    let (found, limit) = (found as u64, limit as u64);
    Err(Fault::TooLong { what: format!("the list of {what}"), found, limit, unit: "lines" })
}
