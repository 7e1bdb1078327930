//! How much of the model a drawing must show.

use super::eye::{Eye, Paper};
use super::flat::rim;
use super::solid::car::Car;
use super::solid::{Body, Layer, Solid};
use super::{Scene, View};
use glam::{DVec2, DVec3};

/// Lower left and upper right of what has been added, m on the paper's plane.
struct Bounds {
    low: DVec2,
    high: DVec2,
}

impl Bounds {
    fn add(&mut self, p: DVec2) {
        if p.is_finite() && p.abs().max_element() < 1e7 {
            self.low = self.low.min(p);
            self.high = self.high.max(p);
        }
    }
}

/// Whether a solid counts for how far the drawing reaches.
fn counts(s: &Solid, view: View, paper: &Paper) -> bool {
    let is_reach = s.layer == Layer::Sweep;
    let is_round = matches!(s.body, Body::Disc { .. });
    // Seen from its edge a sweep is not drawn; on a phone the rig fills the width, its reach is cut.
    let cut = is_reach && (paper.is_phone || (is_round && matches!(view, View::Side | View::Front)));
    !(cut || (paper.is_phone && matches!(s.layer, Layer::Panel | Layer::KeepOut)))
}

/// The room on the paper's plane that must be seen, m: lower left, upper right.
pub(crate) fn seen(
    scene: &Scene<'_>,
    all: &[Solid],
    car: Option<&Car>,
    eye: Eye,
    (view, paper): (View, &Paper),
) -> (DVec2, DVec2) {
    let mut out = Bounds { low: DVec2::INFINITY, high: DVec2::NEG_INFINITY };
    for s in all.iter().filter(|s| counts(s, view, paper)) {
        let points = match &s.body {
            Body::Disc { centre, normal, radius } => rim(*centre, *normal, *radius),
            body => body.points(),
        };
        for p in points {
            out.add(eye.flat(p));
        }
    }
    for a in &scene.arrows {
        out.add(eye.flat(a.at));
    }
    if !matches!(view, View::Corner { .. }) {
        let datum = eye.flat(scene.rig.vehicle.datum);
        out.add(datum - 0.1);
        out.add(datum + 0.1);
    }
    if let Some(car) = car {
        let [a, b] = car.room();
        let rig = (out.low + out.high) / 2.0;
        match view {
            // The car's whole width and the road, but not its length.
            View::Plan if paper.is_phone && b.y < 1.6 => {
                out.add(DVec2::new(-b.y, rig.y));
                out.add(DVec2::new(b.y, rig.y));
            }
            View::Plan | View::Corner { .. } if paper.is_phone => {}
            View::Side if paper.is_phone => out.add(DVec2::new(rig.x, -0.03)),
            _ => {
                for k in 0..8 {
                    let pick = |bit: usize, low: f64, high: f64| if k >> bit & 1 == 1 { high } else { low };
                    out.add(eye.flat(DVec3::new(pick(0, a.x, b.x), pick(1, a.y, b.y), pick(2, a.z, b.z))));
                }
            }
        }
    }
    if !(out.low.is_finite() && out.high.is_finite()) {
        return (DVec2::splat(-1.0), DVec2::splat(1.0));
    }
    let (middle, half) = ((out.low + out.high) / 2.0, ((out.high - out.low) / 2.0).max(DVec2::splat(0.1)));
    (middle - half, middle + half)
}
