//! A job from machine to machine, and the record kept safe.

use crate::io::{Io, Stop};
use crate::notebook::{Which, stop};
use crate::print::text::hang;
use record::{Head, Store};
use std::fs::OpenOptions;
use std::io::{BufWriter, Write};
use std::path::PathBuf;

/// `clingfish job export`.
#[derive(Debug, clap::Args)]
pub(super) struct Export {
    /// The file to write; it must not be there yet.
    file: PathBuf,
    #[command(flatten)]
    which: Which,
}

/// `clingfish job import`.
#[derive(Debug, clap::Args)]
pub(super) struct Import {
    /// The file of the job.
    file: PathBuf,
    #[command(flatten)]
    which: Which,
}

/// `clingfish job backup`.
#[derive(Debug, clap::Args)]
pub(super) struct Backup {
    /// The file to write; it must not be there yet.
    file: PathBuf,
    #[command(flatten)]
    which: Which,
}

/// `clingfish job verify`.
#[derive(Debug, clap::Args)]
pub(super) struct Verify {
    /// The last entry as it stands on paper: number and hash, like 118:9f3c...
    #[arg(long, value_name = "NUMBER:HASH")]
    head: Option<String>,
    #[command(flatten)]
    which: Which,
}

/// `clingfish job salvage`.
#[derive(Debug, clap::Args)]
pub(super) struct Salvage {
    /// The damaged record.
    damaged: PathBuf,
    /// The new record to write; it must not be there yet.
    into: PathBuf,
}

impl Export {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let book = self.which.open()?;
        let name = self.file.display().to_string();
        let cannot = |e: std::io::Error| Stop::bad(format!("cannot write {name}: {e}"), "name a new file in a folder that is there");
        let file = OpenOptions::new().write(true).create_new(true).open(&self.file).map_err(cannot)?;
        let mut out = BufWriter::new(file);
        let head = book.store.export(&book.job.id, &mut out).map_err(|f| stop(&f));
        let flushed = out.flush().and_then(|()| out.get_ref().sync_all()).map_err(cannot);
        let head = match (head, flushed) {
            (Ok(head), Ok(())) => head,
            (Err(stop), _) | (_, Err(stop)) => {
                // Half a job is no job.
                let _ = std::fs::remove_file(&self.file);
                return Err(stop);
            }
        };
        Ok(hang(&mut io.out, "", &format!("{} entries of {} written to {name}. Last: {}", head.number, book.job.name, shown(&head)))?)
    }
}

fn shown(head: &Head) -> String {
    format!("{}:{}", head.number, head.hash)
}

impl Import {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let name = self.file.display().to_string();
        let mut file = std::fs::File::open(&self.file)
            .map_err(|e| Stop::bad(format!("{name} cannot be read: {e}"), "check the name and the folder"))?;
        let mut store = Store::open(&self.which.record).map_err(|f| stop(&f))?;
        let taken = store.import(&mut file).map_err(|f| stop(&f))?;
        let what = if taken.new { "a new job" } else { "a job that was here" };
        let job = store.jobs().map_err(|f| stop(&f))?.into_iter().find(|j| j.id == taken.job);
        let called = job.map_or(String::new(), |j| format!(", {}", j.name));
        Ok(hang(&mut io.out, "", &format!("{what}{called}: {} entries taken in. Last: {}", taken.added, shown(&taken.head)))?)
    }
}

impl Backup {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let store = self.which.store()?;
        store.backup(&self.file).map_err(|f| stop(&f))?;
        Ok(hang(&mut io.out, "", &format!("Copied to {}.", self.file.display()))?)
    }
}

impl Verify {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let book = self.which.open()?;
        let noted = self.head.as_deref().map(head).transpose()?;
        let verified = book.store.verify(&book.job.id, noted.as_ref()).map_err(|f| stop(&f))?;
        if verified.holds() {
            return Ok(hang(
                &mut io.out,
                "",
                &format!("{}: {} entries, none changed. Last: {}", book.job.name, verified.entries, shown(&verified.head)),
            )?);
        }
        let said: Vec<String> = verified.misfits.iter().map(ToString::to_string).collect();
        Err(Stop::bad(format!("{} was changed: {}", book.job.name, said.join("; ")), "compare it with a backup, an exported file or another machine's record"))
    }
}

/// A head as it is printed.
fn head(text: &str) -> Result<Head, Stop> {
    let bad = || Stop::bad(format!("--head \"{text}\" is no number and hash"), "copy it from clingfish job show, like 118:9f3c...");
    let (number, hash) = text.trim().split_once(':').ok_or_else(bad)?;
    let number = number.parse().map_err(|_| bad())?;
    if hash.len() != 64 || !hash.chars().all(|c| c.is_ascii_hexdigit()) {
        return Err(bad());
    }
    Ok(Head { number, hash: hash.to_lowercase() })
}

impl Salvage {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let saved = Store::salvage(&self.damaged, &self.into).map_err(|f| stop(&f))?;
        hang(
            &mut io.out,
            "",
            &format!("{} jobs, {} entries and {} photos saved into {}.", saved.jobs, saved.entries, saved.photos, self.into.display()),
        )?;
        for lost in &saved.lost {
            hang(&mut io.out, "  lost: ", lost)?;
        }
        hang(&mut io.out, "", "What was written last may be missing without a trace: compare with the last number on paper.")?;
        Ok(())
    }
}
