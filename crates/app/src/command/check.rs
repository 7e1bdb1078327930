//! `clingfish check`.

use crate::io::{Io, Stop};
use crate::open::open;
use crate::progress::Progress;
use crate::{GO, HOLD, NO_GO, json, print};
use rig::Rig;
use std::path::PathBuf;
use verdict::verdict::{Options, Verdict};
use verdict::{Answer, Fault};

/// Say GO, HOLD or NO-GO for a rig, and why.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish check night.toml\n  clingfish check night.toml --json > night.json\n\n\
Exit status: 0 GO, 10 HOLD, 20 NO-GO; 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let opened = open(&args.rig, args.json, io)?;
    let verdict = verdict_of(&opened.rig, io.progress)?;
    io.status = status_of(verdict.answer);
    let report = print::report::Report::of(&opened.rig, &verdict);
    if args.json {
        let check = json::check::Check::of((&opened.rig, &opened.reading), &verdict, &report, io.status);
        return json::write(&mut io.out, &check);
    }
    print::diagnostics::warnings(&mut io.out, &opened.reading)?;
    print::verdict::write(&mut io.out, &report)?;
    Ok(())
}

/// The exit status of an answer.
pub(crate) fn status_of(answer: Answer) -> u8 {
    match answer {
        Answer::Go => GO,
        Answer::Hold => HOLD,
        Answer::NoGo => NO_GO,
    }
}

/// The verdict, with progress on the terminal; a rig that cannot be computed is bad input.
pub(crate) fn verdict_of(rig: &Rig, progress: bool) -> Result<Verdict, Stop> {
    let after = "all states seen; trying what is assumed at the ends of its range";
    let progress = Progress::new(progress, "states", after);
    let tick = |done: u64, all: u64| progress.tick(done, all);
    let options = Options { tick: &tick, ..Options::default() };
    verdict::verdict::check(rig, &options).map_err(|fault| cannot(&fault))
}

/// A rig that cannot be computed is bad input.
pub(crate) fn cannot(fault: &Fault) -> Stop {
    Stop::bad(
        format!("this rig cannot be computed: {fault}"),
        "look at the sizes, places and weights in the file; one of them is out of all proportion",
    )
}
