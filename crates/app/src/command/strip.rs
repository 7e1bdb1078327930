//! `clingfish strip`.

use super::build::Listing;
use crate::io::{Io, Stop};

/// Print the steps of taking the rig off, and of looking the car over.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  clingfish strip night.toml --crew 3\n\nExit status: 0; 2 when the input is bad.")]
pub(crate) struct Args {
    #[command(flatten)]
    list: Listing,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    args.list.show("Strip", method::strip, io)
}
