//! What people said and showed: steps, signatures, notes, photos, damage.

use super::Checked;
use crate::fault::Fault;
use crate::hash;
use crate::limits::{NAME_CHARS, NOTE_CHARS, REASON_CHARS, WRITTEN_CHARS};
use crate::text;
use serde::{Deserialize, Serialize};

/// What became of a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    /// It is done.
    Done,
    /// It was done and is taken back.
    Undone,
    /// It is left out, for a reason.
    Skipped,
}

/// A step of the build; the entry is about the step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// What became of it.
    pub state: State,
    /// Why; a skipped step must say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

impl Checked for Step {
    const ABOUT: bool = true;

    fn check(&self) -> Result<(), Fault> {
        match &self.reason {
            Some(reason) => text::line("reason", reason, REASON_CHARS),
            None if self.state == State::Skipped => {
                Err(Fault::Empty { what: "the reason of a skipped step".into() })
            }
            None => Ok(()),
        }
    }
}

/// A signature under a hold point; the entry is about the step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signature {
    /// Who signs.
    pub name: String,
    /// In what role.
    pub role: String,
    /// Hash of the last entry that the person saw, or of the job's heading.
    pub on: String,
}

impl Checked for Signature {
    const ABOUT: bool = true;

    fn check(&self) -> Result<(), Fault> {
        text::line("name", &self.name, NAME_CHARS)?;
        text::line("role", &self.role, NAME_CHARS)?;
        text::sha256("the hash signed on", &self.on)
    }
}

/// Words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// The words; lines are kept.
    pub text: String,
}

impl Checked for Note {
    const ABOUT: bool = false;

    fn check(&self) -> Result<(), Fault> {
        text::lines("note", &self.text, NOTE_CHARS)
    }
}

/// A picture. Its bytes are kept apart, under their hash.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// What it shows; may be empty.
    pub caption: String,
    /// What the bytes are: `image/jpeg`.
    pub media: String,
    /// SHA-256 of the bytes.
    pub sha256: String,
}

impl Photo {
    /// A picture of those bytes.
    pub fn of(caption: &str, media: &str, bytes: &[u8]) -> Self {
        Self { caption: caption.into(), media: media.into(), sha256: hash::of_bytes(bytes) }
    }
}

impl Checked for Photo {
    const ABOUT: bool = false;

    fn check(&self) -> Result<(), Fault> {
        text::maybe("caption", &self.caption, REASON_CHARS)?;
        text::line("media type", &self.media, WRITTEN_CHARS)?;
        let word = |w: &str| {
            !w.is_empty() && w.bytes().all(|b| b.is_ascii_alphanumeric() || b"!#$&-^_.+".contains(&b))
        };
        if !self.media.split_once('/').is_some_and(|(a, b)| word(a) && word(b)) {
            let found = crate::fault::shown(&self.media);
            return Err(Fault::Form { what: "media type".into(), found, needs: "like image/jpeg" });
        }
        text::sha256("the photo's hash", &self.sha256)
    }
}

/// What was inspected at wrap.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Wear {
    /// The car.
    Car,
    /// The kit.
    Kit,
}

/// An inspection at wrap; the entry is about the place on the car or the part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Damage {
    /// Car or kit.
    pub on: Wear,
    /// Whether nothing was found.
    pub sound: bool,
    /// What was found, or what was looked at.
    pub text: String,
}

impl Checked for Damage {
    const ABOUT: bool = true;

    fn check(&self) -> Result<(), Fault> {
        text::lines("what was found", &self.text, NOTE_CHARS)
    }
}
