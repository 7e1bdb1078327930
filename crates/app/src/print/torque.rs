//! Torques for the terminal, as the wrench meets them.

use super::style::{self, paint};
use super::text::{count, hang};
use crate::command::torque::Sheet;
use method::torque::{Bolt, Holds, Joint, Reading, Standing, Torque, Word, tolerance};
use quantity::{Kind, both_kind};
use rig::Origin;
use std::io::{self, Write};

/// What is always said.
pub(crate) const RULES: [&str; 4] = [
    "A reading counts as the target while it is no further off than a wrench may be: 6 % up to 10 N·m, 4 % above (ISO 6789-1:2017, from \
     memory). A joint at its target reads no lower on any wrench that is in order, so what reads lower is lower.",
    "Wrench: the torque lies between 20 % and 100 % of its range (common practice, no source).",
    "Bolts: VDI 2230, friction in the thread and under the head alike; at most 90 % of yield at the lowest friction.",
    "The screws of legs' feet and of cups' heads are not in the rig file: what their maker says.",
];

/// As `rig file`.
pub(crate) fn origin(o: Origin) -> &'static str {
    match o {
        Origin::Stated => "rig file",
        Origin::Part => "parts list",
        Origin::Assumed => "assumed",
    }
}

/// Word for a target or reading, none where it is right.
pub(crate) fn said(word: Word) -> Option<&'static str> {
    match word {
        Word::Right => None,
        Word::Low => Some("LOW PRELOAD"),
        Word::PastRating => Some("PAST ITS RATING"),
        Word::Unknown => Some("NOT KNOWN"),
        Word::TooMuch => Some("TOO MUCH"),
    }
}

fn why(word: Word) -> &'static str {
    match word {
        Word::Right => "",
        Word::Low => "preload under half of what the bolt could have; it loosens sooner (a warning)",
        Word::PastRating => {
            "no more grip is counted than at the rated torque, and tubes may be crushed (a warning)"
        }
        Word::Unknown => "no table has this bolt; ask its maker for its torque",
        Word::TooMuch => {
            "the bolt may stretch for good; lower the torque, or use a higher class or a thicker bolt"
        }
    }
}

/// Joints of one kind that are alike, in the order of the work.
fn groups(all: &[Torque]) -> Vec<Vec<&Torque>> {
    let kind = |t: &Torque| std::mem::discriminant(&t.joint);
    let alike = |a: &Torque, b: &Torque| {
        kind(a) == kind(b)
            && a.holds == b.holds
            && a.target.value.to_bits() == b.target.value.to_bits()
            && a.target.origin == b.target.origin
    };
    let mut out: Vec<Vec<&Torque>> = Vec::new();
    for t in all {
        match out.last_mut() {
            Some(group) if group.first().is_some_and(|g| alike(g, t)) => group.push(t),
            _ => out.push(vec![t]),
        }
    }
    out
}

/// Writes the sheet.
pub(crate) fn write(out: &mut dyn Write, sheet: &Sheet<'_>) -> io::Result<()> {
    let (style, word) = match (sheet.is_too_much(), sheet.is_hold()) {
        (true, _) => (style::FAIL, "TOO MUCH: torques"),
        (_, true) => (style::CLOSE, "HOLD: torques"),
        _ => (style::HOLDS.bold(), "Torques"),
    };
    writeln!(out, "{}", paint(style, word))?;
    hang(out, "", &sheet.rig.name)?;
    writeln!(out)?;
    let joints = count(sheet.torques.len(), "joint");
    writeln!(out, "{}", paint(style::HEAD, &format!("{joints}, in the order of the work")))?;
    for (i, group) in groups(sheet.torques).into_iter().enumerate() {
        joint(out, i + 1, &group)?;
    }
    if !sheet.readings.is_empty() {
        writeln!(out, "\n{}", paint(style::HEAD, "Recorded"))?;
        for (at, reading) in sheet.readings {
            recorded(out, &sheet.torques[*at], reading)?;
        }
    }
    writeln!(out, "\n{}", paint(style::HEAD, "Rules"))?;
    RULES.iter().try_for_each(|r| hang(out, "  ", r))
}

const KEY: usize = 13;

fn entry(out: &mut dyn Write, key: &str, text: &str) -> io::Result<()> {
    hang(out, &format!("    {key:<width$}", width = KEY - 4), text)
}

fn nm(v: f64) -> String {
    both_kind(v, Kind::Moment)
}

fn joint(out: &mut dyn Write, number: usize, group: &[&Torque]) -> io::Result<()> {
    let Some(first) = group.first() else { return Ok(()) };
    let kind = match first.joint {
        Joint::Clamp(_) => "clamp",
        Joint::Leg(_) => "leg",
        Joint::Boom(_) => "boom section",
    };
    let tags: Vec<&str> = group.iter().map(|t| t.tag.as_str()).collect();
    let plural = if group.len() == 1 { "" } else { "s" };
    let each = if group.len() == 1 { "" } else { ", each" };
    let bolts = match &first.holds {
        Holds::Bolts { thread, class, count: n, .. } => {
            format!(": {} {thread}, class {class}{each}", count(*n, "bolt"))
        }
        Holds::Grip(_) => String::new(),
    };
    hang(out, &format!("{number:>2}  "), &format!("{kind}{plural} {}{bolts}", tags.join(", ")))?;
    let target = first.target.value;
    entry(out, "target", &format!("{}, {}", nm(target), origin(first.target.origin)))?;
    let (low, high) = first.band_nm();
    entry(out, "reads", &format!("{} to {}: {:.0} %", nm(low), nm(high), 100.0 * tolerance(target)))?;
    let (from, to) = first.wrench_nm();
    entry(out, "wrench", &format!("range ends at {} to {}", nm(from), nm(to)))?;
    match &first.holds {
        Holds::Grip(g) => {
            let held = g.slip_n.map_or_else(
                || "slip force not stated".to_owned(),
                |n| format!("{} along the tube", both_kind(n, Kind::Force)),
            );
            entry(out, "holds", &format!("{held}; rated at {}", nm(g.rated_nm)))?;
        }
        Holds::Bolts { bolt: Some(b), .. } => of_bolt(out, b)?,
        Holds::Bolts { bolt: None, .. } => {}
    }
    match said(first.word()) {
        Some(word) => {
            let guess = friction_guess(first).unwrap_or_default();
            hang(out, "    ", &format!("{word}: {}{guess}", why(first.word())))
        }
        None => Ok(()),
    }
}

/// What may take a TOO MUCH away: a friction that is only assumed, where the bolt would bear the torque at the highest.
fn friction_guess(t: &Torque) -> Option<String> {
    let Holds::Bolts { thread, class, friction: (low, high), .. } = &t.holds else { return None };
    let rough = Bolt::at(thread, class, t.target.value, (*high, *high))?;
    (t.word() == Word::TooMuch && low < high && t.target.value <= rough.greatest_nm).then(|| {
        format!("; friction {low:.2} to {high:.2} is assumed: `thread_friction`, where it is known, may mend it too")
    })
}

fn percent(share: f64) -> String {
    format!("{:.0}", 100.0 * share)
}

/// `68 to 85`, or once where both are the same.
fn range(low: f64, high: f64) -> String {
    let (low, high) = (percent(low), percent(high));
    if low == high { low } else { format!("{low} to {high}") }
}

fn of_bolt(out: &mut dyn Write, b: &Bolt) -> io::Result<()> {
    let kn = |v: f64| both_kind(v, Kind::Force);
    let (rough, slippery) = (&b.rough, &b.slippery);
    let preload = if rough == slippery {
        format!("{}, friction {:.2}", kn(rough.preload_n), rough.friction)
    } else {
        let (low, high) = (kn(rough.preload_n), kn(slippery.preload_n));
        format!("{low} to {high}, friction {:.2} to {:.2}", rough.friction, slippery.friction)
    };
    entry(out, "preload", &preload)?;
    let proof = range(rough.proof_share, slippery.proof_share);
    let shares = (rough.yield_share.min(slippery.yield_share), rough.yield_share.max(slippery.yield_share));
    entry(
        out,
        "uses",
        &format!("{proof} % of proof load; {} % of yield while it turns", range(shares.0, shares.1)),
    )?;
    let at = slippery.friction;
    entry(out, "at most", &format!("{}: 90 % of yield at friction {at:.2}", nm(b.greatest_nm)))
}

fn recorded(out: &mut dyn Write, t: &Torque, r: &Reading) -> io::Result<()> {
    let off = 100.0 * (r.torque_nm / t.target.value - 1.0).abs();
    let standing = match r.standing {
        Standing::Within => "as planned".to_owned(),
        Standing::Low => format!("LOW, {off:.0} % under its target: tighten again"),
        Standing::High => {
            let mend = if matches!(t.joint, Joint::Clamp(_)) { "look at the tube" } else { "see why" };
            format!("HIGH, {off:.0} % over its target: {mend}")
        }
    };
    let holds = match &r.holds {
        Holds::Grip(g) => g.slip_n.map_or_else(
            || "slip force not stated".to_owned(),
            |n| format!("slips at {} then", both_kind(n, Kind::Force)),
        ),
        Holds::Bolts { bolt: Some(b), .. } => {
            let (low, high) = (b.rough.preload_n, b.slippery.preload_n);
            format!("preload {} to {} then", both_kind(low, Kind::Force), both_kind(high, Kind::Force))
        }
        Holds::Bolts { bolt: None, .. } => "preload not known".to_owned(),
    };
    hang(out, "  ", &format!("{}, {}: {standing}; {holds}", t.name, nm(r.torque_nm)))?;
    // What is low anyway needs no second word.
    match said(r.word).filter(|_| r.standing != Standing::Low) {
        Some(word) => hang(out, "    ", &format!("{word}: {}", why(r.word))),
        None => Ok(()),
    }
}
