//! What `job list --json` and `job show --json` print.

use crate::print::entries::words;
use record::{Current, Head, Job};
use serde::Serialize;

/// A job.
#[derive(Debug, Serialize)]
pub(crate) struct Listed<'a> {
    id: &'a str,
    name: &'a str,
    rig: &'a str,
    at_ms: i64,
    by: &'a str,
    entries: u32,
    last_hash: &'a str,
}

impl<'a> Listed<'a> {
    fn of(job: &'a Job, head: &'a Head) -> Self {
        Self {
            id: &job.id,
            name: &job.name,
            rig: &job.rig,
            at_ms: job.at_ms,
            by: &job.by,
            entries: head.number,
            last_hash: &head.hash,
        }
    }
}

/// All jobs of a record.
pub(crate) fn jobs<'a>(jobs: &'a [Job], heads: &'a [Head]) -> Vec<Listed<'a>> {
    jobs.iter().zip(heads).map(|(j, h)| Listed::of(j, h)).collect()
}

/// The entries of a job.
#[derive(Debug, Serialize)]
pub(crate) struct Entries<'a> {
    job: Listed<'a>,
    entries: Vec<Entry<'a>>,
}

#[derive(Debug, Serialize)]
struct Entry<'a> {
    number: u32,
    at_ms: i64,
    by: &'a str,
    device: &'a str,
    kind: &'static str,
    about: &'a str,
    words: String,
    corrects: Option<u32>,
    corrected_by: Option<u32>,
    hash: &'a str,
}

impl<'a> Entries<'a> {
    pub(crate) fn of(job: &'a Job, entries: &'a [Current], head: &'a Head) -> Self {
        let entry = |c: &'a Current| Entry {
            number: c.entry.number,
            at_ms: c.entry.at_ms,
            by: &c.entry.by,
            device: &c.entry.device,
            kind: c.entry.value.kind().name(),
            about: &c.entry.about,
            words: words(&c.entry.about, &c.entry.value),
            corrects: c.entry.corrects,
            corrected_by: c.corrected_by,
            hash: &c.entry.hash,
        };
        Self { job: Listed::of(job, head), entries: entries.iter().map(entry).collect() }
    }
}
