//! Settings tested before, and where to turn to.

use super::{Args, Told, log};
use crate::io::{Io, Stop};
use crate::open::text_at;
use mechanics::settle::{Curve, Setting, Tested};
use std::path::Path;

/// What the tested settings say.
#[derive(Debug)]
pub(crate) struct Turn {
    pub(crate) tests: Vec<Tested>,
    pub(crate) want: Option<(f64, Setting)>,
    /// Clicks at which the log was taken, and whether they were stated or read off the curve.
    pub(crate) now: Option<(f64, bool)>,
}

impl Turn {
    pub(crate) fn reached(&self) -> bool {
        !matches!(self.want, Some((_, Setting::Beyond { .. })))
    }
}

/// All of it; `None` where no settings are given.
pub(super) fn turn(args: &Args, told: Option<&Told>, io: &mut Io<'_>) -> Result<Option<Turn>, Stop> {
    let mut tests = Vec::new();
    for text in &args.test {
        tests.push(one(text, args, io)?);
    }
    if let Some(path) = &args.tests {
        tests.extend(table(path)?);
    }
    if tests.is_empty() {
        return match args.want {
            Some(_) => Err(Stop::bad(
                "--want needs settings that were tested",
                "add --test CLICKS=TRACE twice or more, or --tests TABLE.csv",
            )),
            None => Ok(None),
        };
    }
    // The log itself is one more test where its clicks are stated.
    let own = told.and_then(Told::settling).and_then(|s| s.ratio);
    if let (Some(at), Some(r)) = (args.at, own)
        && !tests.iter().any(|t: &Tested| (t.clicks - at).abs() < 1e-9)
    {
        tests.push(Tested { clicks: at, ratio: r.value, half_width: r.half_width() });
    }
    let curve = Curve::new(&tests).map_err(|e| Stop::bad(format!("the settings tested: {e}"), "clicks count from one end, the same end each time"))?;
    let want = args.want.map(|w| curve.setting(w).map(|s| (w, s))).transpose();
    let want = want.map_err(|e| Stop::bad(format!("--want: {e}"), "a damping ratio lies between 0 and 1; 0.3 is usual for a camera"))?;
    let read_off = own.and_then(|r| match curve.setting(r.value) {
        Ok(Setting::At { clicks, .. }) => Some((clicks, false)),
        _ => None,
    });
    let now = args.at.map(|at| (at, true)).or(read_off);
    Ok(Some(Turn { tests: curve.tests().to_vec(), want, now }))
}

/// `8=eight.csv` or `8=0.21`.
fn one(text: &str, args: &Args, io: &mut Io<'_>) -> Result<Tested, Stop> {
    let form = "write the clicks, = and a log or a ratio: --test 8=eight.csv, --test 8=0.21";
    let (clicks, rest) = text.split_once('=').ok_or_else(|| Stop::bad(format!("--test {text}: no ="), form))?;
    let clicks = clicks.trim().parse::<f64>().ok().filter(|c| c.is_finite());
    let clicks = clicks.ok_or_else(|| Stop::bad(format!("--test {text}: no number of clicks before the ="), form))?;
    if let Ok(ratio) = rest.trim().parse::<f64>() {
        return Ok(Tested { clicks, ratio, half_width: 0.0 });
    }
    let told = log::tell(Path::new(rest), args, io)?;
    match (told.settling().and_then(|s| s.ratio), &told.outcome) {
        (Some(r), _) => Ok(Tested { clicks, ratio: r.value, half_width: r.half_width() }),
        (None, Err(refusal)) => Err(Stop::bad(format!("--test {text}: {refusal}"), refusal.mend())),
        (None, Ok(_)) => Err(Stop::bad(
            format!("--test {text}: that log has no damping ratio (it creeps back, or it rubs)"),
            format!("clingfish settle {rest} says why; leave this setting out"),
        )),
    }
}

/// A table with a column `clicks` and a column `ratio`, and perhaps `plus_minus`.
fn table(path: &Path) -> Result<Vec<Tested>, Stop> {
    let name = path.display().to_string();
    let text = text_at(path)?;
    let form = "the first line names the columns clicks and ratio (and plus_minus, if known), one setting a line: 8,0.21";
    let mut lines = text.lines().enumerate().filter(|(_, l)| !l.trim().is_empty() && !l.trim_start().starts_with('#'));
    let (_, head) = lines.next().ok_or_else(|| Stop::bad(format!("{name} is empty"), form))?;
    let mark = if head.contains('\t') { '\t' } else if head.contains(';') { ';' } else { ',' };
    let names: Vec<String> = head.split(mark).map(|c| c.trim().trim_start_matches('\u{feff}').to_lowercase()).collect();
    let place = |what: &str| names.iter().position(|n| n == what);
    let (Some(clicks_at), Some(ratio_at)) = (place("clicks"), place("ratio")) else {
        return Err(Stop::bad(format!("{name}: no columns \"clicks\" and \"ratio\""), form));
    };
    let mut out = Vec::new();
    for (number, line) in lines {
        let cells: Vec<&str> = line.split(mark).map(str::trim).collect();
        let value = |at: usize| {
            let cell = cells.get(at).copied().unwrap_or("");
            let plain = if mark == ',' { cell.to_owned() } else { cell.replace(',', ".") };
            plain.parse::<f64>().ok().filter(|v| v.is_finite()).ok_or_else(|| {
                Stop::bad(format!("{name}, line {}, column {}: \"{cell}\" is no number", number + 1, at + 1), form)
            })
        };
        let half_width = place("plus_minus").map(value).transpose()?.unwrap_or(0.0);
        out.push(Tested { clicks: value(clicks_at)?, ratio: value(ratio_at)?, half_width });
    }
    Ok(out)
}
