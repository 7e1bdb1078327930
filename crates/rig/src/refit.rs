//! A rig with a part moved or changed, every place that hangs on it worked out again as the reader would.

use crate::fact::Fact;
use crate::lower::clamp::{CLAMP_MARGIN, SPACING_SLACK};
use crate::lower::cup::{ASIDE_MOST, to_platform, to_tube};
use crate::lower::geometry::{PARALLEL, direction, nearest_on_lines, nearest_on_tube};
use crate::lower::platform::outside;
use crate::lower::tube::section;
use crate::lower::{Context, View};
use crate::model::{ClampKind, Hold, Rig, Section, Strap, StrapKind};
use crate::parts::built_in;
use crate::record::Record;
use glam::DVec3;
use quantity::Kind;

/// Half a millimetre: nobody's tape reads finer.
const TAPE_M: f64 = 0.0005;

/// Stands a cup at the place `(a, b)` on its panel, holding what it held: surface, normal, head and stack height follow.
///
/// `None` where it does not go: off the panel, nearer to its edge or to a keep-out than the policy's clear distance and nearer
/// than before, out of the cup's range of height, or too far to the side of its tube.
pub fn stand_cup(rig: &mut Rig, index: usize, place: (f64, f64)) -> Option<()> {
    let cup = rig.cups.get(index)?;
    let panel = rig.panels.get(cup.panel)?;
    let room = |(a, b): (f64, f64)| {
        let edge = (0.5 * panel.size.0 - a.abs()).min(0.5 * panel.size.1 - b.abs());
        let keep_outs = panel.keep_outs.iter().map(|k| {
            let off = |x: f64, c: f64, size: f64| ((x - c).abs() - 0.5 * size).max(0.0);
            off(a, k.centre.0, k.size.0).hypot(off(b, k.centre.1, k.size.1))
        });
        keep_outs.fold(edge, f64::min) - cup.outer_radius
    };
    let (now, then) = (room(cup.place), room(place));
    if !then.is_finite() || then < (rig.policy.keep_clear.value).min(now) - 1e-9 {
        return None;
    }
    let (at, normal) = (panel.point(place.0, place.1), panel.normal_at(place.0, place.1));
    let (holds, height) = match cup.holds {
        Hold::Tube { tube, .. } => {
            let on = rig.tubes.get(tube)?;
            let (s, height, aside) = to_tube((at, normal), on);
            let before = to_tube((cup.at, cup.normal), on).2;
            // A head that goes past the tube's end holds nothing.
            let ends = (at - on.a).dot(direction(on));
            if aside > ASIDE_MOST.min(before + 0.005) || !(0.0..=on.length()).contains(&ends) {
                return None;
            }
            (Hold::Tube { tube, s }, height)
        }
        Hold::Platform(p) => {
            let on = rig.platforms.get(p)?;
            let height = to_platform((at, normal), on)?;
            if outside(on, at + normal * height) > TAPE_M {
                return None;
            }
            (cup.holds, height)
        }
        Hold::Cup(_) | Hold::Body => return None,
    };
    let (least, greatest) = cup.height_range;
    if !(least - TAPE_M..=greatest + TAPE_M).contains(&height) {
        return None;
    }
    // Straight ahead, or up where the cup's panel faces ahead or aft: as the cup was set.
    let flat = |v: DVec3, n: DVec3| (v - n * v.dot(n)).normalize_or(panel.ea);
    let ahead = if flat(DVec3::X, cup.normal).dot(cup.along) > 0.99 { DVec3::X } else { DVec3::Z };
    let along = flat(ahead, normal);
    let head = at + normal * height;
    let cup = rig.cups.get_mut(index)?;
    (cup.place, cup.at, cup.normal, cup.along) = (place, at, normal, along);
    (cup.holds, cup.head, cup.height) = (holds, head, height);
    for p in rig.straps.iter_mut().flat_map(|s| &mut s.path).filter(|p| p.on == Hold::Cup(index)) {
        p.at = head;
    }
    Some(())
}

/// What goes along when a tube is shifted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shift {
    /// Cups, legs, straps' ends and items on it move with it; clamps slide along the tubes that they join it to.
    WithAllOnIt,
    /// It alone moves and what it holds stays in place: a leg's foot or a clamp finds it where it is now.
    Alone,
}

/// Moves a tube by `by`, m, vehicle axes.
///
/// `None` where something does not fit then: a cup off its panel or out of its range, a clamp whose tubes are no longer as far
/// apart as `spacing_change_m` from what they were, off a tube's end, a leg off its platform.
pub fn shift_tube(rig: &mut Rig, index: usize, by: DVec3, how: Shift, spacing_change_m: f64) -> Option<()> {
    let gaps: Vec<f64> = rig.clamps.iter().map(|c| gap(rig, c.first, c.second)).collect::<Option<_>>()?;
    let tube = rig.tubes.get_mut(index)?;
    (tube.a, tube.b) = (tube.a + by, tube.b + by);
    let here = |on: &Hold| matches!(on, Hold::Tube { tube, .. } if *tube == index);
    if how == Shift::WithAllOnIt {
        let cups: Vec<usize> = (0..rig.cups.len()).filter(|c| here(&rig.cups[*c].holds)).collect();
        for c in cups {
            let panel = rig.panels.get(rig.cups.get(c)?.panel)?;
            let (a, b) = rig.cups.get(c)?.place;
            let place = (a + by.dot(panel.ea), b + by.dot(panel.eb));
            stand_cup(rig, c, place)?;
        }
        for leg in rig.legs.iter_mut().filter(|l| l.foot.0 == index) {
            let platform = rig.platforms.get(leg.platform)?;
            // Along the platform's underside.
            leg.top += by - platform.normal * by.dot(platform.normal);
            if outside(platform, leg.top) > TAPE_M {
                return None;
            }
        }
        rig.straps.iter_mut().flat_map(|s| &mut s.path).filter(|p| here(&p.on)).for_each(|p| p.at += by);
        rig.items.iter_mut().filter(|i| here(&i.on)).for_each(|i| i.at += by);
    } else {
        let tube = rig.tubes.get(index)?.clone();
        for leg in rig.legs.iter_mut().filter(|l| l.foot.0 == index) {
            leg.foot.1 = nearest_on_tube(&tube, leg.top);
        }
        for p in rig.straps.iter_mut().flat_map(|s| &mut s.path) {
            if let Hold::Tube { tube: t, s } = p.on
                && t == index
            {
                p.at = tube.point(s);
            }
        }
    }
    for (k, before) in gaps.iter().enumerate() {
        let clamp = rig.clamps.get(k)?;
        if clamp.first.0 != index && clamp.second.0 != index {
            continue;
        }
        let (one, other) = (rig.tubes.get(clamp.first.0)?, rig.tubes.get(clamp.second.0)?);
        let (u, v) = (direction(one), direction(other));
        let end = clamp.kind == ClampKind::End;
        let (s, t) = if end || u.cross(v).length() < PARALLEL {
            let s = clamp.first.1;
            (s, (one.point(s) - other.a).dot(v))
        } else {
            nearest_on_lines(one.a, u, other.a, v)?
        };
        let on = |s: f64, length: f64, margin: f64| s.min(length - s) >= margin - TAPE_M;
        let margin = if end { 0.0 } else { CLAMP_MARGIN };
        let gap = (other.point(t) - one.point(s)).length();
        if !on(s, one.length(), margin)
            || !on(t, other.length(), CLAMP_MARGIN)
            || (gap - before - spacing_change_m).abs() > 0.2 * SPACING_SLACK
        {
            return None;
        }
        let clamp = rig.clamps.get_mut(k)?;
        (clamp.first.1, clamp.second.1) = (s, t);
    }
    Some(())
}

/// Distance of two tubes' axes where a clamp holds them, m.
fn gap(rig: &Rig, first: (usize, f64), second: (usize, f64)) -> Option<f64> {
    let point = |(tube, s): (usize, f64)| Some(rig.tubes.get(tube)?.point(s));
    Some((point(second)? - point(first)?).length())
}

/// Asks one built-in part for something, with no rig around it.
fn of_part<T>(kind: &str, name: &str, ask: impl FnOnce(&mut Context<'_>, &Record) -> Option<T>) -> Option<T> {
    let parts = &built_in().0;
    let record = parts.find(kind, name)?;
    let mut faults = Vec::new();
    ask(&mut Context { root: record, parts, faults: &mut faults, datum: DVec3::ZERO }, record)
}

/// The sections of the built-in tubes, in the order of the parts list.
pub fn tube_sections() -> Vec<Section> {
    let names = built_in().0.names("tube");
    names.filter_map(|n| of_part("tube", n, |cx, r| section(cx, View::plain(r), n))).collect()
}

/// Friction of a cup's rubber on a built-in finish; `None` for a finish of the person's own.
pub fn friction_of(finish: &str, wet: bool) -> Option<Fact> {
    of_part("finish", finish, |cx, r| cx.fact(View::plain(r), if wet { "wet" } else { "dry" }))
}

/// A built-in tether with no path yet.
pub fn tether(part: &str, tag: &str) -> Option<Strap> {
    let fact = |key: &str| of_part("strap", part, |cx, r| cx.fact(View::plain(r), key));
    Some(Strap {
        tag: tag.to_owned(),
        part: part.to_owned(),
        kind: StrapKind::Tether,
        capacity: fact("capacity")?,
        stretch: fact("stretch")?,
        pretension: Fact::stated(0.0, Kind::Force, &format!("strap.{tag}.pretension")),
        mass: fact("mass")?,
        path: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_parts_list_gives_sections_friction_and_tethers() {
        let sections = tube_sections();
        assert!(sections.iter().any(|s| s.part == "tube 48.3 x 4.0 S235" && (s.wall - 0.004).abs() < 1e-12));
        assert!(sections.iter().all(|s| s.outer > 2.0 * s.wall && s.material.e_pa > 1e9));
        let (dry, wet) =
            (friction_of("clean paint", false).unwrap(), friction_of("clean paint", true).unwrap());
        assert!(dry.value > wet.value);
        assert!(friction_of("dirt of our own", false).is_none());
        let tether = tether("wire tether 4", "T").unwrap();
        assert!(tether.capacity.value > 1e3 && tether.pretension.value.abs() < 1e-12);
    }
}
