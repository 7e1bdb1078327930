//! What a part's place is written in: the table with its coordinates, and those that it states.

use super::document::{Document, dotted, steps};
use super::fault::EditFault;
use crate::lower::geometry::direction;
use crate::lower::panel::plane_axes;
use crate::model::{Hold, Rig, Tube};
use glam::DVec3;

/// Where the place of a part is written.
pub(crate) struct Target {
    /// The table with the coordinates.
    pub(crate) table: Vec<String>,
    /// What is stated.
    pub(crate) by: Stated,
    /// Where it is now, m.
    pub(crate) now: DVec3,
    /// The datum it counts from, m.
    pub(crate) datum: DVec3,
}

/// What a table states of a place.
pub(crate) enum Stated {
    /// These coordinates; the rest follows from what is named.
    Axes(Vec<usize>, &'static str),
    /// Two coordinates, and a height over a panel along the third axis: which, and its sign.
    Above(Vec<usize>, usize, f64),
    /// One coordinate that finds it on a tube, and the tube.
    Along(usize, Box<Tube>, f64),
}

const ALL: &str = "";

/// Finds it.
pub(crate) fn target(document: &Document<'_>, part: &str, rig: &Rig) -> Result<Target, EditFault> {
    let path = steps(part)?;
    if document.find(&path).is_none() {
        return Err(EditFault::absent(part));
    }
    let stale = || EditFault::stale(part);
    let words: Vec<&str> = path.iter().map(String::as_str).collect();
    let at = |rest: &str| path.iter().cloned().chain([rest.to_owned()]).collect::<Vec<_>>();
    let datum = rig.vehicle.datum;
    let whole =
        |table: Vec<String>, now: DVec3| Target { table, by: Stated::Axes(vec![0, 1, 2], ALL), now, datum };
    match words.as_slice() {
        ["cup", tag] => {
            let cup = rig.cups.iter().find(|c| c.tag == *tag).ok_or_else(stale)?;
            let panel = rig.panels.get(cup.panel).ok_or_else(stale)?;
            let axes = in_plane(document, &panel.tag).ok_or_else(stale)?;
            Ok(Target { table: path.clone(), by: Stated::Axes(axes, "its panel"), now: cup.at, datum })
        }
        ["panel", panel, "keep_out", tag] => {
            let on = rig.panels.iter().find(|p| p.tag == *panel).ok_or_else(stale)?;
            let keep = on.keep_outs.iter().find(|k| k.tag == *tag).ok_or_else(stale)?;
            let axes = in_plane(document, panel).ok_or_else(stale)?;
            let now = on.point(keep.centre.0, keep.centre.1);
            Ok(Target { table: path.clone(), by: Stated::Axes(axes, "its panel"), now, datum })
        }
        ["tube", tag, end @ ("from" | "to")] => {
            let tube = rig.tubes.iter().find(|t| t.tag == *tag).ok_or_else(stale)?;
            let now = if *end == "from" { tube.a } else { tube.b };
            Ok(Target { by: of_end(document, &path, rig)?, table: path.clone(), now, datum })
        }
        ["tube", _] => Err(EditFault::new(
            format!("`{part}` has two ends"),
            "each end has a place of its own",
            format!("move `{part}.from` or `{part}.to`, or slide the whole tube"),
        )),
        ["platform", tag] => {
            let platform = rig.platforms.iter().find(|p| p.tag == *tag).ok_or_else(stale)?;
            Ok(whole(at("at"), platform.at))
        }
        ["panel", tag] => {
            let panel = rig.panels.iter().find(|p| p.tag == *tag).ok_or_else(stale)?;
            Ok(whole(at("at"), panel.centre))
        }
        ["item", tag] => {
            let item = rig.items.iter().find(|i| i.tag == *tag).ok_or_else(stale)?;
            Ok(whole(at("at"), item.at))
        }
        ["aboard", tag] => {
            let aboard = rig.vehicle.aboard.iter().find(|a| a.tag == *tag).ok_or_else(stale)?;
            Ok(whole(path.clone(), aboard.at))
        }
        ["leg", tag] => {
            let leg = rig.legs.iter().find(|l| l.tag == *tag).ok_or_else(stale)?;
            along(document, at("foot"), rig, leg.foot).ok_or_else(stale)
        }
        ["clamp", tag] => {
            let clamp = rig.clamps.iter().find(|c| c.tag == *tag).ok_or_else(stale)?;
            if document.find(&at("at")).is_none() {
                return Err(EditFault::new(
                    format!("`{part}` has no place of its own"),
                    "a clamp sits where its two tubes cross",
                    "move one of the tubes that it joins",
                ));
            }
            along(document, at("at"), rig, clamp.first).ok_or_else(stale)
        }
        ["strap", tag, "path", place] => {
            let strap = rig.straps.iter().find(|s| s.tag == *tag).ok_or_else(stale)?;
            let index = place.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).ok_or_else(stale)?;
            let point = strap.path.get(index).ok_or_else(stale)?;
            match point.on {
                Hold::Tube { tube, s } => along(document, path.clone(), rig, (tube, s)).ok_or_else(stale),
                Hold::Cup(_) => Err(EditFault::new(
                    format!("`{part}` is on a cup's head"),
                    "it goes where the cup goes",
                    "move the cup, or let the point name something else",
                )),
                Hold::Platform(_) | Hold::Body => Ok(whole(path.clone(), point.at)),
            }
        }
        _ => Err(EditFault::new(
            format!("`{part}` has no place in the file"),
            "the file does not place it by coordinates",
            "move a cup, a tube's end, a leg, a platform, an item or a strap's point",
        )),
    }
}

/// The coordinates that lie in a panel.
pub(crate) fn in_plane(document: &Document<'_>, panel: &str) -> Option<Vec<usize>> {
    let (i, j) = plane_axes(document.word(&["panel", panel, "faces"])?);
    Some(vec![i, j])
}

fn of_end(document: &Document<'_>, path: &[String], rig: &Rig) -> Result<Stated, EditFault> {
    let stale = || EditFault::stale(&dotted(path));
    let table = document.find(path).ok_or_else(stale)?;
    if table.child("on").is_some() {
        return Ok(Stated::Axes(vec![0, 1], "the tube that it lies on"));
    }
    if table.child("above").is_none() {
        return Ok(Stated::Axes(vec![0, 1, 2], ALL));
    }
    // As the reader finds the panel.
    let named = table.child("panel").and_then(|(_, p)| p.text());
    let roofs: Vec<usize> =
        (0..rig.panels.len()).filter(|i| rig.panels.get(*i).is_some_and(|p| p.is_roof)).collect();
    let panel = match (named, roofs.as_slice()) {
        (Some(tag), _) => rig.panels.iter().find(|p| p.tag == tag),
        (None, [one]) => rig.panels.get(*one),
        (None, _) => rig.panels.first(),
    }
    .ok_or_else(stale)?;
    let axes = in_plane(document, &panel.tag).ok_or_else(stale)?;
    let third = 3_usize.saturating_sub(axes.iter().sum());
    let sign = panel.normal.to_array().get(third).copied().unwrap_or(1.0).signum();
    Ok(Stated::Above(axes, third, sign))
}

/// A place on a tube, by the stated coordinate that finds it best, as the reader does.
fn along(document: &Document<'_>, table: Vec<String>, rig: &Rig, (tube, s): (usize, f64)) -> Option<Target> {
    let tube = rig.tubes.get(tube)?;
    let node = document.find(&table)?;
    let slopes = direction(tube).to_array();
    let stated = super::coordinate::WAYS
        .iter()
        .enumerate()
        .filter(|(_, (plus, minus))| node.child(plus).is_some() || node.child(minus).is_some());
    let mut best: Option<(f64, usize)> = None;
    for (axis, _) in stated {
        let slope = slopes.get(axis)?.abs();
        if best.is_none_or(|(other, _)| slope > other) {
            best = Some((slope, axis));
        }
    }
    let axis = best?.1;
    let by = Stated::Along(axis, Box::new(tube.clone()), s);
    Some(Target { table, by, now: tube.point(s), datum: rig.vehicle.datum })
}
