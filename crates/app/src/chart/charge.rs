//! What is left in each battery over the day.

use draw::chart::{Along, Axis, Chart, Limit, Line, Scale};
use quantity::{Kind, both_kind};
use rig::Rig;
use rig::model::power::Power;
use verdict::power::Report;

/// Charge left over the day, one line a battery.
pub(crate) fn over_the_day(rig: &Rig, power: &Power, tables: &Report) -> Option<Chart> {
    let hours = power.hours.as_ref()?.value;
    let (mut lines, mut limits, mut notes) = (Vec::new(), Vec::new(), Vec::new());
    for row in &tables.batteries {
        let Some(day) = &row.day else { continue };
        let battery = &power.batteries[row.battery];
        lines.push(Line { label: battery.tag.clone(), points: day.run.curve.clone(), dots: false });
        limits.push(Limit {
            label: format!("{}: leave this in it", battery.tag),
            at: day.floor,
            along: Along::Y,
        });
        notes.push(format!("{} at {}", battery.tag, both_kind(battery.temperature.value, Kind::Temperature)));
    }
    (!lines.is_empty()).then(|| Chart {
        title: format!("{}: charge left", rig.name),
        x: Axis::new("time of the day", Scale::Linear).unit("h", 3600.0).from_to(0.0, hours),
        y: Axis::new("charge left", Scale::Linear).unit("%", 0.01).from_to(0.0, 1.0),
        lines,
        limits,
        notes,
    })
}
