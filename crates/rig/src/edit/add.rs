//! New parts, written as their nearest like is.

use super::Snap;
use super::amount::{Words, snapped};
use super::coordinate::{Move, WAYS, words_of};
use super::copy::{behind_last, leaves};
use super::document::{Document, Splice, steps};
use super::fault::EditFault;
use super::place::{finite, written};
use super::tag::{across, next, or_numbered};
use super::target::{Stated, in_plane, target};
use crate::lower::clamp::{CLAMP_MARGIN, SPACING_SLACK};
use crate::lower::cup::{to_platform, to_tube};
use crate::lower::geometry::{PARALLEL, direction, nearest_on_lines, nearest_on_tube};
use crate::lower::platform::outside;
use crate::model::{Cup, Panel, Platform, Rig, Tube};
use crate::pass::{key_text, quoted};
use glam::DVec3;

/// Farthest that a new cup is drawn under the tube that it holds, m.
const REACH: f64 = 0.15;
/// Farthest that a crossing is looked for, m.
const CROSSING: f64 = 0.5;

/// What the person gives with a new part: its name in the parts list, and keys as typed.
type Given<'a> = (Option<&'a str>, &'a [(&'a str, &'a str)]);
type Lines = Vec<(String, String)>;

/// The text with a new part.
pub(crate) fn add(
    document: &Document<'_>,
    kind: &str,
    given: Given<'_>,
    at: DVec3,
    rig: &Rig,
) -> Result<String, EditFault> {
    finite(at)?;
    let (tag, lines) = match kind {
        "cup" => cup(document, given.0, at, rig)?,
        "clamp" => clamp(document, given.0, at, rig)?,
        "strap" => strap(document, given.0, at, rig)?,
        "item" => item(document, given.1, at, rig)?,
        "tube" => return tube(document, given, at, rig),
        other => {
            return Err(EditFault::new(
                format!("a new {other} cannot be placed by a point alone"),
                "only a cup, tube, clamp, strap or item can be added so",
                "write it into the file by hand",
            ));
        }
    };
    super::sound(document.with(vec![table(document, kind, &tag, lines, given.1)?]))
}

/// The table of a new part, with what the person gives over what would be written.
fn table(
    document: &Document<'_>,
    kind: &str,
    tag: &str,
    mut lines: Lines,
    with: &[(&str, &str)],
) -> Result<Splice, EditFault> {
    for (key, typed) in with {
        let value = super::literal::fresh(&[kind, tag, *key], typed)?;
        match lines.iter_mut().find(|(k, _)| k == key) {
            Some((_, old)) => *old = value,
            None => lines.push(((*key).to_owned(), value)),
        }
    }
    let lines: Vec<(Vec<String>, String)> = lines.into_iter().map(|(k, v)| (vec![k], v)).collect();
    Ok(behind_last(document, &[kind.to_owned(), tag.to_owned()], &lines))
}

fn nearest<'r, T>(all: impl IntoIterator<Item = &'r T>, far: impl Fn(&T) -> f64) -> Option<&'r T> {
    all.into_iter().min_by(|a, b| far(a).total_cmp(&far(b)))
}

fn path(kind: &str, tag: &str) -> Vec<String> {
    vec![kind.to_owned(), tag.to_owned()]
}

/// `key = value` of a coordinate from the datum along an axis.
fn coordinate(axis: usize, from_datum_m: f64, words: &Words) -> (String, String) {
    let (plus, minus) = WAYS.get(axis).copied().unwrap_or(("up", "down"));
    let value = snapped(from_datum_m, words.step_m(Snap::Tape));
    (if value < 0.0 { minus } else { plus }.to_owned(), quoted(&words.write(value.abs())))
}

fn of(v: DVec3, axis: usize) -> f64 {
    v.to_array().get(axis).copied().unwrap_or(0.0)
}

/// A whole place between braces.
fn whole(at: DVec3, rig: &Rig, words: &Words) -> String {
    let from = at - rig.vehicle.datum;
    let keys: Vec<String> = (0..3)
        .map(|axis| coordinate(axis, of(from, axis), words))
        .map(|(k, v)| format!("{k} = {v}"))
        .collect();
    format!("{{ {} }}", keys.join(", "))
}

fn named(part: Option<&str>, like: Option<&str>, kind: &str) -> Result<String, EditFault> {
    part.or(like).map(quoted).ok_or_else(|| {
        EditFault::new(
            format!("a new {kind} needs the name of its part"),
            format!("there is no {kind} in the file to be like"),
            "choose one of the parts list",
        )
    })
}

/// What a table states in words, as a literal.
fn said(document: &Document<'_>, kind: &str, tag: &str, key: &str) -> Option<String> {
    let span = document.find(&[kind, tag, key])?.span()?;
    Some(document.slice(span).to_owned())
}

fn cup(
    document: &Document<'_>,
    part: Option<&str>,
    at: DVec3,
    rig: &Rig,
) -> Result<(String, Lines), EditFault> {
    let foot = |panel: &Panel, at: DVec3| {
        let axes = in_plane(document, &panel.tag)?;
        let (i, j) = (*axes.first()?, *axes.get(1)?);
        let (a, b) = panel.place_at((i, j), (of(at, i), of(at, j)))?;
        let on = a.abs() <= 0.5 * panel.size.0 && b.abs() <= 0.5 * panel.size.1;
        on.then(|| (panel.point(a, b), panel.normal_at(a, b)))
    };
    let standing = rig.panels.iter().filter_map(|p| Some((p, foot(p, at)?)));
    let (panel, mut axis) =
        standing.min_by(|x, y| x.1.0.distance(at).total_cmp(&y.1.0.distance(at))).ok_or_else(|| {
            EditFault::new(
                "no panel is there",
                "a cup stands on a panel",
                "choose a place on a panel, or describe the panel first",
            )
        })?;
    let on_panel = |c: &&Cup| rig.panels.get(c.panel).is_some_and(|p| p.tag == panel.tag);
    let far = |c: &Cup| c.at.distance(axis.0);
    let like = nearest(rig.cups.iter().filter(on_panel), far).or_else(|| nearest(&rig.cups, far));
    let name = named(part, like.map(|c| c.part.as_str()), "cup")?;
    let range = rig.cups.iter().find(|c| quoted(&c.part) == name).map(|c| c.height_range);
    let fits =
        |height: f64| height > 0.0 && range.is_none_or(|(least, most)| (least..=most).contains(&height));
    let over = |p: &&Platform| {
        to_platform(axis, p).is_some_and(|h| fits(h) && outside(p, axis.0 + axis.1 * h) <= 0.0)
    };
    let holds = if let Some(platform) = rig.platforms.iter().find(over) {
        platform.tag.clone()
    } else {
        let reach = |t: &Tube| to_tube(axis, t).2;
        let high = |t: &&Tube| fits(to_tube(axis, t).1) && reach(t) <= REACH;
        let tube = nearest(rig.tubes.iter().filter(high), reach).ok_or_else(|| {
            EditFault::new(
                "there is nothing for a cup to hold",
                format!(
                    "no tube passes within {:.0} mm over that place at a height that the cup sets to",
                    REACH * 1000.0
                ),
                "put a tube there first, or choose a place under one",
            )
        })?;
        // Under the tube: a head takes little to the side.
        for _ in 0..3 {
            let (s, height, _) = to_tube(axis, tube);
            axis = foot(panel, tube.point(s) - axis.1 * height).unwrap_or(axis);
        }
        tube.tag.clone()
    };
    if let Some(there) = rig.cups.iter().find(|c| c.at.distance(axis.0) < c.seal_radius) {
        return Err(EditFault::new(
            format!("`cup.{}` stands there", key_text(&there.tag)),
            "two cups do not stand on one place",
            "choose a place beside it",
        ));
    }
    let words = like.map_or_else(Words::millimetres, |c| words_of(document, &path("cup", &c.tag)));
    let mut lines = vec![("part".to_owned(), name), ("panel".to_owned(), quoted(&panel.tag))];
    for a in in_plane(document, &panel.tag).unwrap_or_default() {
        lines.push(coordinate(a, of(axis.0 - rig.vehicle.datum, a), &words));
    }
    lines.push(("holds".to_owned(), quoted(&holds)));
    if let Some(vacuum) = like.and_then(|c| said(document, "cup", &c.tag, "vacuum")) {
        lines.push(("vacuum".to_owned(), vacuum));
    }
    let middle = rig.vehicle.datum.y;
    let tag = like.map_or_else(
        || next(document, "cup"),
        |c| {
            let other = (c.at.y - middle) * (axis.0.y - middle) < 0.0;
            or_numbered(document, "cup", &if other { across(&c.tag) } else { c.tag.clone() })
        },
    );
    Ok((tag, lines))
}

/// A tube beside the nearest, through the place, as far from the car as that.
fn tube(document: &Document<'_>, (part, with): Given<'_>, at: DVec3, rig: &Rig) -> Result<String, EditFault> {
    let far = |t: &Tube| t.point(nearest_on_tube(t, at)).distance(at);
    let like = nearest(&rig.tubes, far).ok_or_else(|| {
        EditFault::new(
            "there is no tube to be like",
            "a new tube is laid beside the nearest",
            "write the first one by hand",
        )
    })?;
    let along = direction(like);
    let mut by = (at - like.a) - along * (at - like.a).dot(along);
    // The place is on a drawing: how high it runs is as its like.
    let stated = target(document, &format!("tube.{}.from", key_text(&like.tag)), rig)?;
    if let Stated::Above(_, third, _) = stated.by {
        by[third] = 0.0;
    } else {
        by.z = 0.0;
    }
    if by.length() < like.section.outer {
        return Err(EditFault::new(
            format!("`tube.{}` runs there", key_text(&like.tag)),
            "two tubes do not run through one place",
            "choose a place beside it",
        ));
    }
    let tag = or_numbered(document, "tube", &like.tag);
    let old = path("tube", &like.tag);
    let lines: Vec<(Vec<String>, String)> =
        leaves(document, &old)?.into_iter().map(|(k, span)| (k, document.slice(span).to_owned())).collect();
    let text = document.with(vec![behind_last(document, &path("tube", &tag), &lines)]);
    let copied = Document::read(&text)?;
    let mut splices = Vec::new();
    for end in ["from", "to"] {
        let mut found = target(document, &format!("tube.{}.{end}", key_text(&like.tag)), rig)?;
        let new = format!("tube.{}.{end}", key_text(&tag));
        found.table = steps(&new)?;
        let step = words_of(&copied, &found.table).step_m(Snap::Tape);
        let by = DVec3::from_array(by.to_array().map(|d| snapped(d, step)));
        splices.extend(written(&copied, &new, &found, by, &|by, _| Move::By(by))?);
    }
    let mut text = copied.with(splices);
    for (key, value) in part.iter().map(|p| ("part", *p)).chain(with.iter().copied()) {
        let document = Document::read(&text)?;
        let path: Vec<String> = path("tube", &tag).into_iter().chain([key.to_owned()]).collect();
        text = document.with(super::set::set(&document, &path, value)?);
    }
    super::sound(text)
}

fn clamp(
    document: &Document<'_>,
    part: Option<&str>,
    at: DVec3,
    rig: &Rig,
) -> Result<(String, Lines), EditFault> {
    let mut best: Option<(f64, usize, usize)> = None;
    for (i, one) in rig.tubes.iter().enumerate() {
        for (j, other) in rig.tubes.iter().enumerate().skip(i + 1) {
            let (u, v) = (direction(one), direction(other));
            if u.cross(v).length() < PARALLEL {
                continue;
            }
            let Some((s, t)) = nearest_on_lines(one.a, u, other.a, v) else { continue };
            let room = |s: f64, tube: &Tube| s.min(tube.length() - s) >= CLAMP_MARGIN;
            let gap = one.point(s).distance(other.point(t));
            let spacing = 0.5 * (one.section.outer + other.section.outer);
            if !room(s, one) || !room(t, other) || (gap - spacing).abs() > SPACING_SLACK {
                continue;
            }
            let far = (0.5 * (one.point(s) + other.point(t))).distance(at);
            if far <= CROSSING && best.is_none_or(|(least, ..)| far < least) {
                best = Some((far, i, j));
            }
        }
    }
    let crossing = best.and_then(|(_, i, j)| Some((i, j, rig.tubes.get(i)?, rig.tubes.get(j)?)));
    let (i, j, one, other) = crossing.ok_or_else(|| {
        EditFault::new(
            "no two tubes cross there",
            format!("a clamp joins two tubes that touch within {:.0} mm of the place", CROSSING * 1000.0),
            "lay a tube on the other first",
        )
    })?;
    let joins = |a: usize, b: usize| (a, b) == (i, j) || (a, b) == (j, i);
    if let Some(there) = rig.clamps.iter().find(|c| joins(c.first.0, c.second.0)) {
        return Err(EditFault::new(
            format!("`clamp.{}` joins them already", key_text(&there.tag)),
            format!("the nearest crossing is that of \"{}\" and \"{}\"", one.tag, other.tag),
            "choose a place nearer to the crossing that you mean",
        ));
    }
    let far = |c: &crate::model::Clamp| {
        rig.tubes.get(c.first.0).map_or(f64::MAX, |t| t.point(c.first.1).distance(at))
    };
    let like = nearest(&rig.clamps, far);
    let name = named(part, like.map(|c| c.part.as_str()), "clamp")?;
    let joined = format!("[{}, {}]", quoted(&one.tag), quoted(&other.tag));
    let mut lines = vec![("part".to_owned(), name), ("joins".to_owned(), joined)];
    if let Some(torque) = like.and_then(|c| said(document, "clamp", &c.tag, "torque")) {
        lines.push(("torque".to_owned(), torque));
    }
    Ok((next(document, "clamp"), lines))
}

/// From the nearest place of a tube to a place on the body.
fn strap(
    document: &Document<'_>,
    part: Option<&str>,
    at: DVec3,
    rig: &Rig,
) -> Result<(String, Lines), EditFault> {
    let nearest_point = |t: &Tube| t.point(nearest_on_tube(t, at));
    let tube = nearest(&rig.tubes, |t| nearest_point(t).distance(at)).ok_or_else(|| {
        EditFault::new(
            "there is no tube to hold",
            "a new strap runs from the nearest tube",
            "write it into the file by hand",
        )
    })?;
    let far = |s: &crate::model::Strap| s.path.iter().map(|p| p.at.distance(at)).fold(f64::MAX, f64::min);
    let like = nearest(rig.straps.iter().filter(|s| part.is_none_or(|p| s.part == p)), far);
    let name = named(part, like.map(|s| s.part.as_str()), "strap")?;
    let words = words_of(
        document,
        &path("tube", &tube.tag).into_iter().chain(["from".to_owned()]).collect::<Vec<_>>(),
    )
    .for_new();
    let u = direction(tube).abs();
    let axis = if u.x >= u.y && u.x >= u.z {
        0
    } else if u.y >= u.z {
        1
    } else {
        2
    };
    let on = nearest_point(tube) - rig.vehicle.datum;
    // Towards the tube's middle, so that rounding does not put it off the end.
    let middle = of(tube.point(0.5 * tube.length()) - rig.vehicle.datum, axis);
    let room = words.step_m(Snap::Tape).min(0.25 * tube.length());
    let value = of(on, axis) + (middle - of(on, axis)).clamp(-room, room);
    let (key, value) = coordinate(axis, value, &words);
    let first = format!("{{ tube = {}, {key} = {value} }}", quoted(&tube.tag));
    let mut lines = vec![("part".to_owned(), name)];
    if let Some(pretension) = like.and_then(|s| said(document, "strap", &s.tag, "pretension")) {
        lines.push(("pretension".to_owned(), pretension));
    }
    let eol = document.eol();
    lines.push(("path".to_owned(), format!("[{eol}  {first},{eol}  {},{eol}]", whole(at, rig, &words))));
    Ok((next(document, "strap"), lines))
}

fn item(
    document: &Document<'_>,
    with: &[(&str, &str)],
    at: DVec3,
    rig: &Rig,
) -> Result<(String, Lines), EditFault> {
    let Some((_, mass)) = with.iter().find(|(k, _)| *k == "mass") else {
        return Err(EditFault::new(
            "a new item needs its mass",
            "nothing else tells it",
            "weigh it and give `mass`",
        ));
    };
    let tube = nearest(&rig.tubes, |t| t.point(nearest_on_tube(t, at)).distance(at));
    let off = |p: &Platform| outside(p, at).max(0.0).hypot((at - p.at).dot(p.normal));
    let platform = nearest(&rig.platforms, off);
    let on = match (tube, platform) {
        (Some(t), Some(p)) if t.point(nearest_on_tube(t, at)).distance(at) < off(p) => &t.tag,
        (_, Some(p)) => &p.tag,
        (Some(t), None) => &t.tag,
        (None, None) => {
            return Err(EditFault::new(
                "there is nothing to fix it to",
                "an item is on a tube or a platform",
                "add one first",
            ));
        }
    };
    let like = nearest(&rig.items, |i| i.at.distance(at));
    let words = like.map_or_else(Words::millimetres, |i| {
        words_of(document, &["item".to_owned(), i.tag.clone(), "at".to_owned()]).for_new()
    });
    let lines = vec![
        ("mass".to_owned(), super::literal::fresh(&["item", "new", "mass"], mass)?),
        ("at".to_owned(), whole(at, rig, &words)),
        ("on".to_owned(), quoted(on)),
    ];
    Ok((next(document, "item"), lines))
}
