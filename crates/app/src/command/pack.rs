//! `clingfish pack`.

use super::build::method_of;
use crate::io::{Io, Stop};
use crate::open::open;
use crate::{csv_file, json, print};
use method::cases::{Case, cases};
use method::differ::{Difference, differ};
use method::pack::{Load, load};
use quantity::Kind;
use rig::Rig;
use std::path::{Path, PathBuf};

/// List what to load for a rig, and put it into cases.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish pack night.toml\n  clingfish pack night.toml --case \"32 kg\"\n  \
clingfish pack night.toml --against day.toml     what to add and leave at home\n  clingfish pack night.toml --csv > night-load.csv\n\n\
Exit status: 0; 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Say instead what turns the load of this other rig file into this one's.
    #[arg(long, value_name = "OTHER.toml")]
    against: Option<PathBuf>,
    /// Most that a case may weigh.
    #[arg(long, value_name = "MASS", default_value = "23 kg")]
    case: String,
    /// Print the load as CSV for a spreadsheet.
    #[arg(long, conflicts_with_all = ["json", "against"])]
    csv: bool,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

/// What the command has to say.
pub(crate) struct Sheet<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) load: &'a Load,
    pub(crate) most_kg: f64,
    pub(crate) cases: &'a [Case],
    /// The other rig's name and mass, and the way from it to this one.
    pub(crate) against: Option<(&'a str, f64, &'a Difference)>,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let most_kg = most(&args.case)?;
    let stdin = Path::new("-");
    if args.rig == stdin && args.against.as_deref() == Some(stdin) {
        return Err(Stop::bad("both rigs cannot come from the standard input", "name one of the two files"));
    }
    let opened = open(&args.rig, args.json, io)?;
    let rig = &opened.rig;
    let this = load(rig, &method_of(rig)?);
    if args.csv {
        return csv_file::write(&mut io.out, &json::pack::Row::all(&this));
    }
    let cases = cases(&this, most_kg).map_err(|e| Stop::bad(format!("this load cannot be put into cases: {e}"), ""))?;
    let other = match &args.against {
        None => None,
        Some(path) => {
            let other = open(path, args.json, io)?.rig;
            let load = load(&other, &method_of(&other)?);
            let way = differ((&other, &load), (rig, &this));
            Some((other.name, load.mass_kg(), way))
        }
    };
    let against = other.as_ref().map(|(name, kg, way)| (name.as_str(), *kg, way));
    let sheet = Sheet { rig, load: &this, most_kg, cases: &cases, against };
    if args.json {
        return json::write(&mut io.out, &json::pack::Printed::of(&sheet));
    }
    print::diagnostics::warnings(&mut io.out, &opened.reading)?;
    print::pack::write(&mut io.out, &sheet)?;
    Ok(())
}

fn most(text: &str) -> Result<f64, Stop> {
    let kg = quantity::parse_kind(text, Kind::Mass)
        .map_err(|e| Stop::bad(format!("--case {text}: {e}"), "write a mass with its unit, as \"23 kg\" or \"50 lb\""))?;
    if (1.0..=500.0).contains(&kg) {
        Ok(kg)
    } else {
        Err(Stop::bad(format!("--case {text}: not what a case may weigh"), "stay between 1 and 500 kg (2.2 and 1100 lb)"))
    }
}
