//! Tubes slid, spread or taken stouter; the platform and the mast lower.

use super::Change;
use super::words::{HALF_STEP, STEP, and, way};
use crate::finding::Finding;
use crate::parts::PartRef;
use glam::DVec3;
use rig::model::{Hold, PathPoint, Rig, Section};
use rig::{Shift, shift_tube, stand_cup, tube_sections};

const HELP: &str =
    "Two people: the load must be off it while it slides. Tighten every clamp to its torque again.";
const HELP_HOOKS: &str = "Two people. Its straps' hooks were left where they are; set them anew. Tighten every clamp to its torque again.";
const LIFT: &str = "Two people: the arm comes off first.";
const SWAP: &str = "Build the grid again; every clamp to its torque.";
const WIDER: &str = "It needs clamps, feet and cup heads of that size; build the grid again.";
/// Least from a tube's surface to a platform's underside, m: a foot's half height (common practice, no source).
const FOOT_M: f64 = 0.02;
/// A mast shorter than this is none, m.
const LEAST_MAST_M: f64 = 0.15;

/// The way of the tubes that a tube is clamped to.
fn rails(rig: &Rig, tube: usize) -> Option<DVec3> {
    let other = rig.clamps.iter().find_map(|c| match (c.first.0 == tube, c.second.0 == tube) {
        (true, false) => Some(c.second.0),
        (false, true) => Some(c.first.0),
        _ => None,
    })?;
    let (own, rail) = (rig.tubes.get(tube)?, rig.tubes.get(other)?);
    let way = (rail.b - rail.a).normalize_or_zero();
    let along = (own.b - own.a).normalize_or_zero();
    (way.dot(along).abs() < 0.3 && way != DVec3::ZERO).then_some(way)
}

fn carries(rig: &Rig, tube: usize) -> (bool, bool) {
    let cups = rig.cups.iter().any(|c| matches!(c.holds, Hold::Tube { tube: t, .. } if t == tube));
    (cups, rig.legs.iter().any(|l| l.foot.0 == tube))
}

fn strapped(rig: &Rig, tube: usize) -> bool {
    let on = |p: &PathPoint| matches!(p.on, Hold::Tube { tube: t, .. } if t == tube);
    rig.straps.iter().any(|s| s.path.iter().any(on))
}

/// Each tube that carries cups or legs slid along the tubes that it crosses; the outer two of a kind spread and closed.
pub(super) fn slides(rig: &Rig) -> Vec<Change> {
    let mut out = Vec::new();
    let mut rows: [Vec<(usize, DVec3)>; 2] = [Vec::new(), Vec::new()];
    for (t, tube) in rig.tubes.iter().enumerate() {
        let (cups, legs) = carries(rig, t);
        let Some(to) = rails(rig, t).filter(|_| cups || legs) else { continue };
        if let Some(row) = rows.get_mut(usize::from(!cups)) {
            row.push((t, to));
        }
        for to in [to, -to] {
            let mut changed = rig.clone();
            if shift_tube(&mut changed, t, to * STEP.0, Shift::WithAllOnIt, 0.0).is_some() {
                let with = if cups { " with its cups" } else { " with its feet" };
                let what = format!("slide tube {}{with} {} {}", tube.tag, STEP.1, way(to));
                out.push(Change::new(what, if strapped(rig, t) { HELP_HOOKS } else { HELP }, changed));
            }
        }
    }
    for row in rows {
        let Some((first, to)) = row.first().copied() else { continue };
        let Some(origin) = rig.tubes.get(first).map(|t| t.a) else { continue };
        let at = |t: usize| rig.tubes.get(t).map_or(0.0, |tube| (tube.a - origin).dot(to));
        let mut order: Vec<usize> = row.iter().map(|(t, _)| *t).collect();
        order.sort_by(|a, b| at(*a).total_cmp(&at(*b)));
        let (Some(a), Some(b)) = (order.first().copied(), order.last().copied()) else { continue };
        if a == b {
            continue;
        }
        let tag = |t: usize| rig.tubes.get(t).map_or("", |t| t.tag.as_str());
        for (sign, word) in [(1.0, "farther apart"), (-1.0, "closer together")] {
            let mut changed = rig.clone();
            let by = to * (sign * HALF_STEP.0);
            let done = shift_tube(&mut changed, a, -by, Shift::WithAllOnIt, 0.0)
                .and_then(|()| shift_tube(&mut changed, b, by, Shift::WithAllOnIt, 0.0));
            if done.is_some() {
                let names = and(&[tag(a), tag(b)]);
                let what = format!("set tubes {names} {} {word}, half of it each", STEP.1);
                let hooks = strapped(rig, a) || strapped(rig, b);
                out.push(Change::new(what, if hooks { HELP_HOOKS } else { HELP }, changed));
            }
        }
    }
    out
}

/// A platform with all that stands on it `by` metres lower.
fn lowered(rig: &Rig, index: usize, by: f64) -> Option<Rig> {
    let mut out = rig.clone();
    let platform = out.platforms.get_mut(index)?;
    let down = platform.normal * -by;
    let (normal, thick) = (platform.normal, platform.size.z);
    platform.at += down;
    let under = platform.at - normal * thick;
    for leg in out.legs.iter_mut().filter(|l| l.platform == index) {
        leg.top += down;
        let tube = rig.tubes.get(leg.foot.0)?;
        let rise = (leg.top - tube.point(leg.foot.1)).dot(normal);
        if rise < 0.5 * tube.section.outer + FOOT_M {
            return None;
        }
    }
    // No tube through it either.
    let through = |t: &rig::model::Tube| {
        [t.a, t.b].iter().any(|p| (under - *p).dot(normal) < 0.5 * t.section.outer + 0.005)
    };
    if !out.legs.is_empty() && rig.tubes.iter().any(through) {
        return None;
    }
    let on = Hold::Platform(index);
    out.items.iter_mut().filter(|i| i.on == on).for_each(|i| i.at += down);
    out.straps.iter_mut().flat_map(|s| &mut s.path).filter(|p| p.on == on).for_each(|p| p.at += down);
    if let Some(arm) = out.arm.as_mut().filter(|a| a.platform == index) {
        arm.base += down;
    }
    for c in 0..out.cups.len() {
        let cup = out.cups.get(c)?;
        if cup.holds == on {
            let place = cup.place;
            stand_cup(&mut out, c, place)?;
        }
    }
    Some(out)
}

/// Platform and mast lower by a step, or by half of it.
pub(super) fn lower(rig: &Rig) -> Vec<Change> {
    let mut out = Vec::new();
    for (p, platform) in rig.platforms.iter().enumerate() {
        // On one that stands upright this brings it nearer to the panel.
        let word = if platform.normal.z > 0.7 { "lower" } else { "nearer to the panel" };
        let fits = [STEP, HALF_STEP].into_iter().find_map(|s| Some((s, lowered(rig, p, s.0)?)));
        if let Some((step, changed)) = fits {
            let legs = rig.legs.iter().any(|l| l.platform == p);
            let by = if legs { "shorter legs" } else { "cups set lower" };
            let what = format!("set platform {} {} {word} ({by})", platform.tag, step.1);
            out.push(Change::new(what, LIFT, changed));
        }
    }
    let mut changed = rig.clone();
    if let Some(arm) = changed.arm.as_mut().filter(|a| a.pivot_height > LEAST_MAST_M + STEP.0) {
        arm.pivot_height -= STEP.0;
        arm.head_mass.1 = (arm.head_mass.1 - STEP.0).max(0.0);
        arm.base_mass.1 = arm.base_mass.1.min(arm.pivot_height);
        out.push(Change::new(format!("stand the arm on a mast {} shorter", STEP.1), LIFT, changed));
    }
    out
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 2e-4
}

/// The tubes that are to change, in other sections; `None` where one of them has no other.
fn in_other(
    rig: &Rig,
    which: &[usize],
    pick: impl Fn(&Section) -> Option<Section>,
) -> Option<(Rig, Section)> {
    let mut out = rig.clone();
    let mut last = None;
    for t in which {
        let tube = out.tubes.get_mut(*t)?;
        let yield_key = tube.section.material.yield_pa.key.clone();
        let section = pick(&tube.section)?;
        tube.section = section.clone();
        if tube.section.material.yield_pa.key.is_empty() {
            tube.section.material.yield_pa.key = yield_key;
        }
        last = Some(section);
    }
    Some((out, last?))
}

/// Tubes of a thicker wall, of steel, of a greater diameter: the governing one where it is a tube, and all.
pub(super) fn tubes(rig: &Rig, target: &Finding) -> Vec<Change> {
    let offer = tube_sections();
    let stout = |s: &Section, fits: &dyn Fn(&Section) -> bool| {
        let mut list: Vec<&Section> = offer.iter().filter(|o| fits(o)).collect();
        let size = |o: &Section| (o.outer, o.wall);
        list.sort_by(|a, b| size(a).partial_cmp(&size(b)).unwrap_or(core::cmp::Ordering::Equal));
        list.first().map(|o| Section { drag: s.drag.clone(), ..(*o).clone() })
    };
    let metal = |s: &Section, o: &Section| s.material.name == o.material.name;
    let thicker =
        |s: &Section| stout(s, &|o| same(o.outer, s.outer) && metal(s, o) && o.wall > s.wall + 2e-4);
    let steel = |s: &Section| {
        let light = s.material.e_pa < 1e11;
        stout(s, &|o| light && same(o.outer, s.outer) && o.material.e_pa > 1e11 && o.wall > s.wall - 2e-4)
    };
    let light = |s: &Section| {
        let heavy = s.material.e_pa > 1e11;
        stout(s, &|o| heavy && same(o.outer, s.outer) && o.material.e_pa < 1e11 && o.wall > s.wall - 2e-4)
    };
    let wider =
        |s: &Section| stout(s, &|o| o.outer > s.outer + 2e-3 && metal(s, o) && o.wall > s.wall - 2e-4);
    let all: Vec<usize> = (0..rig.tubes.len()).collect();
    let mut out = Vec::new();
    if let PartRef::Tube(t) = target.part
        && let Some(tube) = rig.tubes.get(t)
    {
        for pick in [&thicker as &dyn Fn(&Section) -> Option<Section>, &steel] {
            if let Some((changed, s)) = in_other(rig, &[t], pick) {
                out.push(Change::new(format!("take tube {} as {}", tube.tag, s.part), SWAP, changed));
            }
        }
    }
    if all.len() < 2 && !out.is_empty() {
        return out;
    }
    for pick in [&thicker as &dyn Fn(&Section) -> Option<Section>, &steel, &light] {
        if let Some((changed, s)) = in_other(rig, &all, pick) {
            out.push(Change::new(format!("build the grid of {}", s.part), SWAP, changed));
        }
    }
    if let Some((changed, s)) = in_other(rig, &all, wider)
        && let Some(changed) = restacked(rig, changed)
    {
        out.push(Change::new(format!("build the grid of {}", s.part), WIDER, changed));
    }
    out
}

/// A grid of wider tubes: those that lie on the cups' tubes come to lie higher. `None` for stacks of more than two.
fn restacked(before: &Rig, mut rig: Rig) -> Option<Rig> {
    let outer = before.tubes.first()?.section.outer;
    if before.tubes.iter().any(|t| !same(t.section.outer, outer)) {
        return None;
    }
    let grown = rig.tubes.first()?.section.outer - outer;
    for t in 0..before.tubes.len() {
        if carries(before, t).0 {
            continue;
        }
        let (mine, other) = before.clamps.iter().find_map(|c| match (c.first.0 == t, c.second.0 == t) {
            (true, false) => Some((c.first, c.second)),
            (false, true) => Some((c.second, c.first)),
            _ => None,
        })?;
        if !carries(before, other.0).0 {
            return None;
        }
        let point = |(t, s): (usize, f64)| Some(before.tubes.get(t)?.point(s));
        let off = (point(mine)? - point(other)?).normalize_or_zero();
        shift_tube(&mut rig, t, off * grown, Shift::Alone, grown)?;
    }
    let standing = rig.legs.iter().all(|l| {
        let (Some(t), Some(p)) = (rig.tubes.get(l.foot.0), rig.platforms.get(l.platform)) else {
            return false;
        };
        (l.top - t.point(l.foot.1)).dot(p.normal) > 0.5 * t.section.outer
    });
    standing.then_some(rig)
}
