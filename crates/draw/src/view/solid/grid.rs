//! What stands on the car: cups, tubes, legs, platforms, items, straps.

use super::{Body, Layer, Look, Solid, edges};
use crate::view::Part;
use glam::DVec3;
use rig::Rig;
use rig::model::{Cup, Platform, StrapKind};

/// Stem and head of a cup where its part does not say how thick they are, m (drawn size, no source).
const STEM: f64 = 0.016;
const HEAD: f64 = 0.026;
/// A leg that counts as rigid has no section: drawn this thick, m.
const LEG: f64 = 0.02;

fn cup(cup: &Cup) -> [(Look, Body); 4] {
    let normal = cup.normal.normalize_or(DVec3::Z);
    // The lip rises a little over the panel, as rubber does.
    let rise = 0.08 * cup.outer_radius;
    let stem = cup.stem.as_ref().map_or(STEM, |s| s.outer / 2.0);
    [
        (Look::Lip, Body::Rod { a: cup.at, b: cup.at + normal * rise, radius: cup.outer_radius }),
        (Look::Seal, Body::Disc { centre: cup.at + normal * rise, normal, radius: cup.seal_radius }),
        (Look::Stem, Body::Rod { a: cup.at + normal * rise, b: cup.head, radius: stem }),
        (Look::Head, Body::Rod { a: cup.head - normal * HEAD, b: cup.head, radius: HEAD }),
    ]
}

pub(crate) fn platform(p: &Platform) -> Body {
    let across = p.normal.cross(p.along);
    Body::Block {
        centre: p.at - p.normal * (p.size.z / 2.0),
        half: [p.along * (p.size.x / 2.0), across * (p.size.y / 2.0), p.normal * (p.size.z / 2.0)],
    }
}

pub(super) fn add(out: &mut Vec<Solid>, rig: &Rig) {
    let mut put = |part, layer, look, body| out.push(Solid { part: Some(part), layer, look, body });
    for (i, c) in rig.cups.iter().enumerate() {
        for (look, body) in cup(c) {
            put(Part::Cup(i), Layer::Cup, look, body);
        }
    }
    for (i, t) in rig.tubes.iter().enumerate() {
        let body = Body::Rod { a: t.a, b: t.b, radius: t.section.outer / 2.0 };
        put(Part::Tube(i), Layer::Tube, Look::Tube, body);
    }
    for (i, l) in rig.legs.iter().enumerate() {
        let Some(tube) = rig.tubes.get(l.foot.0) else { continue };
        let radius = l.section.as_ref().map_or(LEG, |s| s.outer / 2.0);
        let body = Body::Rod { a: tube.point(l.foot.1), b: l.top, radius };
        put(Part::Leg(i), Layer::Leg, Look::Leg, body);
    }
    for (i, p) in rig.platforms.iter().enumerate() {
        put(Part::Platform(i), Layer::Platform, Look::Platform, platform(p));
    }
    for (i, item) in rig.items.iter().enumerate() {
        let size = item.drag.as_ref().and_then(|d| edges(d.areas));
        let body = match size {
            Some(size) => {
                let half = [DVec3::X * (size.x / 2.0), DVec3::Y * (size.y / 2.0), DVec3::Z * (size.z / 2.0)];
                Body::Block { centre: item.at, half }
            }
            // Its size is not in the file: a small mark where its mass is.
            None => Body::Rod { a: item.at - DVec3::Z * 0.02, b: item.at + DVec3::Z * 0.02, radius: 0.02 },
        };
        put(Part::Item(i), Layer::Item, Look::Item, body);
    }
    for (i, s) in rig.straps.iter().enumerate() {
        let look = if s.kind == StrapKind::Tether { Look::Tether } else { Look::Strap };
        let body = Body::Line(s.path.iter().map(|p| p.at).collect());
        put(Part::Strap(i), Layer::Strap, look, body);
    }
}
