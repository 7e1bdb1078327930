//! `clingfish sheet`.

use super::check::status_of;
use crate::drawing::{Desk, Shown};
use crate::io::{Io, Stop};
use crate::open::open;
use crate::print::report::Report;
use crate::print::style::{self, paint};
use crate::print::text::hang;
use crate::sheet::cover::{Cover, Paper, fingerprint, said, warnings};
use crate::sheet::{self, Sheet};
use rig::Reading;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Write the sheet: everything that others read and sign, as PDF.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish sheet night.toml\n  clingfish sheet night.toml --out night-rev3.pdf --revision 3 --date 2026-11-27\n  \
clingfish sheet night.toml --paper letter --job \"Harbour road\" --by \"rigging\"\n\n\
What is not given is a line to write on. Exit status, as of check: 0 GO,\n10 HOLD, 20 NO-GO; 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Where to write it. Left out: NAME-sheet.pdf in this folder.
    #[arg(long, value_name = "FILE.pdf")]
    out: Option<PathBuf>,
    /// Print what it says as plain text instead, to read in a pipe or to compare revisions.
    #[arg(long, conflicts_with = "out")]
    text: bool,
    /// Work out the limits too, as the card has them, with charts of where it is tightest. Takes longer.
    #[arg(long)]
    limits: bool,
    #[command(flatten)]
    on: On,
    /// Revision of the sheet.
    #[arg(long, value_name = "WORD")]
    revision: Option<String>,
    /// The job.
    #[arg(long, value_name = "WORDS")]
    job: Option<String>,
    /// Who made it.
    #[arg(long, value_name = "WORDS")]
    by: Option<String>,
}

/// What sheet and card are printed on.
#[derive(Debug, clap::Args)]
pub(crate) struct On {
    /// Size of the paper: a4 or letter.
    #[arg(long, value_name = "SIZE", default_value = "a4", hide_possible_values = true, hide_default_value = true)]
    paper: Paper,
    /// The date, as it shall stand there; no clock is read.
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let path = args.out.clone().unwrap_or_else(|| named_after(&args.rig));
    is_pdf(&path)?;
    is_another(&path, &args.rig)?;
    let (revision, job, by) = (
        said("--revision", args.revision.as_deref())?,
        said("--job", args.job.as_deref())?,
        said("--by", args.by.as_deref())?,
    );
    let cover = cover(&args.on)?;
    let opened = open(&args.rig, false, io)?;
    let cover = Cover { revision, job, by, ..cover.of(&opened.reading) };
    let desk = Desk::new(&opened.rig, Shown::default(), io.progress);
    let verdict = desk.verdict()?;
    io.status = status_of(verdict.answer);
    let report = Report::of(&opened.rig, verdict);
    let sheet = Sheet { desk: &desk, rig: &opened.rig, verdict, report: &report, cover: &cover, limits: args.limits };
    let document = sheet::document(&sheet)?;
    if args.text {
        return Ok(io.out.write_all(document.plain().as_bytes())?);
    }
    write(&path, &document)?;
    crate::print::diagnostics::warnings(&mut io.out, &opened.reading)?;
    writeln!(io.out, "{}", paint(style::of_answer(report.answer), report.answer.word()))?;
    hang(&mut io.out, "  ", &report.why)?;
    wrote(&path, io)
}

/// `night-sheet.pdf` in this folder.
fn named_after(rig: &Path) -> PathBuf {
    let stem = rig.file_stem().filter(|_| rig != Path::new("-")).unwrap_or("rig".as_ref());
    let mut name = stem.to_os_string();
    name.push("-sheet.pdf");
    PathBuf::from(name)
}

/// Refuses a name that is not a PDF's: nothing else than a name that ends in `.pdf` is written over.
pub(crate) fn is_pdf(path: &Path) -> Result<(), Stop> {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("pdf")) {
        return Ok(());
    }
    Err(Stop::bad(format!("{} is not the name of a PDF", path.display()), "end the name in .pdf"))
}

/// Refuses to write over the rig file, whatever it is called.
pub(crate) fn is_another(path: &Path, rig: &Path) -> Result<(), Stop> {
    let same = || Some(path.canonicalize().ok()? == rig.canonicalize().ok()?);
    if same() == Some(true) {
        return Err(Stop::bad(format!("{} is the rig file itself", path.display()), "write to another name"));
    }
    Ok(())
}

/// What the options say; the files come with the rig.
pub(crate) struct Options {
    pub(crate) format: paper::Format,
    pub(crate) date: Option<String>,
}

pub(crate) fn cover(on: &On) -> Result<Options, Stop> {
    Ok(Options { format: on.paper.into(), date: said("--date", on.date.as_deref())? })
}

impl Options {
    /// With the files of a rig.
    pub(crate) fn of(self, reading: &Reading) -> Cover {
        let (files, fingerprint) = fingerprint(&reading.sources);
        let warnings = warnings(reading);
        let (revision, job, by) = (None, None, None);
        Cover { format: self.format, date: self.date, revision, job, by, files, fingerprint, warnings }
    }
}

/// Writes a document, over an older one of that name.
pub(crate) fn write(path: &Path, document: &paper::Document) -> Result<(), Stop> {
    let file = paper::pdf(document).map_err(|f| Stop::bad(format!("the PDF cannot be made: {}", f.what), ""))?;
    std::fs::write(path, file)
        .map_err(|e| Stop::bad(format!("cannot write {}: {e}", path.display()), "name another folder or file"))
}

/// Says where it went.
pub(crate) fn wrote(path: &Path, io: &mut Io<'_>) -> Result<(), Stop> {
    Ok(hang(&mut io.out, "", &format!("Written to {}", path.display()))?)
}
