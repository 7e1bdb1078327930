//! Boxes and round bars in space, and the gaps between them.

use glam::DVec3;
use rig::model::Platform;

/// A box with its own axes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Block {
    /// Middle, m.
    pub(super) centre: DVec3,
    /// Unit vectors of its edges.
    pub(super) axes: [DVec3; 3],
    /// Half its edges, m.
    pub(super) half: DVec3,
}

/// A round bar with round ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rod {
    /// One end of its axis, m.
    pub(super) a: DVec3,
    /// The other end.
    pub(super) b: DVec3,
    /// Radius, m.
    pub(super) radius: f64,
}

/// Either.
#[derive(Clone, Copy, Debug)]
pub(super) enum Solid {
    /// A box.
    Block(Block),
    /// A bar.
    Rod(Rod),
}

/// Steps that narrow a segment to 1e-9 of its length: the golden section leaves 0.618 each time.
const GOLDEN_STEPS: usize = 44;

/// Smallest value of a convex function on a segment.
fn least_along(a: DVec3, b: DVec3, f: impl Fn(DVec3) -> f64) -> f64 {
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let at = |t: f64| f(a + (b - a) * t);
    let (mut low, mut high) = (0.0, 1.0);
    let (mut t1, mut t2) = (1.0 - golden, golden);
    let (mut f1, mut f2) = (at(t1), at(t2));
    for _ in 0..GOLDEN_STEPS {
        if f1 < f2 {
            (high, t2, f2) = (t2, t1, f1);
            t1 = high - golden * (high - low);
            f1 = at(t1);
        } else {
            (low, t1, f1) = (t1, t2, f2);
            t2 = low + golden * (high - low);
            f2 = at(t2);
        }
    }
    at(0.0).min(at(1.0)).min(f1).min(f2)
}

impl Block {
    /// Edges along the vehicle axes.
    pub(super) fn upright(centre: DVec3, size: DVec3) -> Self {
        Self { centre, axes: [DVec3::X, DVec3::Y, DVec3::Z], half: size / 2.0 }
    }

    /// A platform: its size along, across and through, hanging from its top centre.
    pub(super) fn platform(p: &Platform) -> Self {
        let axes = [p.along, p.normal.cross(p.along), p.normal];
        Self { centre: p.at - p.normal * (p.size.z / 2.0), axes, half: p.size / 2.0 }
    }

    /// Distance of a point from the box, m; negative inside, where it is the depth under the nearest face.
    pub(super) fn distance(&self, p: DVec3) -> f64 {
        let d = p - self.centre;
        let q = DVec3::from_array(self.axes.map(|x| x.dot(d))).abs() - self.half;
        q.max(DVec3::ZERO).length() + q.max_element().min(0.0)
    }

    /// A point from shares -1 to 1 of the half edges.
    fn point(&self, s: [f64; 3]) -> DVec3 {
        let h = self.half.to_array();
        self.centre
            + self.axes[0] * (s[0] * h[0])
            + self.axes[1] * (s[1] * h[1])
            + self.axes[2] * (s[2] * h[2])
    }

    /// How deep two boxes overlap along the direction in which it is least, m; `None` when they are apart.
    ///
    /// Two convex bodies are apart exactly when their shadows on some line are; for boxes the face normals and the cross
    /// products of their edges are all the lines to try (separating axes).
    fn overlap(&self, other: &Self) -> Option<f64> {
        let across = self.axes.iter().flat_map(|a| other.axes.iter().map(|b| a.cross(*b)));
        let lines =
            self.axes.iter().chain(&other.axes).copied().chain(across).filter_map(DVec3::try_normalize);
        let shadow = |k: &Self, line: DVec3| {
            let h = k.half.to_array();
            k.axes.iter().zip(h).map(|(a, h)| a.dot(line).abs() * h).sum::<f64>()
        };
        let mut least = f64::INFINITY;
        for line in lines {
            let depth =
                shadow(self, line) + shadow(other, line) - (other.centre - self.centre).dot(line).abs();
            if depth <= 0.0 {
                return None;
            }
            least = least.min(depth);
        }
        Some(least)
    }

    /// Its twelve edges.
    fn edges(&self) -> Vec<(DVec3, DVec3)> {
        let mut out = Vec::with_capacity(12);
        for d in 0..3 {
            for (u, v) in [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)] {
                let mut s = [0.0; 3];
                (s[d], s[(d + 1) % 3], s[(d + 2) % 3]) = (-1.0, u, v);
                let from = self.point(s);
                s[d] = 1.0;
                out.push((from, self.point(s)));
            }
        }
        out
    }
}

/// Distance between two segments, m.
pub(super) fn between_segments(a: DVec3, b: DVec3, c: DVec3, d: DVec3) -> f64 {
    least_along(a, b, |p| to_segment(p, c, d))
}

fn to_segment(p: DVec3, c: DVec3, d: DVec3) -> f64 {
    let e = d - c;
    let l2 = e.length_squared();
    let t = if l2 > 0.0 { ((p - c).dot(e) / l2).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(c + e * t)
}

impl Solid {
    /// Gap to another, m; negative where they overlap.
    ///
    /// Two boxes that are apart are nearest on an edge of one of them, and the distance to a box is convex along an edge, so
    /// the least of all edges is the gap.
    pub(super) fn gap(&self, other: &Self) -> f64 {
        match (self, other) {
            (Self::Rod(p), Self::Rod(q)) => between_segments(p.a, p.b, q.a, q.b) - p.radius - q.radius,
            (Self::Rod(r), Self::Block(k)) | (Self::Block(k), Self::Rod(r)) => {
                least_along(r.a, r.b, |p| k.distance(p)) - r.radius
            }
            (Self::Block(p), Self::Block(q)) => {
                let one = |from: &Block, to: &Block| {
                    from.edges()
                        .into_iter()
                        .map(|(a, b)| least_along(a, b, |x| to.distance(x)))
                        .fold(f64::INFINITY, f64::min)
                };
                p.overlap(q).map_or_else(|| one(p, q).min(one(q, p)), |depth| -depth)
            }
        }
    }

    /// How far the point of it that is least far along a unit vector is along it, m.
    pub(super) fn lowest(&self, along: DVec3) -> f64 {
        match self {
            Self::Block(k) => {
                let h = k.half.to_array();
                k.centre.dot(along) - k.axes.iter().zip(h).map(|(a, h)| a.dot(along).abs() * h).sum::<f64>()
            }
            Self::Rod(r) => r.a.dot(along).min(r.b.dot(along)) - r.radius,
        }
    }

    /// A distance that it is at least apart from another, m: how far apart their shadows are on some lines. Negative where
    /// none of them tells.
    pub(super) fn apart(&self, other: &Self) -> f64 {
        let (from, to) = (self.ball().0, other.ball().0);
        let lines = [DVec3::X, DVec3::Y, DVec3::Z, (to - from).normalize_or_zero()];
        lines
            .into_iter()
            .map(|line| if (to - from).dot(line) < 0.0 { -line } else { line })
            .map(|line| other.lowest(line) + self.lowest(-line))
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// A ball that holds it.
    pub(super) fn ball(&self) -> (DVec3, f64) {
        match self {
            Self::Block(k) => (k.centre, k.half.length()),
            Self::Rod(r) => ((r.a + r.b) / 2.0, (r.b - r.a).length() / 2.0 + r.radius),
        }
    }

    /// Points of its surface with a radius to take off: a lattice of a box's faces, a bar's axis, no farther apart than
    /// `step` or a sixteenth of an edge.
    pub(super) fn points(&self, step: f64) -> Vec<(DVec3, f64)> {
        match self {
            Self::Rod(r) => {
                let n = ((r.b - r.a).length() / step).ceil().clamp(1.0, 256.0);
                shares(n).into_iter().map(|t| (r.a + (r.b - r.a) * t, r.radius)).collect()
            }
            Self::Block(k) => {
                let along = k.half.to_array().map(|h| {
                    let n = (2.0 * h / step).ceil().clamp(1.0, 16.0);
                    shares(n).into_iter().map(|t| 2.0 * t - 1.0).collect::<Vec<f64>>()
                });
                let mut out = Vec::new();
                let outer = |s: f64| s.abs() > 1.0 - 1e-9;
                for x in &along[0] {
                    for y in &along[1] {
                        for z in &along[2] {
                            if outer(*x) || outer(*y) || outer(*z) {
                                out.push((k.point([*x, *y, *z]), 0.0));
                            }
                        }
                    }
                }
                out
            }
        }
    }

    /// Least and greatest corner of the upright box around it.
    pub(super) fn bounds(&self) -> (DVec3, DVec3) {
        match self {
            Self::Rod(r) => (r.a.min(r.b) - r.radius, r.a.max(r.b) + r.radius),
            Self::Block(k) => {
                let h = k.half.to_array();
                let reach = k.axes[0].abs() * h[0] + k.axes[1].abs() * h[1] + k.axes[2].abs() * h[2];
                (k.centre - reach, k.centre + reach)
            }
        }
    }
}

/// `0, 1/n, ..., 1`.
fn shares(n: f64) -> Vec<f64> {
    let mut out = Vec::new();
    let mut k = 0.0;
    while k <= n {
        out.push(k / n);
        k += 1.0;
    }
    out
}

/// Edges of a box from its face areas across x, y and z: `lx = sqrt(Ay Az / Ax)` and so on; `None` where an area is none.
pub(super) fn edges_from_areas(areas: DVec3) -> Option<DVec3> {
    let ok = |v: f64| v.is_finite() && v > 0.0;
    let DVec3 { x, y, z } = areas;
    (ok(x) && ok(y) && ok(z)).then(|| DVec3::new((y * z / x).sqrt(), (x * z / y).sqrt(), (x * y / z).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Golden section to 1e-9 of a metre.
    const TOL: f64 = 1e-7;

    #[test]
    fn bars_and_boxes_know_their_gaps() {
        let rod = |a, b| Solid::Rod(Rod { a, b, radius: 0.1 });
        // Crossing at right angles, 1 m apart.
        let p = rod(DVec3::NEG_X, DVec3::X);
        let q = rod(DVec3::new(0.3, -1.0, 1.0), DVec3::new(0.3, 1.0, 1.0));
        assert!((p.gap(&q) - 0.8).abs() < TOL);
        // End to end.
        let q = rod(DVec3::X * 1.5, DVec3::X * 3.0);
        assert!((p.gap(&q) - 0.3).abs() < TOL);
        let block = Solid::Block(Block::upright(DVec3::Z * 2.0, DVec3::splat(1.0)));
        assert!((p.gap(&block) - 1.4).abs() < TOL);
        assert!((block.gap(&rod(DVec3::new(-2.0, 0.0, 2.0), DVec3::new(2.0, 0.0, 2.0))) + 0.6).abs() < TOL);
    }

    #[test]
    fn boxes_meet_by_corner_edge_and_face() {
        let unit = Block::upright(DVec3::ZERO, DVec3::splat(2.0));
        let at = |c: DVec3| Solid::Block(Block { centre: c, ..unit });
        let me = Solid::Block(unit);
        assert!((me.gap(&at(DVec3::X * 2.5)) - 0.5).abs() < TOL);
        assert!((me.gap(&at(DVec3::splat(3.0))) - 3.0_f64.sqrt()).abs() < TOL);
        // Turned by 45 degrees about z: an edge comes forward to sqrt 2.
        let s = 0.5_f64.sqrt();
        let turned = Block {
            centre: DVec3::X * 4.0,
            axes: [DVec3::new(s, s, 0.0), DVec3::new(-s, s, 0.0), DVec3::Z],
            ..unit
        };
        assert!((me.gap(&Solid::Block(turned)) - (3.0 - 2.0_f64.sqrt())).abs() < TOL);
        let small = Solid::Block(Block::upright(DVec3::splat(0.1), DVec3::splat(0.2)));
        assert!(me.gap(&small) < 0.0, "one inside the other overlaps");
        assert!((me.gap(&at(DVec3::X * 1.9)) + 0.1).abs() < TOL);
    }

    #[test]
    fn shadows_and_balls_are_never_farther_apart_than_the_gap() {
        let mut seed = 5_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from(u32::try_from(seed >> 40).unwrap()) / f64::from(1 << 23) - 1.0
        };
        let mut point = move || DVec3::new(next(), next(), next());
        let mut near = 0;
        for case in 0..400 {
            let mut solid = |block: bool| {
                if block {
                    let (x, side) = (point().normalize(), point());
                    let y = x.cross(side).normalize();
                    let half = point().abs() * 0.5;
                    Solid::Block(Block { centre: point() * 2.0, axes: [x, y, x.cross(y)], half })
                } else {
                    Solid::Rod(Rod { a: point() * 2.0, b: point() * 2.0, radius: 0.05 })
                }
            };
            let (p, q) = (solid(case % 2 == 0), solid(case % 3 == 0));
            let (gap, apart) = (p.gap(&q), p.apart(&q));
            assert!(apart <= gap + TOL, "case {case}: {apart} of {gap}");
            near += u32::from(gap > 0.0 && apart > 0.9 * gap);
            for line in [DVec3::Z, point().normalize()] {
                let least = p.points(0.05).into_iter().map(|(at, r)| at.dot(line) - r);
                let least = least.fold(f64::INFINITY, f64::min);
                assert!((p.lowest(line) - least).abs() < TOL, "corners and ends are among the points");
            }
        }
        assert!(near > 50, "they tell something: {near}");
    }

    #[test]
    fn areas_give_edges_back() {
        let e = DVec3::new(0.3, 0.25, 0.4);
        let areas = DVec3::new(e.y * e.z, e.x * e.z, e.x * e.y);
        assert!((edges_from_areas(areas).unwrap() - e).length() < 1e-12);
        assert!(edges_from_areas(DVec3::new(0.0, 1.0, 1.0)).is_none());
        let (low, high) = Solid::Rod(Rod { a: DVec3::ZERO, b: DVec3::X, radius: 0.1 }).bounds();
        assert!(
            (low + DVec3::splat(0.1)).length() < 1e-12 && (high - DVec3::new(1.1, 0.1, 0.1)).length() < 1e-12
        );
        let block = Solid::Block(Block::upright(DVec3::ZERO, DVec3::ONE));
        assert_eq!(block.points(0.5).len(), 26);
    }
}
