//! The lines of a job file.

use crate::entry::{Head, Job, Row};
use crate::fault::Fault;
use crate::limits::{JOB_FILE_BYTES, LINE_BYTES};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use std::io::{BufRead, BufReader, Read};

/// What the first line says.
pub(crate) const FORMAT: &str = "clingfish-record";
/// The version of the format that is written, and the newest that is read.
pub(crate) const VERSION: u32 = 1;

/// The first line.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct First {
    pub(crate) format: String,
    pub(crate) version: u32,
}

/// Every line after the first.
#[derive(Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Line {
    Job(JobLine),
    Entry(EntryLine),
    Blob(BlobLine),
    Head(HeadLine),
}

/// The job's heading.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct JobLine {
    id: String,
    name: String,
    rig: String,
    at: i64,
    by: String,
    hash: String,
}

/// An entry.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct EntryLine {
    number: u32,
    at: i64,
    by: String,
    device: String,
    token: String,
    kind: String,
    about: String,
    value: Box<RawValue>,
    corrects: Option<u32>,
    before: String,
    hash: String,
}

/// A photo's bytes.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct BlobLine {
    pub(crate) sha256: String,
    pub(crate) base64: String,
}

/// The last line.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct HeadLine {
    number: u32,
    hash: String,
}

impl JobLine {
    pub(crate) fn of(job: Job, hash: String) -> Self {
        Self { id: job.id, name: job.name, rig: job.rig, at: job.at_ms, by: job.by, hash }
    }

    pub(crate) fn job(self) -> (Job, String) {
        (Job { id: self.id, name: self.name, rig: self.rig, at_ms: self.at, by: self.by }, self.hash)
    }
}

impl EntryLine {
    pub(crate) fn of(row: Row) -> serde_json::Result<Self> {
        Ok(Self {
            number: row.number,
            at: row.at_ms,
            by: row.by,
            device: row.device,
            token: row.token,
            kind: row.kind,
            about: row.about,
            value: RawValue::from_string(row.value)?,
            corrects: row.corrects,
            before: row.before,
            hash: row.hash,
        })
    }

    pub(crate) fn row(self, job: &str) -> Row {
        Row {
            job: job.into(),
            number: self.number,
            at_ms: self.at,
            by: self.by,
            device: self.device,
            token: self.token,
            kind: self.kind,
            about: self.about,
            value: self.value.get().into(),
            corrects: self.corrects,
            before: self.before,
            hash: self.hash,
        }
    }
}

impl HeadLine {
    pub(crate) fn of(head: &Head) -> Self {
        Self { number: head.number, hash: head.hash.clone() }
    }

    pub(crate) fn head(self) -> Head {
        Head { number: self.number, hash: self.hash }
    }
}

/// What to do about a file that is not what was written.
pub(crate) const AGAIN: &str =
    "the file was cut or changed after it was written: get it again from where it came from";

/// Lines one by one, none longer than the limit.
pub(crate) struct Lines<R> {
    source: BufReader<R>,
    read: u64,
    /// Number of the last line read, from 1.
    pub(crate) number: u64,
}

impl<R: Read> Lines<R> {
    pub(crate) fn of(source: R) -> Self {
        Self { source: BufReader::new(source), read: 0, number: 0 }
    }

    /// A fault at the last line read.
    pub(crate) fn fault(&self, why: impl Into<String>, mend: &str) -> Fault {
        Fault::Line { line: self.number, why: why.into(), mend: mend.into() }
    }

    /// The next line without its end; none at the end of the file.
    pub(crate) fn next(&mut self) -> Result<Option<String>, Fault> {
        self.number += 1;
        let mut bytes = Vec::new();
        let most = LINE_BYTES as u64 + 1;
        let read = (&mut self.source).take(most).read_until(b'\n', &mut bytes);
        self.read += match read {
            Ok(0) => return Ok(None),
            Ok(n) => n as u64,
            Err(e) => {
                return Err(self.fault(format!("it cannot be read: {e}"), "check the disk, and try again"));
            }
        };
        if self.read > JOB_FILE_BYTES {
            return Err(self.fault(
                format!("the file is longer than the limit of {JOB_FILE_BYTES} bytes"),
                "a job file of this program is never so long: check the name",
            ));
        }
        if bytes.pop() != Some(b'\n') {
            let why = if bytes.len() >= LINE_BYTES {
                format!("the line is longer than the limit of {LINE_BYTES} bytes")
            } else {
                "the line has no end: the file is cut off".into()
            };
            return Err(self.fault(why, AGAIN));
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Some(text)),
            Err(e) => {
                Err(self.fault(format!("byte {} is not UTF-8", e.utf8_error().valid_up_to() + 1), AGAIN))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_counted_and_bounded() {
        let mut lines = Lines::of(&b"a\nb\r\n\nc"[..]);
        assert_eq!(lines.next().unwrap().as_deref(), Some("a"));
        assert_eq!(lines.next().unwrap().as_deref(), Some("b\r"));
        assert_eq!(lines.next().unwrap().as_deref(), Some(""));
        assert!(matches!(lines.next(), Err(Fault::Line { line: 4, .. })));
        let mut lines = Lines::of(&b"a\n\xff\n"[..]);
        lines.next().unwrap();
        let fault = lines.next().unwrap_err();
        assert!(fault.to_string().contains("line 2") && fault.to_string().contains("byte 1"), "{fault}");
    }

    /// A line that never ends must not fill the memory.
    #[test]
    fn an_endless_line_is_refused() {
        let mut lines = Lines::of(std::io::repeat(b'a'));
        let fault = lines.next().unwrap_err();
        assert!(fault.to_string().contains("limit of 28000000 bytes"), "{fault}");
    }
}
