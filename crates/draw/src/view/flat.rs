//! The plan in true size: shapes on the ground in metres, x forward and y left as seen from above, sorted by layer. Files for
//! drawing programs are written from it; the drawings of this crate come from the same solids.

pub use super::solid::Layer;
use super::solid::{Body, Look, car::Car, solids};
use super::words;
use super::{Part, Scene};
use glam::{DVec2, DVec3};

/// A round thing that leans by less than this (cosine) is a circle in the plan: 14°, so that it is at most 3 % too wide one way.
const LEAN: f64 = 0.97;

/// One shape of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Flat {
    /// Its layer.
    pub layer: Layer,
    /// Whose it is.
    pub part: Option<Part>,
    /// Height of its top over the road, m.
    pub up: f64,
    /// The shape.
    pub shape: Shape,
}

/// A shape on the ground, m.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// An open line.
    Line(Vec<DVec2>),
    /// A closed outline.
    Outline(Vec<DVec2>),
    /// A circle.
    Circle {
        /// Its middle.
        centre: DVec2,
        /// Its radius.
        radius: f64,
    },
    /// Words that start at a place and read from the car's left to its right (the car's front is up).
    Text {
        /// The left end of the words' base line, as read.
        at: DVec2,
        /// Height of the letters, m.
        height: f64,
        /// The words.
        words: String,
    },
}

/// The convex outline of points, counter-clockwise.
pub(crate) fn hull(mut points: Vec<DVec2>) -> Vec<DVec2> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |points: &mut dyn Iterator<Item = DVec2>| {
        let mut out: Vec<DVec2> = Vec::new();
        for p in points {
            while let [.., a, b] = out.as_slice()
                && (*b - *a).perp_dot(p - *b) <= 0.0
            {
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut out = half(&mut points.iter().copied());
    out.extend(half(&mut points.iter().rev().copied()));
    out
}

/// A circle about a leaning axis, as points.
pub(crate) fn rim(centre: DVec3, normal: DVec3, radius: f64) -> Vec<DVec3> {
    let (u, v) = normal.normalize_or(DVec3::Z).any_orthonormal_pair();
    (0..36)
        .map(|k| f64::from(k) * std::f64::consts::TAU / 36.0)
        .map(|t| centre + (u * t.cos() + v * t.sin()) * radius)
        .collect()
}

fn shape(body: &Body) -> Shape {
    let flat = |points: &[DVec3]| points.iter().map(|p| p.truncate()).collect::<Vec<_>>();
    match body {
        Body::Disc { centre, normal, radius } if normal.z.abs() > LEAN => {
            Shape::Circle { centre: centre.truncate(), radius: *radius }
        }
        Body::Disc { centre, normal, radius } => Shape::Outline(hull(flat(&rim(*centre, *normal, *radius)))),
        Body::Rod { a, b, radius } => {
            let (along, length) = ((*b - *a).normalize_or(DVec3::Z), (*b - *a).length());
            if along.z.abs() > LEAN && length * (1.0 - along.z * along.z).max(0.0).sqrt() < 0.15 * radius {
                return Shape::Circle { centre: b.truncate(), radius: *radius };
            }
            let mut points = rim(*a, along, *radius);
            if along.z.abs() < 1e-3 {
                // A level bar is a plain rectangle.
                let side = DVec3::new(-along.y, along.x, 0.0).normalize_or(DVec3::X) * *radius;
                return Shape::Outline(flat(&[*a + side, *a - side, *b - side, *b + side]));
            }
            points.extend(rim(*b, along, *radius));
            Shape::Outline(hull(flat(&points)))
        }
        Body::Block { .. } => Shape::Outline(hull(flat(&body.points()))),
        Body::Face(points) => Shape::Outline(flat(points)),
        Body::Line(points) => Shape::Line(flat(points)),
    }
}

/// The plan of a scene: car, panels, rig, arm in its pose, what it sweeps, and the tags.
pub fn plan(scene: &Scene<'_>) -> Vec<Flat> {
    let mut out = Vec::new();
    if let Some(car) = Car::new(scene.rig) {
        let up = car.room()[1].z;
        let mut put = |shape| out.push(Flat { layer: Layer::Car, part: None, up, shape });
        let flat = |points: &[DVec3]| points.iter().map(|p| p.truncate()).collect::<Vec<_>>();
        put(Shape::Outline(flat(&car.plan_outline())));
        for (pane, normal) in car.windows() {
            if normal.z > 0.1 {
                put(Shape::Outline(flat(&pane)));
            }
        }
    }
    for s in solids(scene) {
        // Other elevations are seen from the side alone.
        if matches!(s.look, Look::Elevation | Look::OtherPose) {
            continue;
        }
        let up = s.body.points().iter().map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
        out.push(Flat { layer: s.layer, part: s.part, up, shape: shape(&s.body) });
    }
    for clamp in 0..scene.rig.clamps.len() {
        if let Some(at) = words::anchor(scene.rig, Part::Clamp(clamp)).filter(|p| p.is_finite()) {
            let shape = Shape::Circle { centre: at.truncate(), radius: words::CLAMP };
            out.push(Flat { layer: Layer::Clamp, part: Some(Part::Clamp(clamp)), up: at.z, shape });
        }
    }
    for part in words::parts(scene.rig) {
        let Some(at) = words::anchor(scene.rig, part).filter(|p| p.is_finite()) else { continue };
        let at_text = at.truncate() + DVec2::new(0.02, -0.03);
        let shape = Shape::Text { at: at_text, height: 0.035, words: words::tag(scene.rig, part) };
        out.push(Flat { layer: Layer::Text, part: Some(part), up: at.z, shape });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::tests::{example, scene};

    #[test]
    fn a_cup_is_a_circle_in_its_place_with_its_true_radius() {
        let rig = example("estate-arm");
        let cup = &rig.cups[0];
        let found = plan(&scene(&rig)).into_iter().find_map(|f| match f.shape {
            Shape::Circle { centre, radius } if f.part == Some(Part::Cup(0)) && f.layer == Layer::Cup => {
                Some((centre, radius))
            }
            _ => None,
        });
        let (centre, radius) = found.unwrap();
        // 380 mm aft of the datum, 420 mm left; the lip's upper rim leans out with the roof by under 2 mm.
        assert!((centre.x - (-1.05 - 0.38)).abs() < 2e-3 && (centre.y - 0.42).abs() < 2e-3, "{centre}");
        assert!((radius - cup.outer_radius).abs() < 1e-12);
    }

    #[test]
    fn a_tube_is_as_wide_as_its_section_and_as_long() {
        let rig = example("estate-arm");
        let found = plan(&scene(&rig)).into_iter().find_map(|f| match f.shape {
            Shape::Outline(points) if f.part == Some(Part::Tube(0)) => Some(points),
            _ => None,
        });
        let points = found.unwrap();
        let size = |pick: fn(&DVec2) -> f64| {
            points.iter().map(pick).fold(f64::NEG_INFINITY, f64::max)
                - points.iter().map(pick).fold(f64::INFINITY, f64::min)
        };
        assert!((size(|p| p.x) - 0.0483).abs() < 1e-9 && (size(|p| p.y) - 1.12).abs() < 1e-9, "{points:?}");
    }

    #[test]
    fn a_hull_leaves_out_what_is_inside() {
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.5, 0.5), (0.5, 0.0)];
        let out = hull(square.map(|(x, y)| DVec2::new(x, y)).to_vec());
        assert_eq!(out.len(), 4, "{out:?}");
        assert!(hull(Vec::new()).is_empty() && hull(vec![DVec2::X; 5]).len() == 1);
    }
}
