//! `clingfish job`: the record of a job.

pub(crate) mod done;
mod keep;
pub(crate) mod log;
mod plan;
mod show;

use crate::io::{Io, Stop};

/// Keep the record of a job: what was built, measured, signed and found.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish job start night.toml --name \"Harbour, night 2\" --by \"R. Berg\"\n  \
clingfish job next\n  clingfish job done \"cup *: seat\" --by \"R. Berg\"\n  \
clingfish job measure cup.FL.aft \"382 mm\" --with tape --by \"R. Berg\"\n  \
clingfish job sign \"rig: look over\" --by \"R. Berg\"\n  clingfish job export harbour.job\n\n\
The record is one file, clingfish.record in the current folder unless --record or\nCLINGFISH_RECORD says otherwise. Nothing in it is changed or taken out: --corrects\n\
puts an entry right with a new one. Gauges: clingfish round. The answer of it all:\nclingfish go.\n\n\
Exit status: 0; 2 when the input is bad or a step's turn has not come.")]
pub(crate) struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
#[allow(clippy::large_enum_variant, reason = "there is one, read once")]
enum What {
    /// Begin a job with a rig file; its text goes into the record.
    Start(plan::Start),
    /// Change the plan to another rig file, or to the same one changed.
    Change(plan::Change),
    /// List the jobs of a record.
    List(show::List),
    /// Show what was written down.
    Show(show::Show),
    /// Show what may be done now, and what waits for a signature.
    Next(show::Next),
    /// Call steps done; * stands for anything.
    Done(done::Done),
    /// Take a step back.
    Undo(done::Undo),
    /// Leave a step out, and say why.
    Leave(done::Leave),
    /// Sign a hold point.
    Sign(done::Sign),
    /// Write down a measured value by its key in the rig file.
    Measure(log::Measure),
    /// Write down a torque: a clamp's tag, or a key.
    Torque(log::Torque),
    /// Write down a weight by its key in the rig file.
    Weigh(log::Weigh),
    /// Write down words, of a step or of the job.
    Note(log::Note),
    /// Keep a photo.
    Photo(log::Photo),
    /// Write down the weather.
    Weather(log::Weather),
    /// Write down what car or kit looked like.
    Damage(log::Damage),
    /// Put the job into one file for another machine.
    Export(keep::Export),
    /// Take a job in from such a file.
    Import(keep::Import),
    /// Copy the whole record, whoever writes in it.
    Backup(keep::Backup),
    /// Prove that nothing in it was changed.
    Verify(keep::Verify),
    /// Save what can be read of a damaged record into a new one.
    Salvage(keep::Salvage),
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    match &args.what {
        What::Start(a) => a.run(io),
        What::Change(a) => a.run(io),
        What::List(a) => a.run(io),
        What::Show(a) => a.run(io),
        What::Next(a) => a.run(io),
        What::Done(a) => a.run(io),
        What::Undo(a) => a.run(io),
        What::Leave(a) => a.run(io),
        What::Sign(a) => a.run(io),
        What::Measure(a) => a.run(io),
        What::Torque(a) => a.run(io),
        What::Weigh(a) => a.run(io),
        What::Note(a) => a.run(io),
        What::Photo(a) => a.run(io),
        What::Weather(a) => a.run(io),
        What::Damage(a) => a.run(io),
        What::Export(a) => a.run(io),
        What::Import(a) => a.run(io),
        What::Backup(a) => a.run(io),
        What::Verify(a) => a.run(io),
        What::Salvage(a) => a.run(io),
    }
}
