//! The arm, its sections, drives and payload.

use super::context::{Context, Reported, View, mm};
use super::isolator;
use super::platform::{bolts, drag};
use super::tube::named_section;
use crate::diagnostic::Diagnostic;
use crate::model::{Arm, BoomSection, Brace, Counterweight, Drives, Isolator, Payload, Platform};
use crate::record::{Record, Value};
use glam::DVec3;
use std::f64::consts::PI;

/// The arm; `None` when there is none.
pub(crate) fn arm(cx: &mut Context<'_>, platforms: &[Option<Platform>]) -> Result<Option<Arm>, Reported> {
    let root = cx.root;
    let Some(record) = root.sub("arm") else {
        for key in ["payload", "isolator"] {
            if let Some(cell) = root.cell(key) {
                cx.faults.push(
                    Diagnostic::error("R023", &cell.key_at, format!("there is a [{key}] and no [arm]"))
                        .why("it hangs on the arm's boom")
                        .mend("add [arm], or make a fixed camera an [item.camera]"),
                );
            }
        }
        return if root.is_faulty("arm") { Err(Reported) } else { Ok(None) };
    };
    if !root.has("payload") {
        cx.faults.push(
            Diagnostic::error("R023", &record.at, "the arm carries no payload")
                .why("the boom's balance and every load on the rig need it")
                .mend("add [payload] with `mass` and `centre`"),
        );
    }
    let isolator = isolator::isolator(cx);
    let payload = root.sub("payload").and_then(|r| payload(cx, r));
    one(cx, record, platforms, isolator, payload).map(Some).ok_or(Reported)
}

fn payload(cx: &mut Context<'_>, record: &Record) -> Option<Payload> {
    let mass = cx.fact(View::plain(record), "mass");
    let centre = record.sub("centre").and_then(|r| cx.coordinates(r, DVec3::ZERO));
    let drag = drag(cx, record);
    let c = centre?;
    let centre = DVec3::new(c.x.unwrap_or(0.0), c.y.unwrap_or(0.0), c.z.unwrap_or(0.0));
    if centre.length() > 3.0 {
        cx.faults.push(
            Diagnostic::error(
                "R012",
                record.spot("centre"),
                "the payload's centre is far from the boom's tip",
            )
            .why(format!("it is {} away; it must be at most 3 m", mm(centre.length())))
            .mend("measure it from the tip, not from the windscreen"),
        );
        return None;
    }
    Some(Payload { mass: mass?, centre, drag: drag.ok()? })
}

fn one(
    cx: &mut Context<'_>,
    record: &Record,
    platforms: &[Option<Platform>],
    isolator: Option<Isolator>,
    payload: Option<Payload>,
) -> Option<Arm> {
    let view = View::plain(record);
    let stands = cx.refer(record, "on");
    let (base_mass, head_mass) = (cx.fact(view, "base_mass"), cx.fact(view, "head_mass"));
    let sag_limit = view.maybe("sag_limit");
    let sections = sections(cx, record);
    let counterweight = record
        .sub("counterweight")
        .and_then(|r| counterweight(cx, r, sections.as_deref().unwrap_or_default()));
    let drives = record.sub("drives").and_then(|r| drives(cx, r));
    let elevation = record.sub("elevation").and_then(|r| ordered(cx, r, "elevation"));
    let pan = match record.sub("pan") {
        Some(r) => ordered(cx, r, "pan"),
        None => (!record.is_faulty("pan")).then_some((-PI, PI)),
    };
    let parked = record.sub("parked").and_then(|r| Some((r.measure("bearing")?, r.measure("elevation")?)));
    let braces: Vec<Option<Brace>> = record.tagged("brace").iter().map(|r| brace(cx, r)).collect();
    let (elevation, parked) = (elevation?, parked?);
    if parked.1 < elevation.0 - 1e-9 || parked.1 > elevation.1 + 1e-9 {
        cx.faults.push(
            Diagnostic::error("R028", record.spot("parked"), "the arm is parked beyond its elevation range")
                .why(format!(
                    "{:.0} deg is not between {:.0} and {:.0} deg",
                    parked.1.to_degrees(),
                    elevation.0.to_degrees(),
                    elevation.1.to_degrees()
                ))
                .mend("check `parked` and `elevation`"),
        );
        return None;
    }
    let platform = stands?.1;
    Some(Arm {
        platform,
        base: platforms.get(platform)?.as_ref()?.at,
        pivot_height: record.measure("pivot_height")?,
        base_mass: (base_mass?, record.measure("base_centre")?),
        head_mass: (head_mass?, record.measure("head_centre")?),
        mast_diameter: record.measure("mast_diameter")?,
        sections: sections?,
        counterweight: counterweight?,
        levelled: view.flag("levelled"),
        isolator: isolator?,
        payload: payload?,
        drives: drives?,
        elevation,
        pan: pan?,
        parked,
        braces: braces.into_iter().collect::<Option<_>>()?,
        sag_limit,
    })
}

/// A range of angle whose ends are in order.
fn ordered(cx: &mut Context<'_>, record: &Record, what: &str) -> Option<(f64, f64)> {
    let (from, to) = (record.measure("from")?, record.measure("to")?);
    if from >= to {
        cx.faults.push(
            Diagnostic::error("R028", &record.at, format!("the arm's {what} range is upside down"))
                .why(format!("{:.0} deg is not below {:.0} deg", from.to_degrees(), to.to_degrees()))
                .mend("put the lower angle under `from`"),
        );
        return None;
    }
    Some((from, to))
}

/// Boom sections, root to tip, then tail, without gaps.
fn sections(cx: &mut Context<'_>, record: &Record) -> Option<Vec<BoomSection>> {
    let read: Vec<Option<(BoomSection, &Record)>> =
        record.tagged("section").iter().map(|r| Some((section(cx, r)?, r))).collect();
    let all: Vec<(BoomSection, &Record)> = read.into_iter().collect::<Option<_>>()?;
    let (mut front, mut tail): (Vec<_>, Vec<_>) = all.into_iter().partition(|(s, _)| s.span.1 > 0.0);
    front.sort_by(|x, y| x.0.span.0.total_cmp(&y.0.span.0));
    tail.sort_by(|x, y| y.0.span.0.total_cmp(&x.0.span.0));
    for (chain, name) in [(&front, "front"), (&tail, "tail")] {
        if chain.is_empty() && record.has("section") {
            cx.faults.push(
                Diagnostic::error("R022", record.spot("section"), format!("the boom has no {name} section"))
                    .why(if name == "front" {
                        "the payload hangs on the front"
                    } else {
                        "the counterweight hangs on the tail"
                    })
                    .mend(if name == "front" {
                        "add a section from \"0 mm\" forward"
                    } else {
                        "add a section from \"0 mm\" to a negative length"
                    }),
            );
            return None;
        }
        let mut at = 0.0_f64;
        let mut before = "the pivot".to_owned();
        for (section, record) in chain {
            let off = (section.span.0 - at).abs();
            if off > 0.001 {
                let gap = if (section.span.0 - at) * section.span.1.signum() > 0.0 {
                    "a gap"
                } else {
                    "an overlap"
                };
                cx.faults.push(
                    Diagnostic::error(
                        "R022",
                        &record.at,
                        format!("there is {gap} of {} between {before} and {}", mm(off), record.title()),
                    )
                    .why("boom sections join end to end, from the pivot outwards")
                    .mend(format!("start it where {before} ends: `from = \"{}\"`", mm(at))),
                );
                return None;
            }
            at = section.span.1;
            before = record.title();
        }
    }
    Some(front.into_iter().chain(tail).map(|(s, _)| s).collect())
}

fn section(cx: &mut Context<'_>, record: &Record) -> Option<BoomSection> {
    let view = View::plain(record);
    let (mass, drag) = (cx.fact(view, "mass"), cx.fact(view, "drag"));
    let bolts = record.sub("bolts").map(|r| bolts(cx, r));
    let section = if record.has("tube") { Some(named_section(cx, view, "tube")) } else { None };
    let (from, to) = (record.measure("from")?, record.measure("to")?);
    if record.is_faulty("diameter") || record.is_faulty("bolts") {
        return None;
    }
    let bolts = match bolts {
        Some(bolts) => Some(bolts?),
        None => None,
    };
    let mut section = match section {
        Some(section) => Some(section?),
        None => None,
    };
    let drag = drag?;
    if let Some(section) = &mut section {
        section.drag = drag.clone();
    }
    let Some(diameter) = record.measure("diameter").or(section.as_ref().map(|s| s.outer)) else {
        cx.faults.push(
            Diagnostic::error("R006", &record.at, format!("{} has no `diameter`", record.title()))
                .why("the wind on it is computed from its size, and no `tube` gives one")
                .mend("add `diameter = \"80 mm\"`, the size across the wind"),
        );
        return None;
    };
    // Root to tip: away from the pivot, either way.
    let span = if from.abs() <= to.abs() { (from, to) } else { (to, from) };
    if span.0 * span.1 < 0.0 || (span.1 - span.0).abs() < 0.001 {
        cx.faults.push(
            Diagnostic::error(
                "R022",
                &record.at,
                format!("{} runs from {} to {}", record.title(), mm(from), mm(to)),
            )
            .why("a section has a length and lies on one side of the pivot")
            .mend("make two sections of it, front and tail, that both start at \"0 mm\""),
        );
        return None;
    }
    Some(BoomSection { tag: record.tag.clone(), span, mass: mass?, diameter, drag, section, bolts })
}

fn counterweight(cx: &mut Context<'_>, record: &Record, sections: &[BoomSection]) -> Option<Counterweight> {
    let view = View::plain(record);
    let (mass, behind, under) = (cx.fact(view, "mass"), cx.fact(view, "behind"), cx.measure(view, "under"));
    let drag = drag(cx, record);
    let (plates, fitted) = (plates(cx, record, "plates"), plates(cx, record, "fitted"));
    let (plates, fitted, mass, behind) = (plates?, fitted?, mass?, behind?);
    let all: f64 = fitted.iter().sum();
    if all > mass.high.max(mass.value) + 0.005 {
        cx.faults.push(
            Diagnostic::error(
                "R012",
                record.spot("fitted"),
                "the plates on the counterweight weigh more than the whole of it",
            )
            .why(format!("they are {all:.2} kg; `mass` is {:.2} kg with the carrier", mass.value))
            .mend("weigh the counterweight as it hangs, or check the list `fitted`"),
        );
        return None;
    }
    let tail = sections.iter().map(|s| -s.span.1).fold(0.0, f64::max);
    if tail > 0.0 && behind.value > tail + 0.0005 {
        cx.faults.push(
            Diagnostic::error(
                "R022",
                record.spot("behind"),
                format!("the counterweight hangs {} beyond the tail's end", mm(behind.value - tail)),
            )
            .why(format!("the tail ends {} behind the pivot", mm(tail)))
            .mend("measure `behind` from the pivot, or add the rest of the tail as a section"),
        );
        return None;
    }
    let slide = slide(cx, record, behind.value, tail)?;
    Some(Counterweight { mass, behind, under: under?, drag: drag.ok()?, plates, fitted, slide })
}

/// A list of plates by mass, kg.
fn plates(cx: &mut Context<'_>, record: &Record, key: &str) -> Option<Vec<f64>> {
    if record.is_faulty(key) {
        return None;
    }
    let one = |c: &crate::record::Cell| match &c.value {
        Value::Fact(f) => Some(f.value),
        _ => None,
    };
    let plates: Vec<f64> = record.list(key).iter().map(one).collect::<Option<_>>()?;
    if plates.iter().any(|p| !(0.01..=500.0).contains(p)) {
        cx.faults.push(
            Diagnostic::error("R012", record.spot(key), "a counterweight plate has no sane mass")
                .why("it must be between 10 g and 500 kg")
                .mend("weigh the plates again"),
        );
        return None;
    }
    Some(plates)
}

/// Where the counterweight's carrier can slide; none where the file does not say. The outer `None` is a fault that is told.
#[allow(clippy::option_option, reason = "a fault and a carrier that does not slide are two things")]
fn slide(cx: &mut Context<'_>, record: &Record, behind: f64, tail: f64) -> Option<Option<(f64, f64)>> {
    if record.is_faulty("behind_from") || record.is_faulty("behind_to") {
        return None;
    }
    let (from, to) = match (record.measure("behind_from"), record.measure("behind_to")) {
        (None, None) => return Some(None),
        (Some(from), Some(to)) => (from, to),
        (from, _) => {
            let (here, other) =
                if from.is_some() { ("behind_from", "behind_to") } else { ("behind_to", "behind_from") };
            cx.faults.push(
                Diagnostic::error(
                    "R006",
                    record.spot(here),
                    format!("the carrier has a `{here}` and no `{other}`"),
                )
                .why("where the counterweight may slide needs both ends")
                .mend(format!("measure the other end from the pivot and add `{other}`")),
            );
            return None;
        }
    };
    let fault = |code, key, what: String| Diagnostic::error(code, record.spot(key), what);
    let told = if from >= to {
        fault("R028", "behind_from", "the carrier's range is upside down".to_owned())
            .why(format!("{} is not nearer to the pivot than {}", mm(from), mm(to)))
            .mend("put the end nearer to the pivot under `behind_from`")
    } else if tail > 0.0 && to > tail + 0.0005 {
        fault("R022", "behind_to", format!("the carrier runs {} beyond the tail's end", mm(to - tail)))
            .why(format!("the tail ends {} behind the pivot", mm(tail)))
            .mend("measure it from the pivot, or add the rest of the tail as a section")
    } else if behind < from - 0.0005 || behind > to + 0.0005 {
        fault("R028", "behind", "the counterweight sits outside the range of its carrier".to_owned())
            .why(format!("{} is not between {} and {}", mm(behind), mm(from), mm(to)))
            .mend("measure all three from the pivot to the middle of the weight")
    } else {
        return Some(Some((from, to)));
    };
    cx.faults.push(told);
    None
}

fn drives(cx: &mut Context<'_>, record: &Record) -> Option<Drives> {
    let view = View::plain(record);
    let [pan_rate, pan_acceleration, pan_stop, tilt_rate, tilt_acceleration, tilt_stop] =
        ["pan_rate", "pan_acceleration", "pan_stop", "tilt_rate", "tilt_acceleration", "tilt_stop"]
            .map(|k| cx.fact(view, k));
    let [pan_torque, tilt_torque] = ["pan_torque", "tilt_torque"].map(|k| view.maybe(k));
    Some(Drives {
        pan_rate: pan_rate?,
        pan_acceleration: pan_acceleration?,
        pan_stop: pan_stop?,
        pan_torque,
        tilt_rate: tilt_rate?,
        tilt_acceleration: tilt_acceleration?,
        tilt_stop: tilt_stop?,
        tilt_torque,
    })
}

fn brace(cx: &mut Context<'_>, record: &Record) -> Option<Brace> {
    let material = cx.part(View::plain(record), "material");
    let c = cx.coordinates(record, DVec3::ZERO)?;
    let (along, height, diameter) =
        (record.measure("along")?, record.measure("height")?, record.measure("diameter")?);
    let e = material?.measure("e")?;
    Some(Brace {
        tag: record.tag.clone(),
        along,
        height,
        left: c.y.unwrap_or(0.0),
        // Solid rod or wire.
        ea: e * PI * diameter * diameter / 4.0,
    })
}
