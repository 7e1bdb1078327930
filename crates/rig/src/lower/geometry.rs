//! Lines and points.

use crate::model::Tube;
use glam::DVec3;

/// Sine of the angle below which two tubes count as side by side (6 deg).
pub(crate) const PARALLEL: f64 = 0.1;

/// Distance along the line `a + s u` and along `b + t v` (unit `u`, `v`) where they pass nearest; `None` if parallel.
///
/// The shortest join is square to both: `s = (d·u - (u·v)(d·v)) / (1 - (u·v)²)` with `d = b - a`, and `t` likewise.
pub(crate) fn nearest_on_lines(a: DVec3, u: DVec3, b: DVec3, v: DVec3) -> Option<(f64, f64)> {
    let c = u.dot(v);
    let sine_squared = u.cross(v).length_squared();
    if sine_squared < 1e-9 {
        return None;
    }
    let d = b - a;
    let s = (d.dot(u) - c * d.dot(v)) / sine_squared;
    let t = (c * d.dot(u) - d.dot(v)) / sine_squared;
    (s.is_finite() && t.is_finite()).then_some((s, t))
}

/// Unit vector along a tube.
pub(crate) fn direction(tube: &Tube) -> DVec3 {
    (tube.b - tube.a).normalize_or(DVec3::X)
}

/// Distance along a tube of its point nearest to `p`, within its ends.
pub(crate) fn nearest_on_tube(tube: &Tube, p: DVec3) -> f64 {
    (p - tube.a).dot(direction(tube)).clamp(0.0, tube.length())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_at_right_angles_pass_nearest_above_each_other() {
        let near =
            nearest_on_lines(DVec3::new(0.0, -1.0, 0.0), DVec3::Y, DVec3::new(-2.0, 0.25, 0.3), DVec3::X);
        let (s, t) = near.unwrap();
        // Exact in binary but for rounding of the last place.
        assert!((s - 1.25).abs() < 1e-12 && (t - 2.0).abs() < 1e-12, "{s} {t}");
        assert!(nearest_on_lines(DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::X).is_none());
    }

    #[test]
    fn skew_lines_join_square_to_both() {
        let (a, u) = (DVec3::new(0.3, -0.2, 0.1), DVec3::new(1.0, 2.0, 0.5).normalize());
        let (b, v) = (DVec3::new(-0.4, 0.6, 0.9), DVec3::new(2.0, -1.0, 0.2).normalize());
        let (s, t) = nearest_on_lines(a, u, b, v).unwrap();
        let join = (b + v * t) - (a + u * s);
        assert!(join.dot(u).abs() < 1e-12 && join.dot(v).abs() < 1e-12, "{join}");
    }
}
