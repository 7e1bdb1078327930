//! `clingfish lift`.

use crate::io::{Io, Stop};
use crate::open::open;
use crate::{GO, HOLD, NO_GO, json, print};
use method::lifts::{Lifts, Stand, lifts};
use method::line::{Top, Under, tops, under_line};
use quantity::Kind;
use rig::Rig;
use std::path::PathBuf;

/// Say how many people each lift onto the car takes, and how near a power line is.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish lift night.toml\n  \
clingfish lift night.toml --from \"21 in\"        the load lies on a case\n  \
clingfish lift night.toml --stand \"0.5 m\"       people and load on a platform\n\n\
Exit status: 0; 10 when a part is beyond any team of three (arrange another\n\
way); 20 when the boom can come nearer to the stated line than the rule asks;\n\
2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Height that the load lies at, over where people stand.
    #[arg(long, value_name = "LENGTH", default_value = "0 m")]
    from: String,
    /// Height of the hands over what the load lies on.
    #[arg(long, value_name = "LENGTH", default_value = "0.2 m")]
    hands: String,
    /// Height of what people and load stand on, over the road.
    #[arg(long, value_name = "LENGTH", default_value = "0 m")]
    stand: String,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

/// What the command has to say.
pub(crate) struct Sheet<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) stand: Stand,
    pub(crate) lifts: &'a Lifts,
    pub(crate) tops: &'a [Top],
    pub(crate) under: &'a [Under],
}

impl Sheet<'_> {
    /// Whether something can come too near to the line.
    pub(crate) fn is_too_near(&self) -> bool {
        self.under.iter().any(|u| u.margin_m().is_some_and(|m| m < 0.0))
    }

    /// Whether something has to be arranged or asked first.
    pub(crate) fn is_hold(&self) -> bool {
        self.lifts.lifts.iter().any(|l| l.least.is_none())
            || self.under.iter().any(|u| u.margin_m().is_none_or(f64::is_nan))
    }
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let stand = Stand {
        from_m: height("--from", &args.from)?,
        hands_m: height("--hands", &args.hands)?,
        stand_m: height("--stand", &args.stand)?,
    };
    let opened = open(&args.rig, args.json, io)?;
    let rig = &opened.rig;
    let all = lifts(rig, stand).map_err(|e| Stop::bad(format!("the lifts cannot be computed: {e}"), ""))?;
    let (tops, under) = (tops(rig), under_line(rig));
    let sheet = Sheet { rig, stand, lifts: &all, tops: &tops, under: &under };
    io.status = match (sheet.is_too_near(), sheet.is_hold()) {
        (true, _) => NO_GO,
        (false, true) => HOLD,
        (false, false) => GO,
    };
    if args.json {
        return json::write(&mut io.out, &json::lift::Printed::of(&sheet, io.status));
    }
    print::diagnostics::warnings(&mut io.out, &opened.reading)?;
    print::lift::write(&mut io.out, &sheet)?;
    Ok(())
}

fn height(option: &str, text: &str) -> Result<f64, Stop> {
    let m = quantity::parse_kind(text, Kind::Length)
        .map_err(|e| Stop::bad(format!("{option} {text}: {e}"), "write a height with its unit, as \"0.55 m\" or \"21 in\""))?;
    if (0.0..=3.0).contains(&m) {
        Ok(m)
    } else {
        Err(Stop::bad(format!("{option} {text}: not a height that people lift from"), "stay between 0 and 3 m (9 ft 10 in)"))
    }
}
