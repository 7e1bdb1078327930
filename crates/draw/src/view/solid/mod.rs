//! The rig, its car and the arm's reach as plain solids in vehicle axes: what every view and every file is drawn from.

pub(crate) mod arm;
pub(crate) mod car;
mod grid;
mod panel;

use super::{Part, Scene};
pub(crate) use grid::platform;

use glam::DVec3;

/// What a thing is, for files that sort by layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Outline of the car, its glass and wheels.
    Car,
    /// Measured panels and their crown.
    Panel,
    /// Places on a panel to keep clear.
    KeepOut,
    /// Vacuum cups.
    Cup,
    /// Tubes.
    Tube,
    /// Clamps.
    Clamp,
    /// Straps and tethers.
    Strap,
    /// Platforms.
    Platform,
    /// Legs of platforms.
    Leg,
    /// Other fixed things.
    Item,
    /// Mast, boom, counterweight, braces, isolator, payload.
    Arm,
    /// What the arm reaches.
    Sweep,
    /// Words.
    Text,
}

impl Layer {
    /// All layers, in the order in which they are drawn.
    pub const ALL: [Self; 13] = [
        Self::Car,
        Self::Panel,
        Self::KeepOut,
        Self::Strap,
        Self::Cup,
        Self::Tube,
        Self::Clamp,
        Self::Leg,
        Self::Platform,
        Self::Item,
        Self::Arm,
        Self::Sweep,
        Self::Text,
    ];

    /// Its name: `cup`, `keep-out`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Car => "car",
            Self::Panel => "panel",
            Self::KeepOut => "keep-out",
            Self::Cup => "cup",
            Self::Tube => "tube",
            Self::Clamp => "clamp",
            Self::Strap => "strap",
            Self::Platform => "platform",
            Self::Leg => "leg",
            Self::Item => "item",
            Self::Arm => "arm",
            Self::Sweep => "sweep",
            Self::Text => "text",
        }
    }
}

/// How a solid looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Look {
    PanelEdge,
    Crown,
    KeepOut,
    Hatch,
    Lip,
    Seal,
    Stem,
    Head,
    Tube,
    Clamp,
    Leg,
    Platform,
    Item,
    Strap,
    Tether,
    Mast,
    Boom,
    Weight,
    Isolator,
    Payload,
    Brace,
    TipSweep,
    TailSweep,
    Elevation,
    OtherPose,
}

/// A plain shape, m in vehicle axes.
#[derive(Clone, Debug)]
pub(crate) enum Body {
    /// A flat round plate, or its rim.
    Disc { centre: DVec3, normal: DVec3, radius: f64 },
    /// A round bar.
    Rod { a: DVec3, b: DVec3, radius: f64 },
    /// A box by its middle and half its edges.
    Block { centre: DVec3, half: [DVec3; 3] },
    /// A closed flat outline.
    Face(Vec<DVec3>),
    /// A line.
    Line(Vec<DVec3>),
}

/// A shape of a part.
#[derive(Clone, Debug)]
pub(crate) struct Solid {
    pub(crate) part: Option<Part>,
    pub(crate) layer: Layer,
    pub(crate) look: Look,
    pub(crate) body: Body,
}

impl Body {
    /// Points that bound it.
    pub(crate) fn points(&self) -> Vec<DVec3> {
        match self {
            Self::Disc { centre, normal, radius } => {
                let (u, v) = normal.any_orthonormal_pair();
                vec![
                    *centre + u * *radius,
                    *centre - u * *radius,
                    *centre + v * *radius,
                    *centre - v * *radius,
                ]
            }
            Self::Rod { a, b, radius } => {
                let along = (*b - *a).normalize_or(DVec3::X);
                let (u, v) = along.any_orthonormal_pair();
                [*a, *b]
                    .into_iter()
                    .flat_map(|p| [p + u * *radius, p - u * *radius, p + v * *radius, p - v * *radius])
                    .collect()
            }
            Self::Block { centre, half } => corners(*centre, *half).to_vec(),
            Self::Face(points) | Self::Line(points) => points.clone(),
        }
    }

    fn is_finite(&self) -> bool {
        let fine = match self {
            Self::Disc { centre, normal, radius } => {
                centre.is_finite() && normal.is_normalized() && radius.is_finite()
            }
            Self::Rod { a, b, radius } => a.is_finite() && b.is_finite() && radius.is_finite(),
            Self::Block { centre, half } => centre.is_finite() && half.iter().all(|h| h.is_finite()),
            Self::Face(points) | Self::Line(points) => {
                points.len() > 1 && points.iter().all(|p| p.is_finite())
            }
        };
        // Beyond a thousand kilometres nothing is a rig, and squares of such lengths would be lost.
        fine && self.points().iter().all(|p| p.abs().max_element() < 1e6)
    }
}

/// The eight corners of a block; bit `k` of the index says to which side of its middle along edge `k`.
pub(crate) fn corners(centre: DVec3, half: [DVec3; 3]) -> [DVec3; 8] {
    std::array::from_fn(|i| {
        let side = |k: usize| if i >> k & 1 == 1 { half[k] } else { -half[k] };
        centre + side(0) + side(1) + side(2)
    })
}

/// Every solid of a scene but the car; what is not a number, or absurdly far away, is left out.
pub(crate) fn solids(scene: &Scene<'_>) -> Vec<Solid> {
    let mut out = Vec::new();
    panel::add(&mut out, scene.rig);
    grid::add(&mut out, scene.rig);
    arm::add(&mut out, scene);
    out.retain(|s| s.body.is_finite());
    out
}

/// A full turn or part of one about the upright through `centre`, as a line.
fn arc(centre: DVec3, radius: f64, (from, to): (f64, f64)) -> Vec<DVec3> {
    let steps = (1.0 + ((to - from).abs() / 0.07).floor()).clamp(2.0, 96.0);
    let mut out = Vec::new();
    let mut k = 0.0;
    while k <= steps {
        let angle = from + (to - from) * k / steps;
        out.push(centre + DVec3::new(angle.cos(), angle.sin(), 0.0) * radius);
        k += 1.0;
    }
    out
}

/// Edges of the box whose faces have these areas, m: `length = √(Ay Az / Ax)` and so on; none where a face is missing.
pub(super) fn edges(areas: DVec3) -> Option<DVec3> {
    let (x, y, z) = (areas.x, areas.y, areas.z);
    let out = DVec3::new((y * z / x).sqrt(), (x * z / y).sqrt(), (x * y / z).sqrt());
    (areas.min_element() > 0.0 && out.is_finite()).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_is_found_again_from_its_faces() {
        // 420 x 320 x 260 mm: ahead 0.32 x 0.26, side 0.42 x 0.26, above 0.42 x 0.32.
        let size = edges(DVec3::new(0.0832, 0.1092, 0.1344)).unwrap();
        assert!((size - DVec3::new(0.42, 0.32, 0.26)).length() < 1e-12, "{size}");
        assert!(edges(DVec3::new(0.0, 0.1, 0.1)).is_none() && edges(DVec3::splat(f64::NAN)).is_none());
    }

    #[test]
    fn an_arc_ends_where_it_is_told() {
        let line = arc(DVec3::Z, 2.0, (0.0, std::f64::consts::FRAC_PI_2));
        assert!((line[0] - DVec3::new(2.0, 0.0, 1.0)).length() < 1e-12);
        assert!((line[line.len() - 1] - DVec3::new(0.0, 2.0, 1.0)).length() < 1e-12);
        assert!(line.iter().all(|p| (p.truncate().length() - 2.0).abs() < 1e-12));
    }
}
