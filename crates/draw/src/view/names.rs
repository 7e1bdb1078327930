//! Which names a drawing needs, and where each may stand.

use super::eye::{Paper, Placing};
use super::ink::{GREY, INK, PURPLE, RUST};
use super::margins;
use super::solid::arm::{Turned, all_round, sweep};
use super::solid::{Body, Look, Solid};
use super::tags::Tag;
use super::words;
use super::{Margin, Part, Pose, Scene, View, Word};
use crate::text::shortened;
use glam::{DVec2, DVec3};
use quantity::{Kind, System, both_kind, show_kind};
use rig::model::Panel;

/// As far as a name may stand from its thing: on a page, on a phone, on a small piece of paper.
const FAR: (f64, f64, f64) = (145.0, 50.0, 12.0);

pub(crate) struct Namer<'a> {
    pub(crate) scene: &'a Scene<'a>,
    pub(crate) view: View,
    pub(crate) paper: &'a Paper,
    pub(crate) placing: &'a Placing,
}

impl Namer<'_> {
    fn put(&self, p: DVec3) -> DVec2 {
        self.placing.place(p)
    }

    fn far(&self) -> f64 {
        match (self.paper.is_small, self.paper.is_phone) {
            (true, _) => FAR.2,
            (_, true) => FAR.1,
            _ => FAR.0,
        }
    }

    fn tag(&self, words: &str, at: Vec<DVec2>, rank: u8) -> Tag {
        let widest = if self.paper.is_phone { 130.0 } else { 220.0 };
        Tag {
            lines: vec![shortened(words.trim(), self.paper.small, widest)],
            at,
            radius: 2.0,
            rank,
            reach: self.far(),
            ink: INK,
            may_be_numbered: false,
            short: shortened(words.trim(), self.paper.small, widest),
            below: None,
        }
    }

    /// Places that a part's name may stand by, and how far the part reaches around the first.
    fn places(&self, part: Part) -> Option<(Vec<DVec2>, f64)> {
        let rig = self.scene.rig;
        let scale = self.placing.scale;
        let along = |a: DVec3, b: DVec3, radius: f64| {
            let (a, b) = (self.put(a), self.put(b));
            let at = if a.distance(b) < 8.0 {
                vec![b]
            } else {
                [0.0, 1.0, 0.5, 0.25, 0.75].map(|t| a.lerp(b, t)).to_vec()
            };
            (at, (radius * scale).min(40.0))
        };
        let found = match part {
            Part::Cup(i) => {
                let cup = rig.cups.get(i)?;
                let faces = self.placing.eye.depth(cup.normal).abs();
                (vec![self.put(cup.at)], (cup.outer_radius * scale * faces).max(5.0))
            }
            Part::Tube(i) => {
                let t = rig.tubes.get(i)?;
                along(t.a, t.b, t.section.outer / 2.0)
            }
            Part::Leg(i) => {
                let l = rig.legs.get(i)?;
                along(rig.tubes.get(l.foot.0)?.point(l.foot.1), l.top, 0.02)
            }
            Part::BoomSection(i) => {
                let s = rig.arm.as_ref()?.sections.get(i)?;
                let turned = Turned::new(rig.arm.as_ref()?, self.scene.pose);
                let (a, b) = (turned.on_boom(s.span.0), turned.on_boom(s.span.1));
                let (mut at, radius) = along(a, b, s.diameter / 2.0);
                // Ends are shared with the next section.
                if at.len() > 1 {
                    at.drain(..2);
                }
                (at, radius)
            }
            Part::Strap(i) => {
                let path = &rig.straps.get(i)?.path;
                let mut legs: Vec<(DVec2, DVec2)> =
                    path.windows(2).map(|w| (self.put(w[0].at), self.put(w[1].at))).collect();
                legs.sort_by(|a, b| b.0.distance(b.1).total_cmp(&a.0.distance(a.1)));
                let at = legs.iter().take(3).flat_map(|(a, b)| [0.5, 0.3, 0.7].map(|t| a.lerp(*b, t)));
                (at.collect(), 3.0)
            }
            Part::Platform(i) => {
                let Body::Block { centre, half } = super::solid::platform(rig.platforms.get(i)?) else {
                    return None;
                };
                let mut at = vec![self.put(centre)];
                at.extend([half[0], -half[0], half[1], -half[1]].map(|h| self.put(centre + h)));
                (at, 1.0)
            }
            Part::Clamp(_) | Part::Item(_) | Part::Arm => {
                (vec![self.put(words::anchor(rig, part)?)], (words::CLAMP * scale).clamp(4.0, 12.0))
            }
        };
        (!found.0.is_empty()).then_some(found)
    }

    fn part(&self, part: Part) -> Option<Tag> {
        let rig = self.scene.rig;
        let margin = self.scene.margins.iter().find(|m| m.part == part);
        let is_lost = self.scene.lost == Some(part);
        // Small hardware goes unnamed on a phone unless something is said of it.
        let small = matches!(part, Part::Leg(_) | Part::BoomSection(_) | Part::Clamp(_));
        if (part == Part::Arm || (small && self.paper.is_phone && !matches!(part, Part::Clamp(_))))
            && margin.is_none()
            && !is_lost
        {
            return None;
        }
        let (at, radius) = self.places(part)?;
        let name = words::tag(rig, part);
        let shown = match part {
            Part::Leg(_) => format!("leg {name}"),
            _ => name.clone(),
        };
        let rank = match part {
            Part::Cup(_) => 3,
            Part::Tube(_) => 5,
            Part::Platform(_) | Part::Arm => 6,
            Part::Strap(_) | Part::Item(_) => 7,
            Part::Clamp(_) => 9,
            Part::Leg(_) | Part::BoomSection(_) => 10,
        };
        let mut tag = self.tag(&shown, at, rank);
        tag.radius = radius;
        if small {
            tag.reach = if self.paper.is_phone || self.paper.is_small { 10.0 } else { 50.0 };
        }
        if matches!(part, Part::Strap(_)) {
            tag.ink = RUST;
        }
        if small {
            tag.ink = GREY;
        }
        tag.short = shortened(format!("{} {name}", words::kind(part)).trim(), self.paper.small, 150.0);
        tag.may_be_numbered = tag.lines[0].chars().count() > 4 && !self.paper.is_small;
        if let Some(m) = margin.filter(|_| !is_lost) {
            tag.short = format!("{} {}", tag.short, margins::words(m));
            // On a phone the numbers of what holds, but for the cups, stand under the drawing.
            let below =
                self.paper.is_phone && m.word == Word::Holds && !matches!(part, Part::Cup(_) | Part::Arm);
            if below {
                tag.below = Some(tag.short.clone());
            } else {
                tag.lines.push(margins::words(m));
            }
            tag.rank = if m.word == Word::Holds { rank.min(4) } else { 1 };
            tag.reach = self.far();
            tag.ink = INK;
            tag.may_be_numbered = true;
            if matches!(part, Part::Cup(_)) {
                tag.radius += 7.0;
            }
        }
        if is_lost {
            tag.lines[0] = format!("{} lost", tag.lines[0]);
            tag.short.push_str(" lost");
            (tag.rank, tag.reach, tag.ink) = (0, self.far(), INK);
        }
        Some(tag)
    }

    fn arm(&self, out: &mut Vec<Tag>, solids: &[Solid]) {
        let Some(arm) = &self.scene.rig.arm else { return };
        let around = |look: Look| {
            solids.iter().find(|s| s.look == look).map(|s| {
                let points = s.body.points();
                let n = f64::from(u32::try_from(points.len()).unwrap_or(1)).max(1.0);
                let middle = points.iter().fold(DVec3::ZERO, |a, p| a + *p) / n;
                [middle].into_iter().chain(points).map(|p| self.put(p)).collect::<Vec<_>>()
            })
        };
        for (look, words) in
            [(Look::Payload, "payload"), (Look::Weight, "counterweight"), (Look::Mast, "mast")]
        {
            if let Some(at) = around(look) {
                out.push(self.tag(words, at, 6));
            }
        }
        let turned = Turned::new(arm, self.scene.pose);
        let (front, back) = sweep(arm);
        if matches!(self.view, View::Plan | View::Corner { .. }) {
            for (reach, words, by) in
                [(front, "tip's sweep", 0.0), (back, "tail's sweep", std::f64::consts::PI)]
            {
                let span = if all_round(arm) { (-3.1, 3.1) } else { (arm.pan.0 + by, arm.pan.1 + by) };
                let at = (0..24)
                    .map(|k| span.0 + (span.1 - span.0) * (0.5 + f64::from(k)) / 24.0)
                    .map(|a| self.put(turned.pivot + DVec3::new(a.cos(), a.sin(), 0.0) * reach))
                    .collect();
                let mut tag = self.tag(words, at, 4);
                let length = if self.paper.is_phone {
                    show_kind(reach, Kind::Length, System::Metric)
                } else {
                    both_kind(reach, Kind::Length)
                };
                tag.lines.push(format!("radius {length}"));
                tag.ink = PURPLE;
                tag.reach = 20.0;
                out.push(tag);
            }
        } else {
            for (e, words) in [(arm.elevation.1, "highest"), (arm.elevation.0, "lowest")] {
                let tip = Turned::new(arm, Pose { pan: self.scene.pose.pan, elevation: e }).tip(arm);
                let mut tag = self.tag(words, vec![self.put(tip)], 6);
                tag.lines = vec![format!("{words} {}", show_kind(e, Kind::Angle, System::Metric))];
                tag.short.clone_from(&tag.lines[0]);
                tag.ink = PURPLE;
                tag.reach = 50.0;
                out.push(tag);
            }
        }
    }

    fn panels(&self, out: &mut Vec<Tag>) {
        let corners = |panel: &Panel, centre: (f64, f64), size: (f64, f64)| -> Vec<DVec2> {
            let (a, b) = (size.0 / 2.0, size.1 / 2.0);
            [(a, 0.0), (-a, 0.0), (0.0, b), (0.0, -b), (a, b), (a, -b)]
                .map(|(p, q)| panel.point(centre.0 + p, centre.1 + q))
                .iter()
                .filter(|p| p.is_finite())
                .map(|p| self.put(*p))
                .collect()
        };
        for panel in &self.scene.rig.panels {
            for k in &panel.keep_outs {
                let mut tag =
                    self.tag(&format!("keep clear: {}", k.tag), corners(panel, k.centre, k.size), 8);
                tag.ink = RUST;
                tag.may_be_numbered = true;
                out.push(tag);
            }
            let mut tag = self.tag(&panel.tag, corners(panel, (0.0, 0.0), panel.size), 9);
            tag.ink = GREY;
            tag.reach = 20.0;
            out.push(tag);
        }
    }

    /// Every name of the scene; those of one kind that stand at one place are joined.
    pub(crate) fn all(&self, solids: &[Solid]) -> Vec<Tag> {
        let mut out: Vec<Group<'_>> = Vec::new();
        for part in words::parts(self.scene.rig) {
            let Some(tag) = self.part(part) else { continue };
            let kind = (self.scene.lost != Some(part)).then(|| words::kind(part));
            let margin = self.scene.margins.iter().find(|m| m.part == part);
            // In a view along a row, one name stands for the row.
            let same = out.iter_mut().find(|g| {
                kind.is_some()
                    && g.kind == kind
                    && g.margin.is_some() == margin.is_some()
                    && g.tag.at.len() == tag.at.len()
                    && near(&g.tag.at, &tag.at)
            });
            match same {
                Some(group) => group.join(&tag, margin),
                None => out.push(Group { kind, margin, tag }),
            }
        }
        let mut out: Vec<Tag> = out.into_iter().map(|g| g.tag).collect();
        self.arm(&mut out, solids);
        self.panels(&mut out);
        if !matches!(self.view, View::Corner { .. }) && self.scene.rig.vehicle.datum.is_finite() {
            let mut tag = self.tag("datum", vec![self.put(self.scene.rig.vehicle.datum)], 2);
            tag.radius = 6.0;
            out.push(tag);
        }
        out
    }
}

/// Things of one kind at one place, under one name.
struct Group<'a> {
    kind: Option<&'static str>,
    /// The worst of them.
    margin: Option<&'a Margin>,
    tag: Tag,
}

impl<'a> Group<'a> {
    fn join(&mut self, other: &Tag, margin: Option<&'a Margin>) {
        let t = &mut self.tag;
        if t.lines[0].chars().count() < 16 {
            t.lines[0] = format!("{}, {}", t.lines[0], other.lines[0].trim_start_matches("leg "));
        } else if !t.lines[0].ends_with('…') {
            t.lines[0].push_str(" …");
        }
        let Some((mine, new)) = self.margin.zip(margin) else {
            if t.short.chars().count() < 40 {
                t.short = format!("{}, {}", t.short, other.lines[0]);
            }
            return;
        };
        let (a, b) = (margins::severity(mine), margins::severity(new));
        let worse = if (b.0, b.1) < (a.0, a.1) { new } else { mine };
        self.margin = Some(worse);
        t.short = format!("{} least {}", t.lines[0], margins::words(worse));
        if worse.word == Word::Holds && t.below.is_some() {
            t.below = Some(t.short.clone());
        } else {
            t.lines.truncate(1);
            t.lines.push(format!("least {}", margins::words(worse)));
            t.below = None;
        }
        t.rank = t.rank.min(other.rank);
    }
}

/// Whether two things are shown at one place, whichever way round.
fn near(a: &[DVec2], b: &[DVec2]) -> bool {
    let close = |p: &DVec2, q: &DVec2| p.distance(*q) < 5.0;
    match (a, b) {
        ([a0, a1, ..], [b0, b1, ..]) => (close(a0, b0) && close(a1, b1)) || (close(a0, b1) && close(a1, b0)),
        ([a0], [b0]) => close(a0, b0),
        _ => false,
    }
}
