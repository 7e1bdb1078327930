//! Panels: their frames, sheet and finish.

use super::context::{Context, View, inherited, mm};
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::model::{KeepOut, Material, Panel};
use crate::pass::printable;
use crate::record::Record;
use glam::DVec3;

/// Axes of a face: along, across, out. A slope turns the face, nose down on one that faces up, leaning back at the top
/// on the others.
///
/// ```text
/// up     ea = (-cos s, 0, sin s)    n = (sin s, 0, cos s)
/// left   ea = (-1, 0, 0)            n = (0, cos s, sin s)
/// right  ea = (-1, 0, 0)            n = (0, -cos s, sin s)
/// ahead  ea = (sin s, 0, -cos s)    n = (cos s, 0, sin s)
/// aft    ea = (-sin s, 0, -cos s)   n = (-cos s, 0, sin s)         eb = n x ea
/// ```
pub(crate) fn frame(faces: &str, slope_rad: f64) -> (DVec3, DVec3, DVec3) {
    let (s, c) = slope_rad.sin_cos();
    let (ea, n) = match faces {
        "left" => (DVec3::NEG_X, DVec3::new(0.0, c, s)),
        "right" => (DVec3::NEG_X, DVec3::new(0.0, -c, s)),
        "ahead" => (DVec3::new(s, 0.0, -c), DVec3::new(c, 0.0, s)),
        "aft" => (DVec3::new(-s, 0.0, -c), DVec3::new(-c, 0.0, s)),
        _ => (DVec3::new(-c, 0.0, s), DVec3::new(s, 0.0, c)),
    };
    (ea, n.cross(ea), n)
}

/// The two coordinates that lie in a face (0 x, 1 y, 2 z).
pub(crate) fn plane_axes(faces: &str) -> (usize, usize) {
    match faces {
        "left" | "right" => (0, 2),
        "ahead" | "aft" => (1, 2),
        _ => (0, 1),
    }
}

pub(crate) fn panels(cx: &mut Context<'_>) -> Vec<Option<Panel>> {
    let root = cx.root;
    root.tagged("panel").iter().map(|r| panel(cx, r)).collect()
}

fn panel(cx: &mut Context<'_>, record: &Record) -> Option<Panel> {
    let view = View::plain(record);
    let slope = if record.is_faulty("slope") { None } else { Some(record.measure("slope").unwrap_or(0.0)) };
    let material = view.word("material");
    let wet = view.word("surface").map(|w| w == "wet");
    let finish = cx.part_or_stated_friction(record);
    let (friction, stiffness, rocking) = (
        cx.surface(record, "friction", finish, if wet == Some(true) { "wet" } else { "dry" }),
        cx.sheet(record, "stiffness", material),
        cx.sheet(record, "rocking", material),
    );
    let crown = (cx.fact(view, "crown_along"), cx.fact(view, "crown_across"));
    let (pull_limit, push_limit) = (view.maybe("pull_limit"), view.maybe("push_limit"));
    let centre = record.sub("at").and_then(|r| cx.full_place(r, cx.datum));
    let faces = view.word("faces")?;
    let (ea, eb, normal) = frame(faces, slope?);
    let mut out = Panel {
        tag: record.tag.clone(),
        centre: centre?,
        ea,
        eb,
        normal,
        size: (record.measure("length")?, record.measure("width")?),
        crown: (crown.0?, crown.1?),
        material: match material? {
            "aluminium" => Material::Aluminium,
            "glass" => Material::Glass,
            "plastic" => Material::Plastic,
            _ => Material::Steel,
        },
        finish: view.word("finish")?.to_owned(),
        wet: wet?,
        friction: friction?,
        other_friction: other_friction(cx, record, wet?),
        stiffness: stiffness?,
        rocking: rocking?,
        pull_limit,
        push_limit,
        is_roof: view.flag("roof"),
        keep_outs: Vec::new(),
    };
    plausible(cx, record, &out)?;
    let keep_outs: Option<Vec<KeepOut>> =
        record.tagged("keep_out").iter().map(|r| keep_out(cx, r, &out, faces)).collect();
    out.keep_outs = keep_outs?;
    Some(out)
}

/// A panel cannot be wider than the ball that its crown is cut from.
fn plausible(cx: &mut Context<'_>, record: &Record, panel: &Panel) -> Option<()> {
    for (key, size, size_m, crown) in [
        ("crown_along", "length", panel.size.0, &panel.crown.0),
        ("crown_across", "width", panel.size.1, &panel.crown.1),
    ] {
        if 0.5 * size_m > crown.value {
            cx.faults.push(
                Diagnostic::error(
                    "R028",
                    record.spot(key),
                    format!("{} is crowned too tightly for its size", record.title()),
                )
                .why(format!(
                    "a radius of {} with a {size} of {}: its edges would point down",
                    mm(crown.value),
                    mm(size_m)
                ))
                .mend(
                    "measure the crown again: straightedge of length L, gap h under each end, radius L²/8h",
                ),
            );
            return None;
        }
    }
    Some(())
}

fn keep_out(cx: &mut Context<'_>, record: &Record, panel: &Panel, faces: &str) -> Option<KeepOut> {
    let centre = cx.on_panel(record, panel, faces)?;
    Some(KeepOut {
        tag: record.tag.clone(),
        centre,
        size: (record.measure("length")?, record.measure("width")?),
    })
}

/// Friction in the other state, as the finish's entry in the parts list has it.
fn other_friction(cx: &Context<'_>, record: &Record, wet: bool) -> Option<Fact> {
    let finish = cx.parts.find("finish", View::plain(record).word("finish")?)?;
    let row = record.table.row("friction")?;
    let fact = finish.fact(if wet { "dry" } else { "wet" })?;
    Some(inherited(fact, finish, format!("{}.other_friction", record.path), row.settle))
}

impl<'a> Context<'a> {
    fn part_or_stated_friction(&mut self, record: &Record) -> Option<&'a Record> {
        // With its friction stated, a finish needs no entry in the parts list.
        if record.has("friction") { None } else { self.part(View::plain(record), "finish") }
    }

    /// Friction: as stated, else the finish's for the state that the panel is in.
    fn surface(&mut self, record: &Record, key: &str, finish: Option<&Record>, state: &str) -> Option<Fact> {
        if record.has(key) {
            return self.fact(View::plain(record), key);
        }
        let finish = finish?;
        let row = record.table.row(key)?;
        if let Some(fact) = finish.fact(state) {
            return Some(inherited(fact, finish, format!("{}.{key}", record.path), row.settle));
        }
        self.nothing_gives(View { record, part: Some(finish) }, row);
        None
    }

    /// Stiffness of the sheet: as stated, else typical of its material.
    fn sheet(&mut self, record: &Record, key: &str, material: Option<&str>) -> Option<Fact> {
        if record.has(key) {
            return self.fact(View::plain(record), key);
        }
        let row = record.table.row(key)?;
        let sheet = self.parts.find("sheet", material?);
        let fact = sheet
            .and_then(|s| Some(inherited(s.fact(key)?, s, format!("{}.{key}", record.path), row.settle)));
        if fact.is_none() {
            self.nothing_gives(View { record, part: sheet }, row);
        }
        fact
    }

    /// Place `(a, b)` on a panel from the two stated coordinates that lie in it.
    pub(crate) fn on_panel(&mut self, record: &Record, panel: &Panel, faces: &str) -> Option<(f64, f64)> {
        let c = self.coordinates(record, self.datum)?;
        let all = [c.x, c.y, c.z];
        let axes = plane_axes(faces);
        let get = |i: usize| all.get(i).copied().flatten();
        // On the centreline unless said otherwise.
        let first = get(axes.0).or(if axes.0 == 1 { Some(self.datum.y) } else { None });
        let second = get(axes.1).or(if axes.1 == 1 { Some(self.datum.y) } else { None });
        let (Some(first), Some(second)) = (first, second) else {
            let missing = if first.is_none() { axes.0 } else { axes.1 };
            self.lacks(record, &record.at, super::place::AXES.get(missing).copied().unwrap_or(""));
            return None;
        };
        let place = panel.place_at(axes, (first, second));
        if place.is_none() {
            self.faults.push(
                Diagnostic::error(
                    "R015",
                    &record.at,
                    format!("{} does not meet panel \"{}\"", record.title(), printable(&panel.tag)),
                )
                .why("the crowned surface does not reach that place")
                .mend("check the place, and the panel's `crown_along`, `crown_across` and `slope`"),
            );
        }
        place
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faces_look_where_they_say_and_slopes_lean_as_they_should() {
        let out = [
            ("up", DVec3::Z),
            ("left", DVec3::Y),
            ("right", DVec3::NEG_Y),
            ("ahead", DVec3::X),
            ("aft", DVec3::NEG_X),
        ];
        for (faces, expected) in out {
            let (ea, eb, n) = frame(faces, 0.0);
            assert!((n - expected).length() < 1e-12, "{faces}");
            assert!((n.cross(ea) - eb).length() < 1e-12 && ea.dot(n).abs() < 1e-12);
            let down = matches!(faces, "ahead" | "aft");
            assert!((ea - if down { DVec3::NEG_Z } else { DVec3::NEG_X }).length() < 1e-12, "{faces}");
            let (ea, _, n) = frame(faces, 0.2);
            assert!(ea.dot(n).abs() < 1e-12 && (n.length() - 1.0).abs() < 1e-12, "{faces}");
            if faces == "up" {
                assert!(n.x > 0.19 && ea.z > 0.19, "nose down: it looks ahead a little, and rises going aft");
            } else {
                assert!(n.z > 0.19, "{faces}: leaning back, it looks up a little");
            }
        }
    }
}
