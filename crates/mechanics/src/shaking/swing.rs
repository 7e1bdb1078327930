//! A payload that hangs free to swing.

use super::{ShakingError, c64};
use crate::STANDARD_GRAVITY;
use crate::range::Range;
use std::f64::consts::TAU;

const LENGTH: Range =
    Range { what: "pivot over the payload's mass centre", low: 1e-3, high: 100.0, unit: "m" };
const GYRATION: Range = Range { what: "radius of gyration of the payload", low: 0.0, high: 100.0, unit: "m" };
const DAMPING: Range = Range { what: "damping ratio of the swing", low: 0.0, high: 2.0, unit: "" };

/// A rigid payload on a pivot that is moved sideways.
///
/// ```text
///   o  pivot, moved by u          (l² + ρ²) θ'' + (damping) + g l θ = -l u''
///   |                             ω_s² = g l / (l² + ρ²)
///   | l                           θ/u = [l / (l² + ρ²)] ω² / (ω_s² - ω² + 2iζ ω_s ω)
///   O  mass centre at u + l θ     x/u = 1 + l θ/u
/// ```
///
/// # Symbols
///
/// | here          | in the sketch | unit | meaning                                          |
/// |---------------|---------------|------|--------------------------------------------------|
/// | `length_m`    | `l`           | m    | pivot over the mass centre                       |
/// | `gyration_m`  | `ρ`           | m    | radius of gyration about the mass centre         |
/// | `damping`     | `ζ`           |      | damping ratio of the swing                       |
///
/// # Frame and signs
///
/// `θ` is the angle by which the mass centre runs ahead of the pivot in the direction of `u`.
///
/// # Assumes
///
/// Small angles; damping works on the angle (a damper between payload and something that does not turn); the pivot's own turning
/// does not reach the payload.
///
/// # Source
///
/// Moments about the moving pivot; S. S. Rao, *Mechanical Vibrations*, compound pendulum, §2.3 [from memory].
/// `docs/mechanics.md` §14.3. Checked by `a_swing_far_over_its_frequency_leaves_the_mass_centre_at_rest`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    length_m: f64,
    gyration_m: f64,
    damping: f64,
}

impl Swing {
    /// A payload by its pivot height, radius of gyration and damping.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`]: a mass centre at or over the pivot does not hang.
    pub fn new(length_m: f64, gyration_m: f64, damping: f64) -> Result<Self, ShakingError> {
        Ok(Self {
            length_m: LENGTH.check(length_m)?,
            gyration_m: GYRATION.check(gyration_m)?,
            damping: DAMPING.check(damping)?,
        })
    }

    /// Pivot over the mass centre, m.
    pub fn length_m(&self) -> f64 {
        self.length_m
    }

    fn inertia(&self) -> f64 {
        self.length_m * self.length_m + self.gyration_m * self.gyration_m
    }

    /// Frequency of the swing, Hz.
    pub fn frequency_hz(&self) -> f64 {
        (STANDARD_GRAVITY * self.length_m / self.inertia()).sqrt() / TAU
    }

    /// Angle for each metre of the pivot, `θ/u`, rad/m.
    pub fn angle_rad_m(&self, at_hz: f64) -> c64 {
        let r = at_hz / self.frequency_hz();
        c64::new(self.length_m / self.inertia() * r * r, 0.0) / c64::new(1.0 - r * r, 2.0 * self.damping * r)
    }

    /// Movement of the mass centre for each metre of the pivot, `x/u`.
    pub fn through(&self, at_hz: f64) -> c64 {
        c64::new(1.0, 0.0) + self.angle_rad_m(at_hz) * self.length_m
    }
}

/// Radius of gyration of a box about the axis square to its two sizes: `√((a² + b²)/12)`.
///
/// `docs/mechanics.md` §14.3.
pub fn box_gyration_m(a_m: f64, b_m: f64) -> f64 {
    ((a_m * a_m + b_m * b_m) / 12.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_on_a_string_is_the_schoolbook_pendulum() {
        // A metre: 2π/√9.80665 = 2.006 409 s.
        let s = Swing::new(1.0, 0.0, 0.0).unwrap();
        assert!((1.0 / s.frequency_hz() - 2.006_409_3).abs() < 1e-6);
        // A uniform rod of length L on its end: l = L/2, ρ² = L²/12, same as a string of 2L/3.
        let rod = Swing::new(0.5, box_gyration_m(1.0, 0.0), 0.0).unwrap();
        let string = Swing::new(2.0 / 3.0, 0.0, 0.0).unwrap();
        assert!((rod.frequency_hz() - string.frequency_hz()).abs() < 1e-12);
    }

    #[test]
    fn a_swing_far_over_its_frequency_leaves_the_mass_centre_at_rest() {
        let point = Swing::new(0.2, 0.0, 0.1).unwrap();
        let f = point.frequency_hz();
        // Falls as 2ζ/r and 1/r²: at 1000 times the frequency under 3e-4.
        assert!(point.through(1000.0 * f).norm() < 3e-4);
        // Angle then is the pivot's way over l, against it.
        assert!((point.angle_rad_m(1000.0 * f) + c64::new(5.0, 0.0)).norm() < 5e-3);
        // With a size, ρ²/(l² + ρ²) of the way stays: the payload turns about its centre of percussion.
        let wide = Swing::new(0.2, 0.1, 0.0).unwrap();
        assert!((wide.through(1e4 * wide.frequency_hz()).re - 0.2).abs() < 1e-6);
        // Slow: hangs straight and goes along.
        assert!((wide.through(1e-4).re - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_payload_that_stands_on_its_pivot_is_refused() {
        for bad in [0.0, -0.2, f64::NAN, f64::INFINITY] {
            assert!(Swing::new(bad, 0.1, 0.1).is_err());
        }
        assert!(Swing::new(0.2, f64::NAN, 0.1).is_err() && Swing::new(0.2, 0.1, -1.0).is_err());
    }
}
