//! A file to samples.

use crate::clock::{self, Time};
use crate::fault::{Fault, shown};
use crate::head::{Head, heads};
use crate::number::{Cell, Mark, cell};
use crate::order::{Stamped, in_order, unit_by_step, usual_step};
use crate::pick;
use crate::table::{Table, table};
use crate::unit::{Kind, Unit, unit};

/// What a person chose; nothing is found where it is clear.
#[derive(Clone, Copy, Debug, Default)]
pub struct Ask<'a> {
    /// Name or number of the column of time.
    pub time: Option<&'a str>,
    /// Name or number of the signal's column.
    pub signal: Option<&'a str>,
    /// Unit of the signal.
    pub unit: Option<&'a str>,
    /// Unit of the time.
    pub time_unit: Option<&'a str>,
}

/// A column that was used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Number, from 1.
    pub number: usize,
    /// Name without its unit.
    pub name: String,
    /// Unit as used.
    pub unit: String,
}

/// Samples of time and one signal.
#[derive(Clone, Debug)]
pub struct Trace {
    /// Seconds from the first sample, and the signal in SI, by rising time.
    pub samples: Vec<(f64, f64)>,
    /// What the signal is.
    pub kind: Kind,
    /// SI in one unit of the signal.
    pub unit_si: f64,
    /// The column of time.
    pub time: Column,
    /// The column of the signal.
    pub signal: Column,
    /// What was taken to be so, or mended, in words.
    pub notes: Vec<String>,
}

/// Reads a file.
///
/// # Errors
///
/// [`Fault`] with the place and how to mend it; where columns are not clear it lists them and names the option that chooses.
pub fn read(text: &str, ask: &Ask<'_>) -> Result<Trace, Fault> {
    let table = table(text)?;
    let heads = heads(&table);
    let time = pick::time(&table, &heads, ask.time)?;
    let (signal, chosen) = pick::signal(&table, &heads, time, ask.signal)?;
    let mut notes: Vec<String> = chosen.into_iter().collect();
    let (unit_text, kind, unit_si) = signal_unit(signal, ask.unit, &heads, &mut notes)?;
    widths(&table, &heads)?;
    let stamps = stamps(&table, time, signal)?;
    let (time_text, samples) = in_seconds(stamps, time, ask.time_unit, &mut notes)?;
    let (samples, mended) = in_order(samples, (&time.name, time.number))?;
    if mended.swapped > 0 {
        notes.push(format!("{} out of order put in order", counted(mended.swapped, "sample")));
    }
    if mended.repeated > 0 {
        notes
            .push(format!("{} with the time of the one before left out", counted(mended.repeated, "sample")));
    }
    gaps(&samples, &mut notes);
    let start = samples.first().map_or(0.0, |s| s.t_s);
    let mut values: Vec<(f64, f64)> = samples.iter().map(|s| (s.t_s - start, s.value * unit_si)).collect();
    // Stamps far apart may fall together by rounding.
    values.dedup_by(|b, a| b.0 <= a.0);
    Ok(Trace {
        samples: values,
        kind,
        unit_si,
        time: Column { number: time.number, name: time.name.clone(), unit: time_text },
        signal: Column { number: signal.number, name: signal.name.clone(), unit: unit_text },
        notes,
    })
}

/// A line with more cells than the head has: decimal commas between commas, as a rule.
fn widths(table: &Table, heads: &[Head]) -> Result<(), Fault> {
    if table.head.is_empty() {
        return Ok(());
    }
    let full = |cells: &[String]| cells.iter().rposition(|c| !c.is_empty()).map_or(0, |i| i + 1);
    let Some(row) = table.rows.iter().find(|r| full(&r.cells) > table.head.len()) else { return Ok(()) };
    let what = format!("{} cells, and the head names {}", full(&row.cells), table.head.len());
    let mend = if table.comma {
        format!("give the head as many names as there are columns: {}", pick::listed(heads))
    } else {
        "if commas part the decimals, export with semicolons between the cells".to_owned()
    };
    Err(Fault::whole(what, mend).at_line(row.line))
}

/// Unit of the signal: as asked, else from the head.
fn signal_unit(
    signal: &Head,
    asked: Option<&str>,
    heads: &[Head],
    notes: &mut Vec<String>,
) -> Result<(String, Kind, f64), Fault> {
    const UNITS: &str = "deg, rad, deg/s, rad/s, m/s2, g, mm or in";
    if let Some(asked) = asked {
        let Some(Unit::Signal(kind, si)) = unit(asked) else {
            return Err(Fault::whole(
                format!(
                    "\"{}\" is no unit of an angle, a rate, an acceleration or a displacement",
                    shown(asked)
                ),
                format!("--unit takes {UNITS}"),
            ));
        };
        if let Some((written, Unit::Signal(k, s))) = &signal.unit
            && (*k != kind || (s / si - 1.0).abs() > 1e-9)
        {
            notes.push(format!(
                "the head says {}, --unit says {}: the latter is taken",
                shown(written),
                shown(asked)
            ));
        }
        return Ok((asked.trim().to_owned(), kind, si));
    }
    match &signal.unit {
        Some((text, Unit::Signal(kind, si))) => Ok((text.clone(), *kind, *si)),
        Some((text, _)) => Err(Fault::whole(
            format!(
                "\"{}\" is in {}: no angle, rate, acceleration or displacement",
                shown(&signal.name),
                shown(text)
            ),
            format!(
                "choose another column with --signal, or state the unit with --unit ({UNITS}); there are: {}",
                pick::listed(heads)
            ),
        )),
        None => Err(Fault::whole(
            format!("the head does not say the unit of \"{}\"", shown(&signal.name)),
            format!("state it with --unit ({UNITS}), or write it in the head: {} [deg]", shown(&signal.name)),
        )),
    }
}

/// A stamp before its unit is known. Whole numbers stay whole: nanoseconds since 1970 have more digits than a float.
#[derive(Clone, Copy, Debug)]
enum Stamp {
    Whole(i128),
    Number(f64),
    Clock(Time),
}

struct Raw {
    line: u64,
    stamp: Stamp,
    value: f64,
}

/// Both cells of each line. Lines without a value or without a time are left out; anything that is no number is a fault.
fn stamps(table: &Table, time: &Head, signal: &Head) -> Result<(Vec<Raw>, usize), Fault> {
    let mut out = Vec::new();
    let mut missing = 0;
    let mut marks = [Mark::None; 2];
    for row in &table.rows {
        let text = |h: &Head| row.cells.get(h.number - 1).map_or("", String::as_str);
        let fault = |h: &Head, what: String, mend: &str| {
            Fault::whole(what, mend).at_line(row.line).in_column(&h.name, h.number)
        };
        let (t, y) = (text(time), text(signal));
        let mut mark = |slot: usize, h: &Head, m: Mark| {
            let seen = marks.get_mut(slot);
            if let Some(seen) = seen {
                if *seen != Mark::None && m != Mark::None && *seen != m {
                    let what = "decimal comma and decimal point in one column".to_owned();
                    return Err(fault(h, what, "export the file again with one of them"));
                }
                if m != Mark::None {
                    *seen = m;
                }
            }
            Ok(())
        };
        let stamp = match cell(t, table.comma) {
            Cell::Number(v, m) => {
                mark(0, time, m)?;
                let whole = t.trim().trim_matches('"').trim_start_matches('+').parse::<i128>();
                whole.ok().filter(|w| w.unsigned_abs() < 1 << 90).map_or(Stamp::Number(v), Stamp::Whole)
            }
            Cell::Missing => {
                missing += 1;
                continue;
            }
            Cell::Text => {
                let Some(s) = clock::seconds(t) else {
                    let mend = "mend the cell, or choose another column with --time";
                    return Err(fault(time, format!("\"{}\" is no time", shown(t)), mend));
                };
                Stamp::Clock(s)
            }
        };
        let value = match cell(y, table.comma) {
            Cell::Number(v, m) => {
                mark(1, signal, m)?;
                v
            }
            Cell::Missing => {
                missing += 1;
                continue;
            }
            Cell::Text => {
                let mend = "mend the cell or empty it, or choose another column with --signal";
                return Err(fault(signal, format!("\"{}\" is no number", shown(y)), mend));
            }
        };
        out.push(Raw { line: row.line, stamp, value });
    }
    if out.is_empty() || missing > out.len() {
        let what = format!("{missing} of {} lines lack a time or a value", missing + out.len());
        return Err(Fault::whole(what, "choose another column with --signal, or export again")
            .in_column(&signal.name, signal.number));
    }
    Ok((out, missing))
}

/// Times in seconds from the first, with the unit in words.
fn in_seconds(
    (raw, missing): (Vec<Raw>, usize),
    time: &Head,
    asked: Option<&str>,
    notes: &mut Vec<String>,
) -> Result<(String, Vec<Stamped>), Fault> {
    if missing > 0 {
        notes.push(format!("{} without a time or a value left out", counted(missing, "line")));
    }
    let first = raw.first().map_or(Stamp::Number(0.0), |r| r.stamp);
    let mut day = 0.0;
    let mut last_clock = f64::NAN;
    let mut count = Vec::with_capacity(raw.len());
    for r in &raw {
        let since = match (first, r.stamp) {
            (Stamp::Clock(Time::Clock(zero)), Stamp::Clock(Time::Clock(now))) => {
                // Over midnight a clock starts again.
                if now + 43_200.0 < last_clock {
                    day += 86_400.0;
                }
                last_clock = now;
                now + day - zero
            }
            (Stamp::Clock(Time::Date(d, s)), Stamp::Clock(Time::Date(day, second))) => {
                (day - d) * 86_400.0 + (second - s)
            }
            #[allow(clippy::cast_precision_loss, reason = "a difference of stamps within one log")]
            (Stamp::Whole(zero), Stamp::Whole(now)) => (now - zero) as f64,
            (Stamp::Clock(_), _) | (_, Stamp::Clock(_)) => {
                let fault = Fault::whole(
                    "clock and number in one column of time",
                    "choose another column with --time",
                );
                return Err(fault.at_line(r.line).in_column(&time.name, time.number));
            }
            (zero, now) => number(now) - number(zero),
        };
        count.push(since);
    }
    let (text, si) = match (first, asked, &time.unit) {
        (Stamp::Clock(_), ..) => ("clock".to_owned(), 1.0),
        (_, Some(asked), _) => match unit(asked) {
            Some(Unit::Time(si)) => (asked.trim().to_owned(), si),
            _ => {
                return Err(Fault::whole(
                    format!("\"{}\" is no unit of time", shown(asked)),
                    "--time-unit takes s, ms, us or ns",
                ));
            }
        },
        (_, None, Some((text, Unit::Time(si)))) => (text.clone(), *si),
        _ => {
            let step = usual_step(count.iter().copied());
            let Some((si, text)) = unit_by_step(step) else {
                return Err(Fault::whole(
                    format!(
                        "the head does not say the unit of \"{}\", and steps of {step} leave it open",
                        shown(&time.name)
                    ),
                    "state it with --time-unit (s, ms, us or ns)",
                )
                .in_column(&time.name, time.number));
            };
            notes.push(format!("unit of time not stated: taken as {text}, since loggers take 5 to 1000 samples a second (--time-unit says otherwise)"));
            (text.to_owned(), si)
        }
    };
    let samples = raw.iter().zip(count).map(|(r, c)| Stamped { line: r.line, t_s: c * si, value: r.value });
    Ok((text, samples.collect()))
}

#[allow(clippy::cast_precision_loss, reason = "a mixed column has small numbers, or is no better for it")]
fn number(stamp: Stamp) -> f64 {
    match stamp {
        Stamp::Whole(w) => w as f64,
        Stamp::Number(n) => n,
        Stamp::Clock(c) => c.seconds(),
    }
}

/// `1 line`, `2 lines`.
fn counted(n: usize, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}

/// Tells the longest gap.
fn gaps(samples: &[Stamped], notes: &mut Vec<String>) {
    let step = usual_step(samples.iter().map(|s| s.t_s));
    let steps =
        samples.windows(2).filter_map(|w| if let [a, b] = w { Some((b.t_s - a.t_s, b.line)) } else { None });
    let long: Vec<(f64, u64)> = steps.filter(|(s, _)| *s > 8.0 * step).collect();
    if let Some((longest, line)) = long.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0)) {
        let many = if long.len() == 1 { "one gap".to_owned() } else { format!("{} gaps", long.len()) };
        notes.push(format!("{many} in the samples, the longest {longest:.2} s before line {line}"));
    }
}
