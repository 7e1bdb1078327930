//! `clingfish card`.

use super::check::{status_of, verdict_of};
use super::envelope::{envelope_of, stretched};
use super::sheet::{On, cover, is_another, is_pdf, write, wrote};
use crate::io::{Io, Stop};
use crate::open::open;
use crate::print::report::Report;
use crate::{json, print, sheet};
use std::path::PathBuf;
use verdict::Answer;

/// Print what driver and operator may do, in numbers to remember.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish card night.toml\n  clingfish card night.toml --json\n  \
clingfish card night.toml --pdf card.pdf --date 2026-11-27\n\n\
A card is for a rig that is a GO. Exit status: 0 a card; 10 HOLD or 20 NO-GO and no card; 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
    /// Write it as one side of paper for the dashboard.
    #[arg(long, value_name = "FILE.pdf", conflicts_with = "json")]
    pdf: Option<PathBuf>,
    #[command(flatten)]
    on: On,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    if let Some(path) = &args.pdf {
        is_pdf(path)?;
        is_another(path, &args.rig)?;
    }
    let on = cover(&args.on)?;
    let opened = open(&args.rig, args.json, io)?;
    let verdict = verdict_of(&opened.rig, io.progress)?;
    io.status = status_of(verdict.answer);
    if verdict.answer != Answer::Go {
        let report = Report::of(&opened.rig, &verdict);
        if args.json {
            let none = json::card::NoCard::of(&opened.rig, verdict.answer, &report.why, io.status);
            return json::write(&mut io.out, &none);
        }
        print::card::refuse(&mut io.out, &report)?;
        return Ok(());
    }
    let envelope = envelope_of(&opened.rig, Vec::new(), 12, io.progress)?;
    let stretched = stretched(&opened.rig, io.progress)?;
    let card = print::card::Card::of(&opened.rig, &envelope, &stretched);
    if let Some(path) = &args.pdf {
        write(path, &sheet::card::document(&opened.rig, &card, &on.of(&opened.reading)))?;
        return wrote(path, io);
    }
    if args.json {
        return json::write(&mut io.out, &json::card::Printed::of(&opened.rig, &card, io.status));
    }
    print::card::write(&mut io.out, &opened.rig, &card)?;
    Ok(())
}
