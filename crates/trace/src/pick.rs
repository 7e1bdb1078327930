//! Which column is time, and which the signal.

use crate::clock;
use crate::fault::{Fault, shown};
use crate::head::Head;
use crate::number::{Cell, cell};
use crate::table::Table;
use crate::unit::{Kind, Unit};

/// By how many times the movement of one column must exceed the next for it to be clear which one moves.
const CLEAR: f64 = 3.0;
/// Columns that a fault lists.
const MOST_LISTED: usize = 24;

/// A list of the columns, for faults.
pub(crate) fn listed(heads: &[Head]) -> String {
    let one = |h: &Head| match &h.unit {
        Some((u, _)) => format!("{} {} [{}]", h.number, shown(&h.name), shown(u)),
        None => format!("{} {}", h.number, shown(&h.name)),
    };
    let mut out = heads.iter().take(MOST_LISTED).map(one).collect::<Vec<_>>().join(", ");
    if heads.len() > MOST_LISTED {
        out += ", ...";
    }
    out
}

/// The column that a person names, by name or number.
pub(crate) fn named<'a>(heads: &'a [Head], asked: &str, option: &str) -> Result<&'a Head, Fault> {
    let asked = asked.trim();
    let same: Vec<&Head> = heads.iter().filter(|h| h.name.eq_ignore_ascii_case(asked)).collect();
    match same.as_slice() {
        [one] => return Ok(one),
        [] => {}
        _ => {
            let what = format!("{} columns are called \"{}\"", same.len(), shown(asked));
            return Err(Fault::whole(
                what,
                format!("choose by number: {option} {}", same.first().map_or(1, |h| h.number)),
            ));
        }
    }
    let by_number = asked.parse::<usize>().ok().and_then(|n| heads.iter().find(|h| h.number == n));
    by_number.ok_or_else(|| {
        let what = format!("no column is called \"{}\"", shown(asked));
        Fault::whole(what, format!("{option} takes a name or a number of: {}", listed(heads)))
    })
}

fn text<'a>(row: &'a [String], head: &Head) -> &'a str {
    row.get(head.number - 1).map_or("", String::as_str)
}

/// The column of time.
pub(crate) fn time<'a>(table: &Table, heads: &'a [Head], asked: Option<&str>) -> Result<&'a Head, Fault> {
    if let Some(asked) = asked {
        return named(heads, asked, "--time");
    }
    let filled = |h: &&Head| {
        table.rows.iter().take(200).any(|r| {
            let t = text(&r.cells, h);
            matches!(cell(t, table.comma), Cell::Number(..)) || clock::seconds(t).is_some()
        })
    };
    let by_name: Vec<&Head> = heads.iter().filter(|h| h.is_time).filter(filled).collect();
    // A stated unit is better than none; of two times either will do.
    let with_unit = by_name.iter().find(|h| matches!(h.unit, Some((_, Unit::Time(_)))));
    if let Some(h) = with_unit.or(by_name.first()) {
        return Ok(h);
    }
    let rising: Vec<&Head> = heads.iter().filter(|h| !h.is_signal).filter(|h| rises(table, h)).collect();
    match rising.as_slice() {
        [one] => Ok(one),
        [] => Err(Fault::whole(
            "no column of time",
            format!("name it with --time; there are: {}", listed(heads)),
        )),
        _ => Err(Fault::whole(
            "more than one column may be the time",
            format!("name it with --time; there are: {}", listed(heads)),
        )),
    }
}

/// Whether a column goes up from line to line, as time does: nearly always, for hardly any signal does.
fn rises(table: &Table, head: &Head) -> bool {
    let (mut last, mut up, mut all) = (f64::NAN, 0_u32, 0_u32);
    for row in &table.rows {
        let t = text(&row.cells, head);
        let value = match cell(t, table.comma) {
            Cell::Number(v, _) => v,
            Cell::Missing => continue,
            Cell::Text => match clock::seconds(t) {
                Some(s) => s.seconds(),
                None => return false,
            },
        };
        if last.is_finite() {
            all += 1;
            up += u32::from(value > last);
        }
        last = value;
    }
    all > 0 && f64::from(up) >= 0.97 * f64::from(all)
}

/// How far a column moves, in its own unit times `si`: the span of the middle 98 % of its values.
fn movement(table: &Table, head: &Head, si: f64) -> f64 {
    let mut values: Vec<f64> = table
        .rows
        .iter()
        .filter_map(|r| {
            if let Cell::Number(v, _) = cell(text(&r.cells, head), table.comma) { Some(v * si) } else { None }
        })
        .collect();
    values.sort_by(f64::total_cmp);
    let cut = values.len() / 100;
    match (values.get(cut), values.len().checked_sub(1 + cut).and_then(|i| values.get(i))) {
        (Some(low), Some(high)) => high - low,
        _ => 0.0,
    }
}

/// The column of the signal, and a note where it was chosen among several.
pub(crate) fn signal<'a>(
    table: &Table,
    heads: &'a [Head],
    time: &Head,
    asked: Option<&str>,
) -> Result<(&'a Head, Option<String>), Fault> {
    if let Some(asked) = asked {
        let head = named(heads, asked, "--signal")?;
        if head.number == time.number {
            return Err(Fault::whole(
                format!("\"{}\" is the column of time", shown(asked)),
                format!("--signal takes another of: {}", listed(heads)),
            ));
        }
        return Ok((head, None));
    }
    let others =
        |h: &&Head| h.number != time.number && !h.is_time && !matches!(h.unit, Some((_, Unit::Other)));
    let moves = |h: &&Head| movement(table, h, 1.0) > 0.0;
    let named: Vec<&Head> = heads.iter().filter(others).filter(|h| h.is_signal).filter(moves).collect();
    let any: Vec<&Head> = heads.iter().filter(others).filter(moves).collect();
    let choice = if named.is_empty() { any } else { named };
    match choice.as_slice() {
        [] => Err(Fault::whole(
            "no column beside the time holds numbers that change",
            format!("name the signal with --signal; there are: {}", listed(heads)),
        )),
        [one] => Ok((one, None)),
        several => among(table, heads, several),
    }
}

/// The one of several of a kind that moves most, if that is clear.
fn among<'a>(
    table: &Table,
    heads: &'a [Head],
    several: &[&'a Head],
) -> Result<(&'a Head, Option<String>), Fault> {
    let kind = |h: &Head| match h.unit {
        Some((_, Unit::Signal(k, si))) => (Some(k), si),
        _ => (None, 1.0),
    };
    let kinds: Vec<Option<Kind>> = several.iter().map(|h| kind(h).0).collect();
    let first = kinds.first().copied().flatten();
    let alike = first.is_some() && kinds.iter().all(|k| *k == first);
    let mut moved: Vec<(f64, &Head)> = several.iter().map(|h| (movement(table, h, kind(h).1), *h)).collect();
    moved.sort_by(|a, b| b.0.total_cmp(&a.0));
    match moved.as_slice() {
        [(most, head), (next, _), ..] if alike && *most > CLEAR * next => {
            let note = format!(
                "of {} columns of {} \"{}\" moves most, {:.0} times the next",
                several.len(),
                first.map_or("signal", Kind::name),
                shown(&head.name),
                (most / next).min(9999.0)
            );
            Ok((head, Some(note)))
        }
        _ => Err(Fault::whole(
            format!("{} columns may be the signal, and none clearly moves most", several.len()),
            format!("choose one with --signal; there are: {}", listed(heads)),
        )),
    }
}
