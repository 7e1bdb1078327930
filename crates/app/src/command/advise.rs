//! `clingfish advise`.

use super::check::cannot;
use super::explain::check_named;
use crate::io::{Io, Stop};
use crate::open::open;
use crate::progress::Progress;
use crate::{json, print};
use rig::Rig;
use rig::policy::CheckId;
use std::path::PathBuf;
use verdict::advise::{Advice, advise};
use verdict::verdict::Options;

/// Say what would help most, each change worked out for itself.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish advise night.toml               the check with the least margin\n  \
clingfish advise night.toml cup-slip      another check\n  clingfish advise night.toml --all\n\n\
Each change is tried alone, at typical values of what is assumed. Enter one in\nthe file and check it: nothing here is a GO.\n\n\
Exit status: 0 when it could be worked out, whatever the answer; 2 when the\ninput is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// The check, as check names it in brackets; left out: the least margin.
    check: Option<String>,
    /// Show every change that helps, not only the best.
    #[arg(long)]
    all: bool,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let check = args.check.as_deref().map(check_named).transpose()?;
    let opened = open(&args.rig, args.json, io)?;
    let advice = advice_of(&opened.rig, check.map(|c| c.id), io.progress)?;
    if let Some(check) = check.filter(|_| !advice.applies) {
        return Err(Stop::bad(
            format!("{} does not apply to this rig", check.name),
            "nothing on the rig is of the kind that it looks at",
        ));
    }
    if args.json {
        return json::write(&mut io.out, &json::advise::Advise::of(&opened.rig, check, &advice));
    }
    print::advice::write(&mut io.out, &opened.rig, check, (&advice, args.all))?;
    Ok(())
}

/// What would help a check, or the least margin, with progress on the terminal.
pub(crate) fn advice_of(rig: &Rig, check: Option<CheckId>, progress: bool) -> Result<Advice, Stop> {
    let progress = Progress::new(progress, "changes", "all changes tried");
    let tick = |done: u64, all: u64| progress.tick(done, all);
    let options = Options { tick: &tick, ..Options::default() };
    advise(rig, check, &options).map_err(|fault| cannot(&fault))
}
