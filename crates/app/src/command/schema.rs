//! `clingfish schema`.

use crate::io::{Io, Stop};
use crate::json;

/// Print the JSON Schema of the rig file, for editors.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  clingfish schema > rig.schema.json")]
pub(crate) struct Args {}

pub(crate) fn run(_: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    json::write(&mut io.out, &rig::json_schema())
}
