//! `clingfish balance`.

use super::check::cannot;
use crate::io::{Io, Stop};
use crate::open::open;
use crate::{GO, HOLD, NO_GO, chart, json, print};
use quantity::Kind;
use rig::Rig;
use std::path::PathBuf;
use verdict::Outcome;
use verdict::balance::{Ask, Balance, NoBalance};
use verdict::verdict::Options;

/// Lens changes that are shown when none is asked for, kg.
const LENSES_KG: [f64; 4] = [0.1, 0.25, 0.5, 1.0];

/// Balance the boom: plates, slide, what the drives are asked.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish balance night.toml\n  clingfish balance night.toml --payload \"5 kg, 6.2 kg, 14 lb\"\n  \
clingfish balance night.toml --lens \"350 g\" --chart payloads.svg\n\n\
Exit status: 0 all known and within the drives; 10 something is not weighed or\nnot stated (HOLD); 20 a drive is asked too much (NO-GO); 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Payloads for the table, commas between. Left out: from half to one and a half of the one in the file.
    #[arg(long, value_name = "MASS", value_delimiter = ',')]
    payload: Vec<String>,
    /// A lens heavier by so much (lighter: -350 g), commas between.
    #[arg(long, value_name = "MASS", value_delimiter = ',', allow_hyphen_values = true)]
    lens: Vec<String>,
    /// Draw the table by payload into this file.
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let payloads_kg = masses("--payload", &args.payload, (0.05, 200.0))?;
    let mut lens_kg = masses("--lens", &args.lens, (-50.0, 50.0))?;
    if lens_kg.is_empty() {
        lens_kg = LENSES_KG.to_vec();
    }
    let opened = open(&args.rig, args.json, io)?;
    let rig = &opened.rig;
    let ask = Ask { payloads_kg, lens_kg };
    let balance = balance_of(rig, &ask)?;
    let fails = balance.drives.iter().any(|d| d.check.outcome == Outcome::Fails);
    let missing = balance.drives.iter().any(|d| matches!(d.check.outcome, Outcome::NotChecked(_)));
    io.status = if balance.unweighed.is_some() {
        // A drive that fails on a guess has not failed.
        HOLD
    } else if fails {
        NO_GO
    } else if missing {
        HOLD
    } else {
        GO
    };
    if let Some(path) = &args.chart {
        let drawn = chart::balance::by_payload(rig, &balance).ok_or_else(|| {
            Stop::bad(
                "there is no chart to draw: more than the payload is not weighed",
                "weigh what clingfish balance names and write it into the file",
            )
        })?;
        chart::save(path, &drawn)?;
    }
    if args.json {
        return json::write(&mut io.out, &json::balance::Shape::of(rig, &balance, io.status));
    }
    print::diagnostics::warnings(&mut io.out, &opened.reading)?;
    print::balance::write(&mut io.out, rig, &balance)?;
    Ok(())
}

/// What is asked where nobody asks for anything: payloads about the file's, a few lenses.
pub(crate) fn usual() -> Ask {
    Ask { payloads_kg: Vec::new(), lens_kg: LENSES_KG.to_vec() }
}

/// The balance of the boom, or why it cannot be worked out.
pub(crate) fn balance_of(rig: &Rig, ask: &Ask) -> Result<Balance, Stop> {
    Balance::of(rig, ask, &Options::default()).map_err(|no| match no {
        NoBalance::NoArm => no_arm(),
        NoBalance::Plan(e) => Stop::bad(
            format!("the balance cannot be worked out: {e}"),
            "shorten `plates` and `fitted` under [arm.counterweight]",
        ),
        NoBalance::Fault(fault) => cannot(&fault),
    })
}

/// What a command on the arm says of a rig without one.
pub(crate) fn no_arm() -> Stop {
    Stop::bad(
        "this rig has no arm",
        "a fixed camera needs none; for a boom add [arm] with its sections, counterweight and drives, and [payload]",
    )
}

fn masses(option: &str, texts: &[String], (least, most): (f64, f64)) -> Result<Vec<f64>, Stop> {
    let one = |text: &String| {
        let text = text.trim();
        let kg = quantity::parse_kind(text, Kind::Mass).map_err(|e| {
            Stop::bad(format!("{option} {text}: {e}"), "write a mass with its unit, as 5.9 kg or 13 lb")
        })?;
        if (least..=most).contains(&kg) {
            Ok(kg)
        } else {
            Err(Stop::bad(
                format!("{option} {text}: no mass for the tip of a boom"),
                format!("stay between {least} and {most} kg"),
            ))
        }
    };
    texts.iter().map(one).collect()
}
