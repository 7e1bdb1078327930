//! Solids as the eye sees them: flat pieces on the paper's plane, the farthest first, and those behind the car's body apart.

use super::Part;
use super::eye::Eye;
use super::solid::car::Car;
use super::solid::{Body, Layer, Look, Solid, corners};
use glam::{DVec2, DVec3};

/// One flat mark on the paper's plane, m.
#[derive(Clone, Debug)]
pub(crate) enum Mark {
    /// Filled, with its edge drawn.
    Area(Vec<DVec2>),
    /// Filled, no edge.
    Fill(Vec<DVec2>),
    /// A line.
    Line(Vec<DVec2>),
    /// A leaning circle: middle, half axes, turn of the longer one from the paper's right, counter-clockwise.
    Ellipse { centre: DVec2, long: f64, short: f64, turn: f64 },
}

/// A piece of a solid.
#[derive(Clone, Debug)]
pub(crate) struct Piece {
    pub(crate) part: Option<Part>,
    pub(crate) layer: Layer,
    pub(crate) look: Look,
    pub(crate) marks: Vec<Mark>,
    pub(crate) depth: f64,
    /// Behind the car's body.
    pub(crate) hidden: bool,
}

impl Mark {
    /// Points along it.
    pub(crate) fn points(&self) -> Vec<DVec2> {
        match self {
            Self::Area(p) | Self::Fill(p) => {
                let mut out = p.clone();
                out.extend(p.first());
                out
            }
            Self::Line(p) => p.clone(),
            Self::Ellipse { centre, long, short, turn } => {
                let (u, v) = (DVec2::from_angle(*turn), DVec2::from_angle(*turn).perp());
                (0..=24)
                    .map(|k| f64::from(k) * std::f64::consts::TAU / 24.0)
                    .map(|t| *centre + u * (long * t.cos()) + v * (short * t.sin()))
                    .collect()
            }
        }
    }
}

/// A flat round plate as seen.
fn ellipse(eye: &Eye, centre: DVec3, normal: DVec3, radius: f64) -> Mark {
    let n = eye.flat(normal);
    // The long axis is square to the way the plate leans.
    let turn = if n.length() < 1e-9 { 0.0 } else { n.perp().to_angle() };
    Mark::Ellipse {
        centre: eye.flat(centre),
        long: radius,
        short: radius * eye.depth(normal).abs().min(1.0),
        turn,
    }
}

struct Seer<'a> {
    eye: Eye,
    car: Option<&'a Car>,
    out: Vec<Piece>,
}

impl Seer<'_> {
    /// Whether the car's body stands between a point and the eye.
    fn behind(&self, p: DVec3) -> bool {
        let Some(car) = self.car else { return false };
        // The ray's way through the room that the body takes.
        let [low, high] = car.room();
        let (mut from, mut to) = (0.03_f64, f64::INFINITY);
        for ((p, d), (l, h)) in p
            .to_array()
            .into_iter()
            .zip(self.eye.near.to_array())
            .zip(low.to_array().into_iter().zip(high.to_array()))
        {
            if d.abs() > 1e-9 {
                let (a, b) = ((l - p) / d, (h - p) / d);
                from = from.max(a.min(b));
                to = to.min(a.max(b));
            } else if p < l || p > h {
                return false;
            }
        }
        let long = to - from;
        if !(long > 0.0 && long < 1e5) {
            return false;
        }
        let steps = (long / 0.08).ceil().min(48.0);
        let mut k = 0.0;
        while k <= steps {
            if car.holds(p + self.eye.near * (from + long * k / steps)) {
                return true;
            }
            k += 1.0;
        }
        false
    }

    fn put(&mut self, s: &Solid, marks: Vec<Mark>, at: DVec3, lift: f64) {
        let hidden = s.layer != Layer::Sweep && self.behind(at);
        self.out.push(Piece {
            part: s.part,
            layer: s.layer,
            look: s.look,
            marks,
            depth: self.eye.depth(at) + lift,
            hidden,
        });
    }

    fn rod(&mut self, s: &Solid, (a, b, radius): (DVec3, DVec3, f64)) {
        let eye = self.eye;
        let along = (b - a).normalize_or(DVec3::Z);
        let (a2, b2) = (eye.flat(a), eye.flat(b));
        let side = (b2 - a2).normalize_or_zero().perp() * radius;
        let ends_on = eye.depth(along).abs();
        let length = (b - a).length();
        // A bar's near side lies over its axis; a flat one is as deep as its middle.
        let (lift, nudge) = (radius.min(0.25 * length), 1e-4);
        if side != DVec2::ZERO && length * (1.0 - ends_on * ends_on).max(0.0).sqrt() > 1e-6 {
            // Short pieces sort right where bars cross at different heights.
            let count = (length / 0.2).ceil().clamp(1.0, 24.0);
            let mut k = 0.0;
            while k < count {
                let (t0, t1) = (k / count, (k + 1.0) / count);
                // Pieces lap over each other a little, so that no gap shows between them.
                let lap = if k + 1.0 < count { 0.05 / count } else { 0.0 };
                let (p, q, over) = (a2.lerp(b2, t0), a2.lerp(b2, t1), a2.lerp(b2, t1 + lap));
                let marks = vec![
                    Mark::Fill(vec![p + side, over + side, over - side, p - side]),
                    Mark::Line(vec![p + side, q + side]),
                    Mark::Line(vec![p - side, q - side]),
                ];
                self.put(s, marks, a.lerp(b, f64::midpoint(t0, t1)), lift);
                k += 1.0;
            }
        }
        for (end, out) in [(a, -along), (b, along)] {
            let faces = eye.depth(out);
            let lift = lift + if faces > 0.0 { nudge } else { -nudge };
            self.put(s, vec![ellipse(&eye, end, along, radius)], end, lift);
        }
    }

    fn block(&mut self, s: &Solid, centre: DVec3, half: [DVec3; 3]) {
        let c = corners(centre, half);
        let mut faces: Vec<(f64, Mark)> = Vec::new();
        for (k, edge) in half.iter().enumerate() {
            for up in [false, true] {
                let normal = (if up { *edge } else { -*edge }).normalize_or_zero();
                if self.eye.depth(normal) < 0.005 {
                    continue;
                }
                let (i, j) = ((k + 1) % 3, (k + 2) % 3);
                let base = if up { 1 << k } else { 0 };
                let ring = [0, 1 << i, (1 << i) | (1 << j), 1 << j].map(|m| self.eye.flat(c[base | m]));
                faces.push((self.eye.depth(normal), Mark::Area(ring.to_vec())));
            }
        }
        faces.sort_by(|a, b| a.0.total_cmp(&b.0));
        // A box counts as near as its nearest face, so that what it carries is sorted by its own place.
        let lift = half.iter().map(|h| self.eye.depth(*h).abs()).sum::<f64>() * 0.8;
        self.put(s, faces.into_iter().map(|f| f.1).collect(), centre, lift);
    }

    fn line(&mut self, s: &Solid, points: &[DVec3]) {
        if s.layer == Layer::Sweep {
            let flat = points.iter().map(|p| self.eye.flat(*p)).collect();
            self.put(s, vec![Mark::Line(flat)], points[0], 0.0);
            return;
        }
        for pair in points.windows(2) {
            let [a, b] = pair else { continue };
            let count = ((*b - *a).length() / 0.15).ceil().clamp(1.0, 16.0);
            // Pieces that look alike are one line again.
            let mut run: Vec<(DVec3, DVec3)> = Vec::new();
            let mut k = 0.0;
            while k < count {
                run.push((a.lerp(*b, k / count), a.lerp(*b, (k + 1.0) / count)));
                k += 1.0;
            }
            let level = (self.eye.depth(*b) - self.eye.depth(*a)).abs() < 0.05;
            let mut from = 0;
            while from < run.len() {
                let hidden = |i: usize| self.behind((run[i].0 + run[i].1) / 2.0);
                let first = hidden(from);
                let mut to = from;
                while level && to + 1 < run.len() && hidden(to + 1) == first {
                    to += 1;
                }
                let (p, q) = (run[from].0, run[to].1);
                let marks = vec![Mark::Line(vec![self.eye.flat(p), self.eye.flat(q)])];
                let middle = (run[from].0 + run[from].1) / 2.0;
                let at = middle + self.eye.near * (self.eye.depth((p + q) / 2.0) - self.eye.depth(middle));
                self.put(s, marks, at, 0.004);
                from = to + 1;
            }
        }
    }

    fn add(&mut self, s: &Solid) {
        match &s.body {
            Body::Disc { centre, normal, radius } => {
                let mark = ellipse(&self.eye, *centre, *normal, *radius);
                self.put(s, vec![mark], *centre, 0.004);
            }
            Body::Rod { a, b, radius } => self.rod(s, (*a, *b, *radius)),
            Body::Block { centre, half } => self.block(s, *centre, *half),
            Body::Face(points) => {
                let flat = points.iter().map(|p| self.eye.flat(*p)).collect();
                let middle = points.iter().fold(DVec3::ZERO, |a, p| a + *p)
                    / f64::from(u32::try_from(points.len()).unwrap_or(1));
                self.put(s, vec![Mark::Area(flat)], middle, 0.0);
            }
            Body::Line(points) => self.line(s, points),
        }
    }
}

/// Pieces of solids, the farthest first.
pub(crate) fn pieces(solids: &[Solid], eye: Eye, car: Option<&Car>) -> Vec<Piece> {
    let mut seer = Seer { eye, car, out: Vec::new() };
    for s in solids {
        seer.add(s);
    }
    let mut out = seer.out;
    out.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::View;
    use crate::view::tests::example;

    fn bar(part: usize, a: DVec3, b: DVec3) -> Solid {
        Solid {
            part: Some(Part::Tube(part)),
            layer: Layer::Tube,
            look: Look::Tube,
            body: Body::Rod { a, b, radius: 0.024 },
        }
    }

    /// Order in which the pieces of two bars come where they cross.
    fn first_at_the_crossing(bars: &[Solid], eye: Eye) -> Part {
        let at = eye.flat(DVec3::new(0.0, 0.0, 0.0));
        pieces(bars, eye, None)
            .into_iter()
            .find(|p| {
                p.marks.iter().any(|m| match m {
                    Mark::Fill(c) => {
                        let middle = c.iter().fold(DVec2::ZERO, |a, p| a + *p) / 4.0;
                        middle.distance(at) < 0.12
                    }
                    _ => false,
                })
            })
            .and_then(|p| p.part)
            .unwrap()
    }

    #[test]
    fn where_bars_cross_the_nearer_is_drawn_later() {
        // The first lies 50 mm lower where they cross, though it rises to far above the other at one end.
        let low = bar(0, DVec3::new(-1.0, 0.0, -0.45), DVec3::new(1.0, 0.0, 0.35));
        let high = bar(1, DVec3::new(0.0, -1.0, 0.0), DVec3::new(0.0, 1.0, 0.0));
        let bars = [low, high];
        let above = Eye::new(View::Plan);
        assert_eq!(first_at_the_crossing(&bars, above), Part::Tube(0));
        let below = Eye::new(View::Corner { bearing: 0.0, over: -1.5 });
        assert_eq!(first_at_the_crossing(&bars, below), Part::Tube(1));
    }

    #[test]
    fn what_is_behind_the_body_is_known() {
        let rig = example("estate-arm");
        let car = Car::new(&rig).unwrap();
        let behind = |view, p| Seer { eye: Eye::new(view), car: Some(&car), out: Vec::new() }.behind(p);
        let under_the_roof = DVec3::new(-2.0, 0.0, 1.0);
        let over_it = DVec3::new(-2.0, 0.0, 1.6);
        let at_its_right = DVec3::new(-2.0, -1.0, 0.8);
        assert!(behind(View::Plan, under_the_roof) && !behind(View::Plan, over_it));
        assert!(behind(View::Side, at_its_right) && !behind(View::Plan, at_its_right));
        assert!(!behind(View::Corner { bearing: -1.5, over: 0.1 }, at_its_right));
        // Cups stand on the body, not in it.
        for cup in &rig.cups {
            assert!(
                !behind(View::Plan, cup.at) && !behind(View::Side, cup.at + cup.normal * 0.1),
                "{}",
                cup.tag
            );
        }
    }
}
