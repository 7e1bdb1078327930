//! The envelope for the terminal.

use super::style::{self, paint};
use super::text::hang;
use quantity::{Kind, System, show_kind};
use rig::Rig;
use std::collections::BTreeMap;
use std::io::{self, Write};
use verdict::limits::{CAP, Cell, Envelope, Largest, Limit, Place, Sector, Stretch};
use verdict::sweep::Around;

/// Writes all tables.
pub(crate) fn write(
    out: &mut dyn Write,
    rig: &Rig,
    e: &Envelope,
    stretched: &[Largest],
    around: &Around,
) -> io::Result<()> {
    writeln!(out, "{}", paint(style::HEAD, "How hard the car may go"))?;
    hang(out, "", &rig.name)?;
    writeln!(out)?;
    if !e.missing.is_empty() {
        hang(out, "  ", "HOLD: no permission. Some checks lack a value, and these limits leave them out:")?;
        for hold in &e.missing {
            hang(out, "  - ", &format!("{}: {}", hold.what, hold.settle))?;
        }
        writeln!(out)?;
    }
    hang(out, "  ", &meaning(rig, e))?;
    for speed in &e.speeds {
        for wet in &e.surfaces {
            let here = |c: &&Cell| c.wet == *wet && (c.speed - speed).abs() < 1e-6;
            let cells: Vec<&Cell> = e.cells.iter().filter(here).collect();
            if !cells.is_empty() {
                let kmh = show_kind(*speed, Kind::Speed, System::Metric);
                let mph = show_kind(*speed, Kind::Speed, System::Us);
                let head = format!("{kmh} ({mph}), {}", if *wet { "wet" } else { "dry" });
                writeln!(out, "\n{}", paint(style::HEAD, &head))?;
                table(out, e, &cells)?;
            }
        }
    }
    if e.surfaces.len() < 2 {
        let other = if e.surfaces.contains(&true) { "dry" } else { "wet" };
        writeln!(out)?;
        hang(
            out,
            "  ",
            &format!(
                "Nothing for {other} panels: give them a finish from the parts list, which has friction for both."
            ),
        )?;
    }
    super::around::write(out, rig, e, around)?;
    stretch(out, stretched)?;
    writeln!(out)?;
    hang(
        out,
        "  ",
        "These are limits of the rig, not of the road, the tyres or the driver. Masses, fit, retention and the car's own limits are \
         not in them: the verdict of `clingfish check` comes first.",
    )
}

/// What the limits mean.
pub(crate) fn meaning(rig: &Rig, e: &Envelope) -> String {
    let gust = if e.gust {
        format!("; gusts of {}", show_kind(rig.site.gust.value, Kind::Speed, System::Metric))
    } else {
        String::new()
    };
    let boom = match (&rig.arm, e.moving) {
        (None, _) => "",
        (Some(_), true) => "; the boom anywhere in the sector and moving as its drives can",
        (Some(_), false) => "; the boom anywhere in the sector, not moving",
    };
    format!(
        "Largest acceleration in g at which every check of the states holds, rounded down. Bends: to either side. Brake: \
         straight on. Both: as much of each at once. Level road of class {} with its ups and downs at that speed{gust}{boom}; \
         nothing lost, or any one cup or strap; assumed values at their typical value and at all their bad ends.",
        rig.site.road
    )
}

/// A limit as it is written, rounded down.
pub(crate) fn g(limit: &Limit) -> String {
    match (limit.acceleration, limit.g()) {
        (Some(a), _) if a >= CAP - 1e-9 => ">1.2".to_owned(),
        (_, Some(g)) => format!("{g:.2}"),
        _ => "none".to_owned(),
    }
}

fn triple(cell: Option<&&Cell>) -> String {
    let Some(cell) = cell else { return String::new() };
    let each: Vec<String> = cell.limits.iter().map(|l| format!("{:>6}", g(l))).collect();
    each.concat()
}

pub(crate) fn sector_words(s: &Sector) -> String {
    s.hour().map_or_else(
        || format!("{:.0}° to {:.0}°", s.from.to_degrees(), s.to.to_degrees()),
        |h| format!("{h} o'clock"),
    )
}

/// What stops the limits of a table, most often first.
fn stops(cells: &[&Cell]) -> String {
    let mut count: BTreeMap<&'static str, usize> = BTreeMap::new();
    for by in cells.iter().flat_map(|c| &c.limits).filter_map(|l| l.by.as_ref()) {
        *count.entry(by.check.row().name).or_default() += 1;
    }
    let mut all: Vec<(&str, usize)> = count.into_iter().collect();
    all.sort_by_key(|(_, n)| core::cmp::Reverse(*n));
    let each: Vec<String> = all.iter().map(|(name, n)| format!("{name} ({n})")).collect();
    each.join(", ")
}

fn table(out: &mut dyn Write, e: &Envelope, cells: &[&Cell]) -> io::Result<()> {
    let at = |place: Place| cells.iter().find(|c| c.place == place);
    let columns = "  bends brake  both";
    if cells.iter().any(|c| matches!(c.place, Place::Boom { .. })) {
        write!(out, "  {:<12}", "boom")?;
        for band in &e.bands {
            let words = format!("{:.0}° to {:.0}°", band.from.to_degrees(), band.to.to_degrees());
            write!(out, "{words:^20}")?;
        }
        write!(out, "\n  {:<12}", "points at")?;
        for _ in &e.bands {
            write!(out, "{columns:>20}")?;
        }
        writeln!(out)?;
        for (s, sector) in e.sectors.iter().enumerate() {
            write!(out, "  {:<12}", sector_words(sector))?;
            for b in 0..e.bands.len() {
                write!(out, "{:>20}", triple(at(Place::Boom { sector: s, band: b })))?;
            }
            writeln!(out)?;
        }
    } else {
        writeln!(out, "  {:<12}{columns:>20}", "")?;
    }
    for (place, name) in [(Place::Parked, "boom parked"), (Place::Fixed, "the rig")] {
        if let Some(cell) = at(place) {
            writeln!(out, "  {name:<12}{:>20}", triple(Some(cell)))?;
        }
    }
    let stops = stops(cells);
    if !stops.is_empty() {
        hang(out, "  stopped by  ", &stops)?;
    }
    Ok(())
}

/// A limit of a thing that is stretched, in both systems, rounded down.
pub(crate) fn limit_words(what: Stretch, value: f64) -> String {
    // Whole degrees a second, 0.1 kg, 1 km/h.
    let step = match what {
        Stretch::PanRate => 1_f64.to_radians(),
        Stretch::Payload => 0.1,
        Stretch::Gust => 1.0 / 3.6,
    };
    stretch_words(what, (value / step + 1e-9).floor() * step)
}

/// A value of a thing that is stretched, in both systems.
pub(crate) fn stretch_words(what: Stretch, value: f64) -> String {
    match what {
        Stretch::PanRate => format!("{:.0} °/s", value.to_degrees()),
        Stretch::Payload => quantity::both_kind(value, Kind::Mass),
        Stretch::Gust => quantity::both_kind(value, Kind::Speed),
    }
}

pub(crate) fn stretch_name(what: Stretch) -> &'static str {
    match what {
        Stretch::PanRate => "pan rate",
        Stretch::Payload => "payload, counterweight balanced for it",
        Stretch::Gust => "gust",
    }
}

fn stretch(out: &mut dyn Write, all: &[Largest]) -> io::Result<()> {
    if all.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{}", paint(style::HEAD, "How far the plan may be stretched, one thing at a time"))?;
    for l in all {
        let planned = stretch_words(l.what, l.planned);
        let text = match (l.value, &l.by) {
            (Some(v), Some((check, _))) => format!(
                "planned {planned}; every check holds up to {}, then {} ({}) does not",
                limit_words(l.what, v),
                check.row().title.to_lowercase(),
                check.row().name
            ),
            (Some(_), None) => {
                format!(
                    "planned {planned}; every check still holds at {}, the most that was tried",
                    limit_words(l.what, l.cap)
                )
            }
            (None, _) => format!("planned {planned}; with none at all some check still fails"),
        };
        hang(out, "  - ", &format!("{}: {text}", stretch_name(l.what)))?;
    }
    Ok(())
}
