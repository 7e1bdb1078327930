//! `clingfish go`.

use super::build::told;
use super::check::{cannot, status_of};
use crate::io::{Io, Stop};
use crate::notebook::Which;
use crate::progress::Progress;
use crate::{json, print};
use record::Value;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use verdict::Answer;
use verdict::verdict::Options;
use watch::{Standing, Trouble};

/// Say GO, HOLD or NO-GO for a job as it stands now: as built, signed, read and in this weather.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish go\n  clingfish go --keep --by \"R. Berg\"     and write the answer into the record\n\n\
It is the verdict of clingfish check on the rig as it was measured, with the\n\
freshest gauge readings and what they may lose until the next round, in the weather\n\
that was logged; and it is a HOLD while a step, a signature or a reading is missing.\n\n\
Exit status: 0 GO, 10 HOLD, 20 NO-GO; 2 when the input is bad.")]
pub(crate) struct Args {
    /// Write the answer into the record.
    #[arg(long, requires = "by")]
    keep: bool,
    /// Who asks. Can stand in the environment as `CLINGFISH_BY`.
    #[arg(long, value_name = "NAME", env = "CLINGFISH_BY", hide_env = true)]
    by: Option<String>,
    /// Print JSON instead of words.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    which: Which,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let mut book = args.which.open()?;
    let past = book.past()?;
    let after = "all states seen; trying what is assumed at the ends of its range";
    let progress = Progress::new(io.progress, "states", after);
    let tick = |done: u64, all: u64| progress.tick(done, all);
    let options = Options { tick: &tick, ..Options::default() };
    let standing = Standing::of(&past, book.now_ms(), &options);
    drop(progress);
    let standing = standing.map_err(|trouble| match trouble {
        Trouble::Unread(reading) => {
            io.status = crate::BAD_INPUT;
            match print::diagnostics::errors(&mut io.err, &reading) {
                Ok(()) => Stop::Said,
                Err(e) => Stop::Stream(e),
            }
        }
        other => untold(other),
    })?;
    io.status = status_of(standing.answer);
    if args.keep {
        let who = crate::notebook::Who {
            by: args.by.clone().unwrap_or_default(),
            device: "command line".to_owned(),
            corrects: None,
        };
        let wants = standing.against.iter().chain(&standing.wants).map(|w| print::standing::short(&w.what));
        let value = Value::Verdict(record::Verdict {
            answer: match standing.answer {
                Answer::Go => record::Answer::Go,
                Answer::Hold => record::Answer::Hold,
                Answer::NoGo => record::Answer::NoGo,
            },
            fingerprint: fingerprint(&standing),
            program: format!("clingfish {}", env!("CARGO_PKG_VERSION")),
            reasons: wants.take(20).collect(),
        });
        book.write(&who, "", value)?;
    }
    let head = book.store.head(&book.job.id).map_err(|f| crate::notebook::stop(&f))?;
    if args.json {
        return json::write(&mut io.out, &json::standing::Stands::of(&book.job, &standing, &head, io.status));
    }
    Ok(print::standing::write(&mut io.out, &book, &standing, &head)?)
}

/// Why nothing can be said, in one sentence.
pub(crate) fn untold(trouble: Trouble) -> Stop {
    match trouble {
        Trouble::NoPlan => Stop::bad("the job has no plan", "clingfish job change RIG gives it one"),
        Trouble::Steps(faults) => told(&faults),
        Trouble::Fault(fault) => cannot(&fault),
        Trouble::Unread(reading) => {
            let first = reading.diagnostics.into_iter().find(|d| d.severity == rig::Severity::Error);
            first.map_or_else(
                || Stop::bad("the plan cannot be read as it was built", ""),
                |d| Stop::bad(if d.why.is_empty() { d.message } else { format!("{}: {}", d.message, d.why) }, d.mend),
            )
        }
    }
}

/// SHA-256 of the plan's files and the measured values, one after the other.
pub(crate) fn fingerprint(standing: &Standing) -> String {
    let mut sum = Sha256::new();
    for source in &standing.reading.sources {
        sum.update(source.name.len().to_le_bytes());
        sum.update(source.name.as_bytes());
        sum.update(source.text.len().to_le_bytes());
        sum.update(source.text.as_bytes());
    }
    sum.finalize().iter().fold(String::new(), |mut out, b| {
        let _ = write!(out, "{b:02x}");
        out
    })
}
