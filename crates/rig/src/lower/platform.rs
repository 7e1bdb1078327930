//! Platforms, their legs and bolts, and lumped items.

use super::context::{Context, Reported, View, mm};
use super::geometry::nearest_on_tube;
use super::panel::frame;
use super::tube::named_section;
use crate::diagnostic::Diagnostic;
use crate::model::{Bolts, Drag, Hold, Item, Leg, Platform, Tube};
use crate::record::Record;
use glam::DVec3;

pub(crate) fn platforms(cx: &mut Context<'_>) -> Vec<Option<Platform>> {
    let root = cx.root;
    root.tagged("platform").iter().map(|r| platform(cx, r)).collect()
}

fn platform(cx: &mut Context<'_>, record: &Record) -> Option<Platform> {
    let view = View::plain(record);
    let (mass, drag) = (cx.fact(view, "mass"), cx.fact(view, "drag"));
    let at = record.sub("at").and_then(|r| cx.full_place(r, cx.datum));
    let slope = if record.is_faulty("slope") { None } else { Some(record.measure("slope").unwrap_or(0.0)) };
    let (along, _, normal) = frame(view.word("faces")?, slope?);
    let size = DVec3::new(record.measure("length")?, record.measure("width")?, record.measure("thickness")?);
    Some(Platform { tag: record.tag.clone(), at: at?, along, normal, size, mass: mass?, drag: drag? })
}

/// How far a point lies outside a platform's outline, m (negative inside).
pub(crate) fn outside(platform: &Platform, p: DVec3) -> f64 {
    let d = p - platform.at;
    let across = platform.normal.cross(platform.along);
    (d.dot(platform.along).abs() - 0.5 * platform.size.x).max(d.dot(across).abs() - 0.5 * platform.size.y)
}

/// Reports a point that is not on the platform.
pub(crate) fn must_be_on(cx: &mut Context<'_>, record: &Record, platform: &Platform, p: DVec3) -> bool {
    let by = outside(platform, p);
    if by <= 0.0005 {
        return true;
    }
    cx.faults.push(
        Diagnostic::error(
            "R015",
            &record.at,
            format!("{} misses platform \"{}\" by {}", record.title(), platform.tag, mm(by)),
        )
        .why(format!("the platform is {} by {}", mm(platform.size.x), mm(platform.size.y)))
        .mend("move it under the platform, or check the platform's `at` and size"),
    );
    false
}

pub(crate) fn legs(
    cx: &mut Context<'_>,
    tubes: &[Option<Tube>],
    platforms: &[Option<Platform>],
) -> Vec<Option<Leg>> {
    let root = cx.root;
    root.tagged("leg").iter().map(|r| leg(cx, r, tubes, platforms)).collect()
}

fn leg(
    cx: &mut Context<'_>,
    record: &Record,
    tubes: &[Option<Tube>],
    platforms: &[Option<Platform>],
) -> Option<Leg> {
    let part = cx.part(View::plain(record), "part");
    let foot = record.sub("foot");
    let on = foot.and_then(|f| cx.refer(f, "tube"));
    let carries = cx.refer(record, "platform");
    let bolts = record.sub("bolts").map(|r| bolts(cx, r));
    let view = View { record, part: Some(part?) };
    let mass = cx.fact(view, "mass");
    let slender = record.has("tube") || part?.has("tube");
    let section = if slender { Some(named_section(cx, view, "tube")) } else { None };
    let (slip, twist) = (view.maybe("slip"), view.maybe("twist"));
    let ((_, tube_index), (_, platform_index)) = (on?, carries?);
    let tube = tubes.get(tube_index)?.as_ref()?;
    let s = cx.along_tube(foot?, tube)?;
    let platform = platforms.get(platform_index)?.as_ref()?;
    let top = top(cx, record, tube.point(s), platform)?;
    Some(Leg {
        tag: record.tag.clone(),
        foot: (tube_index, s),
        platform: platform_index,
        top,
        mass: mass?,
        section: match section {
            Some(section) => Some(section?),
            None => None,
        },
        slip,
        twist,
        bolts: match bolts {
            Some(bolts) => Some(bolts?),
            None => None,
        },
    })
}

/// Where a leg meets the platform's underside.
fn top(cx: &mut Context<'_>, record: &Record, foot: DVec3, platform: &Platform) -> Option<DVec3> {
    let under = platform.at - platform.normal * platform.size.z;
    if record.is_faulty("top") {
        return None;
    }
    let top = if let Some(place) = record.sub("top") {
        let top = cx.full_place(place, cx.datum)?;
        let off = (top - under).dot(platform.normal);
        if off.abs() > platform.size.z + 0.02 {
            cx.faults.push(
                Diagnostic::error(
                    "R015",
                    &place.at,
                    format!(
                        "the top of {} is {} off platform \"{}\"",
                        record.title(),
                        mm(off.abs()),
                        platform.tag
                    ),
                )
                .why("a leg meets the platform at its underside")
                .mend("leave `top` out for a leg that stands straight, or measure it again"),
            );
            return None;
        }
        top
    } else {
        let rise = (under - foot).dot(platform.normal);
        if rise <= 0.0 {
            cx.faults.push(
                Diagnostic::error(
                    "R015",
                    &record.at,
                    format!("{} stands {} above platform \"{}\"", record.title(), mm(-rise), platform.tag),
                )
                .why("the platform's underside is below the middle of the tube that the leg stands on")
                .mend("raise the platform's `at`, or check the tube's height"),
            );
            return None;
        }
        foot + platform.normal * rise
    };
    must_be_on(cx, record, platform, top).then_some(top)
}

pub(crate) fn bolts(cx: &mut Context<'_>, record: &Record) -> Option<Bolts> {
    let view = View::plain(record);
    let (torque, circle) = (cx.fact(view, "torque"), cx.measure(view, "circle"));
    let (thread_friction, face_friction) = (cx.fact(view, "thread_friction"), cx.fact(view, "face_friction"));
    let (count, circle) = (record.count("count")?, circle?);
    if count > 1 && circle <= 0.0 {
        cx.faults.push(
            Diagnostic::error(
                "R006",
                &record.at,
                format!("[{}] has {count} bolts and no `circle`", record.path),
            )
            .why("more than one bolt stand on a circle, which takes the moment")
            .mend("measure across two bolts and add `circle = \"60 mm\"`"),
        );
        return None;
    }
    Some(Bolts {
        thread: view.word("thread")?.to_owned(),
        class: view.word("class")?.to_owned(),
        count,
        circle,
        torque: torque?,
        thread_friction: thread_friction?,
        face_friction: face_friction?,
    })
}

/// Drag of a thing by its `size` and `drag`.
pub(crate) fn drag(cx: &mut Context<'_>, record: &Record) -> Result<Option<Drag>, Reported> {
    if record.is_faulty("size") {
        return Err(Reported);
    }
    let Some(size) = record.sub("size") else { return Ok(None) };
    let coefficient = cx.fact(View::plain(record), "drag").ok_or(Reported)?;
    let side = |key: &str| size.measure(key).ok_or(Reported);
    let (l, w, h) = (side("length")?, side("width")?, side("height")?);
    Ok(Some(Drag { areas: DVec3::new(w * h, l * h, l * w), coefficient }))
}

pub(crate) fn items(cx: &mut Context<'_>, tubes: &[Option<Tube>]) -> Vec<Option<Item>> {
    let root = cx.root;
    root.tagged("item").iter().map(|r| item(cx, r, tubes)).collect()
}

fn item(cx: &mut Context<'_>, record: &Record, tubes: &[Option<Tube>]) -> Option<Item> {
    let mass = cx.fact(View::plain(record), "mass");
    let at = record.sub("at").and_then(|r| cx.full_place(r, cx.datum));
    let on = cx.refer(record, "on");
    let drag = drag(cx, record);
    let at = at?;
    let on = match on? {
        ("tube", i) => Hold::Tube { tube: i, s: nearest_on_tube(tubes.get(i)?.as_ref()?, at) },
        ("platform", i) => Hold::Platform(i),
        (_, i) => Hold::Cup(i),
    };
    Some(Item { tag: record.tag.clone(), mass: mass?, at, on, drag: drag.ok()? })
}
