//! What a person tapes: from the datum aft, from the centreline to both sides, up from the road.

use super::solid::arm::{Turned, highest};
use super::words;
use super::{Part, Scene};
use glam::DVec3;
use quantity::{Kind, System, both_kind, show_kind};

/// Lengths this near each other are one, m: no tape tells them apart.
const SAME: f64 = 5e-4;

/// One length from an origin to something, along one axis.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Measure {
    /// From the origin, m: aft, to the left, or up.
    pub(crate) value: f64,
    /// What stands there.
    pub(crate) names: Vec<(&'static str, String)>,
    /// How needful it is, least first.
    pub(crate) rank: u8,
    /// The same on the other side as well.
    pub(crate) both_sides: bool,
    /// Points that it is taken to.
    pub(crate) at: Vec<DVec3>,
}

impl Measure {
    /// `380 mm (14-15/16 in)`.
    pub(crate) fn length(&self) -> String {
        both_kind(self.value.abs(), Kind::Length)
    }

    /// Both systems apart.
    pub(crate) fn lengths(&self) -> [String; 2] {
        [System::Metric, System::Us].map(|s| show_kind(self.value.abs(), Kind::Length, s))
    }

    /// `cups FL, FR; tube TF`.
    pub(crate) fn words(&self) -> String {
        let mut kinds: Vec<&'static str> = Vec::new();
        for (kind, _) in &self.names {
            if !kinds.contains(kind) {
                kinds.push(kind);
            }
        }
        let group = |kind: &&'static str| {
            let mut tags: Vec<&str> = Vec::new();
            for (k, tag) in &self.names {
                if k == kind && !tags.contains(&tag.as_str()) {
                    tags.push(tag);
                }
            }
            let plural = if tags.len() > 1 { "s" } else { "" };
            match (*kind, tags.as_slice()) {
                (kind, [""]) => kind.to_owned(),
                ("tube end", _) => format!("ends of tube{plural} {}", tags.join(", ")),
                ("platform edge", _) => format!("edge of {}", tags.join(", ")),
                (kind, _) => format!("{kind}{plural} {}", tags.join(", ")),
            }
        };
        kinds.iter().map(group).collect::<Vec<_>>().join("; ")
    }
}

/// Puts equal lengths together, in order.
fn grouped(mut all: Vec<Measure>, mirrored: bool) -> Vec<Measure> {
    all.retain(|m| m.value.is_finite() && m.value.abs() < 1e5);
    // To a micrometre, so that equal lengths keep the file's order.
    let size = |m: &Measure| (m.value.abs() * 1e6).round();
    all.sort_by(|a, b| size(a).total_cmp(&size(b)));
    let mut out: Vec<Measure> = Vec::new();
    for m in all {
        let alike = |o: &&mut Measure| {
            let same = if mirrored { o.value.abs() - m.value.abs() } else { o.value - m.value };
            same.abs() < SAME
        };
        match out.iter_mut().rev().find(alike) {
            Some(o) => {
                o.both_sides |= mirrored && o.value * m.value < 0.0;
                o.rank = o.rank.min(m.rank);
                o.names.extend(m.names);
                o.at.extend(m.at);
            }
            None => out.push(m),
        }
    }
    out
}

fn measure(value: f64, kind: &'static str, tag: &str, rank: u8, at: DVec3) -> Measure {
    Measure { value, names: vec![(kind, tag.to_owned())], rank, both_sides: false, at: vec![at] }
}

/// From the datum aft (forward is negative).
pub(crate) fn aft(scene: &Scene<'_>) -> Vec<Measure> {
    let rig = scene.rig;
    let datum = rig.vehicle.datum.x;
    let mut out = Vec::new();
    let mut put = |kind, tag: &str, rank, at: DVec3| out.push(measure(datum - at.x, kind, tag, rank, at));
    for c in &rig.cups {
        put("cup", &c.tag, 0, c.at);
    }
    for t in &rig.tubes {
        if (t.a.x - t.b.x).abs() < SAME {
            put("tube", &t.tag, 1, (t.a + t.b) / 2.0);
        } else {
            put("tube end", &t.tag, 2, t.a);
            put("tube end", &t.tag, 2, t.b);
        }
    }
    for p in &rig.platforms {
        put("platform", &p.tag, 1, p.at);
    }
    for i in &rig.items {
        put("item", &i.tag, 4, i.at);
    }
    for (i, l) in rig.legs.iter().enumerate() {
        if let Some(foot) = rig.tubes.get(l.foot.0).map(|t| t.point(l.foot.1)) {
            put("leg", &words::tag(rig, Part::Leg(i)), 3, foot);
        }
    }
    grouped(out, false)
}

/// From the centreline to the left (right is negative); what is the same on both sides is said once.
pub(crate) fn across(scene: &Scene<'_>) -> Vec<Measure> {
    let rig = scene.rig;
    let mut out = Vec::new();
    let mut put = |kind, tag: &str, rank, at: DVec3| {
        if at.y.abs() > SAME {
            out.push(measure(at.y, kind, tag, rank, at));
        }
    };
    for c in &rig.cups {
        put("cup", &c.tag, 0, c.at);
    }
    for t in &rig.tubes {
        if (t.a.y - t.b.y).abs() < SAME {
            put("tube", &t.tag, 1, (t.a + t.b) / 2.0);
        } else {
            put("tube end", &t.tag, 2, t.a);
            put("tube end", &t.tag, 2, t.b);
        }
    }
    for p in &rig.platforms {
        put("platform", &p.tag, 3, p.at);
        // Edges of a plate that lies flat; an upright one is measured at its middle.
        if p.normal.z.abs() > 0.8 {
            let half = p.normal.cross(p.along) * (p.size.y / 2.0);
            put("platform edge", &p.tag, 3, p.at + half);
            put("platform edge", &p.tag, 3, p.at - half);
        }
    }
    for i in &rig.items {
        put("item", &i.tag, 4, i.at);
    }
    grouped(out, true)
}

/// Up from the road.
pub(crate) fn up(scene: &Scene<'_>) -> Vec<Measure> {
    let rig = scene.rig;
    let mut out = Vec::new();
    let mut put = |kind, tag: &str, rank, at: DVec3| out.push(measure(at.z, kind, tag, rank, at));
    put("windscreen's top edge (datum)", "", 1, rig.vehicle.datum);
    let top = super::solid::solids(scene)
        .into_iter()
        .filter(|s| s.layer != super::solid::Layer::Sweep)
        .flat_map(|s| s.body.points())
        .max_by(|a, b| a.z.total_cmp(&b.z));
    if let Some(top) = top.filter(|t| t.z > rig.vehicle.outline.height.value) {
        put("highest in this pose", "", 0, top);
    } else if rig.vehicle.outline.height.value.is_finite() {
        put("car's roof", "", 0, DVec3::new(rig.vehicle.datum.x, 0.0, rig.vehicle.outline.height.value));
    }
    for p in &rig.platforms {
        if p.normal.z.abs() > 0.8 {
            put("top of", &p.tag, 2, p.at);
        } else {
            put("middle of", &p.tag, 2, p.at);
        }
    }
    if let Some(arm) = &rig.arm {
        put("boom's pivot", "", 2, Turned::new(arm, scene.pose).pivot);
        put("highest at any elevation", "", 0, highest(arm, scene.pose.pan));
    }
    // Cups on an upright panel are set out by their height.
    for c in rig.cups.iter().filter(|c| c.normal.z.abs() < 0.5) {
        put("cup", &c.tag, 1, c.at);
    }
    grouped(out, false)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::tests::{example, scene};

    #[test]
    fn a_row_of_cups_and_its_tube_are_one_length() {
        let rig = example("estate-arm");
        let all = aft(&scene(&rig));
        let row = all.iter().find(|m| (m.value - 0.38).abs() < 1e-6).unwrap();
        assert_eq!(
            (row.words().as_str(), row.length().as_str()),
            ("cups FL, FR; tube TF", "380 mm (14-15/16 in)")
        );
        let ends = all.iter().find(|m| (m.value - 1.48).abs() < 1e-6).unwrap();
        assert_eq!(ends.words(), "ends of tubes LL, LR");
    }

    #[test]
    fn what_is_the_same_on_both_sides_is_said_once() {
        let rig = example("estate-arm");
        let all = across(&scene(&rig));
        let cups = all.iter().find(|m| (m.value.abs() - 0.42).abs() < 1e-6).unwrap();
        assert!(cups.both_sides && cups.words() == "cups FL, FR, ML, MR, RL, RR", "{cups:?}");
        let door = example("door-camera");
        assert!(across(&scene(&door)).iter().all(|m| !m.both_sides), "all of it hangs on the left");
    }

    #[test]
    fn heights_count_from_the_road() {
        let rig = example("estate-arm");
        let all = up(&scene(&rig));
        let pivot = all.iter().find(|m| m.words() == "boom's pivot").unwrap();
        // 1.43 m datum, 0.32 m platform, 0.52 m mast.
        assert!((pivot.value - 2.27).abs() < 1e-9);
        let top = all.iter().find(|m| m.words().starts_with("highest at any")).unwrap();
        // The tip of 1.7 m at 30°, and half the tube of 60 mm, leaning.
        let want = 2.27 + 1.7 * 0.5 + 0.03 * 0.75_f64.sqrt();
        assert!((top.value - want).abs() < 1e-6, "{}", top.value);
    }
}
