//! A force and a moment at a point.

use core::ops::{Add, AddAssign, Mul, Neg, Sub};
use glam::DVec3;

/// A force (N) and a moment (N m), both in the same axes, the moment about a point that the context names.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wrench {
    /// Force, N.
    pub force: DVec3,
    /// Moment about the point of application, N m, right-hand rule.
    pub moment: DVec3,
}

impl Wrench {
    /// No force and no moment.
    pub const ZERO: Self = Self { force: DVec3::ZERO, moment: DVec3::ZERO };

    /// A wrench from its two parts.
    pub const fn new(force: DVec3, moment: DVec3) -> Self {
        Self { force, moment }
    }

    /// A pure force acting at `arm` from the point that moments are taken about.
    pub fn of_force_at(force: DVec3, arm: DVec3) -> Self {
        Self { force, moment: arm.cross(force) }
    }

    /// The same action with moments taken about another point: `from` and `to` are positions in the same axes.
    ///
    /// `M_to = M_from + (from - to) x F`
    #[must_use]
    pub fn about(self, from: DVec3, to: DVec3) -> Self {
        Self { force: self.force, moment: self.moment + (from - to).cross(self.force) }
    }

    /// `[Fx, Fy, Fz, Mx, My, Mz]`.
    pub fn to_array(self) -> [f64; 6] {
        [self.force.x, self.force.y, self.force.z, self.moment.x, self.moment.y, self.moment.z]
    }

    /// From `[Fx, Fy, Fz, Mx, My, Mz]`.
    pub fn from_array(a: [f64; 6]) -> Self {
        Self { force: DVec3::new(a[0], a[1], a[2]), moment: DVec3::new(a[3], a[4], a[5]) }
    }
}

impl Add for Wrench {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self { force: self.force + o.force, moment: self.moment + o.moment }
    }
}
impl AddAssign for Wrench {
    fn add_assign(&mut self, o: Self) {
        *self = *self + o;
    }
}
impl Sub for Wrench {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self { force: self.force - o.force, moment: self.moment - o.moment }
    }
}
impl Neg for Wrench {
    type Output = Self;
    fn neg(self) -> Self {
        Self { force: -self.force, moment: -self.moment }
    }
}
impl Mul<f64> for Wrench {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self { force: self.force * k, moment: self.moment * k }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moving_the_point_keeps_the_action() {
        let at_p = Wrench::new(DVec3::new(1.0, -2.0, 3.0), DVec3::new(0.5, 0.0, -1.0));
        let (p, q) = (DVec3::new(0.2, 0.4, -0.1), DVec3::new(-1.0, 2.0, 0.3));
        let back = at_p.about(p, q).about(q, p);
        assert!((back.moment - at_p.moment).length() < 1e-12);
        // A force of 10 N up at x = 2 m turns the nose down about the origin: My = -20 N m.
        let w = Wrench::of_force_at(DVec3::Z * 10.0, DVec3::X * 2.0);
        assert!((w.moment - DVec3::new(0.0, -20.0, 0.0)).length() < 1e-12);
        assert!((w.about(DVec3::ZERO, DVec3::X * 2.0).moment).length() < 1e-12);
    }
}
