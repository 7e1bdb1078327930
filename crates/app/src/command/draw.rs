//! `clingfish draw`.

use crate::drawing::{Desk, SUBJECTS, Shown};
use crate::io::{Io, Stop};
use crate::open::open;
use draw::view::Medium;
use std::io::Write;
use std::path::PathBuf;

/// Draw the rig and its charts.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// What to draw.
    what: Vec<String>,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let opened = open(&args.rig, false, io)?;
    let desk = Desk::new(&opened.rig, Shown::default(), io.progress);
    for subject in SUBJECTS.iter().filter(|s| args.what.is_empty() || args.what.iter().any(|w| w == s.name)) {
        if let Some(svg) = (subject.make)(&desk, Medium::Page)? {
            writeln!(io.out, "{svg}")?;
        }
    }
    Ok(())
}
