//! The card for the terminal.

use super::envelope::{limit_words, stretch_words};
use super::report::Report;
use super::style::{self, paint};
use super::text::hang;
use quantity::{Kind, System, show_kind};
use rig::Rig;
use std::io::{self, Write};
use verdict::limits::card::{Allowed, Boom, Row};
use verdict::limits::{self, Envelope, Largest, Stretch};

/// What stands on the card.
pub(crate) struct Card {
    pub(crate) rows: Vec<Row>,
    pub(crate) operator: Vec<String>,
    pub(crate) moving: bool,
}

/// What the star behind a number means.
pub(crate) const AS_PLANNED: &str =
    "as hard as the plan has it; the rig would bear more, but the car was not checked for it";

/// What the numbers feel like.
pub(crate) const MUCH: &str = "0.2 g: an easy bend, a soft stop. 0.3 g: a brisk bend, passengers hold on. 0.5 g: hard, loose things fly. 0.8 g: an \
     emergency stop on a dry road. (Common practice, no source.) The radius is the tightest bend at that speed.";

/// Lines under every card.
pub(crate) const KEEP: &[&str] = &[
    "Rain, dew or a wash: use the wet rows at once.",
    "Stop and read every gauge after a kerb, a hard stop, rain or heat, and at every round.",
    "Over the last row's speed, or in more wind than planned: slow down, park the boom if there is one, or stop.",
    "Stay clear of people, and of wires and bridges: know your height.",
    "The road, the tyres and the law may allow less. Then less it is.",
];

impl Card {
    pub(crate) fn of(rig: &Rig, envelope: &Envelope, stretched: &[Largest]) -> Self {
        let mut operator = Vec::new();
        for l in stretched {
            let Some(value) = l.value else { continue };
            // Never more than what was planned and checked is handed out as a right: what is over it is room.
            let (plan, most) = (stretch_words(l.what, l.planned), limit_words(l.what, value));
            operator.push(match l.what {
                Stretch::Gust => format!(
                    "Gusts: planned up to {plan}; every check holds up to {most}. Over that park, or stop."
                ),
                Stretch::Payload => format!(
                    "Payload {plan}; up to {most} with the counterweight balanced for it, after a new check."
                ),
                Stretch::PanRate => format!("Pan no faster than {plan}; there is room up to {most}."),
            });
        }
        if let Some(arm) = &rig.arm {
            operator.push(format!(
                "Boom from {:.0}° to {:.0}° and no farther.",
                arm.elevation.0.to_degrees(),
                arm.elevation.1.to_degrees()
            ));
        }
        Self { rows: limits::Card::of(rig, envelope).rows, operator, moving: envelope.moving }
    }

    /// Whether a number has a star.
    pub(crate) fn has_as_planned(&self) -> bool {
        self.rows.iter().any(|r| r.allowed.iter().any(|a| matches!(a, Allowed::AsPlanned(_))))
    }
}

/// `11 to 1 o'clock`, `6 o'clock`: hours as they follow each other round the clock.
pub(crate) fn hours(hours: &[u8]) -> String {
    let has = |h: u8| hours.contains(&h);
    let next = |h: u8| if h == 12 { 1 } else { h + 1 };
    let before = |h: u8| if h == 1 { 12 } else { h - 1 };
    if (1..=12).all(has) {
        return "any hour".to_owned();
    }
    let mut runs = Vec::new();
    for first in (1..=12).filter(|h| has(*h) && !has(before(*h))) {
        let mut last = first;
        while has(next(last)) {
            last = next(last);
        }
        runs.push(if first == last { format!("{first}") } else { format!("{first} to {last}") });
    }
    format!("{} o'clock", runs.join(", "))
}

fn allowed(a: Allowed) -> String {
    match a {
        Allowed::UpTo(g) => format!("{g:.2} g"),
        Allowed::AsPlanned(g) => format!("{g:.2} g*"),
        Allowed::No => "do not".to_owned(),
        Allowed::NotPlanned => "not planned".to_owned(),
    }
}

/// Writes the card.
pub(crate) fn write(out: &mut dyn Write, rig: &Rig, card: &Card) -> io::Result<()> {
    let rule = format!("+{}+", "-".repeat(78));
    writeln!(out, "{rule}\n|{:^78}|\n{rule}", "DRIVER AND OPERATOR")?;
    hang(out, "", &rig.name)?;
    for boom in [Boom::None, Boom::Anywhere, Boom::Parked] {
        for wet in [false, true] {
            let rows: Vec<&Row> = card.rows.iter().filter(|r| r.boom == boom && r.wet == wet).collect();
            if rows.is_empty() {
                continue;
            }
            writeln!(out, "\n{}", paint(style::HEAD, &head_words(boom, wet, card.moving)))?;
            writeln!(out, "  {:<24}{:<24}{:<14}both at once", "up to", "bends", "brake")?;
            for row in rows {
                line(out, row)?;
            }
        }
    }
    if card.has_as_planned() {
        writeln!(out)?;
        hang(out, "  * ", AS_PLANNED)?;
    }
    if !card.operator.is_empty() {
        writeln!(out, "\n{}", paint(style::HEAD, "OPERATOR"))?;
        for text in &card.operator {
            hang(out, "  - ", text)?;
        }
    }
    writeln!(out, "\n{}", paint(style::HEAD, "HOW MUCH IS THAT"))?;
    hang(out, "  ", MUCH)?;
    writeln!(out, "\n{}", paint(style::HEAD, "ALWAYS"))?;
    for text in KEEP {
        hang(out, "  - ", text)?;
    }
    Ok(())
}

/// What the boom does; empty without one.
pub(crate) fn place_words(boom: Boom, moving: bool) -> &'static str {
    match (boom, moving) {
        (Boom::None, _) => "",
        (Boom::Anywhere, true) => "boom anywhere and working",
        (Boom::Anywhere, false) => "boom anywhere, not moving",
        (Boom::Parked, _) => "boom parked",
    }
}

/// Over some rows: `DRY, boom parked`.
pub(crate) fn head_words(boom: Boom, wet: bool, moving: bool) -> String {
    let (surface, place) = (if wet { "WET" } else { "DRY" }, place_words(boom, moving));
    if place.is_empty() { surface.to_owned() } else { format!("{surface}, {place}") }
}

/// A row in words.
pub(crate) struct Words {
    pub(crate) speed: String,
    pub(crate) bends: String,
    pub(crate) brake: String,
    pub(crate) both: String,
    /// Where the boom allows clearly harder bends.
    pub(crate) better: Option<String>,
}

pub(crate) fn row_words(row: &Row) -> Words {
    let speed = format!(
        "{} ({})",
        show_kind(row.speed, Kind::Speed, System::Metric),
        show_kind(row.speed, Kind::Speed, System::Us)
    );
    let bends = match row.radius {
        Some(r) => format!("{}, {r:.0} m ({:.0} ft)", allowed(row.allowed[0]), (r / 0.3048 - 1e-6).ceil()),
        None => allowed(row.allowed[0]),
    };
    let both = allowed(row.allowed[2]) + if row.allowed[2].g().is_some() { " each" } else { "" };
    let better = row.better.as_ref().map(|(at, g)| format!("boom at {}: bends {g:.2} g", hours(at)));
    Words { speed, bends, brake: allowed(row.allowed[1]), both, better }
}

fn line(out: &mut dyn Write, row: &Row) -> io::Result<()> {
    let w = row_words(row);
    writeln!(out, "  {:<24}{:<24}{:<14}{}", w.speed, w.bends, w.brake, w.both)?;
    if let Some(better) = &w.better {
        writeln!(out, "  {:<24}{better}", "")?;
    }
    Ok(())
}

/// Says why there is no card.
pub(crate) fn refuse(out: &mut dyn Write, report: &Report) -> io::Result<()> {
    let word = report.answer.word();
    writeln!(out, "{}", paint(style::of_answer(report.answer), &format!("{word}: no card.")))?;
    hang(out, "", &report.name)?;
    writeln!(out)?;
    hang(out, "  ", &report.why)?;
    hang(out, "  ", "A card is for a rig that is a GO. `clingfish check` says what to do first.")
}

#[cfg(test)]
mod tests {
    use super::hours;

    #[test]
    fn hours_that_follow_each_other_are_one() {
        assert_eq!(hours(&[12, 11, 1]), "11 to 1 o'clock");
        assert_eq!(hours(&[6]), "6 o'clock");
        assert_eq!(hours(&[5, 6, 7, 12]), "5 to 7, 12 o'clock");
        assert_eq!(hours(&[1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]), "any hour");
    }
}
