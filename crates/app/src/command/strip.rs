//! `clingfish strip`.

use super::build::{show, told};
use crate::io::{Io, Stop};
use crate::open::open;
use std::path::PathBuf;

/// Print the steps of taking the rig off, and of looking the car over.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  clingfish strip night.toml --crew 3\n\nExit status: 0; 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// How many people there are.
    #[arg(long, default_value_t = 2, value_parser = clap::value_parser!(u8).range(1..=50))]
    crew: u8,
    /// A line a step.
    #[arg(long)]
    brief: bool,
    /// Print JSON instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let opened = open(&args.rig, args.json, io)?;
    let method = method::strip(&opened.rig).map_err(|faults| told(&faults))?;
    show(&method, &opened.rig.name, "Strip", (usize::from(args.crew), args.brief, args.json), io)
}
