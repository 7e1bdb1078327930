//! `clingfish picture`.

use super::check::cannot;
use crate::io::{Io, Stop};
use crate::open::open;
use crate::{GO, HOLD, chart, json, print};
use quantity::{Kind, both_kind};
use std::path::PathBuf;
use verdict::picture::Asked;


/// Estimate how much of the road's shaking reaches the picture.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish picture night.toml\n  \
clingfish picture night.toml --speed \"30 mph\" --focal-length \"85 mm\" --shutter \"1/100 s\"\n  \
clingfish picture night.toml --chart shaking.svg\n\n\
The camera is described under [camera]. An estimate: no check rests on it.\n\
Exit status: 0; 10 HOLD, something is not known; 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Speed, in place of the fastest manoeuvre's.
    #[arg(long, value_name = "SPEED")]
    speed: Option<String>,
    /// Focal length, in place of the file's.
    #[arg(long, value_name = "LENGTH")]
    focal_length: Option<String>,
    /// Open time of the shutter, in place of the file's: "1/50 s".
    #[arg(long, value_name = "TIME")]
    shutter: Option<String>,
    /// Write the shaking on its way over frequency as a drawing.
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let read = |name: &str, text: &Option<String>, kind: Kind, within: (f64, f64)| {
        text.as_deref().map(|t| quantity_of(name, t, kind, within)).transpose()
    };
    let asked = Asked {
        speed_m_s: read("--speed", &args.speed, Kind::Speed, (0.5, 70.0))?,
        focal_m: read("--focal-length", &args.focal_length, Kind::Length, (1e-3, 5.0))?,
        shutter_s: read("--shutter", &args.shutter, Kind::Time, (1e-5, 10.0))?,
    };
    let opened = open(&args.rig, args.json, io)?;
    let picture = verdict::picture::picture(&opened.rig, &asked).map_err(|fault| cannot(&fault))?;
    io.status = if picture.needs.is_empty() { GO } else { HOLD };
    if let Some(path) = &args.chart {
        chart::save(path, &chart::shaking::over_frequency(&picture))?;
    }
    if args.json {
        return json::write(&mut io.out, &json::picture::Picture::of(&opened.rig, &picture));
    }
    print::picture::write(&mut io.out, &opened.rig, &picture)?;
    Ok(())
}

/// A quantity of the command line, within limits (SI).
pub(super) fn quantity_of(name: &str, text: &str, kind: Kind, (least, most): (f64, f64)) -> Result<f64, Stop> {
    let value = quantity::parse_kind(text, kind)
        .map_err(|f| Stop::bad(format!("{name} {text}: {}: {}", f.what, f.why), f.mend))?;
    if value >= least && value <= most {
        Ok(value)
    } else {
        let limits = format!("it must lie from {} to {}", both_kind(least, kind), both_kind(most, kind));
        Err(Stop::bad(format!("{name} cannot be {text}"), limits))
    }
}
