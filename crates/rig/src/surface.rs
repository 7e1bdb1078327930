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
