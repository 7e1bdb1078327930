//! The crowned surface of a panel.

use crate::model::Panel;
use glam::DVec3;

impl Panel {
    /// Curvatures along `ea` and `eb`, 1/m; 0 where flat.
    fn curvatures(&self) -> (f64, f64) {
        let of = |radius: f64| if radius == 0.0 { 0.0 } else { 1.0 / radius };
        (of(self.crown.0.value), of(self.crown.1.value))
    }

    /// The point of the surface at `(a, b)`, m.
    ///
    /// ```text
    /// p = centre + a ea + b eb + w n,   w = -(a²/2Ra + b²/2Rb)
    /// ```
    ///
    /// The paraboloid stands for the crown: against a sphere it is off by `a⁴/8R³`, 0.1 mm at 0.6 m on a 5 m crown.
    pub fn point(&self, a_m: f64, b_m: f64) -> DVec3 {
        let (ka, kb) = self.curvatures();
        let w = -0.5 * (ka * a_m * a_m + kb * b_m * b_m);
        self.centre + self.ea * a_m + self.eb * b_m + self.normal * w
    }

    /// Outward unit normal of the surface at `(a, b)`: the gradient of `w` tilts `n`.
    pub fn normal_at(&self, a_m: f64, b_m: f64) -> DVec3 {
        let (ka, kb) = self.curvatures();
        (self.normal + self.ea * (ka * a_m) + self.eb * (kb * b_m)).normalize_or(self.normal)
    }

    /// The `(a, b)` at which two vehicle coordinates of the surface are as given; `axes` picks them (0 x, 1 y, 2 z).
    ///
    /// Newton's method on two unknowns; `None` where the surface does not reach.
    pub fn place_at(&self, axes: (usize, usize), target: (f64, f64)) -> Option<(f64, f64)> {
        let pick = |v: DVec3| (v.to_array().get(axes.0).copied(), v.to_array().get(axes.1).copied());
        let (ka, kb) = self.curvatures();
        let (mut a, mut b) = (0.0_f64, 0.0_f64);
        for _ in 0..60 {
            let (Some(p), Some(q)) = pick(self.point(a, b)) else { return None };
            let (r0, r1) = (target.0 - p, target.1 - q);
            if !(r0.is_finite() && r1.is_finite()) {
                return None;
            }
            if r0.abs().max(r1.abs()) < 1e-12 {
                return Some((a, b));
            }
            let (Some(j00), Some(j10)) = pick(self.ea - self.normal * (ka * a)) else { return None };
            let (Some(j01), Some(j11)) = pick(self.eb - self.normal * (kb * b)) else { return None };
            let det = j00 * j11 - j01 * j10;
            if det.abs() < 1e-6 {
                return None;
            }
            a += (r0 * j11 - r1 * j01) / det;
            b += (r1 * j00 - r0 * j10) / det;
        }
        let (Some(p), Some(q)) = pick(self.point(a, b)) else { return None };
        // Rounding in large coordinates: a micrometre is far below any tape.
        ((p - target.0).abs().max((q - target.1).abs()) < 1e-6).then_some((a, b))
    }
}

#[cfg(test)]
mod tests {
    use crate::fact::Fact;
    use crate::lower::panel::frame;
    use crate::model::{Material, Panel};
    use glam::DVec3;
    use quantity::Kind;

    fn panel(faces: &str, slope_deg: f64, crown: (f64, f64)) -> Panel {
        let (ea, eb, normal) = frame(faces, slope_deg.to_radians());
        let fact = |v: f64, kind| Fact::stated(v, kind, "");
        Panel {
            tag: String::new(),
            centre: DVec3::new(-2.0, 0.1, 1.4),
            ea,
            eb,
            normal,
            size: (2.0, 1.2),
            crown: (fact(crown.0, Kind::Length), fact(crown.1, Kind::Length)),
            material: Material::Steel,
            finish: String::new(),
            wet: false,
            friction: fact(0.5, Kind::Number),
            other_friction: None,
            stiffness: fact(1e5, Kind::Stiffness),
            rocking: fact(1e3, Kind::RotationalStiffness),
            pull_limit: None,
            push_limit: None,
            is_roof: false,
            keep_outs: Vec::new(),
        }
    }

    const FACES: [(&str, (usize, usize)); 5] =
        [("up", (0, 1)), ("left", (0, 2)), ("right", (0, 2)), ("ahead", (1, 2)), ("aft", (1, 2))];

    #[test]
    fn a_place_is_found_again_from_its_two_coordinates() {
        for (faces, axes) in FACES {
            for slope in [0.0, 12.0, -8.0] {
                let panel = panel(faces, slope, (5.0, 2.5));
                let p = panel.point(0.37, -0.22).to_array();
                let (a, b) = panel.place_at(axes, (p[axes.0], p[axes.1])).unwrap();
                // Newton stops at a picometre; the panel's slope magnifies that by less than ten.
                assert!((a - 0.37).abs() < 1e-10 && (b + 0.22).abs() < 1e-10, "{faces} {slope}: {a} {b}");
            }
        }
    }

    #[test]
    fn the_normal_is_square_to_the_surface() {
        for (faces, _) in FACES {
            let panel = panel(faces, 10.0, (4.0, 3.0));
            let (a, b, step) = (0.5, -0.3, 1e-5);
            let n = panel.normal_at(a, b);
            for (da, db) in [(step, 0.0), (0.0, step)] {
                // Central difference of a quadratic surface: exact but for rounding.
                let along = (panel.point(a + da, b + db) - panel.point(a - da, b - db)).normalize();
                assert!(along.dot(n).abs() < 1e-9, "{faces}: {along} {n}");
            }
        }
    }

    #[test]
    fn the_crown_falls_away_from_the_middle() {
        let panel = panel("up", 0.0, (9.0, f64::INFINITY));
        // Sagitta a²/2R = 0.57²/18 = 18.05 mm along, none across a flat.
        assert!((panel.centre.z - panel.point(0.57, 0.0).z - 0.018_05).abs() < 1e-6);
        assert!((panel.centre.z - panel.point(0.0, 0.5).z).abs() < 1e-12);
    }
}
