//! How much of the model a drawing must show.

use super::eye::Eye;
use super::flat::rim;
use super::solid::car::Car;
use super::solid::{Body, Layer, Look, Solid};
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

/// How much is shown where there is little room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Extent {
    /// The car, the rig, and all that the arm reaches.
    Whole,
    /// The car and the rig; the sweep is cut.
    NoSweep,
    /// The rig; the car is cut.
    Rig,
}

/// Whether a solid counts for how far the drawing reaches.
fn counts(s: &Solid, view: View, extent: Extent) -> bool {
    let is_reach = s.layer == Layer::Sweep;
    let from_its_edge = matches!(view, View::Side | View::Front);
    // Seen from its edge a sweep is not drawn, seen from above the other elevations are not.
    let is_sweep = matches!(s.look, Look::TipSweep | Look::TailSweep);
    if is_reach && is_sweep == from_its_edge {
        return false;
    }
    match extent {
        Extent::Whole => true,
        Extent::NoSweep => !is_sweep,
        Extent::Rig => !(is_reach || matches!(s.layer, Layer::Panel | Layer::KeepOut)),
    }
}

/// The room on the paper's plane that must be seen, m: lower left, upper right.
pub(crate) fn seen(
    scene: &Scene<'_>,
    all: &[Solid],
    car: Option<&Car>,
    eye: Eye,
    (view, extent): (View, Extent),
) -> (DVec2, DVec2) {
    // Without a rig the car is what there is to see.
    let extent =
        if all.iter().any(|s| counts(s, view, Extent::Rig)) { extent } else { extent.min(Extent::NoSweep) };
    let mut out = Bounds { low: DVec2::INFINITY, high: DVec2::NEG_INFINITY };
    for s in all.iter().filter(|s| counts(s, view, extent)) {
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
        let middle = f64::midpoint(out.low.x, out.high.x);
        match view {
            // The rig as large as it can be; from the side the road as well.
            View::Plan | View::Corner { .. } if extent == Extent::Rig => {}
            View::Side if extent == Extent::Rig => out.add(DVec2::new(middle, -0.03)),
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
