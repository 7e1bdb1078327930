//! What a shaking camera does to the picture while the shutter is open.

use super::{Movement, ShakingError, c64};
use crate::range::Range;
use glam::DVec3;
use std::f64::consts::PI;

const FOCAL: Range = Range { what: "focal length", low: 1e-4, high: 100.0, unit: "m" };
const WIDTH: Range = Range { what: "width of the sensor", low: 1e-4, high: 1.0, unit: "m" };
const PIXELS: Range = Range { what: "pixels across the sensor", low: 1.0, high: 1e6, unit: "" };
const DISTANCE: Range = Range { what: "distance of the subject", low: 1e-3, high: f64::INFINITY, unit: "m" };

/// Sensor, lens and subject.
///
/// ```text
/// q = w / N                   one pixel on the sensor
/// up      = (F/q) (-δ_up/D    - θ_right)        right = d × up, d: where the lens looks
/// across  = (F/q) (-δ_right/D + θ_up)
/// edge    = (N/2) θ_d                           a turn about the lens axis, at the picture's side
/// ```
///
/// # Symbols
///
/// | here             | in the sketch | unit | meaning                                            |
/// |------------------|---------------|------|----------------------------------------------------|
/// | `focal_m`        | `F`           | m    | focal length                                       |
/// | `sensor_width_m` | `w`           | m    | width of the picture on the sensor                 |
/// | `pixels`         | `N`           |      | pixels across that width                           |
/// | `distance_m`     | `D`           | m    | camera to subject, infinite when far               |
///
/// # Assumes
///
/// Small angles, a subject much farther than the focal length, in focus and at rest; no distortion of the lens, no rolling shutter, no
/// correction in camera or lens.
///
/// # Source
///
/// Similar triangles of a pinhole. `docs/mechanics.md` §14.8. Checked by `a_turn_shifts_the_picture_by_focal_length_times_angle`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    focal_m: f64,
    sensor_width_m: f64,
    pixels: f64,
    distance_m: f64,
}

impl Lens {
    /// Checks the numbers; a far subject has an infinite distance.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`] where one is not positive.
    pub fn new(
        focal_m: f64,
        sensor_width_m: f64,
        pixels: f64,
        distance_m: f64,
    ) -> Result<Self, ShakingError> {
        Ok(Self {
            focal_m: FOCAL.check(focal_m)?,
            sensor_width_m: WIDTH.check(sensor_width_m)?,
            pixels: PIXELS.check(pixels)?,
            distance_m: DISTANCE.check(distance_m)?,
        })
    }

    /// Pixels for each radian of turning across the view.
    pub fn px_per_rad(&self) -> f64 {
        self.focal_m * self.pixels / self.sensor_width_m
    }

    /// Pixels for each metre that the camera moves across the view.
    pub fn px_per_m(&self) -> f64 {
        self.px_per_rad() / self.distance_m
    }

    /// Shift of the picture for a movement of the camera: across, up, and at the picture's side by a turn about the lens axis, px.
    ///
    /// `view` is a horizontal unit vector, the way the lens looks; vehicle axes.
    pub fn shift_px(&self, view: DVec3, m: &Movement) -> [c64; 3] {
        let right = view.cross(DVec3::Z);
        let dot = |o: usize, d: DVec3| m[o] * d.x + m[o + 1] * d.y + m[o + 2] * d.z;
        let (angle, way) = (self.px_per_rad(), self.px_per_m());
        [
            dot(3, DVec3::Z) * angle - dot(0, right) * way,
            -dot(3, right) * angle - dot(0, DVec3::Z) * way,
            dot(3, view) * (0.5 * self.pixels),
        ]
    }
}

/// Weight of a frequency in the shift between the opening and the closing of the shutter: `4 sin²(π f T)`.
///
/// For a stationary random `x(t)` of one-sided spectrum `S(f)`,
///
/// ```text
/// E[(x(t + T) - x(t))²] = ∫ |e^(i 2π f T) - 1|² S(f) df = ∫ 4 sin²(π f T) S(f) df
/// ```
///
/// Slow shaking counts by `(2π f T)²`, its speed times `T`; shaking much quicker than `1/T` by 2 on average, the difference of two
/// independent places.
///
/// `docs/mechanics.md` §14.8. Checked by `a_random_walk_has_its_known_variance` and `a_slow_swing_smears_by_its_speed`.
pub fn shutter_weight(at_hz: f64, open_s: f64) -> f64 {
    4.0 * (PI * at_hz * open_s).sin().powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaking::spectrum::mean_squares;
    use proptest::prelude::*;
    use std::f64::consts::TAU;

    fn only(i: usize, v: f64) -> Movement {
        let mut m = [c64::new(0.0, 0.0); 6];
        m[i] = c64::new(v, 0.0);
        m
    }

    #[test]
    fn a_turn_shifts_the_picture_by_focal_length_times_angle() {
        // 50 mm on 25 mm and 4000 px: 2 x 4000 px/rad; at 10 m 800 px/m.
        let lens = Lens::new(0.05, 0.025, 4000.0, 10.0).unwrap();
        assert!((lens.px_per_rad() - 8000.0).abs() < 1e-9 && (lens.px_per_m() - 800.0).abs() < 1e-9);
        let shift = |m: &Movement| lens.shift_px(DVec3::X, m).map(|c| c.re);
        let near = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9);
        // Looking ahead, right is -y. Nose up is a turn of -0.001 about left (+y), +0.001 about right: the subject sinks.
        assert!(near(shift(&only(4, -1e-3)), [0.0, -8.0, 0.0]));
        // Turning left (+z): the subject goes right.
        assert!(near(shift(&only(5, 1e-3)), [8.0, 0.0, 0.0]));
        // Roll: 2000 px from the middle times the angle.
        assert!(near(shift(&only(3, 1e-3)), [0.0, 0.0, 2.0]));
        // Up by 1 mm: the subject sinks; left by 1 mm: it goes right; ahead: nothing.
        assert!(near(shift(&only(2, 1e-3)), [0.0, -0.8, 0.0]));
        assert!(near(shift(&only(1, 1e-3)), [0.8, 0.0, 0.0]));
        assert!(near(shift(&only(0, 1e-3)), [0.0; 3]));
        // Looking left, roll of the car tilts the picture up and down.
        let left = lens.shift_px(DVec3::Y, &only(3, 1e-3)).map(|c| c.re);
        assert!(near(left, [0.0, -8.0, 0.0]), "{left:?}");
    }

    #[test]
    fn a_far_subject_does_not_see_where_the_camera_goes() {
        let lens = Lens::new(0.05, 0.025, 4000.0, f64::INFINITY).unwrap();
        assert_eq!(lens.px_per_m().to_bits(), 0.0_f64.to_bits());
        for bad in [0.0, -1.0, f64::NAN] {
            assert!(
                Lens::new(bad, 0.025, 4000.0, 1.0).is_err() && Lens::new(0.05, bad, 4000.0, 1.0).is_err()
            );
            assert!(
                Lens::new(0.05, 0.025, bad, 1.0).is_err() && Lens::new(0.05, 0.025, 4000.0, bad).is_err()
            );
        }
    }

    #[test]
    fn a_random_walk_has_its_known_variance() {
        // White velocity of one-sided spectrum G: S = G/(2πf)², and E[(x(t+T) - x(t))²] = G T/2.
        let t = 0.02;
        let [sum] = mean_squares((1e-4, 2e4), &[0.5 / t, 5.0 / t, 50.0 / t], |f| {
            [shutter_weight(f, t) / (TAU * f).powi(2)]
        })
        .unwrap();
        // Tail over 2e4 Hz: 2/(4π² 2e4) = 2.5e-6 of 0.01; below 1e-4 Hz: T² 1e-4.
        assert!((sum / (t / 2.0) - 1.0).abs() < 5e-4, "{sum}");
    }

    #[test]
    fn a_slow_swing_smears_by_its_speed() {
        // Speed r.m.s. is ω times the place's; over T = 1 ms at 1 Hz, error (πfT)²/3 = 3e-6.
        let w = shutter_weight(1.0, 1e-3).sqrt();
        assert!((w / (TAU * 1e-3) - 1.0).abs() < 1e-5);
        assert!(shutter_weight(50.0, 0.02).abs() < 1e-20, "whole swings end where they began");
        assert!((shutter_weight(25.0, 0.02) - 4.0).abs() < 1e-12, "half a swing goes from peak to peak");
    }

    proptest! {
        #[test]
        fn blur_is_linear_in_focal_length(
            f in 0.005..0.4f64, s in 1.1..5.0f64, d in 0.5..500.0f64, v in proptest::array::uniform6(-0.01..0.01f64)
        ) {
            let m: Movement = v.map(|x| c64::new(x, -x / 2.0));
            let of = |f: f64| Lens::new(f, 0.025, 4096.0, d).unwrap().shift_px(DVec3::X, &m);
            let (a, b) = (of(f), of(f * s));
            for i in 0..2 {
                prop_assert!((b[i] - a[i] * s).norm() <= 1e-9 * (1.0 + b[i].norm()));
            }
            // Roll about the lens axis does not care for it.
            prop_assert!((b[2] - a[2]).norm() < 1e-12);
        }
    }
}
