//! A job as one file of text.

use crate::ask::Ask;
use crate::database::For;
use crate::entry::Head;
use crate::fault::Fault;
use crate::line::{BlobLine, EntryLine, FORMAT, First, HeadLine, JobLine, Line, VERSION};
use crate::store::Store;
use crate::verify::photo_of;
use crate::{hash, verify};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;
use std::collections::BTreeSet;
use std::io::Write;

impl Store {
    /// Writes a job as one file: a JSON object a line, entries in order, photos, the head last. Gives the head.
    ///
    /// # Errors
    ///
    /// A job that is not there or whose entries or photos are damaged, or a file that cannot be written; what was written by then has
    /// no last line, and is refused by [`Store::import`].
    pub fn export(&self, job: &str, out: &mut dyn Write) -> Result<Head, Fault> {
        self.ask.within(For::Reading, |ask| exported(ask, job, out))
    }
}

fn put(out: &mut dyn Write, line: &impl Serialize) -> Result<(), Fault> {
    let fail = |why: String| Fault::CannotWrite { why };
    let mut text = serde_json::to_string(line).map_err(|e| fail(e.to_string()))?;
    text.push('\n');
    out.write_all(text.as_bytes()).map_err(|e| fail(e.to_string()))
}

fn exported(ask: &Ask, id: &str, out: &mut dyn Write) -> Result<Head, Fault> {
    let (job, heading) = ask.heading(id)?;
    let bad = |number: u32, why: String| Fault::BadRow { job: id.into(), number, why };
    if hash::of_job(&job) != heading {
        return Err(bad(0, verify::Misfit::Heading.to_string()));
    }
    put(out, &First { format: FORMAT.into(), version: VERSION })?;
    put(out, &Line::Job(JobLine::of(job, heading.clone())))?;
    let mut head = Head { number: 0, hash: heading };
    let (mut photos, mut seen) = (Vec::new(), BTreeSet::new());
    ask.each(id, 0, |row| {
        let number = row.number;
        if number != head.number + 1 || row.before != head.hash {
            return Err(bad(number, verify::Misfit::Order { number }.to_string()));
        }
        if hash::of_entry(&row) != row.hash {
            return Err(bad(number, verify::Misfit::Content { number }.to_string()));
        }
        if let Some(sha256) = photo_of(&row).filter(|s| seen.insert(s.clone())) {
            photos.push(sha256);
        }
        head = Head { number, hash: row.hash.clone() };
        let line = EntryLine::of(row).map_err(|e| bad(number, e.to_string()))?;
        put(out, &Line::Entry(line))
    })?;
    for sha256 in photos {
        let bytes = ask.blob(&sha256)?.ok_or_else(|| Fault::NoBlob { sha256: sha256.clone() })?;
        if hash::of_bytes(&bytes) != sha256 {
            let why = format!("the bytes of the photo {sha256} have changed");
            return Err(Fault::Corrupt { path: ask.path().into(), why });
        }
        put(out, &Line::Blob(BlobLine { sha256, base64: STANDARD.encode(bytes) }))?;
    }
    put(out, &Line::Head(HeadLine::of(&head)))?;
    out.flush().map_err(|e| Fault::CannotWrite { why: e.to_string() })?;
    Ok(head)
}
