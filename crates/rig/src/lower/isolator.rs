//! The isolator's spring, lever, stops and pivot.

use super::context::{Context, View, mm};
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::isolator::{Air, Coil, Spring, Unit};
use crate::model::Isolator;
use crate::record::Record;
use quantity::{Kind, both_kind};

/// The isolator; one of no mass where the file has none.
pub(super) fn isolator(cx: &mut Context<'_>) -> Option<Isolator> {
    let root = cx.root;
    if root.is_faulty("isolator") {
        return None;
    }
    let Some(record) = root.sub("isolator") else {
        let mass = Fact::stated(0.0, Kind::Mass, "isolator.mass");
        return Some(Isolator { mass, frequency: None, unit: Unit::default() });
    };
    let view = View::plain(record);
    let mass = cx.fact(view, "mass");
    let unit = unit(cx, record)?;
    Some(Isolator { mass: mass?, frequency: view.maybe("frequency"), unit })
}

/// The unit, or nothing where something of it is faulty.
fn unit(cx: &mut Context<'_>, record: &Record) -> Option<Unit> {
    let view = View::plain(record);
    if ["coil", "air", "lever", "made_for", "travel", "springs"].iter().any(|k| record.is_faulty(k)) {
        return None;
    }
    let spring = match (record.sub("coil"), record.sub("air")) {
        (Some(_), Some(_)) => {
            cx.faults.push(
                Diagnostic::error(
                    "R028",
                    record.spot("air"),
                    "the isolator has a coil spring and an air spring",
                )
                .why("the payload's share on each cannot be told")
                .mend(
                    "state the one that carries the payload; state a measured `frequency` for both together",
                ),
            );
            return None;
        }
        (Some(r), None) => Some(Spring::Coil(coil(cx, r)?)),
        (None, Some(r)) => Some(Spring::Air(air(cx, r)?)),
        (None, None) => None,
    };
    let lever = pair(cx, record, "lever", ("spring", "payload"))?;
    let travel = pair(cx, record, "travel", ("up", "down"))?;
    let made_for = pair(cx, record, "made_for", ("from", "to"))?;
    if let Some((from, to)) = &made_for
        && from.value > to.value
    {
        cx.faults.push(
            Diagnostic::error("R028", record.spot("made_for"), "the isolator's payload range is upside down")
                .why(format!("{} against {}", both_kind(from.value, from.kind), both_kind(to.value, to.kind)))
                .mend("put the lighter payload under `from`"),
        );
        return None;
    }
    Some(Unit {
        spring,
        springs: record.count("springs").unwrap_or(1),
        lever,
        sideways: ["frequency_fore_aft", "frequency_sideways"].map(|k| view.maybe(k)),
        damping: ["damping", "damping_fore_aft", "damping_sideways"].map(|k| view.maybe(k)),
        pivot: view.maybe("pivot"),
        made_for,
        travel,
    })
}

/// Two values of a table that may be left out; nothing where it is there and faulty.
#[allow(clippy::option_option, reason = "left out is an answer, a fault is none")]
fn pair(
    cx: &mut Context<'_>,
    record: &Record,
    key: &str,
    names: (&str, &str),
) -> Option<Option<(Fact, Fact)>> {
    let Some(view) = record.sub(key).map(View::plain) else { return Some(None) };
    let (one, other) = (cx.fact(view, names.0), cx.fact(view, names.1));
    Some(Some((one?, other?)))
}

fn coil(cx: &mut Context<'_>, record: &Record) -> Option<Coil> {
    let view = View::plain(record);
    let rate = cx.fact(view, "rate");
    let [free_length, solid_length, set_length] =
        ["free_length", "solid_length", "set_length"].map(|k| view.maybe(k));
    let order = [
        ("solid_length", &solid_length, "free_length", &free_length, "solid"),
        ("set_length", &set_length, "free_length", &free_length, "set"),
        ("solid_length", &solid_length, "set_length", &set_length, "solid"),
    ];
    for (short_key, short, long_key, long, word) in order {
        if let (Some(short), Some(long)) = (short, long)
            && short.value > long.value
        {
            cx.faults.push(
                Diagnostic::error(
                    "R028",
                    record.spot(short_key),
                    format!("`{short_key}` is over `{long_key}`"),
                )
                .why(format!("{word} it is {}, the other is {}", mm(short.value), mm(long.value)))
                .mend("tape both again"),
            );
            return None;
        }
    }
    Some(Coil { rate: rate?, free_length, solid_length, set_length })
}

fn air(cx: &mut Context<'_>, record: &Record) -> Option<Air> {
    let view = View::plain(record);
    let area = cx.fact(view, "area");
    let (volume, column) = (view.maybe("volume"), view.maybe("column"));
    let [pressure, greatest_pressure] = ["pressure", "greatest_pressure"].map(|k| view.maybe(k));
    if record.is_faulty("volume") || record.is_faulty("column") {
        return None;
    }
    let area = area?;
    let volume = match (volume, column) {
        (Some(v), None) => v,
        (None, Some(h)) => Fact {
            value: area.value * h.value,
            low: area.low * h.low,
            high: area.high * h.high,
            kind: Kind::Volume,
            text: None,
            ..h
        },
        (both, _) => {
            let what =
                if both.is_some() { "`volume` and `column` both" } else { "neither `volume` nor `column`" };
            cx.faults.push(
                Diagnostic::error("R006", &record.at, format!("the air spring has {what}"))
                    .why("one of them says how much air it works on, and so how stiff it is")
                    .mend("state one: `column = \"120 mm\"`, taped in mid travel"),
            );
            return None;
        }
    };
    Some(Air { area, volume, pressure, greatest_pressure })
}
