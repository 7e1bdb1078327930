//! A job's plan: begun, and changed.

use crate::command::build::method_of;
use crate::io::{Io, Stop};
use crate::notebook::{Notebook, Which, Who, stop, token};
use crate::open::open;
use crate::print::text::hang;
use record::{File, Job, Store, Value};
use std::path::{Path, PathBuf};

/// `clingfish job start`.
#[derive(Debug, clap::Args)]
pub(super) struct Start {
    /// The rig file.
    rig: PathBuf,
    /// What you call the job. Left out: the rig's name.
    #[arg(long)]
    name: Option<String>,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

/// `clingfish job change`.
#[derive(Debug, clap::Args)]
pub(super) struct Change {
    /// The rig file.
    rig: PathBuf,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

/// The name of a file without its folders.
fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned())
}

/// A rig file and all that it refers to, if it can be read and built.
fn plan(path: &Path, io: &mut Io<'_>) -> Result<(record::Rig, String), Stop> {
    let opened = open(path, false, io)?;
    method_of(&opened.rig)?;
    let mut sources = opened.reading.sources.iter();
    let file = sources.next().map_or_else(
        || Err(Stop::bad("the rig file is gone", "")),
        |s| Ok(File { name: file_name(path), text: s.text.clone() }),
    )?;
    let parts = sources.map(|s| File { name: s.name.clone(), text: s.text.clone() }).collect();
    Ok((record::Rig { file, parts }, opened.rig.name))
}

impl Start {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let (rig, name) = plan(&self.rig, io)?;
        let now = self.which.clock.now()?;
        let mut store = Store::open(&self.which.record).map_err(|f| stop(&f))?;
        let job = Job {
            id: token()?,
            name: self.name.clone().unwrap_or(name).trim().to_owned(),
            rig: rig.file.name.clone(),
            at_ms: now.timestamp().as_millisecond(),
            by: self.who.by.clone(),
        };
        store.start(&job).map_err(|f| stop(&f))?;
        let mut book = Notebook { store, job, now, clock: self.which.clock.clone() };
        book.write(&self.who, "", Value::Rig(rig))?;
        hang(&mut io.out, "", &format!("Begun: {} ({}) in {}.", book.job.name, &book.job.id[..8], self.which.record.display()))?;
        hang(&mut io.out, "", "Next: clingfish job next")?;
        Ok(())
    }
}

impl Change {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let (rig, _) = plan(&self.rig, io)?;
        let mut book = self.which.open()?;
        if book.past()?.plan().is_some_and(|p| *p.files == rig) {
            return Err(Stop::bad("that is the plan already", "change the rig file first"));
        }
        let written = book.write(&self.who, "", Value::Rig(rig))?;
        hang(
            &mut io.out,
            &format!("{}: ", written.number),
            "the plan is changed. Values that were measured for what is different now are to be measured again, and the last looks before driving come again.",
        )?;
        Ok(())
    }
}
