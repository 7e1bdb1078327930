//! Site, car, what rides inside.

use super::context::{Context, View};
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::model::{Aboard, Outline, Ride, Site, Vehicle};
use crate::record::Record;
use glam::DVec3;
use quantity::both_kind;

pub(crate) fn site(cx: &mut Context<'_>) -> Option<Site> {
    let root = cx.root;
    let record = root.sub("site")?;
    let view = View::plain(record);
    let line = record.sub("overhead_line").map(View::plain);
    let overhead_line = match line {
        None => None,
        Some(line) => Some((cx.fact(line, "height")?, cx.fact(line, "voltage")?)),
    };
    let road = view.word("road").and_then(|w| w.chars().next());
    let (altitude, temperature) = (cx.fact(view, "altitude"), cx.fact(view, "temperature"));
    let (gust, over_roof) = (cx.fact(view, "gust"), cx.fact(view, "over_roof"));
    Some(Site {
        altitude: altitude?,
        temperature: temperature?,
        gust: gust?,
        highest: view.maybe("highest"),
        hottest: view.maybe("hottest"),
        over_roof: over_roof?,
        road: road?,
        clearance: view.maybe("clearance"),
        overhead_line,
    })
}

/// The windscreen's top edge in vehicle axes.
pub(crate) fn datum(cx: &mut Context<'_>) -> Option<DVec3> {
    let root = cx.root;
    let record = root.sub("vehicle")?.sub("datum")?;
    Some(DVec3::new(0.0 - record.measure("aft")?, 0.0, record.measure("up")?))
}

pub(crate) fn vehicle(cx: &mut Context<'_>) -> Option<Vehicle> {
    let root = cx.root;
    let record = root.sub("vehicle")?;
    let named = record.has("like");
    let part = cx.part(View::plain(record), "like");
    if named && part.is_none() {
        // Everything that the set would give would be reported missing: one fault is enough.
        return None;
    }
    let view = View { record, part };
    let mut all = |keys: &[&str]| -> Vec<Option<Fact>> { keys.iter().map(|k| cx.fact(view, k)).collect() };
    let basic = all(&["mass", "front_axle", "wheelbase", "track_front", "track_rear", "centre_height"]);
    let outline = all(&["length", "width", "height", "front_overhang"]);
    let ride = all(&[
        "sprung_corner",
        "unsprung_corner",
        "spring",
        "damper",
        "tyre",
        "roll_stiffness",
        "roll_axis_height",
    ]);
    let [roof_rating, gross_limit, front_axle_limit, rear_axle_limit] =
        ["roof_rating", "gross_limit", "front_axle_limit", "rear_axle_limit"].map(|k| view.maybe(k));
    let datum = datum(cx);
    let aboard: Vec<Option<Aboard>> = root.tagged("aboard").iter().map(|r| one_aboard(cx, r)).collect();
    let Ok([mass, front_axle, wheelbase, track_front, track_rear, centre_height]) = <[_; 6]>::try_from(basic)
    else {
        return None;
    };
    let Ok([length, width, height, front_overhang]) = <[_; 4]>::try_from(outline) else { return None };
    let Ok([sprung_corner, unsprung_corner, spring, damper, tyre, roll_stiffness, roll_axis_height]) =
        <[_; 7]>::try_from(ride)
    else {
        return None;
    };
    let vehicle = Vehicle {
        like: record.text("like").map(str::to_owned),
        mass: mass?,
        front_axle: front_axle?,
        wheelbase: wheelbase?,
        track_front: track_front?,
        track_rear: track_rear?,
        centre_height: centre_height?,
        roof_rating,
        gross_limit,
        front_axle_limit,
        rear_axle_limit,
        datum: datum?,
        outline: Outline { length: length?, width: width?, height: height?, front_overhang: front_overhang? },
        ride: Ride {
            sprung_corner: sprung_corner?,
            unsprung_corner: unsprung_corner?,
            spring: spring?,
            damper: damper?,
            tyre: tyre?,
            roll_stiffness: roll_stiffness?,
            roll_axis_height: roll_axis_height?,
        },
        aboard: aboard.into_iter().collect::<Option<_>>()?,
    };
    agree(cx, record, &vehicle);
    Some(vehicle)
}

/// Values of the car that cannot go together.
fn agree(cx: &mut Context<'_>, record: &Record, v: &Vehicle) {
    let mut clash = |key: &str, what: &str, a: &Fact, b: &Fact, mend: &str| {
        cx.faults.push(
            Diagnostic::error("R028", record.spot(key), what)
                .why(format!("{} against {}", both_kind(a.value, a.kind), both_kind(b.value, b.kind)))
                .mend(mend),
        );
    };
    if v.front_axle.value >= v.mass.value {
        clash(
            "front_axle",
            "the front axle carries more than the whole car",
            &v.front_axle,
            &v.mass,
            "weigh both again: the front axle is a share of `mass`",
        );
    }
    if v.wheelbase.value + v.outline.front_overhang.value > v.outline.length.value {
        clash(
            "wheelbase",
            "the car is shorter than its wheelbase and front overhang",
            &v.wheelbase,
            &v.outline.length,
            "tape `length`, `wheelbase` and `front_overhang` again",
        );
    }
    if v.track_front.value > v.outline.width.value || v.track_rear.value > v.outline.width.value {
        clash(
            "width",
            "the car is narrower than its track",
            &v.track_front,
            &v.outline.width,
            "tape `width` and the tracks again",
        );
    }
    if v.centre_height.value >= v.outline.height.value {
        clash(
            "centre_height",
            "the mass centre is above the car",
            &v.centre_height,
            &v.outline.height,
            "check `centre_height` and `height`",
        );
    }
    if let Some(limit) = v.gross_limit.as_ref().filter(|l| l.value < v.mass.value) {
        clash(
            "gross_limit",
            "the gross limit is below the empty car's mass",
            limit,
            &v.mass,
            "read the plate again",
        );
    }
}

fn one_aboard(cx: &mut Context<'_>, record: &Record) -> Option<Aboard> {
    let mass = cx.fact(View::plain(record), "mass");
    let c = cx.coordinates(record, DVec3::ZERO)?;
    let Some(x) = c.x else {
        cx.lacks(record, &record.at, super::place::AXES.first().copied().unwrap_or(""));
        return None;
    };
    Some(Aboard { tag: record.tag.clone(), mass: mass?, at: DVec3::new(x, c.y.unwrap_or(0.0), c.z?) })
}
