//! What can still be read of a damaged record, into a new one.

use crate::ask::Ask;
use crate::backup::reserve;
use crate::database::For;
use crate::entry::{Job, Row, check_bytes};
use crate::fault::{Fault, shown};
use crate::hash;
use crate::pages::{Pages, Part};
use crate::sqlite::{Sqlite, beside, not_a_folder};
use crate::store::Store;
use std::collections::BTreeSet;
use std::path::Path;

/// What a salvage found.
#[must_use]
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Salvaged {
    /// Jobs in the new record.
    pub jobs: usize,
    /// Entries in it.
    pub entries: usize,
    /// Photos in it.
    pub photos: usize,
    /// What is lost, a sentence each. What stood after the last entry of a job cannot be known from the file.
    pub lost: Vec<String>,
}

impl Store {
    /// Reads what can be read of a damaged record into a new file. The damaged one is not touched, and may be any file at all: a row
    /// is taken over only if it fits its hash.
    ///
    /// # Errors
    ///
    /// A file that cannot be opened, one in which there is nothing of a record, a new file that is there already or cannot be written.
    pub fn salvage(damaged: &Path, into: &Path) -> Result<Salvaged, Fault> {
        not_a_folder(damaged)?;
        let cannot = |e: std::io::Error| Fault::CannotOpen { path: damaged.into(), why: e.to_string() };
        let mut pages = Pages::open(damaged).map_err(cannot)?;
        reserve(into)?;
        let done = salvaged(&mut pages, into).and_then(|found| {
            let nothing = found.entries == 0 && found.jobs == 0 && found.photos == 0;
            if nothing { Err(Fault::NotADatabase { path: damaged.into() }) } else { Ok(found) }
        });
        if done.is_err() {
            for end in ["", "-wal", "-shm"] {
                // They were not there before.
                let _ = std::fs::remove_file(beside(into, end));
            }
        }
        done
    }
}

fn salvaged(pages: &mut Pages, into: &Path) -> Result<Salvaged, Fault> {
    let store = Store::on(Box::new(Sqlite::open_loose(into)?), into)?;
    let mut found = store.ask.within(For::Writing, |ask| {
        // Rows come in any order and with gaps: the rules hold again when all are in.
        ask.rules(false)?;
        let found = fill(ask, pages)?;
        ask.rules(true)?;
        Ok(found)
    })?;
    for job in store.jobs()? {
        for misfit in store.verify(&job.id, None)?.misfits {
            found.lost.push(format!("job {}: {misfit}", shown(&job.name)));
        }
    }
    Ok(found)
}

fn fill(ask: &Ask, pages: &mut Pages) -> Result<Salvaged, Fault> {
    let mut found = Salvaged { jobs: 0, entries: 0, photos: 0, lost: Vec::new() };
    let (mut jobs, mut orphans, mut spoilt) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    let unread = pages.rows(|parts| {
        match classed(parts) {
            Class::Job(job, hash) => {
                if jobs.insert(job.id.clone()) {
                    ask.add_job(&job, &hash)?;
                }
            }
            Class::Entry(row) => {
                if ask.entry(&row.job, row.number)?.is_none() {
                    orphans.insert(row.job.clone());
                    match ask.add_entry(&row) {
                        Ok(()) => found.entries += 1,
                        // It quarrels with another row: not both can be right.
                        Err(Fault::Database { why, .. }) => {
                            found.lost.push(format!("entry {}: {why}", row.number));
                        }
                        Err(e) => return Err(e),
                    }
                }
            }
            Class::Blob(sha256, bytes) => {
                if !ask.has_blob(&sha256)? {
                    ask.keep_blob(&sha256, &bytes)?;
                    found.photos += 1;
                }
            }
            Class::Spoilt(what) => {
                spoilt.insert(what);
            }
            Class::Other => {}
        }
        Ok(())
    })?;
    for id in orphans.difference(&jobs) {
        let lost = "(heading lost)";
        let job = Job { id: id.clone(), name: lost.into(), rig: lost.into(), at_ms: 0, by: lost.into() };
        // What the first entry follows: the chain then begins there, and the heading alone does not fit.
        let hash = ask.entry(id, 1)?.map(|row| row.before).unwrap_or_default();
        ask.add_job(&job, &hash)?;
        found.jobs += 1;
    }
    found.jobs += jobs.len();
    for (job, number) in spoilt {
        if ask.entry(&job, number)?.is_none() {
            found
                .lost
                .push(format!("entry {number} of job {} is there, but does not fit its hash", shown(&job)));
        }
    }
    if unread > 0 {
        found.lost.push(format!("{unread} pages of the file could not be read from the disk"));
    }
    Ok(found)
}

enum Class {
    Job(Job, String),
    Entry(Row),
    Blob(String, Vec<u8>),
    /// It looks like this entry, but its content is not what was written.
    Spoilt((String, u32)),
    Other,
}

/// What a row is, if it proves itself by its hash.
fn classed(parts: Vec<Part>) -> Class {
    use Part::{Bytes, Nothing, Number, Text};
    match <[Part; 12]>::try_from(parts) {
        Ok(
            [
                Text(job),
                Number(number),
                Number(at_ms),
                Text(by),
                Text(device),
                Text(token),
                Text(kind),
                Text(about),
                Text(value),
                corrects @ (Nothing | Number(_)),
                Text(before),
                Text(hash),
            ],
        ) => {
            let Ok(number) = u32::try_from(number) else { return Class::Other };
            let corrects = if let Number(n) = corrects { Some(u32::try_from(n).unwrap_or(0)) } else { None };
            let row =
                Row { job, number, at_ms, by, device, token, kind, about, value, corrects, before, hash };
            if hash::of_entry(&row) == row.hash {
                Class::Entry(row)
            } else {
                Class::Spoilt((row.job, number))
            }
        }
        Ok(_) => Class::Other,
        Err(parts) => match <[Part; 6]>::try_from(parts) {
            Ok([Text(id), Text(name), Text(rig), Number(at_ms), Text(by), Text(hash)]) => {
                let job = Job { id, name, rig, at_ms, by };
                if hash::of_job(&job) == hash { Class::Job(job, hash) } else { Class::Other }
            }
            Ok(_) => Class::Other,
            Err(mut parts) => match (parts.len(), parts.pop()) {
                // Photos of this layout, and of the first one.
                (2 | 3, Some(Bytes(bytes))) if check_bytes(bytes.len()).is_ok() => {
                    let sha256 = hash::of_bytes(&bytes);
                    let first = matches!(parts.as_slice(), [Text(_), Number(_)]);
                    let fits = first || matches!(parts.as_slice(), [Text(s)] if *s == sha256);
                    if fits { Class::Blob(sha256, bytes) } else { Class::Other }
                }
                _ => Class::Other,
            },
        },
    }
}
