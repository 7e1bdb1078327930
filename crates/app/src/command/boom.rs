//! `clingfish boom`.

use super::balance::no_arm;
use super::check::cannot;
use crate::io::{Io, Stop};
use crate::open::open;
use crate::{GO, HOLD, NO_GO, json, print};
use std::path::PathBuf;
use verdict::boom::{Boom, NoBoom};
use verdict::verdict::Options;
use verdict::{Finding, Outcome};

/// Say how the boom sags, leans and shakes, and what its joints carry.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish boom night.toml\n  clingfish boom night.toml --json\n\n\
Exit status: 0 looked at; 10 a tube or a ring of bolts is not known (HOLD);\n20 a joint or a tube fails (NO-GO); 2 when the input is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let opened = open(&args.rig, args.json, io)?;
    let rig = &opened.rig;
    let boom = match Boom::of(rig, &Options::default()) {
        Ok(boom) => boom,
        Err(NoBoom::NoArm) => return Err(no_arm()),
        Err(NoBoom::Fault(fault)) => return Err(cannot(&fault)),
        Err(NoBoom::Missing(missing)) => {
            io.status = HOLD;
            if args.json {
                return json::write(&mut io.out, &json::boom::NotKnown::of(rig, &missing, io.status));
            }
            print::boom::refuse(&mut io.out, rig, &missing)?;
            return Ok(());
        }
    };
    let found: Vec<&Finding> = boom.meetings.iter().flat_map(|m| m.bolts.iter().chain(&m.stress)).collect();
    io.status = if found.iter().any(|f| f.outcome == Outcome::Fails) {
        NO_GO
    } else if found.iter().any(|f| matches!(f.outcome, Outcome::NotChecked(_))) {
        HOLD
    } else {
        GO
    };
    if args.json {
        return json::write(&mut io.out, &json::boom::Shape::of(rig, &boom, io.status));
    }
    print::diagnostics::warnings(&mut io.out, &opened.reading)?;
    print::boom::write(&mut io.out, rig, &boom)?;
    Ok(())
}
