//! From model to paper: parallel rays towards an eye, to scale.

use super::{Medium, View};
use glam::{DVec2, DVec3};

/// Directions of the paper in vehicle axes: to its right, up it, and out of it towards the eye.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Eye {
    pub(crate) right: DVec3,
    pub(crate) up: DVec3,
    pub(crate) near: DVec3,
}

impl Eye {
    pub(crate) fn new(view: View) -> Self {
        match view {
            View::Plan => Self { right: -DVec3::Y, up: DVec3::X, near: DVec3::Z },
            View::Side => Self { right: -DVec3::X, up: DVec3::Z, near: DVec3::Y },
            View::Front => Self { right: DVec3::Y, up: DVec3::Z, near: DVec3::X },
            View::Corner { bearing, over } => {
                let (bearing, over) =
                    if bearing.is_finite() && over.is_finite() { (bearing, over) } else { (0.7, 0.45) };
                let ((sb, cb), (so, co)) = (bearing.sin_cos(), over.sin_cos());
                let near = DVec3::new(cb * co, sb * co, so);
                let right = DVec3::new(-sb, cb, 0.0);
                Self { right, up: near.cross(right), near }
            }
        }
    }

    /// On the plane of the paper, m.
    pub(crate) fn flat(&self, p: DVec3) -> DVec2 {
        DVec2::new(self.right.dot(p), self.up.dot(p))
    }

    /// How near the eye, m.
    pub(crate) fn depth(&self, p: DVec3) -> f64 {
        self.near.dot(p)
    }
}

/// Where the model stands on the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Placing {
    pub(crate) eye: Eye,
    /// Drawing units to a metre.
    pub(crate) scale: f64,
    /// Point of the paper's plane, m, that stands at `at`, drawing units.
    pub(crate) middle: DVec2,
    pub(crate) at: DVec2,
    /// Drawing units to a millimetre of paper, in print.
    pub(crate) per_mm: Option<f64>,
}

impl Placing {
    /// Drawing units of a point of the paper's plane, m.
    pub(crate) fn lay(&self, flat: DVec2) -> DVec2 {
        let d = (flat - self.middle) * self.scale;
        // Far beyond any paper, so that numbers stay short.
        DVec2::new(self.at.x + d.x, self.at.y - d.y).clamp(DVec2::splat(-1e5), DVec2::splat(1e5))
    }

    pub(crate) fn place(&self, p: DVec3) -> DVec2 {
        self.lay(self.eye.flat(p))
    }

    /// The model's point under a place of the paper, as deep as `through`.
    pub(crate) fn find(&self, at: DVec2, through: DVec3) -> Option<DVec3> {
        let d = (at - self.at) / self.scale;
        let flat = self.middle + DVec2::new(d.x, -d.y);
        let eye = &self.eye;
        let p = eye.right * flat.x + eye.up * flat.y + eye.near * eye.depth(through);
        p.is_finite().then_some(p)
    }
}

/// Type sizes and room of a medium, in drawing units.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Paper {
    pub(crate) width: f64,
    /// None where the drawing may be as tall as it wants.
    pub(crate) height: Option<f64>,
    pub(crate) body: f64,
    pub(crate) small: f64,
    pub(crate) title: f64,
    /// Between base lines of the body.
    pub(crate) step: f64,
    /// Kept free at the paper's edge.
    pub(crate) pad: f64,
    /// Around the car inside its field.
    pub(crate) air: f64,
    /// Greatest height of the field where the paper has none.
    pub(crate) tallest: f64,
    pub(crate) per_mm: Option<f64>,
    pub(crate) is_phone: bool,
    /// A small piece of paper is for the picture alone.
    pub(crate) is_small: bool,
}

/// Drawing units to a millimetre in print: type of 10.5 units is 2.6 mm (7.4 pt).
const PER_MM: f64 = 4.0;

/// Paper lower or narrower than this, drawing units, is small: 11 cm.
const SMALL: f64 = 440.0;

impl Paper {
    pub(crate) fn new(medium: Medium) -> Self {
        let page = Self {
            width: 960.0,
            height: None,
            body: 13.0,
            small: 12.0,
            title: 17.0,
            step: 17.0,
            pad: 16.0,
            air: 30.0,
            tallest: 860.0,
            per_mm: None,
            is_phone: false,
            is_small: false,
        };
        match medium {
            Medium::Page => page,
            Medium::Phone => Self {
                width: 390.0,
                title: 15.0,
                pad: 10.0,
                air: 12.0,
                tallest: 640.0,
                is_phone: true,
                ..page
            },
            Medium::Print { width, height } => {
                let mm =
                    |v: f64, usual: f64| if v.is_finite() && v > 0.0 { v.clamp(10.0, 5000.0) } else { usual };
                let (width, height) = (mm(width, 190.0) * PER_MM, mm(height, 277.0) * PER_MM);
                Self {
                    width,
                    height: Some(height),
                    is_small: width.min(height) < SMALL,
                    body: 11.5,
                    small: 10.5,
                    title: 15.0,
                    step: 14.5,
                    pad: 4.0,
                    air: 14.0,
                    per_mm: Some(PER_MM),
                    ..page
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CORNER: View = View::Corner { bearing: 0.6, over: 0.4 };

    #[test]
    fn every_eye_is_a_right_handed_square_frame() {
        for view in [View::Plan, View::Side, View::Front, CORNER, View::Corner { bearing: -2.0, over: 1.57 }]
        {
            let e = Eye::new(view);
            assert!((e.right.cross(e.up) - e.near).length() < 1e-12, "{view:?}");
            assert!((e.right.length() - 1.0).abs() < 1e-12 && e.right.dot(e.up).abs() < 1e-12);
        }
    }

    #[test]
    fn ahead_is_up_in_plan_and_left_in_the_side_view() {
        assert_eq!(Eye::new(View::Plan).flat(DVec3::X), DVec2::Y);
        assert_eq!(Eye::new(View::Plan).flat(DVec3::Y), -DVec2::X);
        assert_eq!(Eye::new(View::Side).flat(DVec3::X), -DVec2::X);
        assert_eq!(Eye::new(View::Front).flat(DVec3::Y), DVec2::X);
        // From ahead on the left, the car's front comes towards the eye and its left side too.
        let e = Eye::new(CORNER);
        assert!(e.depth(DVec3::X) > 0.0 && e.depth(DVec3::Y) > 0.0 && e.depth(DVec3::Z) > 0.0);
    }

    #[test]
    fn what_is_placed_is_found_again() {
        for view in [View::Plan, View::Side, View::Front, CORNER] {
            let placing = Placing {
                eye: Eye::new(view),
                scale: 187.0,
                middle: DVec2::new(0.4, -1.2),
                at: DVec2::new(300.0, 200.0),
                per_mm: None,
            };
            let p = DVec3::new(-1.3, 0.42, 1.5);
            let back = placing.find(placing.place(p), p).unwrap();
            assert!((back - p).length() < 1e-9, "{view:?} {back}");
        }
    }
}
