//! `clingfish settle`.

mod clicks;
mod count;
mod log;

use crate::io::{Io, Stop};
use crate::{HOLD, chart, json, print};
pub(crate) use clicks::Turn;
pub(crate) use count::Swings;
pub(crate) use log::{Cut, Log, told_of};
use mechanics::settle::{Outcome, Refusal, Settling, differ};
use std::path::PathBuf;

/// Say how the payload settles on its isolator, from a release test.
#[derive(Debug, clap::Args)]
#[command(after_help = "Press the payload down, hold, let go, hands off; log until it hangs still.\n\n\
Examples:\n  clingfish settle roll.csv\n  clingfish settle log.csv --signal \"gyro z\" --chart roll.svg\n  \
clingfish settle --swings 10:1/5/6.2 --reading 0.5\n  \
clingfish settle now.csv --test 4=four.csv --test 8=eight.csv --want 0.3\n  \
clingfish settle left.csv --pair right.csv\n\n\
Exit status: 0 an answer, 10 the trace does not tell it (HOLD); 2 when the input is bad.")]
pub(crate) struct Args {
    /// The log as text (CSV, tabs, semicolons); - reads the standard input.
    #[arg(required_unless_present_any = ["swings", "test", "tests"])]
    pub(crate) trace: Option<PathBuf>,
    /// Column of time, by name or number.
    #[arg(long, value_name = "COLUMN")]
    pub(crate) time: Option<String>,
    /// Unit of time: s, ms, us or ns.
    #[arg(long, value_name = "UNIT")]
    pub(crate) time_unit: Option<String>,
    /// Column of the signal, by name or number.
    #[arg(long, value_name = "COLUMN")]
    pub(crate) signal: Option<String>,
    /// Unit of the signal: deg, rad, deg/s, rad/s, m/s2, g, mm, in.
    #[arg(long)]
    pub(crate) unit: Option<String>,
    /// Leave out what comes before, as "2 s" from the first sample.
    #[arg(long, value_name = "TIME")]
    pub(crate) from: Option<String>,
    /// Leave out what comes after, as "9 s" from the first sample.
    #[arg(long, value_name = "TIME")]
    pub(crate) until: Option<String>,
    /// Counted by eye: first size : last size / cycles / seconds.
    #[arg(long, value_name = "10:1/5/6.2", conflicts_with_all = ["trace", "test", "tests", "pair", "chart"])]
    pub(crate) swings: Option<String>,
    /// How far a size counted by eye may be off. Left out: half a last digit.
    #[arg(long, requires = "swings")]
    pub(crate) reading: Option<f64>,
    /// A setting tested before: clicks = its log or its ratio; repeated.
    #[arg(long, value_name = "CLICKS=TRACE")]
    pub(crate) test: Vec<String>,
    /// A table of settings tested before: columns clicks, ratio.
    #[arg(long, value_name = "FILE")]
    pub(crate) tests: Option<PathBuf>,
    /// The damping ratio that is wanted.
    #[arg(long, value_name = "RATIO")]
    pub(crate) want: Option<f64>,
    /// Clicks at which the log was taken.
    #[arg(long, value_name = "CLICKS", requires = "trace")]
    pub(crate) at: Option<f64>,
    /// The log of the other damper of the axis.
    #[arg(long, value_name = "TRACE", requires = "trace")]
    pub(crate) pair: Option<PathBuf>,
    /// Write the trace, the fit and its envelope as a drawing.
    #[arg(long, value_name = "FILE.svg", requires = "trace")]
    pub(crate) chart: Option<PathBuf>,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    pub(crate) json: bool,
}

/// A log and what it tells.
#[derive(Debug)]
pub(crate) struct Told {
    pub(crate) log: Log,
    pub(crate) outcome: Result<Outcome, Refusal>,
}

impl Told {
    pub(crate) fn settling(&self) -> Option<&Settling> {
        match &self.outcome {
            Ok(Outcome::Swings(s)) => Some(s),
            _ => None,
        }
    }
}

/// The other damper, and the difference over its 95 % half width where both have a ratio.
#[derive(Debug)]
pub(crate) struct Pair {
    pub(crate) told: Told,
    pub(crate) apart: Option<f64>,
}

/// Everything to print.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) told: Option<Told>,
    pub(crate) pair: Option<Pair>,
    pub(crate) turn: Option<Turn>,
    pub(crate) swings: Option<Swings>,
}

impl Answer {
    /// Whether something asked for has no number.
    fn held(&self) -> bool {
        let no = |t: &Told| t.outcome.is_err();
        self.told.as_ref().is_some_and(no)
            || self.pair.as_ref().is_some_and(|p| no(&p.told))
            || self.turn.as_ref().is_some_and(|t| !t.reached())
    }
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let swings = args.swings.as_deref().map(|s| count::swings(s, args.reading)).transpose()?;
    let told = args.trace.as_deref().map(|path| log::tell(path, args, io)).transpose()?;
    let pair = args.pair.as_deref().map(|path| log::tell(path, args, io)).transpose()?;
    let pair = pair.map(|other| {
        let ratios = (told.as_ref().and_then(Told::settling), other.settling());
        let apart = match (ratios.0.and_then(|s| s.ratio), ratios.1.and_then(|s| s.ratio)) {
            (Some(a), Some(b)) => Some(differ(&a, &b)),
            _ => None,
        };
        Pair { told: other, apart }
    });
    let turn = clicks::turn(args, told.as_ref(), io)?;
    let answer = Answer { told, pair, turn, swings };
    io.status = if answer.held() { HOLD } else { crate::GO };
    if let (Some(path), Some(told)) = (&args.chart, &answer.told) {
        chart::save(path, &chart::settling::over_time(told))?;
    }
    if args.json {
        return json::write(&mut io.out, &json::settle::Settle::of(&answer, io.status));
    }
    print::settle::write(&mut io.out, &answer)?;
    if let Some(path) = &args.chart {
        writeln!(io.out, "\nDrawn in {}", path.display())?;
    }
    Ok(())
}
