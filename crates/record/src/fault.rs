//! What can go wrong, why, and how to mend it.

use core::fmt;
use std::path::PathBuf;

/// Why a store, an entry or a job file is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The system does not let the file be opened.
    CannotOpen {
        /// The file.
        path: PathBuf,
        /// The system's words.
        why: String,
    },
    /// The path is a folder.
    IsFolder {
        /// The folder.
        path: PathBuf,
    },
    /// The file, its folder or its disk cannot be written, or it was opened to be read only.
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// There is no room on the disk.
    DiskFull {
        /// The file.
        path: PathBuf,
    },
    /// Another program held the file for longer than the wait.
    Locked {
        /// The file.
        path: PathBuf,
        /// How long it was waited for, in milliseconds.
        waited_ms: u32,
    },
    /// The file is something else altogether.
    NotADatabase {
        /// The file.
        path: PathBuf,
    },
    /// The file is a database of another program.
    Foreign {
        /// The file.
        path: PathBuf,
        /// The mark that the other program left in the file.
        mark: i64,
    },
    /// A newer version of this program wrote the file.
    Newer {
        /// The file.
        path: PathBuf,
        /// Its layout.
        layout: i64,
        /// The newest layout known here.
        known: i64,
    },
    /// An older version wrote the file, and it may not be brought up to date because it is opened to be read only.
    Older {
        /// The file.
        path: PathBuf,
        /// Its layout.
        layout: i64,
    },
    /// The database is damaged.
    Corrupt {
        /// The file.
        path: PathBuf,
        /// What was found.
        why: String,
    },
    /// A file of that name is there already.
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// The database refused for another reason.
    Database {
        /// The file.
        path: PathBuf,
        /// Its words.
        why: String,
    },
    /// A text, list or file is over its limit.
    TooLong {
        /// What is too long.
        what: String,
        /// How long it is.
        found: u64,
        /// How long it may be.
        limit: u64,
        /// Of what: characters, bytes, entries.
        unit: &'static str,
    },
    /// A text has nothing in it.
    Empty {
        /// Which text.
        what: String,
    },
    /// A text has a control character in it.
    Control {
        /// Which text.
        what: String,
        /// Number of the character in the text, from 1.
        at: usize,
        /// Its code point.
        code: u32,
    },
    /// A text or number has the wrong form.
    Form {
        /// Which one.
        what: String,
        /// What was found, shortened.
        found: String,
        /// What it must be.
        needs: &'static str,
    },
    /// There is no such job.
    NoJob {
        /// Its id.
        job: String,
    },
    /// A job of that id is there with another heading.
    JobExists {
        /// Its id.
        job: String,
    },
    /// The token is there with other content.
    TokenTaken {
        /// The token.
        token: String,
        /// The entry that has it.
        number: u32,
    },
    /// The entry to be corrected is not there.
    NothingToCorrect {
        /// Its number.
        number: u32,
    },
    /// The entry to be corrected has been corrected before.
    AlreadyCorrected {
        /// Its number.
        number: u32,
        /// The entry that corrects it.
        by: u32,
    },
    /// The entry to be corrected is of another kind or about something else.
    OtherSubject {
        /// Its number.
        number: u32,
        /// Its kind and subject.
        found: String,
        /// Kind and subject of the correction.
        wanted: String,
    },
    /// A signature stands on an entry that is not there.
    SignedOnNothing {
        /// The hash that was signed on.
        hash: String,
    },
    /// A photo's bytes are not in the store.
    NoBlob {
        /// Their SHA-256.
        sha256: String,
    },
    /// A photo's bytes are not those that its hash names, or bytes came with an entry that has none.
    OtherBytes {
        /// SHA-256 of the bytes, or nothing where none were expected.
        found: String,
    },
    /// A row of the store cannot be read as an entry.
    BadRow {
        /// The job.
        job: String,
        /// The entry's number, 0 for the job's heading.
        number: u32,
        /// What is wrong with it.
        why: String,
    },
    /// A job file is refused at a line.
    Line {
        /// The line, from 1.
        line: u64,
        /// What is wrong with it.
        why: String,
        /// What to do.
        mend: String,
    },
    /// The job file and the store went on differently.
    Diverged {
        /// The job.
        job: String,
        /// The last entry that both have, 0 if only the heading.
        common: u32,
        /// Number of the last entry in the store.
        here: u32,
        /// Number of the last entry in the file.
        there: u32,
    },
    /// A job file cannot be written.
    CannotWrite {
        /// The system's words.
        why: String,
    },
}

/// A piece of text as it may be shown: short, and without control characters.
pub(crate) fn shown(text: &str) -> String {
    const MOST: usize = 60;
    let clean: String = text.chars().take(MOST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().count() > MOST { format!("{clean}...") } else { clean }
}

const RESTORE: &str =
    "copy the file and those beside it that end in -wal and -shm, then restore a backup or salvage the copy";

impl Fault {
    /// What is wrong, why, and how to mend it.
    pub fn parts(&self) -> [String; 3] {
        let (what, why, mend): (String, String, String) = match self {
            Self::CannotOpen { path, why } => (
                format!("{} cannot be opened", path.display()),
                why.clone(),
                "check the name, that its folder exists and that you may write there".into(),
            ),
            Self::IsFolder { path } => (
                format!("{} is a folder", path.display()),
                "a record is one file".into(),
                "name a file inside the folder".into(),
            ),
            Self::ReadOnly { path } => (
                format!("{} cannot be written", path.display()),
                "the file, its folder or its disk is read-only, or was opened to be read only".into(),
                "allow writing to the file and its folder, or copy the record to where you may write".into(),
            ),
            Self::DiskFull { path } => (
                format!("no room for {}", path.display()),
                "the disk is full; nothing of this entry was kept, all entries before it are safe".into(),
                "make room, then send the entry again".into(),
            ),
            Self::Locked { path, waited_ms } => (
                format!("{} is held by another program", path.display()),
                format!("it was still locked after {} s", f64::from(*waited_ms) / 1000.0),
                "close the other program, or wait for its copy or backup to end, and try again".into(),
            ),
            Self::NotADatabase { path } => (
                format!("{} is not a record", path.display()),
                "it does not begin as a database does: it is another kind of file, or its first bytes are damaged".into(),
                "check the name; if it was a record, restore a backup or salvage it".into(),
            ),
            Self::Foreign { path, mark } => (
                format!("{} is a database, but not a record of this program", path.display()),
                format!("its mark is {mark}, and its tables are others"),
                "check the name; the file was left as it is".into(),
            ),
            Self::Newer { path, layout, known } => (
                format!("{} is of a newer version of this program", path.display()),
                format!("its layout is {layout}, and this program knows layouts up to {known}"),
                "update this program; the file was left as it is".into(),
            ),
            Self::Older { path, layout } => (
                format!("{} is of an older version of this program", path.display()),
                format!("its layout is {layout} and must be brought up to date, which reading alone may not do"),
                "copy it to where you may write and open it there once".into(),
            ),
            Self::Corrupt { path, why } => {
                (format!("{} is damaged", path.display()), why.clone(), RESTORE.into())
            }
            Self::Exists { path } => (
                format!("{} is there already", path.display()),
                "nothing is written over".into(),
                "choose another name, or move the file away".into(),
            ),
            Self::Database { path, why } => (
                format!("{} refuses", path.display()),
                why.clone(),
                "try again; if it stays, verify the record".into(),
            ),
            Self::TooLong { what, found, limit, unit } => (
                format!("{what} is too long"),
                format!("it has {found} {unit}, the limit is {limit}"),
                "shorten it, or split it into more entries".into(),
            ),
            Self::Empty { what } => {
                (format!("{what} is empty"), "there is nothing to keep".into(), "fill it in".into())
            }
            Self::Control { what, at, code } => (
                format!("{what} has a control character"),
                format!("character {at} is U+{code:04X}, which cannot be shown"),
                "remove it".into(),
            ),
            Self::Form { what, found, needs } => {
                (format!("{what} has the wrong form"), format!("it is \"{found}\""), format!("it must be {needs}"))
            }
            Self::NoJob { job } => (
                format!("no job {}", shown(job)),
                "the record does not have it".into(),
                "start the job first, or import its file".into(),
            ),
            Self::JobExists { job } => (
                format!("job {job} is there already"),
                "its name, rig, time or author differ from those given".into(),
                "go on with the job that is there, or start one under a new id".into(),
            ),
            Self::TokenTaken { token, number } => (
                format!("token {} is taken", shown(token)),
                format!("entry {number} has it, with other content"),
                "if this is a new entry, give it a new token".into(),
            ),
            Self::NothingToCorrect { number } => (
                format!("there is no entry {number} to correct"),
                "the job does not have it".into(),
                "look up the number, or write a new entry".into(),
            ),
            Self::AlreadyCorrected { number, by } => (
                format!("entry {number} is corrected already"),
                format!("entry {by} replaces it"),
                format!("correct entry {by} instead"),
            ),
            Self::OtherSubject { number, found, wanted } => (
                format!("entry {number} is of another kind or about something else"),
                format!("it is {found}, the correction {wanted}"),
                "correct the entry that is meant, or write a new entry".into(),
            ),
            Self::SignedOnNothing { hash } => (
                "the signature stands on an entry that is not there".into(),
                format!("no entry of this job has the hash {}", shown(hash)),
                "load the job again and sign what it shows".into(),
            ),
            Self::NoBlob { sha256 } => (
                format!("the photo {} is not there", shown(sha256)),
                "its bytes did not come with the entry and are not in the record".into(),
                "send the photo with its entry, or verify the record".into(),
            ),
            Self::OtherBytes { found } => (
                "the bytes do not belong to this entry".into(),
                format!("their SHA-256 is {found}"),
                "send the photo again; send bytes with a photo alone".into(),
            ),
            Self::BadRow { job, number, why } => (
                format!("entry {number} of job {} cannot be read", shown(job)),
                why.clone(),
                RESTORE.into(),
            ),
            Self::Line { line, why, mend } => {
                (format!("the job file is refused at line {line}"), why.clone(), mend.clone())
            }
            Self::Diverged { job, common, here, there } => (
                format!("job {} went on in two places", shown(job)),
                format!(
                    "up to entry {common} both are the same, then they differ: the record goes on to entry {here}, the file to \
                     entry {there}; nothing was written"
                ),
                "keep one of the two, and write what the other has after that entry into it as new entries; keep the other file \
                 as evidence"
                    .into(),
            ),
            Self::CannotWrite { why } => (
                "the job file cannot be written".into(),
                why.clone(),
                "check that there is room and that you may write there".into(),
            ),
        };
        [what, why, mend]
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [what, why, mend] = self.parts();
        write!(f, "{what}\n  why:  {why}\n  mend: {mend}")
    }
}

impl core::error::Error for Fault {}
