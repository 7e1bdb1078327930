//! Sizes of things that are known by the areas that the wind sees.

use rig::model::Drag;

/// Length, width and height of the box with these face areas, m; none where a face has no area.
pub(crate) fn size(drag: &Drag) -> Option<[f64; 3]> {
    let (x, y, z) = (drag.areas.x, drag.areas.y, drag.areas.z);
    // Across x it is w h, across y l h, across z l w.
    let all = [(y * z / x).sqrt(), (x * z / y).sqrt(), (x * y / z).sqrt()];
    all.iter().all(|s| s.is_finite() && *s > 0.0).then_some(all)
}
