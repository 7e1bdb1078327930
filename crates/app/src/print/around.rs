//! Where the plan is tightest, for the terminal.

use super::envelope::sector_words;
use super::style::{self, paint};
use super::text::{hang, margin};
use rig::Rig;
use std::io::{self, Write};
use verdict::limits::Envelope;
use verdict::sweep::{Around, Least};

/// Writes the least margin of every sector of bearings and of every elevation; nothing without an arm that roams.
pub(crate) fn write(out: &mut dyn Write, rig: &Rig, e: &Envelope, around: &Around) -> io::Result<()> {
    let by_sector: Vec<(String, Option<&Least>)> = e
        .sectors
        .iter()
        .map(|s| {
            let here = around.bearings.iter().filter(|r| s.holds(r.at)).flat_map(|r| &r.least);
            (sector_words(s), tightest(here))
        })
        .collect();
    if by_sector.iter().all(|(_, least)| least.is_none()) {
        return Ok(());
    }
    writeln!(out, "\n{}", paint(style::HEAD, "Where the plan itself is tightest"))?;
    hang(
        out,
        "  ",
        "Least margin of any check in the manoeuvres of the plan, nothing lost or any one cup or strap, the boom pointing there or \
         at that elevation. Values as they stand; `clingfish check` varies those that are assumed.",
    )?;
    table(out, rig, "points at", &by_sector)?;
    let by_elevation: Vec<(String, Option<&Least>)> = around
        .elevations
        .iter()
        .map(|r| (format!("{:.0}°", r.at.to_degrees()).replace("-0°", "0°"), tightest(r.least.iter())))
        .collect();
    table(out, rig, "boom at", &by_elevation)?;
    if let Some(least) = tightest(around.parked.iter()) {
        table(out, rig, "", &[("parked".to_owned(), Some(least))])?;
    }
    Ok(())
}

fn tightest<'a>(all: impl Iterator<Item = &'a Least>) -> Option<&'a Least> {
    all.reduce(|a, b| if b.margin < a.margin { b } else { a })
}

fn table(out: &mut dyn Write, rig: &Rig, head: &str, rows: &[(String, Option<&Least>)]) -> io::Result<()> {
    if !head.is_empty() {
        writeln!(out, "\n  {head:<14}{:>6}  by", "margin")?;
    }
    for (name, least) in rows {
        let Some(l) = least else { continue };
        hang(
            out,
            &format!("  {name:<14}{:>6}  ", margin(l.margin)),
            &format!("{} ({}), {}", l.check.row().title, l.check.row().name, l.part.name(rig)),
        )?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use rig::policy::CheckId;
    use verdict::limits::Sector;
    use verdict::sweep::Ring;
    use verdict::{PartRef, StateId};

    #[test]
    fn each_sector_and_elevation_shows_its_tightest_check() {
        let text = include_str!("../../tests/rigs/plate.toml");
        let rig = rig::read(text, "plate.toml", &|_| Err(String::new())).rig.unwrap();
        let state = StateId::default();
        let least = |check, margin| Least { check, margin, part: PartRef::Arm, state };
        let ring = |degrees: f64, a, b| Ring {
            at: degrees.to_radians(),
            least: vec![least(CheckId::TiltDrive, a), least(CheckId::BoomStress, b)],
        };
        let sector = |from: f64, to: f64| Sector { from: from.to_radians(), to: to.to_radians() };
        let envelope = Envelope {
            cells: Vec::new(),
            speeds: Vec::new(),
            sectors: vec![sector(-15.0, 15.0), sector(15.0, 45.0), sector(45.0, 75.0)],
            bands: Vec::new(),
            surfaces: Vec::new(),
            moving: true,
            gust: false,
            missing: Vec::new(),
        };
        let around = Around {
            bearings: vec![ring(-10.0, 1.8, 1.7), ring(0.0, 2.0, 1.9), ring(30.0, 1.2, f64::INFINITY)],
            elevations: vec![ring(-0.01, 1.2, 1.7)],
            parked: Vec::new(),
        };
        let mut out = Vec::new();
        write(&mut out, &rig, &envelope, &around).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
        for line in ["12 o'clock      1.70  ", "11 o'clock      1.20  ", "0°              1.20  "] {
            assert!(text.contains(line), "{line} in\n{text}");
        }
        assert!(!text.contains("10 o'clock") && !text.contains("parked"), "{text}");
        let mut out = Vec::new();
        write(&mut out, &rig, &envelope, &Around::default()).unwrap();
        assert!(out.is_empty());
    }
}
