//! Jobs and entries, as they are given, kept and shown.

use crate::fault::{Fault, shown};
use crate::limits::{BLOB_BYTES, NAME_CHARS, TOKEN_CHARS};
use crate::value::{Kind, Value};
use crate::{hash, text};

/// The heading of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job {
    /// Its id: 32 hexadecimal digits, drawn at random by whoever starts it.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// The rig file's name.
    pub rig: String,
    /// When it was started, in milliseconds since 1970 UTC.
    pub at_ms: i64,
    /// Who started it.
    pub by: String,
}

impl Job {
    pub(crate) fn check(&self) -> Result<(), Fault> {
        text::hex("the job's id", &self.id, 32, "32 digits, 0 to 9 and a to f")?;
        text::line("the job's name", &self.name, NAME_CHARS)?;
        text::line("the rig file's name", &self.rig, NAME_CHARS)?;
        text::moment("the job's time", self.at_ms)?;
        text::line("by whom", &self.by, NAME_CHARS)
    }
}

/// An entry to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// When it happened, in milliseconds since 1970 UTC, by the writer's clock.
    pub at_ms: i64,
    /// Who did or measured it.
    pub by: String,
    /// The device it was written on.
    pub device: String,
    /// A text that the writer uses for this entry alone. Sent again with the same token, an entry is written once.
    pub token: String,
    /// A rig key (`cup.FL.aft`), a step, a cup; empty where the whole job is meant.
    pub about: String,
    /// What it says.
    pub value: Value,
    /// The entry that this one replaces.
    pub corrects: Option<u32>,
    /// The bytes of a photo, unless the store has them already.
    pub bytes: Option<Vec<u8>>,
}

impl Draft {
    /// The draft checked, as a row without its place in the chain.
    pub(crate) fn row(&self, job: &str) -> Result<Row, Fault> {
        if let Some(bytes) = &self.bytes {
            check_bytes(bytes.len())?;
            let found = hash::of_bytes(bytes);
            match &self.value {
                Value::Photo(p) if p.sha256 == found => {}
                _ => return Err(Fault::OtherBytes { found }),
            }
        }
        let row = Row {
            job: job.into(),
            number: 0,
            at_ms: self.at_ms,
            by: self.by.clone(),
            device: self.device.clone(),
            token: self.token.clone(),
            kind: self.value.kind().name().into(),
            about: self.about.clone(),
            value: self.value.text()?,
            corrects: self.corrects,
            before: String::new(),
            hash: String::new(),
        };
        row.check_texts()?;
        self.value.check_about(&self.about)?;
        Ok(row)
    }
}

pub(crate) fn check_bytes(len: usize) -> Result<(), Fault> {
    if len == 0 {
        return Err(Fault::Empty { what: "the photo".into() });
    }
    if len > BLOB_BYTES {
        let (found, limit) = (len as u64, BLOB_BYTES as u64);
        return Err(Fault::TooLong { what: "the photo".into(), found, limit, unit: "bytes" });
    }
    Ok(())
}

/// An entry as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its number in the job: 1, 2, 3 ...
    pub number: u32,
    /// When it happened, in milliseconds since 1970 UTC, by the writer's clock.
    pub at_ms: i64,
    /// Who did or measured it.
    pub by: String,
    /// The device it was written on.
    pub device: String,
    /// The writer's token.
    pub token: String,
    /// What it is about.
    pub about: String,
    /// What it says.
    pub value: Value,
    /// The entry that this one replaces.
    pub corrects: Option<u32>,
    /// Hash of the entry before, of the job's heading for the first.
    pub before: String,
    /// Hash of this entry.
    pub hash: String,
}

/// An entry, and whether it still stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Current {
    /// The entry.
    pub entry: Entry,
    /// The entry that replaces it; none while it stands.
    pub corrected_by: Option<u32>,
}

/// The last entry of a job: what is printed on paper to show later that nothing was cut off or rewritten.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Its number; 0 while there is only the heading.
    pub number: u32,
    /// Its hash.
    pub hash: String,
}

/// The answer to a write.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The number that the entry has.
    pub number: u32,
    /// Its hash.
    pub hash: String,
    /// Whether it was there already under the same token.
    pub again: bool,
}

/// A row of the table, its value not yet read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Row {
    pub(crate) job: String,
    pub(crate) number: u32,
    pub(crate) at_ms: i64,
    pub(crate) by: String,
    pub(crate) device: String,
    pub(crate) token: String,
    pub(crate) kind: String,
    pub(crate) about: String,
    pub(crate) value: String,
    pub(crate) corrects: Option<u32>,
    pub(crate) before: String,
    pub(crate) hash: String,
}

impl Row {
    fn check_texts(&self) -> Result<(), Fault> {
        text::moment("the entry's time", self.at_ms)?;
        text::line("by whom", &self.by, NAME_CHARS)?;
        text::line("device", &self.device, NAME_CHARS)?;
        text::line("token", &self.token, TOKEN_CHARS)
    }

    /// The value, with all texts of the row checked.
    pub(crate) fn checked_value(&self) -> Result<Value, Fault> {
        let kind = Kind::named(&self.kind).ok_or_else(|| Fault::Form {
            what: "kind".into(),
            found: shown(&self.kind),
            needs: "a kind that this program knows",
        })?;
        self.check_texts()?;
        let value = Value::of_text(kind, &self.value)?;
        value.check_about(&self.about)?;
        Ok(value)
    }

    /// Whether a writer who sent this sends the same again.
    pub(crate) fn says_the_same(&self, other: &Self) -> bool {
        let placed = Self {
            number: self.number,
            before: self.before.clone(),
            hash: self.hash.clone(),
            ..other.clone()
        };
        *self == placed
    }

    /// Kind and subject in words.
    pub(crate) fn subject(&self) -> String {
        subject(&self.kind, &self.about)
    }

    pub(crate) fn entry(self) -> Result<Entry, Fault> {
        let value = self.checked_value().map_err(|e| Fault::BadRow {
            job: self.job.clone(),
            number: self.number,
            why: one_line(&e),
        })?;
        Ok(Entry {
            number: self.number,
            at_ms: self.at_ms,
            by: self.by,
            device: self.device,
            token: self.token,
            about: self.about,
            value,
            corrects: self.corrects,
            before: self.before,
            hash: self.hash,
        })
    }
}

pub(crate) fn subject(kind: &str, about: &str) -> String {
    if about.is_empty() { format!("a {kind}") } else { format!("a {kind} about {}", shown(about)) }
}

/// A fault's first two parts in one line.
pub(crate) fn one_line(fault: &Fault) -> String {
    let [what, why, _] = fault.parts();
    format!("{what}: {why}")
}
