//! Sizes and directions in the words of the trade.

use glam::DVec3;
use quantity::{Kind, both_kind};

/// One step of a move, m, and in words.
pub(super) const STEP: (f64, &str) = (0.1, "100 mm (4 in)");
/// Half of it.
pub(super) const HALF_STEP: (f64, &str) = (0.05, "50 mm (2 in)");

/// `forward`, `aft`, `left`, `right`, `up` or `down`: the way that a vector goes most.
pub(super) fn way(v: DVec3) -> &'static str {
    let size = v.abs();
    if size.x >= size.y && size.x >= size.z {
        if v.x > 0.0 { "forward" } else { "aft" }
    } else if size.y >= size.z {
        if v.y > 0.0 { "to the left" } else { "to the right" }
    } else if v.z > 0.0 {
        "up"
    } else {
        "down"
    }
}

pub(super) fn mass(kg: f64) -> String {
    both_kind(kg, Kind::Mass)
}

/// A length to the next 5 mm: nobody places a cup more finely.
pub(super) fn length(m: f64) -> String {
    both_kind((m * 200.0).round() / 200.0, Kind::Length)
}

/// `FL`, `FL and FR`, `FL, FR and RL`.
pub(super) fn and(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
