//! The picture in its field: car, rig, reach, and what is shown on them.

use super::board::Board;
use super::eye::Placing;
use super::footer;
use super::forces;
use super::ink::{GREY, INK, Ink, Style, path, style};
use super::margins;
use super::seen::{Mark, Piece};
use super::solid::car::{Car, Facet};
use super::solid::{Layer, Look};
use super::words;
use super::{Part, Scene, View};
use glam::{DVec2, DVec3};
use std::fmt::Write as _;

pub(crate) struct Picture<'a> {
    pub(crate) scene: &'a Scene<'a>,
    pub(crate) view: View,
    pub(crate) placing: Placing,
    pub(crate) car: Option<&'a Car>,
    /// Drawing units of the longest arrow.
    pub(crate) longest: f64,
}

impl Picture<'_> {
    fn lay(&self, points: &[DVec2]) -> Vec<DVec2> {
        points.iter().map(|p| self.placing.lay(*p)).collect()
    }

    fn put(&self, points: &[DVec3]) -> Vec<DVec2> {
        points.iter().map(|p| self.placing.place(*p)).collect()
    }

    fn is_lost(&self, part: Option<Part>) -> bool {
        part.is_some() && part == self.scene.lost
    }

    fn mark(&self, ink: &mut Ink, mark: &Mark, s: Style) {
        match mark {
            Mark::Area(p) => {
                ink.put(format_args!("<path d=\"{}\"{}/>", path(&self.lay(p), true), s.attributes()));
            }
            Mark::Fill(p) => {
                if s.fill != "none" {
                    ink.put(format_args!("<path d=\"{}\" fill=\"{}\"/>", path(&self.lay(p), true), s.fill));
                }
            }
            Mark::Line(p) => {
                let s = Style { fill: "none", ..s };
                ink.put(format_args!("<path d=\"{}\"{}/>", path(&self.lay(p), false), s.attributes()));
            }
            Mark::Ellipse { centre, long, short, turn } => {
                let (c, k) = (self.placing.lay(*centre), self.placing.scale);
                let (rx, ry) = (long * k, short * k);
                if ry < 0.2 {
                    let d = DVec2::new(turn.cos(), -turn.sin()) * rx.min(1e5);
                    ink.put(format_args!("<path d=\"{}\"{}/>", path(&[c - d, c + d], false), s.attributes()));
                } else if (rx - ry).abs() < 0.005 * rx {
                    ink.put(format_args!(
                        "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{:.2}\"{}/>",
                        c.x,
                        c.y,
                        rx.min(1e5),
                        s.attributes()
                    ));
                } else {
                    ink.put(format_args!(
                        "<ellipse cx=\"{0:.2}\" cy=\"{1:.2}\" rx=\"{2:.2}\" ry=\"{3:.2}\" transform=\"rotate({4:.2} {0:.2} {1:.2})\"{5}/>",
                        c.x,
                        c.y,
                        rx.min(1e5),
                        ry.min(1e5),
                        -turn.to_degrees(),
                        s.attributes()
                    ));
                }
            }
        }
    }

    fn piece(&self, ink: &mut Ink, piece: &Piece) {
        let mut s = style(piece.look);
        if self.is_lost(piece.part) {
            s = Style { fill: "none", line: GREY, dash: "4 3", ..s };
            s.width = s.width.min(1.6);
        }
        if piece.look == Look::Clamp {
            if let (Some(Part::Clamp(i)), Some(Mark::Ellipse { centre, long, .. })) =
                (piece.part, piece.marks.first())
                && let Some(clamp) = self.scene.rig.clamps.get(i)
            {
                let size = (long * self.placing.scale * 0.8).clamp(3.6, 9.0);
                footer::clamp(ink, self.placing.lay(*centre), size, clamp.kind);
            }
            return;
        }
        for mark in &piece.marks {
            self.mark(ink, mark, s);
        }
        if piece.look == Look::Strap && !self.is_lost(piece.part) {
            for mark in &piece.marks {
                ink.line(&self.lay(&mark.points()), "#ffffff", 1.0, "");
            }
        }
    }

    /// Pieces in their order, those of one part together.
    pub(crate) fn pieces<'b>(&self, ink: &mut Ink, pieces: impl Iterator<Item = &'b Piece>) {
        let mut open: Option<(Option<Part>, Layer)> = None;
        // A lost cup keeps its outline alone.
        let is_shown = |p: &&Piece| !(self.is_lost(p.part) && matches!(p.look, Look::Stem | Look::Head));
        for piece in pieces.filter(is_shown) {
            let this = (piece.part, piece.layer);
            if open != Some(this) {
                if open.is_some() {
                    ink.close();
                }
                let name = piece.part.map(|p| words::mark(self.scene.rig, p));
                ink.open(piece.layer.name(), name.as_deref());
                open = Some(this);
            }
            self.piece(ink, piece);
        }
        if open.is_some() {
            ink.close();
        }
    }

    /// The body in three shades, its edge, its windows and the wheels on this side.
    pub(crate) fn car(&self, ink: &mut Ink) {
        let Some(car) = self.car else { return };
        let eye = self.placing.eye;
        let facets: Vec<Facet> = car.facets().into_iter().filter(|f| eye.depth(f.normal) > 1e-6).collect();
        // Each facet once, and again in the shade of its kind.
        let mut all = String::new();
        let mut shades = [("#f4f5f6", String::new()), ("#e9ecee", String::new()), ("#e2e6e8", String::new())];
        for f in &facets {
            let kind = if f.normal.z > 0.75 {
                0
            } else if f.normal.x.abs() > 0.6 {
                1
            } else {
                2
            };
            let start = all.len();
            for (k, p) in f.corners.iter().enumerate() {
                let p = self.placing.place(*p);
                // Writing to a string does not fail.
                let _ = write!(all, "{}{:.1} {:.1}", if k == 0 { 'M' } else { 'L' }, p.x, p.y);
            }
            all.push('Z');
            shades[kind].1.push_str(&all[start..]);
        }
        ink.open("car", None);
        ink.put(format_args!(
            "<path d=\"{all}\" fill=\"#eceeef\" stroke=\"#6f767b\" stroke-width=\"2.6\" stroke-linejoin=\"round\"/>"
        ));
        for (shade, d) in shades.iter().filter(|s| !s.1.is_empty()) {
            ink.put(format_args!(
                "<path d=\"{d}\" fill=\"{shade}\" stroke=\"{shade}\" stroke-width=\"0.7\"/>"
            ));
        }
        let mut seams = String::new();
        for f in facets.iter().filter(|f| f.is_edge) {
            let [a, .., d] = f.corners.map(|p| self.placing.place(p));
            seams.push_str(&path(&[a, d], false));
        }
        if !seams.is_empty() {
            ink.put(format_args!(
                "<path d=\"{seams}\" fill=\"none\" stroke=\"#a9b1b6\" stroke-width=\"0.9\"/>"
            ));
        }
        for (pane, normal) in car.windows() {
            if eye.depth(normal) > 0.02 {
                ink.put(format_args!(
                    "<path d=\"{}\" fill=\"#d3e0e8\" stroke=\"#7f8f99\" stroke-width=\"0.8\" stroke-linejoin=\"round\"/>",
                    path(&self.put(&pane), true)
                ));
            }
        }
        for wheel in car.wheels() {
            if eye.depth(DVec3::Y * wheel.hub.y.signum()) < 0.03 {
                continue;
            }
            for (share, fill) in [(1.0, "#868e94"), (0.62, "#dfe3e6"), (0.12, "#868e94")] {
                ink.put(format_args!(
                    "<path d=\"{}\" fill=\"{fill}\" stroke=\"#4c5358\" stroke-width=\"0.9\"/>",
                    path(&self.put(&wheel.ring(share)), true)
                ));
            }
        }
        ink.close();
    }

    /// Wheels that the body hides, or that stand under it.
    pub(crate) fn far_wheels(&self, ink: &mut Ink) {
        let Some(car) = self.car else { return };
        ink.open("car", None);
        for wheel in car.wheels() {
            let inner = DVec3::Y * (-0.19 * wheel.hub.y.signum());
            let mut points = wheel.ring(1.0);
            points.extend(wheel.ring(1.0).into_iter().map(|p| p + inner));
            let flat = points.iter().map(|p| self.placing.eye.flat(*p)).collect();
            ink.put(format_args!(
                "<path d=\"{}\" fill=\"#9aa1a6\" stroke=\"#4c5358\" stroke-width=\"0.9\"/>",
                path(&self.lay(&super::flat::hull(flat)), true)
            ));
        }
        ink.close();
    }

    /// Road, centreline and datum.
    pub(crate) fn lines(&self, ink: &mut Ink, (left, right): (f64, f64)) {
        let (View::Plan | View::Side | View::Front) = self.view else { return };
        ink.open("reference", None);
        if self.view == View::Plan || self.view == View::Front {
            let [low, high] = self.car.map_or([DVec3::splat(-1.0), DVec3::splat(1.0)], Car::room);
            let reach = if self.view == View::Plan { DVec3::X } else { DVec3::Z } * 0.12;
            let ends = [low, high].map(|p| DVec3::new(p.x, 0.0, p.z));
            let line = [self.placing.place(ends[0] - reach), self.placing.place(ends[1] + reach)];
            ink.line(&line, GREY, 0.8, "14 3 2 3");
        }
        if self.view != View::Plan {
            let y = self.placing.place(DVec3::ZERO).y;
            ink.line(&[DVec2::new(left, y), DVec2::new(right, y)], GREY, 1.2, "");
        }
        ink.close();
    }

    /// The datum's cross.
    pub(crate) fn datum(&self, ink: &mut Ink) {
        let at = self.scene.rig.vehicle.datum;
        if !at.is_finite() || matches!(self.view, View::Corner { .. }) {
            return;
        }
        let p = self.placing.place(at);
        ink.open("datum", None);
        for d in [DVec2::X, DVec2::Y] {
            ink.line(&[p - d * 8.0, p + d * 8.0], "#ffffff", 4.0, "");
        }
        for d in [DVec2::X, DVec2::Y] {
            ink.line(&[p - d * 8.0, p + d * 8.0], INK, 1.6, "");
        }
        ink.put(format_args!(
            "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"3.6\" fill=\"#ffffff\" stroke=\"{INK}\" stroke-width=\"1.6\"/>",
            p.x, p.y
        ));
        ink.close();
    }

    /// Margins on cups, tubes, straps and boom; a ring by the place of the rest. Gives back what it inks.
    pub(crate) fn margins(&self, ink: &mut Ink) -> Vec<Vec<DVec2>> {
        let rig = self.scene.rig;
        let mut inked = Vec::new();
        let mut rings: Vec<(DVec2, f64)> = Vec::new();
        ink.open("margins", None);
        // Bands first, so that rings stand on them.
        for m in &self.scene.margins {
            let path: Option<Vec<DVec3>> = match m.part {
                Part::Tube(i) => rig.tubes.get(i).map(|t| vec![t.a, t.b]),
                Part::Strap(i) => rig.straps.get(i).map(|s| s.path.iter().map(|p| p.at).collect()),
                Part::BoomSection(i) => rig.arm.as_ref().and_then(|a| {
                    let span = a.sections.get(i)?.span;
                    let turned = super::solid::arm::Turned::new(a, self.scene.pose);
                    Some(vec![turned.on_boom(span.0), turned.on_boom(span.1)])
                }),
                _ => None,
            };
            let Some(path) = path.filter(|p| p.iter().all(|q| q.is_finite())) else { continue };
            let path = self.put(&path);
            let long: f64 = path.windows(2).map(|w| w[0].distance(w[1])).sum();
            // Seen end on, a tube has a name with its number and no band.
            if long > 14.0 && self.scene.lost != Some(m.part) {
                ink.open("margin", Some(&words::mark(rig, m.part)));
                margins::band(ink, &path, m);
                ink.close();
                inked.push(path);
            }
        }
        let mut order: Vec<(f64, DVec3, f64, &super::Margin)> = Vec::new();
        for m in &self.scene.margins {
            if matches!(m.part, Part::Tube(_) | Part::Strap(_) | Part::BoomSection(_))
                || self.scene.lost == Some(m.part)
            {
                continue;
            }
            let Some(at) = words::place(self.scene, m.part).filter(|p| p.is_finite()) else { continue };
            let radius = match m.part {
                Part::Cup(i) => rig.cups.get(i).map_or(0.0, |c| {
                    let faces = self.placing.eye.depth(c.normal).abs();
                    (c.outer_radius * self.placing.scale * faces).max(10.0) + 6.0
                }),
                _ => 9.0,
            };
            order.push((self.placing.eye.depth(at), at, radius.clamp(9.0, 200.0), m));
        }
        // The worst wins where things stand one behind another, then the nearest.
        order.sort_by(|a, b| {
            let (p, q) = (margins::severity(a.3), margins::severity(b.3));
            p.0.cmp(&q.0).then(p.1.total_cmp(&q.1)).then(b.0.total_cmp(&a.0))
        });
        for (_, at, radius, m) in order {
            let centre = self.placing.place(at);
            if rings.iter().any(|(c, r)| c.distance(centre) < f64::midpoint(*r, radius)) {
                continue;
            }
            rings.push((centre, radius));
            ink.open("margin", Some(&words::mark(rig, m.part)));
            inked.push(margins::ring(ink, centre, radius, m));
            ink.close();
        }
        ink.close();
        inked
    }

    /// The cross over a lost part.
    pub(crate) fn lost(&self, ink: &mut Ink) {
        let Some(part) = self.scene.lost else { return };
        let Some(at) = words::place(self.scene, part).filter(|p| p.is_finite()) else { return };
        let size = match part {
            Part::Cup(i) => {
                self.scene.rig.cups.get(i).map_or(9.0, |c| c.outer_radius * self.placing.scale * 0.75)
            }
            _ => 9.0,
        };
        ink.open("lost", Some(&words::mark(self.scene.rig, part)));
        footer::cross(ink, self.placing.place(at), size.clamp(7.0, 60.0));
        ink.close();
    }

    /// Bent shape and forces.
    pub(crate) fn forces(&self, ink: &mut Ink) -> (Vec<Vec<DVec2>>, Vec<forces::Drawn>) {
        let mut bent = Vec::new();
        if let Some(moved) = &self.scene.moved {
            ink.open("moved", None);
            bent = forces::moved(ink, moved, &self.placing);
            ink.close();
        }
        let mut drawn = Vec::new();
        if let Some(scale) = forces::scale(&self.scene.arrows, self.longest) {
            ink.open("forces", None);
            drawn = forces::arrows(ink, &self.scene.arrows, &self.placing, scale);
            ink.close();
        }
        (bent, drawn)
    }
}

/// Counts what was drawn on the board, so that names keep away from it.
pub(crate) fn count(board: &mut Board, placing: &Placing, pieces: &[Piece], more: &[Vec<DVec2>]) {
    for piece in pieces {
        let weight = match piece.look {
            Look::Crown | Look::Hatch => 0.15,
            Look::PanelEdge | Look::OtherPose => 0.5,
            Look::Lip | Look::Tube | Look::Clamp => 1.2,
            _ => 1.0,
        };
        let weight = if piece.hidden { weight * 0.4 } else { weight };
        for mark in &piece.marks {
            let points: Vec<DVec2> = mark.points().iter().map(|p| placing.lay(*p)).collect();
            if let (Mark::Area(_), [a, b, c, d, _]) = (mark, points.as_slice())
                && matches!(piece.look, Look::Payload | Look::Weight | Look::Item)
            {
                // Dark inside: no place for words.
                for t in [0.1, 0.3, 0.5, 0.7, 0.9] {
                    board.draw(&[a.lerp(*b, t), d.lerp(*c, t)], weight);
                }
            }
            if let Mark::Fill(_) = mark {
                // The inside of a bar: its middle line counts as well.
                if let [a, b, c, d, ..] = points.as_slice() {
                    board.draw(&[(*a + *d) / 2.0, (*b + *c) / 2.0], weight);
                }
            } else {
                board.draw(&points, weight);
            }
        }
    }
    for line in more {
        board.draw(line, 2.0);
    }
}
