//! Whether cables make trees: each one leads back to a source, nothing is fed twice, nothing runs in a circle.

use super::context::Context;
use crate::diagnostic::Diagnostic;
use crate::model::power::{From, Power, To};
use crate::record::Record;

/// A count as a number.
pub(crate) fn number(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::from(u32::MAX), f64::from)
}

/// Where a tree begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Root {
    Battery(usize),
    Supply(usize),
}

/// Reports what is wrong with the wiring; `None` if anything is.
pub(crate) fn sound(cx: &mut Context<'_>, power: &Power) -> Option<()> {
    let before = cx.faults.len();
    let root = cx.root;
    let (cables, consumers, supplies) =
        (root.tagged("cable"), root.tagged("consumer"), root.tagged("supply"));
    // Loops first: everything else follows cables back.
    let looped: Vec<usize> = (0..power.cables.len()).filter(|c| root_of(power, *c).is_none()).collect();
    if let Some(record) = looped.first().and_then(|c| cables.get(*c)) {
        cx.faults.push(
            Diagnostic::error("R029", record.spot("from"), format!("{} leads in a circle", record.title()))
                .why("followed back, it comes to itself or to nothing that is fed, never to a battery or supply")
                .mend("name under `from` what it really begins in"),
        );
        return None;
    }
    for (what, list, of) in [("consumer", consumers, true), ("supply", supplies, false)] {
        for (i, record) in list.iter().enumerate() {
            let to = if of { To::Consumer(i) } else { To::Supply(i) };
            let feeds: Vec<usize> = (0..power.cables.len())
                .filter(|c| power.cables.get(*c).is_some_and(|c| c.to == to))
                .collect();
            let is_car = !of && power.supplies.get(i).is_some_and(|s| s.is_car);
            match feeds.as_slice() {
                [] if !is_car => no_feed(cx, record, what),
                [first, second, ..] => fed_twice(cx, power, record, (*first, *second)),
                [one] if is_car => {
                    if let Some(cable) = cables.get(*one) {
                        cx.faults.push(
                            Diagnostic::error(
                                "R028",
                                cable.spot("to"),
                                format!("{} feeds the car's own system", cable.title()),
                            )
                            .why("the car's battery and engine feed it; two sources must not be joined")
                            .mend("name a converter or a consumer under `to`, or turn the cable round")
                            .related(&record.at, "the car's system"),
                        );
                    }
                }
                _ => {}
            }
        }
    }
    if cx.faults.len() == before {
        converters_in_a_circle(cx, power, supplies);
    }
    (cx.faults.len() == before).then_some(())
}

/// The source that a cable leads back to.
fn root_of(power: &Power, cable: usize) -> Option<Root> {
    let mut at = cable;
    for _ in 0..=power.cables.len() {
        at = match power.cables.get(at)?.from {
            From::Battery(b) => return Some(Root::Battery(b)),
            From::Supply(s) => return Some(Root::Supply(s)),
            From::Cable(c) => c,
            From::Consumer(c) => power.feed_of_consumer(c)?,
        };
    }
    None
}

fn volts(power: &Power, root: Root) -> Option<f64> {
    Some(match root {
        Root::Battery(b) => {
            let b = power.batteries.get(b)?;
            b.voltage.value * number(b.series)
        }
        Root::Supply(s) => power.supplies.get(s)?.voltage.value,
    })
}

fn no_feed(cx: &mut Context<'_>, record: &Record, what: &str) {
    cx.faults.push(
        Diagnostic::error("R029", &record.at, format!("{} has no feed", record.title()))
            .why(format!("no cable ends in this {what}"))
            .mend(format!("add a `[cable.TAG]` with `to = \"{}\"`", record.tag)),
    );
}

fn fed_twice(cx: &mut Context<'_>, power: &Power, record: &Record, (first, second): (usize, usize)) {
    let roots = (root_of(power, first), root_of(power, second));
    let apart = match roots {
        (Some(a), Some(b)) => {
            volts(power, a).zip(volts(power, b)).filter(|(x, y)| (x - y).abs() > 1e-9 * x.abs())
        }
        _ => None,
    };
    let spot = |c: usize| cx.root.tagged("cable").get(c).map(|r| (r.spot("to").clone(), r.title()));
    let (Some((at_first, _)), Some((at_second, title))) = (spot(first), spot(second)) else { return };
    let fault = match apart {
        Some((x, y)) => {
            Diagnostic::error("R028", &at_second, format!("{title} joins two supplies of different voltage at {}", record.title()))
                .why(format!("one gives {x:.1} V and the other {y:.1} V: the higher one would drive its current into the lower one"))
                .mend("feed it from one of them alone")
        }
        None => Diagnostic::error("R029", &at_second, format!("{} is fed twice", record.title()))
            .why("how two feeds share the current is not known here, and each must bear the whole when the other parts")
            .mend("feed it by one cable, or state two cables side by side as one of their joint size"),
    };
    cx.faults.push(fault.related(&at_first, "the other feed"));
}

fn converters_in_a_circle(cx: &mut Context<'_>, power: &Power, records: &[Record]) {
    for (start, record) in records.iter().enumerate() {
        let mut at = start;
        let mut steps = 0;
        while let Some(Root::Supply(next)) = power.feed_of_supply(at).and_then(|c| root_of(power, c)) {
            steps += 1;
            at = next;
            if at == start || steps > power.supplies.len() {
                cx.faults.push(
                    Diagnostic::error("R029", &record.at, format!("{} feeds itself", record.title()))
                        .why("followed back, its feed begins in itself")
                        .mend("feed the first of the converters from a battery or the car"),
                );
                return;
            }
        }
    }
}
