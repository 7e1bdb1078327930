//! `clingfish envelope`.

use super::check::cannot;
use crate::io::{Io, Stop};
use crate::open::open;
use crate::progress::Progress;
use crate::{GO, HOLD, chart, json, print};
use quantity::Kind;
use rig::Rig;
use std::path::PathBuf;
use verdict::context::Resolution;
use verdict::limits::{self, Envelope, Largest, Stretch};
use verdict::structure::BuildOptions;
use verdict::verdict::Options;

/// Say how hard the car may turn and brake, wherever the boom points.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish envelope night.toml\n  clingfish envelope night.toml --speeds \"40 km/h, 80 km/h\"\n  \
clingfish envelope night.toml --json > night-limits.json\n\n\
Exit status: 0 limits found, 10 some check lacks a value (HOLD); 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Speeds with units, commas between. Left out: up to four, up to the fastest of the plan.
    #[arg(long, value_delimiter = ',')]
    speeds: Vec<String>,
    /// How many sectors the bearings are parted into.
    #[arg(long, default_value_t = 12, value_parser = clap::value_parser!(u8).range(1..=72))]
    sectors: u8,
    /// Write the margins over the boom's bearing as a chart (SVG).
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let speeds = args.speeds.iter().map(|s| speed(s)).collect::<Result<Vec<f64>, Stop>>()?;
    let opened = open(&args.rig, args.json, io)?;
    if let Some(path) = &args.chart {
        chart::named(path)?;
        if opened.rig.arm.is_none() {
            return Err(Stop::bad("no arm on this rig, so there is no bearing to chart", "leave out --chart"));
        }
    }
    let envelope = envelope_of(&opened.rig, speeds, usize::from(args.sectors), io.progress)?;
    let stretched = stretched(&opened.rig, io.progress)?;
    let around = limits::around(&opened.rig, Resolution::fine(), BuildOptions::default()).map_err(|fault| cannot(&fault))?;
    if let (Some(path), Some(chart)) = (&args.chart, chart::around::by_bearing(&opened.rig, &around)) {
        chart::save(path, &chart)?;
    }
    io.status = if envelope.missing.is_empty() { GO } else { HOLD };
    if args.json {
        let shape = json::envelope::Limits::of(&opened.rig, &envelope, &stretched, io.status).with(&opened.rig, &around);
        return json::write(&mut io.out, &shape);
    }
    print::diagnostics::warnings(&mut io.out, &opened.reading)?;
    print::envelope::write(&mut io.out, &opened.rig, &envelope, &stretched, &around)?;
    Ok(())
}

fn speed(text: &str) -> Result<f64, Stop> {
    let text = text.trim();
    let read = quantity::parse_kind(text, Kind::Speed);
    let value = read.map_err(|e| Stop::bad(format!("--speeds {text}: {e}"), "write a speed with its unit, as 40 km/h or 25 mph"))?;
    if !(1.0..=70.0).contains(&value) {
        return Err(Stop::bad(format!("--speeds {text}: not a speed to drive a rig at"), "stay between 4 and 250 km/h"));
    }
    Ok(value)
}

/// All limits, with progress on the terminal.
pub(crate) fn envelope_of(rig: &Rig, speeds: Vec<f64>, sectors: usize, progress: bool) -> Result<Envelope, Stop> {
    let progress = Progress::new(progress, "limits", "all limits found");
    let tick = |done: u64, all: u64| progress.tick(done, all);
    let options = limits::Options { speeds, sectors, tick: &tick, ..limits::Options::default() };
    limits::envelope(rig, &options).map_err(|fault| cannot(&fault))
}

/// How far the plan itself may be stretched.
pub(crate) fn stretched(rig: &Rig, progress: bool) -> Result<Vec<Largest>, Stop> {
    let progress = Progress::new(progress, "ways to stretch the plan", "done");
    let mut out = Vec::new();
    let mut done = 0;
    for what in Stretch::ALL {
        out.extend(limits::largest(rig, &Options::default(), what).map_err(|fault| cannot(&fault))?);
        done += 1;
        progress.tick(done, Stretch::ALL.len() as u64);
    }
    Ok(out)
}
