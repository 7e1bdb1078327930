//! What a record has: jobs, entries, what is next.

use super::done::work;
use crate::io::{Io, Stop};
use crate::notebook::{Which, stop};
use crate::print;
use crate::print::text::hang;
use crate::json;

/// `clingfish job list`.
#[derive(Debug, clap::Args)]
pub(super) struct List {
    #[command(flatten)]
    which: Which,
    /// Print JSON instead of words.
    #[arg(long)]
    json: bool,
}

/// `clingfish job show`.
#[derive(Debug, clap::Args)]
pub(super) struct Show {
    #[command(flatten)]
    which: Which,
    /// Entries that were put right too.
    #[arg(long)]
    all: bool,
    /// Print JSON instead of words.
    #[arg(long)]
    json: bool,
}

/// `clingfish job next`.
#[derive(Debug, clap::Args)]
pub(super) struct Next {
    #[command(flatten)]
    which: Which,
}

impl List {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let store = self.which.store()?;
        let jobs = store.jobs().map_err(|f| stop(&f))?;
        let mut heads = Vec::new();
        for job in &jobs {
            heads.push(store.head(&job.id).map_err(|f| stop(&f))?);
        }
        if self.json {
            return json::write(&mut io.out, &json::entries::jobs(&jobs, &heads));
        }
        for (job, head) in jobs.iter().zip(&heads) {
            hang(
                &mut io.out,
                &format!("{}  ", &job.id[..8]),
                &format!("{}: {}, begun {} by {}, {} entries", job.name, job.rig, self.which.clock.shown(job.at_ms), job.by, head.number),
            )?;
        }
        if jobs.is_empty() {
            writeln!(io.out, "No job yet.")?;
        }
        Ok(())
    }
}

impl Show {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let book = self.which.open()?;
        let entries = book.entries()?;
        let head = book.store.head(&book.job.id).map_err(|f| stop(&f))?;
        let shown: Vec<_> = entries.into_iter().filter(|c| self.all || c.corrected_by.is_none()).collect();
        if self.json {
            return json::write(&mut io.out, &json::entries::Entries::of(&book.job, &shown, &head));
        }
        Ok(print::entries::write(&mut io.out, &book, &shown, &head)?)
    }
}

impl Next {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let book = self.which.open()?;
        let (method, progress) = work(&book.past()?)?;
        Ok(print::entries::next(&mut io.out, &method, &progress)?)
    }
}

