//! Whether a job is still what was written.

use crate::ask::Ask;
use crate::database::For;
use crate::entry::{Head, one_line};
use crate::fault::{Fault, shown};
use crate::hash;
use crate::store::Store;
use crate::value::{Kind, Value};
use core::fmt;
use std::collections::{BTreeMap, BTreeSet};

/// Something that does not fit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// The heading is not the one that was written.
    Heading,
    /// Entries are missing.
    Gap {
        /// The first that is missing.
        from: u32,
        /// The last.
        to: u32,
    },
    /// The content of an entry is not the one that was written.
    Content {
        /// Its number.
        number: u32,
    },
    /// An entry was not written after the one that stands before it.
    Order {
        /// Its number.
        number: u32,
    },
    /// An entry fits the chain, but says what no entry may say.
    Meaning {
        /// Its number.
        number: u32,
        /// What is wrong with it.
        why: String,
    },
    /// A photo's bytes are not there.
    PhotoMissing {
        /// The entry's number.
        number: u32,
        /// Hash of the bytes.
        sha256: String,
    },
    /// A photo's bytes are others.
    PhotoChanged {
        /// The entry's number.
        number: u32,
        /// Hash of the bytes that were written.
        sha256: String,
    },
    /// The record ends before the entry that was noted on paper.
    CutOff {
        /// Number of the last entry.
        last: u32,
        /// Number on paper.
        noted: u32,
    },
    /// The entry that was noted on paper has another hash.
    Rewritten {
        /// Its number.
        number: u32,
    },
    /// The database itself is damaged.
    Database {
        /// Its words.
        why: String,
    },
}

impl Misfit {
    /// The entry that does not fit, 0 for the heading; none where it is the whole file.
    pub fn number(&self) -> Option<u32> {
        match self {
            Self::Heading => Some(0),
            Self::Gap { from: number, .. }
            | Self::Content { number }
            | Self::Order { number }
            | Self::Meaning { number, .. }
            | Self::PhotoMissing { number, .. }
            | Self::PhotoChanged { number, .. }
            | Self::CutOff { noted: number, .. }
            | Self::Rewritten { number } => Some(*number),
            Self::Database { .. } => None,
        }
    }
}

impl fmt::Display for Misfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Heading => write!(f, "the job's heading was changed after it was written"),
            Self::Gap { from, to } if from == to => write!(f, "entry {from} is missing"),
            Self::Gap { from, to } => write!(f, "entries {from} to {to} are missing"),
            Self::Content { number } => write!(f, "entry {number} was changed after it was written"),
            Self::Order { number } => {
                write!(f, "entry {number} was not written after the entry that stands before it")
            }
            Self::Meaning { number, why } => write!(f, "entry {number} is none of this program: {why}"),
            Self::PhotoMissing { number, sha256 } => {
                write!(f, "the photo of entry {number} is missing (SHA-256 {})", shown(sha256))
            }
            Self::PhotoChanged { number, sha256 } => {
                write!(f, "the photo of entry {number} was changed (SHA-256 was {})", shown(sha256))
            }
            Self::CutOff { last, noted } => {
                write!(f, "the record ends at entry {last}, but entry {noted} was noted on paper")
            }
            Self::Rewritten { number } => {
                write!(f, "entry {number} has another hash than was noted on paper: the record was rewritten")
            }
            Self::Database { why } => write!(f, "the database is damaged: {why}"),
        }
    }
}

/// What a check found.
#[must_use]
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verified {
    /// How many entries there are.
    pub entries: u32,
    /// The last one.
    pub head: Head,
    /// What does not fit, in the order of the entries.
    pub misfits: Vec<Misfit>,
}

impl Verified {
    /// Whether everything fits.
    pub fn holds(&self) -> bool {
        self.misfits.is_empty()
    }
}

/// The rules between entries of one job, fed one after the other.
#[derive(Default)]
pub(crate) struct Rules {
    subjects: BTreeMap<u32, (String, String)>,
    corrected: BTreeMap<u32, u32>,
    tokens: BTreeSet<String>,
    hashes: BTreeSet<String>,
    /// Whether entries are missing or changed, so that what refers to one that is not there may yet be right.
    torn: bool,
    /// Photos by hash, and the first entry that shows each.
    pub(crate) photos: BTreeMap<String, u32>,
}

impl Rules {
    pub(crate) fn after_heading(hash: &str) -> Self {
        Self { hashes: BTreeSet::from([hash.to_owned()]), ..Self::default() }
    }

    /// Whether an entry may stand after those before it.
    pub(crate) fn next(&mut self, row: &crate::entry::Row) -> Result<(), Fault> {
        let value = row.checked_value()?;
        if !self.tokens.insert(row.token.clone()) {
            return Err(Fault::TokenTaken { token: row.token.clone(), number: row.number });
        }
        let subject = (row.kind.clone(), row.about.clone());
        if let Some(number) = row.corrects {
            match self.subjects.get(&number) {
                Some(there) if *there == subject => {}
                None if self.torn && number < row.number => {}
                None => return Err(Fault::NothingToCorrect { number }),
                Some((kind, about)) => {
                    let found = crate::entry::subject(kind, about);
                    return Err(Fault::OtherSubject { number, found, wanted: row.subject() });
                }
            }
            if let Some(by) = self.corrected.insert(number, row.number) {
                return Err(Fault::AlreadyCorrected { number, by });
            }
        }
        match value {
            Value::Signature(s) if !self.torn && !self.hashes.contains(&s.on) => {
                return Err(Fault::SignedOnNothing { hash: s.on });
            }
            Value::Photo(p) => {
                self.photos.entry(p.sha256).or_insert(row.number);
            }
            _ => {}
        }
        self.subjects.insert(row.number, subject);
        self.hashes.insert(row.hash.clone());
        Ok(())
    }
}

impl Store {
    /// Works the chain out again and says what does not fit; with a head that was noted on paper, also whether the record was cut
    /// off or rewritten.
    ///
    /// # Errors
    ///
    /// A job that is not there, or a file of which nothing can be read. What is wrong with the job itself is in the answer.
    pub fn verify(&self, job: &str, noted: Option<&Head>) -> Result<Verified, Fault> {
        self.ask.within(For::Reading, |ask| verified(ask, job, noted))
    }
}

fn verified(ask: &Ask, id: &str, noted: Option<&Head>) -> Result<Verified, Fault> {
    let (job, hash) = ask.heading(id)?;
    let mut misfits = Vec::new();
    if hash::of_job(&job) != hash || job.check().is_err() {
        misfits.push(Misfit::Heading);
    }
    let mut rules = Rules::after_heading(&hash);
    let mut last = Head { number: 0, hash };
    let mut entries = 0;
    let mut rewritten = noted.is_some_and(|n| n.number == 0 && n.hash != last.hash).then_some(0);
    ask.each(id, 0, |row| {
        let number = row.number;
        entries += 1;
        if number > last.number + 1 {
            misfits.push(Misfit::Gap { from: last.number + 1, to: number - 1 });
            rules.torn = true;
        } else if row.before != last.hash {
            misfits.push(Misfit::Order { number });
        }
        if hash::of_entry(&row) != row.hash {
            misfits.push(Misfit::Content { number });
            rules.torn = true;
        } else if let Err(e) = rules.next(&row) {
            misfits.push(Misfit::Meaning { number, why: one_line(&e) });
        }
        if noted.is_some_and(|n| n.number == number && n.hash != row.hash) {
            rewritten = Some(number);
        }
        last = Head { number, hash: row.hash };
        Ok(())
    })?;
    for (sha256, number) in &rules.photos {
        let (number, sha256) = (*number, sha256.clone());
        match ask.blob(&sha256)? {
            None => misfits.push(Misfit::PhotoMissing { number, sha256 }),
            Some(bytes) if hash::of_bytes(&bytes) != sha256 => {
                misfits.push(Misfit::PhotoChanged { number, sha256 });
            }
            Some(_) => {}
        }
    }
    misfits.extend(rewritten.map(|number| Misfit::Rewritten { number }));
    match noted {
        Some(n) if n.number > last.number => {
            misfits.push(Misfit::CutOff { last: last.number, noted: n.number });
        }
        _ => {}
    }
    if let Some(why) = ask.db().unsound().map_err(|r| ask.fault(r))? {
        misfits.push(Misfit::Database { why });
    }
    misfits.sort_by_key(|m| m.number().unwrap_or(u32::MAX));
    Ok(Verified { entries, head: last, misfits })
}

/// The hash of a photo that a row shows.
pub(crate) fn photo_of(row: &crate::entry::Row) -> Option<String> {
    if Kind::named(&row.kind) != Some(Kind::Photo) {
        return None;
    }
    match Value::of_text(Kind::Photo, &row.value) {
        Ok(Value::Photo(p)) => Some(p.sha256),
        _ => None,
    }
}
