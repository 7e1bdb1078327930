//! The store: opening, jobs, writing, reading.

use crate::ask::Ask;
use crate::database::{Database, For};
use crate::entry::{Current, Draft, Entry, Head, Job, Row, Written, subject};
use crate::fault::Fault;
use crate::limits::ENTRIES;
use crate::sqlite::Sqlite;
use crate::value::Value;
use crate::{hash, text};
use std::collections::BTreeMap;
use std::path::Path;

/// A file of jobs. What is written into it stays as it is.
pub struct Store {
    pub(crate) ask: Ask,
}

impl Store {
    /// Opens a record to write. A file that is not there, or is empty, becomes a new one; an older layout is brought up to date.
    ///
    /// # Errors
    ///
    /// A folder, a file that may not be opened or written, another kind of file, a newer version, a damaged or locked file.
    pub fn open(path: &Path) -> Result<Self, Fault> {
        Self::on(Box::new(Sqlite::open(path)?), path)
    }

    /// Opens a record to read alone; also where nothing may be written at all.
    ///
    /// # Errors
    ///
    /// As [`Store::open`], and an older layout.
    pub fn open_read_only(path: &Path) -> Result<Self, Fault> {
        Ok(Self { ask: Ask::new(Box::new(Sqlite::open_read_only(path)?), path) })
    }

    /// A record that is gone at the end: for tests and trials.
    ///
    /// # Errors
    ///
    /// Only if there is no memory.
    pub fn in_memory() -> Result<Self, Fault> {
        let path = Path::new("the record in memory");
        Self::on(Box::new(Sqlite::in_memory().map_err(|r| crate::sqlite::fault_of(path, r))?), path)
    }

    pub(crate) fn on(db: Box<dyn Database>, path: &Path) -> Result<Self, Fault> {
        let ask = Ask::new(db, path);
        ask.bring_up()?;
        Ok(Self { ask })
    }

    /// All jobs, the oldest first.
    ///
    /// # Errors
    ///
    /// If the file cannot be read.
    pub fn jobs(&self) -> Result<Vec<Job>, Fault> {
        Ok(self.ask.jobs()?.into_iter().map(|(job, _)| job).collect())
    }

    /// Starts a job. Started again with the same heading, it is there once.
    ///
    /// # Errors
    ///
    /// A heading with a bad text, a job of that id with another heading, or a file that cannot be written.
    pub fn start(&mut self, job: &Job) -> Result<Head, Fault> {
        job.check()?;
        let hash = hash::of_job(job);
        self.ask.within(For::Writing, |ask| match ask.job(&job.id)? {
            Some((there, _)) if there == *job => ask.head(&job.id),
            Some(_) => Err(Fault::JobExists { job: job.id.clone() }),
            None => ask.add_job(job, &hash).map(|()| Head { number: 0, hash }),
        })
    }

    /// Writes an entry at the end of a job. When this returns `Ok`, the entry is on the disk.
    ///
    /// After an error that is not about the draft itself (a full or locked disk), send the same draft again: with the same token it
    /// is written once, even if the first time it had arrived.
    ///
    /// # Errors
    ///
    /// A draft that is not right, a job that is not there, a token that is taken, a correction of nothing, of another subject or
    /// made before, or a file that cannot be written. Nothing is kept then.
    pub fn write(&mut self, job: &str, draft: &Draft) -> Result<Written, Fault> {
        let row = draft.row(job)?;
        self.ask.within(For::Writing, |ask| {
            ask.heading(job)?;
            if let Some(there) = ask.by_token(job, &row.token)? {
                if there.says_the_same(&row) {
                    return Ok(Written { number: there.number, hash: there.hash, again: true });
                }
                return Err(Fault::TokenTaken { token: row.token.clone(), number: there.number });
            }
            may_correct(ask, &row)?;
            let head = ask.head(job)?;
            may_sign(ask, job, &draft.value)?;
            keep_photo(ask, draft)?;
            if head.number >= ENTRIES {
                let (found, limit) = (u64::from(head.number) + 1, u64::from(ENTRIES));
                return Err(Fault::TooLong { what: "the job".into(), found, limit, unit: "entries" });
            }
            let mut row = Row { number: head.number + 1, before: head.hash, ..row };
            row.hash = hash::of_entry(&row);
            ask.add_entry(&row)?;
            Ok(Written { number: row.number, hash: row.hash, again: false })
        })
    }

    /// The entries of a job after a number; 0 for all.
    ///
    /// # Errors
    ///
    /// A job that is not there, an entry that cannot be read.
    pub fn entries(&self, job: &str, after: u32) -> Result<Vec<Entry>, Fault> {
        self.ask.within(For::Reading, |ask| {
            ask.heading(job)?;
            let mut entries = Vec::new();
            ask.each(job, after, |row| {
                entries.push(row.entry()?);
                Ok(())
            })?;
            Ok(entries)
        })
    }

    /// All entries of a job, each with the one that replaces it, if any.
    ///
    /// # Errors
    ///
    /// As [`Store::entries`].
    pub fn current(&self, job: &str) -> Result<Vec<Current>, Fault> {
        let entries = self.entries(job, 0)?;
        let by: BTreeMap<u32, u32> =
            entries.iter().filter_map(|e| e.corrects.map(|number| (number, e.number))).collect();
        let mark = |entry: Entry| Current { corrected_by: by.get(&entry.number).copied(), entry };
        Ok(entries.into_iter().map(mark).collect())
    }

    /// Number and hash of the last entry.
    ///
    /// # Errors
    ///
    /// A job that is not there, a file that cannot be read.
    pub fn head(&self, job: &str) -> Result<Head, Fault> {
        self.ask.within(For::Reading, |ask| ask.head(job))
    }

    /// The bytes of a photo, checked against their hash.
    ///
    /// # Errors
    ///
    /// Bytes that are not there, or are no longer those.
    pub fn blob(&self, sha256: &str) -> Result<Vec<u8>, Fault> {
        text::sha256("the photo's hash", sha256)?;
        let bytes = self.ask.blob(sha256)?.ok_or_else(|| Fault::NoBlob { sha256: sha256.into() })?;
        if hash::of_bytes(&bytes) == sha256 {
            return Ok(bytes);
        }
        let why = format!("the bytes of the photo {sha256} have changed");
        Err(Fault::Corrupt { path: self.ask.path().into(), why })
    }
}

/// A correction replaces an entry of the same kind and subject, which nothing replaces yet.
fn may_correct(ask: &Ask, row: &Row) -> Result<(), Fault> {
    let Some(number) = row.corrects else { return Ok(()) };
    let there = ask.entry(&row.job, number)?.ok_or(Fault::NothingToCorrect { number })?;
    if (&there.kind, &there.about) != (&row.kind, &row.about) {
        let (found, wanted) = (subject(&there.kind, &there.about), subject(&row.kind, &row.about));
        return Err(Fault::OtherSubject { number, found, wanted });
    }
    match ask.corrected_by(&row.job, number)? {
        Some(by) => Err(Fault::AlreadyCorrected { number, by }),
        None => Ok(()),
    }
}

/// A signature stands on an entry of the job, or on its heading.
fn may_sign(ask: &Ask, job: &str, value: &Value) -> Result<(), Fault> {
    let Value::Signature(signature) = value else { return Ok(()) };
    let on = &signature.on;
    if ask.heading(job)?.1 == *on || ask.with_hash(job, on)?.is_some() {
        return Ok(());
    }
    Err(Fault::SignedOnNothing { hash: on.clone() })
}

fn keep_photo(ask: &Ask, draft: &Draft) -> Result<(), Fault> {
    let Value::Photo(photo) = &draft.value else { return Ok(()) };
    match &draft.bytes {
        Some(bytes) => ask.keep_blob(&photo.sha256, bytes),
        None if ask.has_blob(&photo.sha256)? => Ok(()),
        None => Err(Fault::NoBlob { sha256: photo.sha256.clone() }),
    }
}
