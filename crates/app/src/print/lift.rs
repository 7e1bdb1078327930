//! Lifts and lines for the terminal.

use super::style::{self, paint};
use super::text::hang;
use crate::command::lift::Sheet;
use mechanics::lift::{Exclusion, Grip};
use mechanics::overhead::{Doing, OverheadError};
use method::lifts::{LEAST_KG, Lifted, Reason};
use method::line::Under;
use quantity::{Kind, both_kind};
use std::io::{self, Write};

fn m(v: f64) -> String {
    both_kind(v, Kind::Length)
}

/// Why no team can, in words.
pub(crate) fn reason(r: Reason) -> &'static str {
    match r {
        Reason::TooHigh => "hands end more than 1.75 m (68-7/8 in) up",
        Reason::TooFarUp => "more than 1.75 m (68-7/8 in) from start to end",
        Reason::TooFar => "hands end more than 63 cm (24-13/16 in) away",
        Reason::TooHeavy => "too heavy for three",
    }
}

/// What to arrange.
pub(crate) fn mend(l: &Lifted) -> &'static str {
    let has = |r| l.why.contains(&r);
    // What stands on the mast cannot be slid over the roof.
    let slides = ["tube", "platform", "item", "cup", "clamp", "leg"].iter().any(|k| l.name.starts_with(k));
    if has(Reason::TooFar) && (has(Reason::TooHigh) || has(Reason::TooFarUp)) {
        "a hoist; or platforms on both sides that people and load stand on, close enough to hold it by its ends (try --stand)"
    } else if has(Reason::TooFar) && slides {
        "a hoist; or a platform that reaches over the body, or hand it over from both sides and slide it in on padding"
    } else if has(Reason::TooFar) {
        "a hoist; or a platform that reaches over the body"
    } else if has(Reason::TooHigh) || has(Reason::TooFarUp) {
        "a platform that people and load stand on (try --stand), or a hoist"
    } else {
        "a hoist; or take it apart"
    }
}

/// As `good`.
pub(crate) fn grip(g: Grip) -> &'static str {
    match g {
        Grip::Good => "good",
        Grip::Fair => "fair",
        Grip::Poor => "poor",
    }
}

/// What is always said.
pub(crate) const CAUTIONS: [&str; 5] = [
    "A guide of the United States for level floors: revised NIOSH lifting equation (DHHS 94-110) for one, shares of HSE L23 for two and \
     three; putting the two together is ours. Your place's and employer's rules come first.",
    "An index of 1 or less: most people may lift it so. Above 1 some are at risk, above 3 nearly all. Each lift is taken to come seldom, at most \
     once in five minutes, and to be set down with care.",
    "Reach is from the car's side, front or rear, ankles 20 cm (7-7/8 in) off it; a team may hold a broad part from both sides. Nobody \
     stands on the car. Where a boom stands across, its pins must hold it there.",
    "How a part can be held is by its kind: cups, tubes, thin booms good; platforms, plates, mast heads by their edges fair; boxes and cameras \
     poor. What rides inside ends at 0.75 m (29-1/2 in), 50 cm (19-11/16 in) away (assumed).",
    "Distances to lines are rules of the United States; local rules and the line's owner come first. The line is taken to hang right over the \
     car, and nothing is kept for sag, wind or what people hold.",
];

/// Writes the sheet.
pub(crate) fn write(out: &mut dyn Write, sheet: &Sheet<'_>) -> io::Result<()> {
    let (style, word) = match (sheet.is_too_near(), sheet.is_hold()) {
        (true, _) => (style::FAIL, "TOO NEAR A LINE"),
        (_, true) => (style::CLOSE, "HOLD: arrange these lifts first"),
        _ => (style::HOLDS.bold(), "Lifts"),
    };
    writeln!(out, "{}", paint(style, word))?;
    hang(out, "", &sheet.rig.name)?;
    let s = sheet.stand;
    let on = if s.stand_m > 0.0 {
        format!("People and load stand {} over the road. ", m(s.stand_m))
    } else {
        String::new()
    };
    let from = if s.from_m > 0.0 {
        format!("on something {} high", m(s.from_m))
    } else {
        "at their feet".to_owned()
    };
    hang(out, "", &format!("{on}The load lies {from}, hands {} over that.", m(s.hands_m)))?;
    let can: Vec<&Lifted> = sheet.lifts.lifts.iter().filter(|l| l.least.is_some()).collect();
    let cannot: Vec<&Lifted> = sheet.lifts.lifts.iter().filter(|l| l.least.is_none()).collect();
    if !cannot.is_empty() {
        writeln!(out, "\n{}", paint(style::HEAD, "Not by hand as it stands"))?;
        for l in cannot {
            hang(out, "  ", &format!("{}, {}: {}", l.name, both_kind(l.mass_kg, Kind::Mass), place(l)))?;
            let why: Vec<&str> = l.why.iter().map(|r| reason(*r)).collect();
            let index = index(l);
            let index = if index.is_empty() { index } else { format!("; {index}") };
            hang(out, "    ", &format!("{}{index}", why.join("; ")))?;
            hang(out, "    ", &format!("arrange {}", mend(l)))?;
        }
    }
    if !can.is_empty() {
        writeln!(out, "\n{}", paint(style::HEAD, "By hand"))?;
        for l in can {
            let people = l
                .least
                .map_or_else(String::new, |n| if n == 1 { "1 person".into() } else { format!("{n} people") });
            hang(
                out,
                "  ",
                &format!("{people}: {}, {}, {}", l.name, both_kind(l.mass_kg, Kind::Mass), place(l)),
            )?;
            hang(out, "    ", &index(l))?;
        }
    }
    if sheet.lifts.lifts.is_empty() {
        let least = both_kind(LEAST_KG, Kind::Mass);
        writeln!(out)?;
        hang(out, "", &format!("Nothing on this rig weighs {least} or more."))?;
    }
    if !sheet.lifts.unweighed.is_empty() {
        hang(out, "", &format!("Mass not stated, weigh it: {}.", sheet.lifts.unweighed.join(", ")))?;
    }
    overhead(out, sheet)?;
    writeln!(out, "\n{}", paint(style::HEAD, "What this rests on"))?;
    CAUTIONS.iter().try_for_each(|c| hang(out, "  ", c))?;
    let not: Vec<&str> = Exclusion::ALL.iter().map(|e| e.text()).collect();
    hang(out, "  ", &format!("Not covered: {}.", not.join("; ")))
}

fn place(l: &Lifted) -> String {
    let across = if l.boom_across { ", boom turned across the car" } else { "" };
    // A team that may hold the sides is nearer than one person at the middle.
    let team = if l.reach_team_m < l.reach_alone_m {
        format!(" (team {})", m(l.reach_team_m))
    } else {
        String::new()
    };
    format!("up to {}, {}{team} away, grip {}{across}", m(l.to_m), m(l.reach_alone_m), grip(l.grip))
}

/// `lifting index 1.4 alone, 1.1 for two, 0.9 for three`.
fn index(l: &Lifted) -> String {
    let words = ["alone", "for two", "for three"];
    // An index just over 1 does not read as 1.
    let shown = |i: f64| if i > 1.0 { (i * 100.0).ceil() / 100.0 } else { i };
    let each: Vec<String> =
        l.index.iter().zip(words).filter_map(|(i, w)| i.map(|i| format!("{:.2} {w}", shown(i)))).collect();
    if each.is_empty() { String::new() } else { format!("lifting index {}", each.join(", ")) }
}

fn overhead(out: &mut dyn Write, sheet: &Sheet<'_>) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::HEAD, "Overhead"))?;
    let Some((height, volts)) = &sheet.rig.site.overhead_line else {
        for t in sheet.tops {
            hang(out, "  ", &format!("{}: {} over the road", t.what, m(t.top_m)))?;
        }
        return hang(
            out,
            "  ",
            &format!("No line is stated for this site. If there is one: {}.", OverheadError::UnknownVoltage),
        );
    };
    let voltage = both_kind(volts.value, Kind::Voltage);
    hang(out, "  ", &format!("Line of {voltage}, {} over the road.", m(height.value)))?;
    sheet.under.iter().try_for_each(|u| under(out, u))
}

fn under(out: &mut dyn Write, u: &Under) -> io::Result<()> {
    let doing = if u.top.doing == Doing::Work { "at work" } else { "in transit" };
    hang(out, "  ", &format!("{}, {doing}: {} over the road", u.top.what, m(u.top.top_m)))?;
    let have = if u.have_m < 0.0 {
        format!("{} past the line", m(-u.have_m))
    } else {
        format!("{} to the line", m(u.have_m))
    };
    let text = match (&u.asked, u.margin_m()) {
        (Ok(d), Some(left)) => {
            let asked = format!("{have}, {} asked ({})", m(d.least_m), d.rule.name());
            if left < 0.0 {
                format!("{asked}: TOO NEAR by {}", m(-left))
            } else {
                format!("{asked}: {} left", m(left))
            }
        }
        (Err(e), _) => format!("{have}; {e}"),
        (Ok(_), None) => have,
    };
    hang(out, "    ", &text)
}
