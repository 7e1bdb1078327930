//! Parts moved, in the person's own words.

use super::Snap;
use super::amount::snapped;
use super::coordinate::{Move, raise, shift, words_along, words_of};
use super::document::{Document, Splice, steps};
use super::fault::EditFault;
use super::target::{Stated, Target, target};
use crate::lower::geometry::nearest_on_tube;
use crate::model::Rig;
use glam::DVec3;

/// Less than this is no move, m.
const STILL: f64 = 1e-6;

/// The steps in which a part's place is set along x, y and z, m: one press of an arrow key. They differ where one coordinate is
/// written in millimetres and another in inches.
///
/// # Errors
///
/// As [`edited`](super::edited) with [`Change::Place`](super::Change::Place).
pub fn step_m(text: &str, part: &str, snap: Snap, rig: &Rig) -> Result<DVec3, EditFault> {
    let document = Document::read(text)?;
    let found = target(&document, part, rig)?;
    Ok(DVec3::from_array([0, 1, 2].map(|axis| words_along(&document, &found.table, axis).step_m(snap))))
}

/// Moves a part to a place.
pub(crate) fn place(
    document: &Document<'_>,
    part: &str,
    (to, snap): (DVec3, Snap),
    rig: &Rig,
) -> Result<Vec<Splice>, EditFault> {
    finite(to)?;
    let found = target(document, part, rig)?;
    let by = to - found.now;
    written(document, part, &found, by, &|by, within| Move::Onto(by, snap, within))
}

/// Moves both ends of a tube.
pub(crate) fn slide(
    document: &Document<'_>,
    tube: &str,
    (by, snap): (DVec3, Snap),
    rig: &Rig,
) -> Result<Vec<Splice>, EditFault> {
    finite(by)?;
    let path = steps(tube)?;
    if !matches!(path.as_slice(), [kind, _] if kind == "tube") {
        return Err(EditFault::new(
            format!("`{tube}` is no tube"),
            "only a tube has two ends that go together",
            "place it instead",
        ));
    }
    let ends = [format!("{tube}.from"), format!("{tube}.to")];
    let first = target(document, &ends[0], rig)?;
    let step = words_of(document, &first.table).step_m(snap);
    let by = DVec3::from_array(by.to_array().map(|d| snapped(d, step)));
    let mut out = Vec::new();
    for end in &ends {
        let found = target(document, end, rig)?;
        out.extend(written(document, end, &found, by, &|by, _| Move::By(by))?);
    }
    Ok(out)
}

pub(crate) fn finite(v: DVec3) -> Result<(), EditFault> {
    // Beyond any street.
    if v.is_finite() && v.abs().max_element() < 1e3 {
        return Ok(());
    }
    Err(EditFault::new(
        "that is no place",
        "a coordinate is not a number, or kilometres away",
        "choose a place on the car",
    ))
}

pub(crate) type Way<'a> = dyn Fn(f64, Option<(f64, f64)>) -> Move + 'a;

pub(crate) fn written(
    document: &Document<'_>,
    part: &str,
    found: &Target,
    by: DVec3,
    way: &Way<'_>,
) -> Result<Vec<Splice>, EditFault> {
    let along = |axis: usize| by.to_array().get(axis).copied().unwrap_or(0.0);
    let absent = |axis: usize| (found.now - found.datum).to_array().get(axis).copied().unwrap_or(0.0);
    let mut out = Vec::new();
    let mut shifted = |axis: usize| -> Result<(), EditFault> {
        if along(axis).abs() > STILL {
            out.extend(shift(document, &found.table, axis, way(along(axis), None), absent(axis))?);
        }
        Ok(())
    };
    match &found.by {
        Stated::Axes(axes, follows) => {
            let asked = (0..3).any(|a| along(a).abs() > STILL);
            if asked && axes.iter().all(|a| along(*a).abs() <= STILL) {
                return Err(EditFault::new(
                    format!("`{part}` cannot be moved that way"),
                    format!("there it follows {follows}"),
                    format!("move {follows}, or move the part along it"),
                ));
            }
            axes.iter().try_for_each(|a| shifted(*a))?;
        }
        Stated::Above(axes, third, sign) => {
            axes.iter().try_for_each(|a| shifted(*a))?;
            if along(*third).abs() > STILL {
                out.extend(raise(document, &found.table, way(along(*third) * sign, None))?);
            }
        }
        Stated::Along(axis, tube, s) => {
            let to = nearest_on_tube(tube, found.now + by);
            let of = |p: DVec3| (p - tube.point(*s)).to_array().get(*axis).copied().unwrap_or(0.0);
            if (to - s).abs() > STILL {
                let within = Some((of(tube.a), of(tube.b)));
                out.extend(shift(
                    document,
                    &found.table,
                    *axis,
                    way(of(tube.point(to)), within),
                    absent(*axis),
                )?);
            }
        }
    }
    Ok(out)
}
