//! `clingfish round`.

use crate::io::{Io, Stop};
use crate::near::nearest;
use crate::notebook::{Which, Who};
use crate::print::text::hang;
use crate::{json, print};
use quantity::{Kind, parse_kind};
use record::{Reading, Value};
use std::path::PathBuf;
use verdict::limits;
use verdict::verdict::Options;
use watch::{built::AsBuilt, rounds};

/// Walk round the cups: enter each gauge, see leaks, time left and the next round.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish round FL=\"23.5 inHg\" FR=\"79 kPa\" --by \"R. Berg\"\n  \
clingfish round RL=\"80 kPa\" --pumped --by \"R. Berg\"\n  clingfish round               what the readings say so far\n\n\
Readings count from the last time the cup was pumped. The leak is fitted with its\n\
uncertainty: the earliest time to the limit is what counts, and the next round is\n\
due at half of it. docs/mechanics 17.\n\n\
Exit status: 0; 10 when a cup wants to be pumped, looked at or read now;\n20 when one is under what it needs; 2 when the input is bad.")]
pub(crate) struct Args {
    /// Cup and gauge, like FL="23.5 inHg".
    readings: Vec<String>,
    /// The cups were pumped just before these readings.
    #[arg(long)]
    pumped: bool,
    /// Temperature of the air, if it is not the day's.
    #[arg(long, allow_hyphen_values = true)]
    temperature: Option<String>,
    /// Height over the sea, if it is not the site's.
    #[arg(long, allow_hyphen_values = true)]
    altitude: Option<String>,
    /// The gauge, if it is not the cup's own.
    #[arg(long, default_value = "its gauge", hide_default_value = true)]
    gauge: String,
    /// Draw the readings as an SVG.
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Print JSON instead of words.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    which: Which,
    /// Who reads. Can stand in the environment as `CLINGFISH_BY`.
    #[arg(long, value_name = "NAME", env = "CLINGFISH_BY", hide_env = true)]
    by: Option<String>,
    /// The device it is written on.
    #[arg(long, value_name = "DEVICE", default_value = "command line", hide_default_value = true)]
    device: String,
    /// The number of a reading that this one puts right.
    #[arg(long, value_name = "NUMBER")]
    corrects: Option<u32>,
}

impl Args {
    /// Cups and their gauges, all of them sound or none.
    fn parsed(&self, rig: &rig::Rig) -> Result<Vec<(String, String)>, Stop> {
        let tags: Vec<String> = rig.cups.iter().map(|c| c.tag.clone()).collect();
        let one = |text: &String| {
            let (tag, value) = text.split_once('=').ok_or_else(|| {
                Stop::bad(format!("\"{text}\" is no cup and gauge"), "write it like FL=\"23.5 inHg\"")
            })?;
            let (tag, value) = (tag.trim(), value.trim());
            let tag = tags.iter().find(|t| t.as_str() == tag).or_else(|| tags.iter().find(|t| t.eq_ignore_ascii_case(tag)));
            let tag = tag.ok_or_else(|| {
                let asked = text.split('=').next().unwrap_or_default();
                let near = nearest(asked, &tags).map_or(String::new(), |n| format!("did you mean {n}? "));
                Stop::bad(format!("no cup is called \"{asked}\""), format!("{near}the cups are {}", tags.join(", ")))
            })?;
            gauge(tag, value)?;
            Ok((tag.clone(), value.to_owned()))
        };
        let all: Vec<(String, String)> = self.readings.iter().map(one).collect::<Result<_, Stop>>()?;
        for (i, (tag, _)) in all.iter().enumerate() {
            if all[..i].iter().any(|(t, _)| t == tag) {
                return Err(Stop::bad(format!("cup {tag} stands twice"), "enter each cup once a round"));
            }
        }
        for (text, kind, option) in [(&self.temperature, Kind::Temperature, "--temperature"), (&self.altitude, Kind::Length, "--altitude")] {
            if let Some(Err(fault)) = text.as_ref().map(|t| parse_kind(t, kind)) {
                return Err(Stop::bad(format!("{option}: {fault}"), "write it with its unit"));
            }
        }
        Ok(all)
    }
}

/// Refuses what no gauge of a cup can show.
pub(crate) fn gauge(tag: &str, value: &str) -> Result<(), Stop> {
    let vacuum = parse_kind(value, Kind::Pressure)
        .map_err(|f| Stop::bad(format!("cup {tag}: {f}"), "read the gauge with its unit: 80 kPa, 23.5 inHg, 0.8 bar"))?;
    if (0.0..=102_000.0).contains(&vacuum) {
        return Ok(());
    }
    Err(Stop::bad(
        format!("cup {tag}: {value} is no vacuum"),
        "what counts is how far the gauge is below the air outside: from 0 to about 101 kPa (30 inHg), positive",
    ))
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let mut book = args.which.open()?;
    let past = book.past()?;
    let reading = AsBuilt::of(&past).read(&past, &[]).ok_or_else(|| Stop::bad("the job has no plan", "clingfish job change RIG gives it one"))?;
    let Some(rig) = &reading.rig else {
        io.status = crate::BAD_INPUT;
        print::diagnostics::errors(&mut io.err, &reading)?;
        return Err(Stop::Said);
    };
    let readings = args.parsed(rig)?;
    if !readings.is_empty() {
        let by = args.by.clone().ok_or_else(|| Stop::bad("nobody is named", "add --by NAME: a reading carries who took it"))?;
        let who = Who { by, device: args.device.clone(), corrects: args.corrects };
        for (tag, vacuum) in readings {
            let value = Value::Reading(Reading {
                vacuum,
                with: args.gauge.clone(),
                pumped: args.pumped,
                temperature: args.temperature.clone(),
                pressure: None,
                altitude: args.altitude.clone(),
            });
            book.write(&who, &tag, value)?;
        }
    }
    let past = book.past()?;
    let options = Options::default();
    let least = limits::vacuum(rig, options.resolution, options.build).map_err(|f| super::check::cannot(&f))?;
    let limits: Vec<Option<f64>> = least.iter().map(|v| v.least).collect();
    let rounds = rounds::of(&past, rig, &limits);
    let view = print::rounds::View { rig, rounds: &rounds, due_ms: rounds::due_ms(rig, &rounds), now_ms: book.now_ms(), clock: &book.clock };
    io.status = view.status();
    if let Some(file) = &args.chart {
        let chart = crate::chart::rounds::of(rig, &rounds)
            .ok_or_else(|| Stop::bad("there is nothing to draw yet", "enter readings first"))?;
        crate::chart::save_svg(file, &chart.svg_for(draw::chart::Width::Page))?;
        if !args.json {
            hang(&mut io.out, "", &format!("Drawn: {}", file.display()))?;
        }
    }
    if args.json {
        return json::write(&mut io.out, &json::rounds::Rounds::of(&view));
    }
    Ok(print::rounds::write(&mut io.out, &view)?)
}
