//! `clingfish isolator`.

use super::check::cannot;
use super::picture::quantity_of;
use crate::io::{Io, Stop};
use crate::open::open;
use crate::{GO, HOLD, NO_GO, chart, json, print};
use quantity::Kind;
use std::path::PathBuf;
use verdict::isolator::Fits;

/// Set the isolator's spring for the payload; what it holds back.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish isolator night.toml\n  clingfish isolator night.toml --engine \"27 Hz\"\n  \
clingfish isolator night.toml --chart isolator.svg\n\n\
An engine of n cylinders fires at rpm / 60 x n / 2 (four strokes).\n\
Exit status: 0 it fits; 10 HOLD, something is to be measured or set; 20 it does not fit; 2 when the\ninput is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// One more frequency to look at: the engine's.
    #[arg(long, value_name = "FREQUENCY")]
    engine: Option<String>,
    /// Write what comes through over frequency as a drawing.
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let hz = (0.1, 1000.0);
    let engine = args.engine.as_deref().map(|t| quantity_of("--engine", t, Kind::Frequency, hz)).transpose()?;
    let opened = open(&args.rig, args.json, io)?;
    let found = verdict::isolator::isolator(&opened.rig, engine).map_err(|fault| cannot(&fault))?;
    let Some(isolator) = found else {
        let mend = if opened.rig.arm.is_some() {
            "describe it under [isolator]; clingfish picture works without one"
        } else {
            "an isolator hangs on an arm's boom; clingfish picture works without one"
        };
        return Err(Stop::bad("this rig has no isolator", mend));
    };
    io.status = match isolator.fits() {
        Fits::Yes => GO,
        Fits::Hold => HOLD,
        Fits::No => NO_GO,
    };
    if let Some(path) = &args.chart {
        chart::save(path, &chart::transmissibility::over_frequency(&isolator))?;
    }
    if args.json {
        return json::write(&mut io.out, &json::isolator::Isolator::of(&opened.rig, &isolator, io.status));
    }
    print::isolator::write(&mut io.out, &opened.rig, &isolator)?;
    Ok(())
}
