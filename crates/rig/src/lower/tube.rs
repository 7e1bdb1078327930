//! Tubes: their sections and the ends of their axes.

use super::context::{Context, View, mm};
use super::geometry::nearest_on_tube;
use super::panel::plane_axes;
use super::place::AXES;
use crate::diagnostic::Diagnostic;
use crate::model::{Panel, Section, Tube, TubeMaterial};
use crate::record::Record;
use glam::DVec3;

/// The round section that a tube part gives, with what the table states over it.
pub(crate) fn section(cx: &mut Context<'_>, view: View<'_>, name: &str) -> Option<Section> {
    let (outer, wall) = (cx.measure(view, "outer"), cx.measure(view, "wall"));
    let drag = cx.fact(view, "drag");
    let material = material(cx, view)?;
    let (outer, wall) = (outer?, wall?);
    if wall > outer / 2.0 {
        cx.faults.push(
            Diagnostic::error(
                "R028",
                view.record.spot("wall"),
                format!("{} has a wall thicker than its radius", view.record.title()),
            )
            .why(format!("wall {:.1} mm, outer diameter {:.1} mm", wall * 1000.0, outer * 1000.0))
            .mend("measure the wall at a cut end with a caliper"),
        );
        return None;
    }
    Some(Section { part: name.to_owned(), outer, wall, material, drag: drag? })
}

fn material(cx: &mut Context<'_>, view: View<'_>) -> Option<TubeMaterial> {
    let record = cx.part(view, "material")?;
    let of = |key: &str| record.fact(key);
    let mut yield_pa = super::context::inherited(
        of("yield")?,
        record,
        format!("{}.yield", record.path),
        "read the mill certificate",
    );
    yield_pa.key = format!("material.{}.yield", crate::pass::key_text(&record.tag));
    Some(TubeMaterial {
        name: record.tag.clone(),
        e_pa: of("e")?.value,
        g_pa: of("g")?.value,
        density: of("density")?.value,
        yield_pa,
    })
}

/// A section by the name of a tube part, for things that are not tubes of the grid.
pub(crate) fn named_section(cx: &mut Context<'_>, view: View<'_>, key: &str) -> Option<Section> {
    let part = cx.part(view, key)?;
    section(cx, View::plain(part), &part.tag)
}

pub(crate) fn tubes(cx: &mut Context<'_>, panels: &[Option<Panel>]) -> Vec<Option<Tube>> {
    let root = cx.root;
    let records = root.tagged("tube");
    let sections: Vec<Option<Section>> = records
        .iter()
        .map(|r| {
            let part = cx.part(View::plain(r), "part")?;
            section(cx, View { record: r, part: Some(part) }, &part.tag)
        })
        .collect();
    // Tubes that lie on others wait until those are placed.
    let mut placed: Vec<Option<Tube>> = records.iter().map(|_| None).collect();
    let mut tried = vec![false; records.len()];
    let lies_on: Vec<Vec<usize>> = records.iter().map(|r| supports(cx, r)).collect();
    loop {
        let next = (0..records.len()).find(|i| {
            tried.get(*i) == Some(&false)
                && lies_on.get(*i).is_some_and(|l| l.iter().all(|s| tried.get(*s) == Some(&true)))
        });
        let Some(i) = next else { break };
        let (Some(record), Some(section)) = (records.get(i), sections.get(i)) else { break };
        if let Some(done) = tried.get_mut(i) {
            *done = true;
        }
        let tube = tube(cx, record, section.clone(), panels, &placed);
        if let Some(slot) = placed.get_mut(i) {
            *slot = tube;
        }
    }
    for (i, record) in records.iter().enumerate().filter(|(i, _)| reaches_itself(*i, &lies_on)) {
        let other = lies_on.get(i).and_then(|l| l.first()).and_then(|s| records.get(*s));
        let mut fault = Diagnostic::error(
            "R028",
            &record.at,
            format!("{} lies on a tube that lies on it", record.title()),
        )
        .why("neither has a height of its own")
        .mend("give one of them its height with `above` or `up`");
        if let Some(other) = other {
            fault = fault.related(&other.at, format!("{} is the other", other.title()));
        }
        cx.faults.push(fault);
    }
    placed
}

/// Whether a tube rests on itself by way of others.
fn reaches_itself(start: usize, lies_on: &[Vec<usize>]) -> bool {
    let mut seen = vec![false; lies_on.len()];
    let mut next: Vec<usize> = lies_on.get(start).cloned().unwrap_or_default();
    while let Some(i) = next.pop() {
        if i == start {
            return true;
        }
        match seen.get_mut(i) {
            Some(s) if !*s => *s = true,
            _ => continue,
        }
        next.extend(lies_on.get(i).into_iter().flatten());
    }
    false
}

/// Tubes that a tube lies on; names that are wrong are reported when the tube is placed.
fn supports(cx: &Context<'_>, record: &Record) -> Vec<usize> {
    ["from", "to"]
        .iter()
        .filter_map(|e| record.sub(e)?.text("on"))
        .filter_map(|tag| cx.root.tagged("tube").iter().position(|t| t.tag == tag))
        .collect()
}

fn tube(
    cx: &mut Context<'_>,
    record: &Record,
    section: Option<Section>,
    panels: &[Option<Panel>],
    placed: &[Option<Tube>],
) -> Option<Tube> {
    let outer = section.as_ref().map(|s| s.outer);
    let a = record.sub("from").and_then(|r| end(cx, r, outer, panels, placed));
    let b = record.sub("to").and_then(|r| end(cx, r, outer, panels, placed));
    let tube = Tube { tag: record.tag.clone(), section: section?, a: a?, b: b? };
    let length = tube.length();
    if !(0.02..=12.0).contains(&length) {
        cx.faults.push(
            Diagnostic::error("R012", &record.at, format!("{} is {} long", record.title(), mm(length)))
                .why("a tube must be between 20 mm and 12 m long")
                .mend("check `from` and `to`: units, left and right, aft and forward"),
        );
        return None;
    }
    if length > 6.5 {
        cx.faults.push(
            Diagnostic::warning("R013", &record.at, format!("{} is {} long", record.title(), mm(length)))
                .why("tube comes in lengths up to 6.4 m")
                .mend("check `from` and `to`; leave it if it is right"),
        );
    }
    Some(tube)
}

/// One end of a tube's axis.
fn end(
    cx: &mut Context<'_>,
    record: &Record,
    outer: Option<f64>,
    panels: &[Option<Panel>],
    placed: &[Option<Tube>],
) -> Option<DVec3> {
    let c = cx.coordinates(record, cx.datum)?;
    let heights: Vec<&str> = ["above", "on", "up", "down"].into_iter().filter(|k| record.has(k)).collect();
    if let [first, second, ..] = heights.as_slice() {
        let away_from_top = record.has("above") && !record.has("on");
        if !away_from_top || record.has("on") {
            cx.faults.push(
                Diagnostic::error(
                    "R014",
                    record.spot(second),
                    format!("the end [{}] has its height twice", record.path),
                )
                .why(format!("`{first}` and `{second}` both give it"))
                .mend("keep the one that you measured")
                .related(record.spot(first), "the other one"),
            );
            return None;
        }
    }
    if record.has("above") {
        return above(cx, record, panels);
    }
    if record.has("on") {
        let (_, index) = cx.refer(record, "on")?;
        let under = placed.get(index).and_then(Option::as_ref)?;
        let Some(x) = c.x else {
            cx.lacks(record, &record.at, AXES[0]);
            return None;
        };
        let y = c.y.unwrap_or(cx.datum.y);
        let s = plan_nearest(under, x, y);
        return Some(DVec3::new(x, y, under.point(s).z + 0.5 * (under.section.outer + outer?)));
    }
    let Some(z) = c.z else {
        cx.faults.push(
            Diagnostic::error(
                "R006",
                &record.at,
                format!("the end [{}] does not say its height", record.path),
            )
            .why("a tube's end needs one of `above` (a panel), `on` (another tube), `up` or `down`")
            .mend("measure from the panel to the middle of the tube and add `above = \"150 mm\"`"),
        );
        return None;
    };
    let Some(x) = c.x else {
        cx.lacks(record, &record.at, AXES[0]);
        return None;
    };
    Some(DVec3::new(x, c.y.unwrap_or(cx.datum.y), z))
}

/// Distance along a tube of the point nearest in plan to `(x, y)`, within its ends.
fn plan_nearest(tube: &Tube, x: f64, y: f64) -> f64 {
    let (dx, dy) = (tube.b.x - tube.a.x, tube.b.y - tube.a.y);
    let plan = dx * dx + dy * dy;
    if plan < 1e-9 {
        return nearest_on_tube(tube, DVec3::new(x, y, tube.a.z.max(tube.b.z)));
    }
    (((x - tube.a.x) * dx + (y - tube.a.y) * dy) / plan).clamp(0.0, 1.0) * tube.length()
}

/// The axis stands off a panel the way that the panel faces.
fn above(cx: &mut Context<'_>, record: &Record, panels: &[Option<Panel>]) -> Option<DVec3> {
    if record.is_faulty("above") || record.is_faulty("panel") {
        return None;
    }
    let root = cx.root;
    let index = if record.has("panel") {
        cx.refer(record, "panel")?.1
    } else {
        let list = root.tagged("panel");
        let roofs: Vec<usize> =
            list.iter().enumerate().filter(|(_, p)| p.flag("roof") == Some(true)).map(|(i, _)| i).collect();
        match (roofs.as_slice(), list.len()) {
            ([one], _) => *one,
            (_, 1) => 0,
            _ => {
                cx.faults.push(
                    Diagnostic::error(
                        "R006",
                        record.spot("above"),
                        format!("the end [{}] does not say above which panel", record.path),
                    )
                    .why("there is more than one panel, and not one that is the roof")
                    .mend("add `panel = \"...\"` with the panel's tag"),
                );
                return None;
            }
        }
    };
    let panel = panels.get(index)?.as_ref()?;
    let faces = root.tagged("panel").get(index)?.text("faces")?;
    let (a, b) = cx.on_panel(record, panel, faces)?;
    let (i, j) = plane_axes(faces);
    let mut out = DVec3::ZERO;
    // Along the one axis that is neither of the stated two, the way that the panel faces.
    let axis = 3_usize.saturating_sub(i + j);
    let sign = panel.normal.to_array().get(axis).copied().unwrap_or(1.0).signum();
    match axis {
        0 => out.x = sign,
        1 => out.y = sign,
        _ => out.z = sign,
    }
    Some(panel.point(a, b) + out * record.measure("above")?)
}
