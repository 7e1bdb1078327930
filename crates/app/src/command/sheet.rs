//! `clingfish sheet`.

use crate::drawing::{Desk, Shown};
use crate::io::{Io, Stop};
use crate::open::open;
use crate::sheet::PARTS;
use paper::{Document, Format};
use std::io::Write;
use std::path::PathBuf;

/// Write the sheet for the file, as PDF.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let opened = open(&args.rig, false, io)?;
    let desk = Desk::new(&opened.rig, Shown::default(), io.progress);
    let mut blocks = Vec::new();
    for part in PARTS {
        blocks.extend(part(&desk)?);
    }
    let document = Document {
        title: opened.rig.name.clone(),
        mark: String::new(),
        date: String::new(),
        format: Format::A4,
        type_pt: 9.0,
        running: true,
        blocks,
    };
    let file = paper::pdf(&document).map_err(|f| Stop::bad(f.what, ""))?;
    io.out.write_all(&file)?;
    Ok(())
}
