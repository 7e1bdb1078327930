//! The margins of the tightest checks as the boom goes round, and as it goes up and down.

use draw::chart::{Along, Axis, Chart, Limit, Line, Scale};
use rig::Rig;
use rig::policy::CheckId;
use verdict::sweep::{Around, Ring};

/// Lines that a chart can carry and still be read.
const MOST: usize = 5;

/// Margins over the bearing; none without an arm that roams.
pub(crate) fn by_bearing(rig: &Rig, around: &Around) -> Option<Chart> {
    let x = Axis::new("bearing, left of straight ahead positive", Scale::Linear)
        .unit("°", 1_f64.to_radians())
        .marked_at([-180.0, -90.0, 0.0, 90.0, 180.0].map(f64::to_radians).into());
    over(rig, &around.bearings, x, ("by where the boom points", "any elevation"))
}

/// Margins over the elevation; none without an arm that roams.
pub(crate) fn by_elevation(rig: &Rig, around: &Around) -> Option<Chart> {
    let x = Axis::new("elevation of the boom, up positive", Scale::Linear).unit("°", 1_f64.to_radians());
    over(rig, &around.elevations, x, ("by the boom's elevation", "any bearing"))
}

fn over(rig: &Rig, rings: &[Ring], x: Axis, (by, any): (&str, &str)) -> Option<Chart> {
    let first = rings.first()?;
    let mut checks: Vec<(CheckId, f64)> = first
        .least
        .iter()
        .map(|l| (l.check, at_all(rings, l.check).map(|p| p.1).fold(f64::INFINITY, f64::min)))
        .filter(|(_, least)| least.is_finite())
        .collect();
    checks.sort_by(|a, b| a.1.total_cmp(&b.1));
    checks.truncate(MOST);
    let lines = checks
        .iter()
        .map(|(check, least)| Line {
            label: format!("{}, at least {least:.2}", check.row().title),
            points: at_all(rings, *check).collect(),
            dots: false,
        })
        .collect();
    Some(Chart {
        title: format!("{}: least margins {by}", rig.name),
        x,
        y: Axis::new("margin", Scale::Linear).from_to(0.0, 1.0),
        lines,
        limits: vec![Limit { label: "must be over this".to_owned(), at: 1.0, along: Along::Y }],
        notes: vec![format!(
            "Every manoeuvre of the plan, {any}, nothing lost or any one cup or strap. Values as they stand in the rig file."
        )],
    })
}

fn at_all(rings: &[Ring], check: CheckId) -> impl Iterator<Item = (f64, f64)> + '_ {
    rings.iter().filter_map(move |r| {
        r.least.iter().find(|l| l.check == check && l.margin.is_finite()).map(|l| (r.at, l.margin))
    })
}
