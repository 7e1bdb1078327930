//! A part's image across the centreline.

use super::copy::{behind_last, leaves};
use super::document::{Document, Node, Splice, dotted, steps};
use super::fault::EditFault;
use super::needs::namings;
use super::tag::{across, or_numbered};
use crate::measured::opposite;
use crate::model::Rig;
use crate::pass::{key_text, quoted};
use glam::DVec3;
use quantity::{Kind, parse_kind};
use std::ops::Range;

/// Two places nearer than this are one, m.
const SAME: f64 = 0.010;

const KINDS: [&str; 7] = ["cup", "tube", "clamp", "leg", "strap", "item", "platform"];

/// The image as a new part.
pub(crate) fn mirror(document: &Document<'_>, part: &str, rig: &Rig) -> Result<Vec<Splice>, EditFault> {
    let path = steps(part)?;
    let [kind, tag] = path.as_slice() else { return Err(none(part)) };
    if !KINDS.contains(&kind.as_str()) {
        return Err(none(part));
    }
    let all = leaves(document, &path)?;
    let index = index(rig, kind, tag).ok_or_else(|| EditFault::stale(part))?;
    match twin(rig, kind, index) {
        Some(same) if same == index => {
            return Err(EditFault::new(
                format!("`{part}` is its own image"),
                "it lies on the centreline, or evenly across it",
                "move it to one side first",
            ));
        }
        Some(other) => {
            let there = format!("{kind}.{}", key_text(tag_of(rig, kind, other).unwrap_or_default()));
            return Err(EditFault::new(
                format!("`{there}` stands there already"),
                format!("it is within {:.0} mm of where the image of `{part}` would be", SAME * 1000.0),
                format!("move `{there}`, or take it out first"),
            ));
        }
        None => {}
    }
    let names = images(document, &path, rig)?;
    let mut lines = Vec::new();
    for (key, span) in all {
        let node = path.iter().chain(&key).try_fold(document.root(), |n, s| Some(n.child(s)?.1));
        let mut inside: Vec<Splice> = names.iter().filter(|(at, _)| within(at, &span)).cloned().collect();
        if let Some(node) = node {
            sides(node, &mut inside);
        }
        let value = replaced(document, &span, inside);
        let mut key = key;
        if let (Some(last), Some(node)) = (key.last_mut(), node)
            && let Some(other) = other_side(last, node)
        {
            other.clone_into(last);
        }
        lines.push((key, value));
    }
    let new = or_numbered(document, kind, &across(tag));
    Ok(vec![behind_last(document, &[kind.clone(), new], &lines)])
}

fn none(part: &str) -> EditFault {
    EditFault::new(
        format!("`{part}` has no image"),
        "only a cup, tube, clamp, leg, strap, item or platform is mirrored",
        "name one of those, such as `cup.FL`",
    )
}

fn within(inner: &Range<usize>, outer: &Range<usize>) -> bool {
    outer.start <= inner.start && inner.end <= outer.end
}

/// `right` for `left`, unless it says the centreline.
fn other_side(key: &str, node: Node<'_>) -> Option<&'static str> {
    let there = node.text().and_then(|t| parse_kind(t, Kind::Length).ok()).is_none_or(|v| v.abs() > 1e-9);
    opposite(key).filter(|o| matches!(*o, "left" | "right") && there)
}

/// Sides turned round inside a value.
fn sides(node: Node<'_>, out: &mut Vec<Splice>) {
    for (name, key, child) in node.entries() {
        if let (Some(key), Some(other)) = (key, other_side(&name, child)) {
            out.push((key, other.to_owned()));
        }
        sides(child, out);
    }
}

fn replaced(document: &Document<'_>, span: &Range<usize>, mut splices: Vec<Splice>) -> String {
    splices.sort_by_key(|(at, _)| at.start);
    let (mut out, mut at) = (String::new(), span.start);
    for (piece, new) in splices {
        out.push_str(document.slice(at..piece.start.max(at)));
        out.push_str(&new);
        at = piece.end.max(at);
    }
    out.push_str(document.slice(at..span.end.max(at)));
    out
}

/// Every name in a part with its image's.
fn images(document: &Document<'_>, path: &[String], rig: &Rig) -> Result<Vec<Splice>, EditFault> {
    let mut out = Vec::new();
    for naming in namings(document).into_iter().filter(|n| n.by == path) {
        let found = naming.kinds.iter().find_map(|k| Some((*k, index(rig, k, &naming.tag)?)));
        let (kind, index) = found.ok_or_else(|| EditFault::stale(&dotted(path)))?;
        let twin = twin(rig, kind, index).and_then(|t| tag_of(rig, kind, t)).ok_or_else(|| {
            let name = format!("{kind}.{}", key_text(&naming.tag));
            EditFault::new(
                format!("`{name}` has no image on the other side"),
                format!("`{}` needs it there", dotted(path)),
                format!("mirror `{name}` first"),
            )
        })?;
        if twin != naming.tag {
            out.push((naming.at, quoted(twin)));
        }
    }
    Ok(out)
}

fn tag_of<'r>(rig: &'r Rig, kind: &str, index: usize) -> Option<&'r str> {
    Some(match kind {
        "cup" => &rig.cups.get(index)?.tag,
        "tube" => &rig.tubes.get(index)?.tag,
        "clamp" => &rig.clamps.get(index)?.tag,
        "leg" => &rig.legs.get(index)?.tag,
        "strap" => &rig.straps.get(index)?.tag,
        "item" => &rig.items.get(index)?.tag,
        "platform" => &rig.platforms.get(index)?.tag,
        "panel" => &rig.panels.get(index)?.tag,
        _ => return None,
    })
}

fn index(rig: &Rig, kind: &str, tag: &str) -> Option<usize> {
    (0..).map_while(|i| tag_of(rig, kind, i)).position(|t| t == tag)
}

/// Points that say where a part is, m.
fn points(rig: &Rig, kind: &str, index: usize) -> Option<Vec<DVec3>> {
    let on = |(tube, s): (usize, f64)| Some(rig.tubes.get(tube)?.point(s));
    Some(match kind {
        "cup" => vec![rig.cups.get(index)?.at],
        "tube" => rig.tubes.get(index).map(|t| vec![t.a, t.b])?,
        "clamp" => rig.clamps.get(index).and_then(|c| Some(vec![on(c.first)?, on(c.second)?]))?,
        "leg" => vec![on(rig.legs.get(index)?.foot)?],
        "strap" => rig.straps.get(index)?.path.iter().map(|p| p.at).collect(),
        "item" => vec![rig.items.get(index)?.at],
        "platform" => vec![rig.platforms.get(index)?.at],
        "panel" => vec![rig.panels.get(index)?.centre],
        _ => return None,
    })
}

/// The part of a kind that stands where the image of another would.
fn twin(rig: &Rig, kind: &str, index: usize) -> Option<usize> {
    let middle = 2.0 * rig.vehicle.datum.y;
    let image: Vec<DVec3> =
        points(rig, kind, index)?.into_iter().map(|p| DVec3::new(p.x, middle - p.y, p.z)).collect();
    (0..).map_while(|i| points(rig, kind, i)).position(|other| {
        let near = |a: &DVec3, b: &DVec3| (*a - *b).length() < SAME;
        other.len() == image.len()
            && (other.iter().zip(&image).all(|(a, b)| near(a, b))
                || other.iter().rev().zip(&image).all(|(a, b)| near(a, b)))
    })
}
