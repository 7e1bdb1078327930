//! Panels: edge, crown lines and places to keep clear, all on the curved surface.

use super::{Body, Layer, Look, Solid};
use glam::DVec3;
use rig::Rig;
use rig::model::{KeepOut, Panel};

/// Points along a straight run of panel coordinates.
fn run(panel: &Panel, from: (f64, f64), to: (f64, f64)) -> Vec<DVec3> {
    (0..=8)
        .map(|k| f64::from(k) / 8.0)
        .map(|t| panel.point(from.0 + (to.0 - from.0) * t, from.1 + (to.1 - from.1) * t))
        .collect()
}

/// The outline of a rectangle on the panel.
pub(super) fn rectangle(panel: &Panel, centre: (f64, f64), size: (f64, f64)) -> Vec<DVec3> {
    let (a, b) = (size.0 / 2.0, size.1 / 2.0);
    let corner = |k: usize| {
        let (sa, sb) = [(-a, -b), (-a, b), (a, b), (a, -b)][k % 4];
        (centre.0 + sa, centre.1 + sb)
    };
    (0..4)
        .flat_map(|k| {
            let mut side = run(panel, corner(k), corner(k + 1));
            side.pop();
            side
        })
        .collect()
}

/// Slanting lines over a keep-out, 45° to its edges, at most fifty of them.
fn hatch(panel: &Panel, k: &KeepOut) -> Vec<Vec<DVec3>> {
    let (w, h) = k.size;
    if !(w > 0.0 && h > 0.0 && (w + h).is_finite()) {
        return Vec::new();
    }
    let step = 0.03_f64.max((w + h) / 50.0).min((w + h) / 4.0);
    let mut out = Vec::new();
    let mut c = step / 2.0;
    while c < w + h {
        // The line a + b = c from the lower left corner, cut to the rectangle.
        let (from, to) = ((c.min(w), (c - w).max(0.0)), ((c - h).max(0.0), c.min(h)));
        let place = |(a, b): (f64, f64)| (k.centre.0 - w / 2.0 + a, k.centre.1 - h / 2.0 + b);
        out.push(vec![panel.point(place(from).0, place(from).1), panel.point(place(to).0, place(to).1)]);
        c += step;
    }
    out
}

pub(super) fn add(out: &mut Vec<Solid>, rig: &Rig) {
    for panel in &rig.panels {
        let mut put = |layer, look, body| out.push(Solid { part: None, layer, look, body });
        let (a, b) = (panel.size.0 / 2.0, panel.size.1 / 2.0);
        put(Layer::Panel, Look::PanelEdge, Body::Face(rectangle(panel, (0.0, 0.0), panel.size)));
        for share in [-0.5, 0.0, 0.5] {
            let line = run(panel, (-a, b * share), (a, b * share));
            put(Layer::Panel, Look::Crown, Body::Line(line));
            let line = run(panel, (a * share, -b), (a * share, b));
            put(Layer::Panel, Look::Crown, Body::Line(line));
        }
        for k in &panel.keep_outs {
            for line in hatch(panel, k) {
                put(Layer::KeepOut, Look::Hatch, Body::Line(line));
            }
            put(Layer::KeepOut, Look::KeepOut, Body::Face(rectangle(panel, k.centre, k.size)));
        }
    }
}
