//! `clingfish power`.

use crate::io::{Io, Stop};
use crate::open::open;
use crate::print::power::Sheet;
use crate::{GO, HOLD, NO_GO, chart, json, print};
use quantity::Kind;
use rig::{Fact, Reading, Rig};
use std::path::PathBuf;
use verdict::Answer;
use verdict::power::{self, Plan, Report};

/// Plan batteries, cables and fuses: who gets what, and for how long.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish power night.toml\n  clingfish power night.toml --hours \"12 h\" --cold \"-5 C\"\n  \
clingfish power night.toml --chart charge.svg\n\n\
Exit status: 0 GO, 10 HOLD, 20 NO-GO of the power alone; 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Length of the day, as "12 h", in place of the file's.
    #[arg(long, value_name = "TIME")]
    hours: Option<String>,
    /// Temperature of the batteries, as "-5 C" or "20 F", in place of the file's.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    cold: Option<String>,
    /// Draw the charge left over the day into this file.
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let hours = args.hours.as_deref().map(hours).transpose()?;
    let cold = args.cold.as_deref().map(cold).transpose()?;
    let opened = open(&args.rig, args.json, io)?;
    let rig = asked(&opened.rig, hours, cold);
    let done = told(&rig, |sheet| print(sheet, args, &opened.reading, io))?;
    done.unwrap_or_else(|| {
        Err(Stop::bad(
            "this rig file has nothing electrical",
            "add [battery.TAG], [consumer.TAG] and [cable.TAG]: docs/file-format.md lists their keys",
        ))
    })
}

/// A rig's power plan, worked out, to be told; `None` where nothing on it is electrical.
pub(crate) fn told<T>(rig: &Rig, tell: impl FnOnce(&Sheet<'_>) -> T) -> Result<Option<T>, Stop> {
    let Some(plan) = Plan::of(rig) else { return Ok(None) };
    let (answer, findings, needs) = power::answer(rig);
    // Where a cable's resistance is not known there are no tables; what is missing is among the needs.
    let tables = match &plan {
        Ok(plan) => {
            Some(Report::of(plan).map_err(|e| Stop::bad(format!("this power plan cannot be computed: {e}"), ""))?)
        }
        Err(_) => None,
    };
    let plan = plan.as_ref().ok();
    Ok(Some(tell(&Sheet { rig, plan, answer, findings: &findings, needs: &needs, tables: tables.as_ref() })))
}

fn print(sheet: &Sheet<'_>, args: &Args, reading: &Reading, io: &mut Io<'_>) -> Result<(), Stop> {
    io.status = match sheet.answer {
        Answer::Go => GO,
        Answer::Hold => HOLD,
        Answer::NoGo => NO_GO,
    };
    if let Some(path) = &args.chart {
        let day = sheet.tables.zip(sheet.rig.power.as_ref());
        let drawn = day.and_then(|(t, p)| chart::charge::over_the_day(sheet.rig, p, t));
        let Some(drawn) = drawn else {
            return Err(Stop::bad(
                "there is no day to draw",
                "state `hours` under [power] (or give --hours), and `charged` of each battery",
            ));
        };
        chart::save(path, &drawn)?;
    }
    if args.json {
        return json::write(&mut io.out, &json::power::Printed::of(sheet, io.status));
    }
    print::diagnostics::warnings(&mut io.out, reading)?;
    print::power::write(&mut io.out, sheet)?;
    Ok(())
}

fn hours(text: &str) -> Result<f64, Stop> {
    let value = quantity::parse_kind(text, Kind::Time)
        .map_err(|e| Stop::bad(format!("--hours {text}: {e}"), "write a time with its unit, as \"12 h\""))?;
    if !(60.0..=72.0 * 3600.0).contains(&value) {
        return Err(Stop::bad(format!("--hours {text}: not the length of a day's work"), "stay between 1 min and 72 h"));
    }
    Ok(value)
}

fn cold(text: &str) -> Result<f64, Stop> {
    let value = quantity::parse_kind(text, Kind::Temperature)
        .map_err(|e| Stop::bad(format!("--cold {text}: {e}"), "write a temperature with its unit, as \"-5 C\" or \"20 F\""))?;
    if !(223.15..=343.15).contains(&value) {
        return Err(Stop::bad(format!("--cold {text}: no battery works there"), "stay between -50 and 70 °C (-58 and 158 °F)"));
    }
    Ok(value)
}

/// The rig with the day and the cold that the command line asks for.
fn asked(rig: &Rig, hours: Option<f64>, cold: Option<f64>) -> Rig {
    let mut out = match cold {
        Some(kelvin) => rig::at_temperature(rig, kelvin),
        None => rig.clone(),
    };
    if let (Some(power), Some(seconds)) = (&mut out.power, hours) {
        power.hours = Some(Fact::stated(seconds, Kind::Time, "power.hours"));
    }
    out
}
