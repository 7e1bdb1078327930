//! `clingfish list`.

use super::check::verdict_of;
use super::envelope::envelope_of;
use crate::io::{Io, Stop};
use crate::json::list::{LimitRow, Checked, List, parts};
use crate::open::open;
use crate::{GO, HOLD, csv_file, json, print};
use serde::Serialize;
use std::path::PathBuf;

/// What is listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum What {
    /// Cups, tubes, clamps and all else that goes on the car, with places and masses.
    Parts,
    /// Every check of every part, as check finds it.
    Checks,
    /// How hard the car may go, as envelope finds it.
    Limits,
}

/// List a rig's parts, checks or limits, for the van and for spreadsheets.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish list night.toml                       what to load, with masses\n  \
clingfish list night.toml --csv > night-parts.csv\n  clingfish list night.toml checks --csv > night-checks.csv\n  \
clingfish list night.toml limits --json\n\n\
Each measure stands in both systems, its unit in the column's name. CSV is UTF-8;\n\
text that a spreadsheet would run as a formula (first sign = + - @) has an\n\
apostrophe before it. Batteries and cables: clingfish power.\n\n\
Exit status: 0; 10 for limits that leave out a check for want of a value (HOLD);\n2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// parts, checks or limits.
    #[arg(default_value = "parts", hide_possible_values = true)]
    what: What,
    /// Print CSV for a spreadsheet.
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// Print JSON with the same names as the CSV.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    if !args.csv && !args.json && args.what != What::Parts {
        let (what, other) =
            if args.what == What::Checks { ("checks", "check") } else { ("limits", "envelope") };
        return Err(Stop::bad(
            format!("the list of {what} is for other programs"),
            format!("add --csv or --json; in words: clingfish {other} {}", args.rig.display()),
        ));
    }
    let opened = open(&args.rig, args.json, io)?;
    let rig = &opened.rig;
    match args.what {
        What::Parts => {
            let rows = parts(rig);
            if !args.csv && !args.json {
                print::diagnostics::warnings(&mut io.out, &opened.reading)?;
                print::list::write(&mut io.out, rig, &rows)?;
                return Ok(());
            }
            let mass = rows.iter().map(|r| r.mass).sum();
            put(args, io, rows, |rows| List::of(rig, "parts", rows).weighing(mass))
        }
        What::Checks => {
            let verdict = verdict_of(rig, io.progress)?;
            let rows = verdict.findings.iter().map(|f| Checked::of(rig, f)).collect();
            put(args, io, rows, |rows| List::of(rig, "checks", rows))
        }
        What::Limits => {
            let envelope = envelope_of(rig, Vec::new(), 12, io.progress)?;
            io.status = if envelope.missing.is_empty() { GO } else { HOLD };
            put(args, io, LimitRow::all(rig, &envelope), |rows| List::of(rig, "limits", rows))
        }
    }
}

fn put<T: Serialize>(
    args: &Args,
    io: &mut Io<'_>,
    rows: Vec<T>,
    list: impl FnOnce(Vec<T>) -> List<T>,
) -> Result<(), Stop> {
    if args.csv { csv_file::write(&mut io.out, &rows) } else { json::write(&mut io.out, &list(rows)) }
}
