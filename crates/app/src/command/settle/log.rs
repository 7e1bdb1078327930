//! A log from its path to what it tells.

use super::{Args, Told};
use crate::io::{Io, Stop};
use crate::open::{text_at, text_of};
use mechanics::settle::{Record, Signal, analyse};
use quantity::Kind as Amount;
use std::path::Path;
use trace::{Ask, Kind, Trace};

/// A log as read.
#[derive(Debug)]
pub(crate) struct Log {
    pub(crate) name: String,
    pub(crate) trace: Trace,
}

/// Reads a log and analyses it.
pub(super) fn tell(path: &Path, args: &Args, io: &mut Io<'_>) -> Result<Told, Stop> {
    let (name, text) = if path == Path::new("-") {
        ("standard input".to_owned(), text_of(&mut *io.input, "the standard input")?)
    } else {
        (path.display().to_string(), text_at(path)?)
    };
    let ask = Ask {
        time: args.time.as_deref(),
        signal: args.signal.as_deref(),
        unit: args.unit.as_deref(),
        time_unit: args.time_unit.as_deref(),
    };
    let cut = Cut { from: args.from.as_deref(), until: args.until.as_deref() };
    told_of(&name, &text, &ask, &cut)
}

/// What is left out of a log, in seconds from its first sample, as written.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Cut<'a> {
    pub(crate) from: Option<&'a str>,
    pub(crate) until: Option<&'a str>,
}

/// What the text of a log tells; `name` is what it is called where something is wrong with it.
pub(crate) fn told_of(name: &str, text: &str, ask: &Ask<'_>, left_out: &Cut<'_>) -> Result<Told, Stop> {
    let mut trace = trace::read(text, ask).map_err(|f| Stop::bad(format!("{name}: {f}"), f.mend))?;
    cut(&mut trace, left_out, name)?;
    let signal = match trace.kind {
        Kind::Angle => Signal::Angle,
        Kind::AngularRate => Signal::AngularRate,
        Kind::Acceleration => Signal::Acceleration,
        Kind::Displacement => Signal::Displacement,
    };
    let outcome = Record::new(&trace.samples, signal).and_then(|r| analyse(&r));
    Ok(Told { log: Log { name: name.to_owned(), trace }, outcome })
}

/// Leaves out what `--from` and `--until` say.
fn cut(trace: &mut Trace, cut: &Cut<'_>, name: &str) -> Result<(), Stop> {
    let seconds = |option: &str, text: &str| {
        quantity::parse_kind(text, Amount::Time)
            .map_err(|f| Stop::bad(format!("{option} {text}: {}", f.what), format!("{}; write seconds from the first sample, as 2.5 s", f.mend)))
    };
    let from = cut.from.map(|t| seconds("--from", t)).transpose()?.unwrap_or(f64::NEG_INFINITY);
    let until = cut.until.map(|t| seconds("--until", t)).transpose()?.unwrap_or(f64::INFINITY);
    let long = trace.samples.last().map_or(0.0, |s| s.0);
    trace.samples.retain(|(t, _)| (from..=until).contains(t));
    if trace.samples.is_empty() {
        return Err(Stop::bad(
            format!("{name}: nothing is left between --from and --until"),
            format!("the log is {long:.1} s long; both count from its first sample"),
        ));
    }
    Ok(())
}
