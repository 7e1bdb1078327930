//! Clamps: where they sit, and whether the tubes are as far apart as they hold them.

use super::context::{Context, View, mm};
use super::geometry::{PARALLEL, direction, nearest_on_lines};
use crate::diagnostic::Diagnostic;
use crate::model::{Clamp, ClampKind, Tube};
use crate::record::Record;
use glam::DVec3;

/// Farthest that two axes may be from a clamp's spacing, m.
pub(crate) const SPACING_SLACK: f64 = 0.005;
/// Tube that a clamp needs on each side of its middle, m: half a shell's width (common practice, no source).
pub(crate) const CLAMP_MARGIN: f64 = 0.025;

pub(crate) fn clamps(cx: &mut Context<'_>, tubes: &[Option<Tube>]) -> Vec<Option<Clamp>> {
    let root = cx.root;
    root.tagged("clamp").iter().map(|r| clamp(cx, r, tubes)).collect()
}

fn clamp(cx: &mut Context<'_>, record: &Record, tubes: &[Option<Tube>]) -> Option<Clamp> {
    let part = cx.part(View::plain(record), "part");
    let joined = joined(cx, record);
    let view = View { record, part: Some(part?) };
    let kind = match view.word("kind") {
        Some("swivel") => ClampKind::Swivel,
        Some("end") => ClampKind::End,
        Some(_) => ClampKind::RightAngle,
        None => {
            if let Some(row) = record.table.row("kind").filter(|_| !record.has("kind")) {
                cx.nothing_gives(view, row);
            }
            return None;
        }
    };
    let (mass, torque) = (cx.fact(view, "mass"), cx.fact(view, "torque"));
    let rated_torque = cx.measure(view, "rated_torque");
    let (first, second) = joined?;
    let (one, other) = (tubes.get(first)?.as_ref()?, tubes.get(second)?.as_ref()?);
    // The weaker grip counts where one of the tubes is aluminium.
    let on_aluminium = [one, other].iter().any(|t| t.section.material.e_pa < 1.0e11);
    let grip = |steel: &'static str, aluminium: &'static str| if on_aluminium { aluminium } else { steel };
    let slip = view.maybe(grip("slip", "slip_on_aluminium"));
    let twist = view.maybe(grip("twist", "twist_on_aluminium"));
    let default = if kind == ClampKind::End {
        0.5 * other.section.outer
    } else {
        0.5 * (one.section.outer + other.section.outer)
    };
    let spacing = view.maybe("spacing").map_or(default, |f| f.value);
    let (s, t) = meet(cx, record, kind, (one, other))?;
    let gap = (other.point(t) - one.point(s)).length();
    spaced(cx, record, (one, other), gap, spacing)?;
    let margin = if kind == ClampKind::End { 0.0 } else { CLAMP_MARGIN };
    let fits = [cx.on_tube(record, one, s, margin), cx.on_tube(record, other, t, CLAMP_MARGIN)];
    if fits.contains(&false) {
        return None;
    }
    Some(Clamp {
        tag: record.tag.clone(),
        part: part?.tag.clone(),
        kind,
        first: (first, s),
        second: (second, t),
        mass: mass?,
        slip,
        twist,
        rated_torque: rated_torque?,
        torque: torque?,
    })
}

/// The two tubes that a clamp names.
fn joined(cx: &mut Context<'_>, record: &Record) -> Option<(usize, usize)> {
    let list = record.list("joins");
    if record.cell("joins").is_none() || record.is_faulty("joins") {
        return None;
    }
    let found: Vec<Option<usize>> =
        list.iter().map(|c| cx.refer_value(record, &c.value, &c.at, &["tube"]).map(|(_, i)| i)).collect();
    match found.as_slice() {
        [first, second] => {
            let (first, second) = ((*first)?, (*second)?);
            if first == second {
                cx.faults.push(
                    Diagnostic::error(
                        "R028",
                        record.spot("joins"),
                        format!("{} joins a tube to itself", record.title()),
                    )
                    .why("a clamp joins two tubes")
                    .mend("name the two tubes that it holds"),
                );
                return None;
            }
            Some((first, second))
        }
        other => {
            cx.faults.push(
                Diagnostic::error(
                    "R028",
                    record.spot("joins"),
                    format!(
                        "{} joins {} tube{}",
                        record.title(),
                        other.len(),
                        if other.len() == 1 { "" } else { "s" }
                    ),
                )
                .why("a clamp joins two tubes")
                .mend("write `joins = [\"TF\", \"LL\"]`; use one clamp for each crossing"),
            );
            None
        }
    }
}

/// Distances along both tubes at which the clamp sits.
fn meet(cx: &mut Context<'_>, record: &Record, kind: ClampKind, tubes: (&Tube, &Tube)) -> Option<(f64, f64)> {
    let (one, other) = tubes;
    let (u, v) = (direction(one), direction(other));
    if let Some(at) = record.sub("at") {
        let s = cx.along_tube(at, one)?;
        return Some((s, (one.point(s) - other.a).dot(v)));
    }
    if record.is_faulty("at") {
        return None;
    }
    if kind == ClampKind::End {
        // The end of the first tube that is nearer to the second's axis.
        let foot = |p: DVec3| (p - other.a).dot(v);
        let off = |p: DVec3| (p - (other.a + v * foot(p))).length();
        let (s, p) = if off(one.a) <= off(one.b) { (0.0, one.a) } else { (one.length(), one.b) };
        return Some((s, foot(p)));
    }
    if u.cross(v).length() < PARALLEL {
        cx.faults.push(
            Diagnostic::error(
                "R019",
                &record.at,
                format!("{} joins two tubes that run side by side", record.title()),
            )
            .why(format!(
                "tubes \"{}\" and \"{}\" never cross, so the place of the clamp is not known",
                one.tag, other.tag
            ))
            .mend("say where it sits on the first tube: `at = { left = \"200 mm\" }`"),
        );
        return None;
    }
    nearest_on_lines(one.a, u, other.a, v)
}

/// Checks the two axes against the clamp's spacing.
fn spaced(
    cx: &mut Context<'_>,
    record: &Record,
    tubes: (&Tube, &Tube),
    gap: f64,
    spacing: f64,
) -> Option<()> {
    let off = gap - spacing;
    if off.abs() <= SPACING_SLACK {
        return Some(());
    }
    let (one, other) = tubes;
    let way = if off > 0.0 { "too far apart" } else { "too close" };
    let root = cx.root;
    let mut fault = Diagnostic::error(
        "R018",
        &record.at,
        format!(
            "tubes \"{}\" and \"{}\" are {} {way} for {}",
            one.tag,
            other.tag,
            mm(off.abs()),
            record.title()
        ),
    )
    .why(format!(
        "their axes pass {:.1} mm from each other; the clamp holds them {:.1} mm apart",
        gap * 1000.0,
        spacing * 1000.0
    ))
    .mend(format!("shift the height of one of the tubes by {}", mm(off.abs())));
    for tube in root.tagged("tube").iter().filter(|t| t.tag == one.tag || t.tag == other.tag) {
        fault = fault.related(&tube.at, format!("{} stands here", tube.title()));
    }
    cx.faults.push(fault);
    None
}
