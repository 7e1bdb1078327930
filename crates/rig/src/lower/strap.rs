//! Straps and tethers along their paths.

use super::context::{Context, View, mm};
use super::place::AXES;
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::model::{Cup, Hold, PathPoint, Platform, Strap, StrapKind, Tube};
use crate::record::{Record, Value};
use glam::DVec3;
use quantity::{Kind, both_kind};

/// What a strap can be fixed to.
struct Rigging<'m> {
    tubes: &'m [Option<Tube>],
    cups: &'m [Option<Cup>],
    platforms: &'m [Option<Platform>],
}

pub(crate) fn straps(
    cx: &mut Context<'_>,
    tubes: &[Option<Tube>],
    cups: &[Option<Cup>],
    platforms: &[Option<Platform>],
) -> Vec<Option<Strap>> {
    let root = cx.root;
    let rigging = Rigging { tubes, cups, platforms };
    root.tagged("strap").iter().map(|r| strap(cx, r, &rigging)).collect()
}

fn strap(cx: &mut Context<'_>, record: &Record, rigging: &Rigging<'_>) -> Option<Strap> {
    let part = cx.part(View::plain(record), "part");
    let path: Vec<Option<PathPoint>> = record
        .list("path")
        .iter()
        .map(|c| match &c.value {
            Value::Table(r) => point(cx, r, rigging),
            _ => None,
        })
        .collect();
    let view = View { record, part: Some(part?) };
    let kind = match view.word("kind") {
        Some("tether") => StrapKind::Tether,
        Some(_) => StrapKind::Strap,
        None => {
            if let Some(row) = record.table.row("kind").filter(|_| !record.has("kind")) {
                cx.nothing_gives(view, row);
            }
            return None;
        }
    };
    let [capacity, stretch, mass] = ["capacity", "stretch", "mass"].map(|k| cx.fact(view, k));
    let pretension = pretension(cx, view, kind);
    let path: Vec<PathPoint> =
        if record.is_faulty("path") { return None } else { path.into_iter().collect::<Option<_>>()? };
    if record.has("path") {
        sound(cx, record, &path)?;
    }
    let (capacity, pretension) = (capacity?, pretension?);
    if pretension.value > 0.5 * capacity.value {
        cx.faults.push(
            Diagnostic::warning(
                "R013",
                record.spot("pretension"),
                format!("{} is pulled to more than half its capacity", record.title()),
            )
            .why(format!(
                "{} of {}; EN 12195-2 leaves it between a tenth and a half",
                both_kind(pretension.value, Kind::Force),
                both_kind(capacity.value, Kind::Force)
            ))
            .mend("ease the ratchet, or use a stronger strap"),
        );
    }
    Some(Strap {
        tag: record.tag.clone(),
        part: part?.tag.clone(),
        kind,
        capacity,
        stretch: stretch?,
        pretension,
        mass: mass?,
        path,
    })
}

fn pretension(cx: &mut Context<'_>, view: View<'_>, kind: StrapKind) -> Option<Fact> {
    let record = view.record;
    let stated = view.maybe("pretension");
    let key = format!("{}.pretension", record.path);
    match (kind, stated) {
        (StrapKind::Tether, None) => Some(Fact::stated(0.0, Kind::Force, &key)),
        (StrapKind::Tether, Some(fact)) if fact.value > 0.0 => {
            cx.faults.push(
                Diagnostic::error(
                    "R028",
                    record.spot("pretension"),
                    format!("{} is a tether and has a pretension", record.title()),
                )
                .why("a tether is left just slack; what is pulled tight is a strap")
                .mend("take `pretension` out, or name a strap as its `part`"),
            );
            None
        }
        (_, Some(fact)) => Some(fact),
        (StrapKind::Strap, None) => {
            if let Some(row) = record.table.row("pretension").filter(|_| !record.has("pretension")) {
                cx.faults.push(
                    Diagnostic::error("R006", &record.at, format!("{} has no `pretension`", record.title()))
                        .why("a strap holds by the tension that it is fitted with")
                        .mend(format!("add `pretension = {}`: {}", row.example, row.settle)),
                );
            }
            None
        }
    }
}

fn point(cx: &mut Context<'_>, record: &Record, rigging: &Rigging<'_>) -> Option<PathPoint> {
    let named: Vec<&str> = ["tube", "cup", "platform"].into_iter().filter(|k| record.has(k)).collect();
    match named.as_slice() {
        [] => {
            let at = cx.full_place(record, cx.datum)?;
            Some(PathPoint { at, on: Hold::Body })
        }
        ["tube"] => {
            let (_, i) = cx.refer(record, "tube")?;
            let tube = rigging.tubes.get(i)?.as_ref()?;
            let s = cx.along_tube(record, tube)?;
            Some(PathPoint { at: tube.point(s), on: Hold::Tube { tube: i, s } })
        }
        ["cup"] => {
            let (_, i) = cx.refer(record, "cup")?;
            Some(PathPoint { at: rigging.cups.get(i)?.as_ref()?.head, on: Hold::Cup(i) })
        }
        [_] => {
            let (_, i) = cx.refer(record, "platform")?;
            let platform = rigging.platforms.get(i)?.as_ref()?;
            let c = cx.coordinates(record, cx.datum)?;
            let at = platform.at;
            Some(PathPoint {
                at: DVec3::new(c.x.unwrap_or(at.x), c.y.unwrap_or(at.y), c.z.unwrap_or(at.z)),
                on: Hold::Platform(i),
            })
        }
        [first, second, ..] => {
            cx.faults.push(
                Diagnostic::error(
                    "R014",
                    record.spot(second),
                    format!("the point [{}] names a {first} and a {second}", record.path),
                )
                .why("a strap's point is on one thing")
                .mend("make two points of it")
                .related(record.spot(first), "the other one"),
            );
            None
        }
    }
}

/// Two points or more, no two in one place, and something of the rig among them.
fn sound(cx: &mut Context<'_>, record: &Record, path: &[PathPoint]) -> Option<()> {
    let spot = record.spot("path").clone();
    let mut fail = |what: String, why: &str, mend: String| {
        cx.faults.push(Diagnostic::error("R021", &spot, what).why(why).mend(mend));
        None
    };
    if path.len() < 2 {
        return fail(
            format!(
                "the path of {} has {} point{}",
                record.title(),
                path.len(),
                if path.len() == 1 { "" } else { "s" }
            ),
            "a strap runs from one point to another",
            format!(
                "add where it ends: on the rig, or on the body with {}, {} and {}",
                AXES[0], AXES[1], AXES[2]
            ),
        );
    }
    for (i, pair) in path.windows(2).enumerate() {
        if let [p, q] = pair
            && (q.at - p.at).length() < 0.001
        {
            return fail(
                format!("points {} and {} of {} are in one place", i + 1, i + 2, record.title()),
                "a strap has no length between them",
                "take one of them out, or measure both again".to_owned(),
            );
        }
    }
    if path.iter().all(|p| p.on == Hold::Body) {
        return fail(
            format!("{} holds nothing of the rig", record.title()),
            "all its points are on the car's body",
            "name the tube, cup or platform that it runs over".to_owned(),
        );
    }
    let length: f64 =
        path.windows(2).map(|w| if let [p, q] = w { (q.at - p.at).length() } else { 0.0 }).sum();
    if length > 30.0 {
        return fail(
            format!("{} is {} long", record.title(), mm(length)),
            "a strap on a car is at most 30 m long",
            "check the units of its points".to_owned(),
        );
    }
    Some(())
}
