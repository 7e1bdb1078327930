//! How hard the car may bend in each sector that the boom may point to.

use crate::print::envelope::{g, meaning, sector_words};
use draw::chart::{Axis, Dial, Scale, Sector, Sectors};
use mechanics::STANDARD_GRAVITY;
use quantity::{Kind, both_kind};
use rig::Rig;
use rig::model::ArmUse;
use verdict::limits::{Cell, Envelope, Limit, Place};

/// An axis in g, with m/s² on its far side.
pub(crate) fn g_axis(name: &str) -> Axis {
    Axis::new(name, Scale::Linear).unit("g", STANDARD_GRAVITY).other("m/s²", 1.0)
}

/// The least of some limits; one at which nothing is allowed is less than any.
pub(crate) fn least<'a>(limits: impl Iterator<Item = &'a Limit>) -> Option<&'a Limit> {
    let size = |l: &Limit| l.acceleration.unwrap_or(-1.0);
    limits.min_by(|a, b| size(a).total_cmp(&size(b)))
}

/// `50 km/h (31.1 mph), dry`.
pub(crate) fn speed_words(speed: f64, wet: bool) -> String {
    format!("{}, {}", both_kind(speed, Kind::Speed), if wet { "wet" } else { "dry" })
}

/// What every picture of limits says under it.
pub(crate) fn notes(rig: &Rig, e: &Envelope) -> Vec<String> {
    let mut out = Vec::new();
    if !e.missing.is_empty() {
        let what: Vec<&str> = e.missing.iter().map(|n| n.what.as_str()).collect();
        out.push(format!(
            "HOLD: no permission. These limits leave out checks that lack a value: {}.",
            what.join("; ")
        ));
    }
    out.push(meaning(rig, e));
    out.push(
        "Limits of the rig, not of the road, the tyres or the driver; the verdict of clingfish check comes first."
            .to_owned(),
    );
    out
}

/// One dial a speed and surface, dry beside wet; the least over the elevations counts. None without an arm that roams.
pub(crate) fn by_bearing(rig: &Rig, e: &Envelope) -> Option<Sectors> {
    let mut dials = Vec::new();
    for speed in &e.speeds {
        for wet in &e.surfaces {
            let here = |c: &&Cell| c.wet == *wet && (c.speed - speed).abs() < 1e-6;
            let cells: Vec<&Cell> = e.cells.iter().filter(here).collect();
            let sectors: Vec<Sector> = e
                .sectors
                .iter()
                .enumerate()
                .filter_map(|(s, sector)| {
                    let of =
                        cells.iter().filter(|c| matches!(c.place, Place::Boom { sector, .. } if sector == s));
                    let limit = least(of.filter_map(|c| c.limits.first()))?;
                    Some(Sector {
                        from: sector.from,
                        to: sector.to,
                        name: sector.hour().map_or_else(
                            || if e.sectors.len() > 24 { String::new() } else { sector_words(sector) },
                            |h| h.to_string(),
                        ),
                        value: limit.acceleration,
                        text: g(limit),
                    })
                })
                .collect();
            if sectors.is_empty() {
                continue;
            }
            let parked = cells.iter().find(|c| c.place == Place::Parked).and_then(|c| c.limits.first());
            let note = parked.map_or(String::new(), |l| match l.acceleration {
                Some(_) => format!("Boom parked: {} g.", g(l)),
                None => "Boom parked: none.".to_owned(),
            });
            dials.push(Dial { name: speed_words(*speed, *wet), sectors, note });
        }
    }
    let roaming = rig.manoeuvres.iter().filter(|m| m.arm != ArmUse::Parked);
    let plan = roaming.map(|m| m.left.value.abs()).fold(0.0, f64::max);
    let limit =
        (plan > 0.0).then(|| (format!("as hard as the plan bends: {:.2} g", plan / STANDARD_GRAVITY), plan));
    (!dials.is_empty()).then(|| Sectors {
        title: format!("{}: how hard the car may bend, by where the boom points", rig.name),
        axis: g_axis("allowed to either side"),
        dials,
        limit,
        nothing: "none: not even standing still on that road".to_owned(),
        notes: core::iter::once(
            "The car is seen from above, hours as on a clock, 12 straight ahead. The least over all elevations."
                .to_owned(),
        )
        .chain(notes(rig, e))
        .collect(),
    })
}
