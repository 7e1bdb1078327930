//! One bump, kerb or pothole under one wheel, and the jolt that the body gets from it.

use super::quarter_car::{Corner, QuarterCar};
use super::{RoadError, SPEED};
use crate::STANDARD_GRAVITY;
use crate::range::Range;
use std::f64::consts::PI;

const HEIGHT: Range = Range { what: "height of a bump", low: -0.5, high: 0.5, unit: "m" };
const LENGTH: Range = Range { what: "length of a bump", low: 0.02, high: 50.0, unit: "m" };

/// Most steps one run may take.
pub(crate) const MOST_STEPS: f64 = 4e6;
/// Change of either peak at a halving, as a share of the greater peak, that counts as settled.
const SETTLED: f64 = 1e-4;

/// A half-sine bump: `z_r = h sin(π x / L)` for `0 ≤ x ≤ L`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bump {
    height_m: f64,
    length_m: f64,
}

impl Bump {
    /// A bump of height `h` (negative for a pothole) and length `L` along the road.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] unless the height is within ± 0.5 m and the length 0.02 to 50 m.
    pub fn new(height_m: f64, length_m: f64) -> Result<Self, RoadError> {
        Ok(Self { height_m: HEIGHT.check(height_m)?, length_m: LENGTH.check(length_m)? })
    }
}

/// What a bump does to one corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jolt {
    /// Greatest upward acceleration of the body, m/s², not negative.
    pub up_m_s2: f64,
    /// Greatest downward acceleration of the body, m/s², as a size, not negative.
    pub down_m_s2: f64,
    /// Greatest shortening of the suspension from rest, m; compare with the travel to its bump stop.
    pub compression_m: f64,
    /// Greatest lengthening of the suspension from rest, m.
    pub extension_m: f64,
    /// Whether the wheel left the road.
    pub wheel_lifts: bool,
    /// Change of the worse peak at the last halving of the step, as a share of the greater peak.
    pub step_change: f64,
}

/// Peak body acceleration from driving one wheel over a bump.
///
/// The equations of [`QuarterCar`] with a tyre that pushes but cannot pull: its force on the wheel is
/// `max(k_t (z_r - z_u), -(m_s + m_u) g)` above the static load. Integrated with the classical fourth-order Runge-Kutta rule
/// from rest, through the bump and three periods of the body after it; the step is halved until both peaks move by less than
/// 10⁻⁴ of the greater.
///
/// # Assumes
///
/// Point contact: a real tyre bridges bumps shorter than its contact patch (about 0.25 m), so short bumps come out too
/// hard. No stops in the suspension: past its travel the jolt is harder, so compare [`Jolt::compression_m`] with the travel.
/// One wheel's corner alone: the middle of the vehicle gets less.
///
/// # Source
///
/// Equations as [`QuarterCar`]; Runge-Kutta: Hairer, Nørsett and Wanner, *Solving Ordinary Differential Equations I*, 2nd
/// ed., §II.1. `docs/mechanics.md` §3.8. Checked by `agrees_with_exact_stepping_while_the_tyre_stays_down`.
///
/// # Errors
///
/// [`RoadError::OutOfRange`] for the speed, [`RoadError::TooStiff`] or [`RoadError::NotSettled`].
pub fn jolt(car: &QuarterCar, bump: &Bump, speed_m_s: f64) -> Result<Jolt, RoadError> {
    let speed = SPEED.check(speed_m_s)?;
    let run = Run::new(car.corner(), bump, speed);
    let mut steps_on_bump = run.first_steps();
    let mut coarse = run.peaks(steps_on_bump)?;
    let mut change = f64::INFINITY;
    for _ in 0..8 {
        steps_on_bump *= 2.0;
        let fine = run.peaks(steps_on_bump)?;
        let size = fine.up_m_s2.max(fine.down_m_s2);
        let moved = (fine.up_m_s2 - coarse.up_m_s2).abs().max((fine.down_m_s2 - coarse.down_m_s2).abs());
        change = if size > 0.0 { moved / size } else { 0.0 };
        if change <= SETTLED {
            return Ok(Jolt { step_change: change, ..fine });
        }
        coarse = fine;
    }
    Err(RoadError::NotSettled { change })
}

/// One run over a bump.
pub(crate) struct Run {
    corner: Corner,
    height_m: f64,
    /// Time on the bump, s.
    pub(crate) on_bump_s: f64,
    /// Time looked at after it, s.
    pub(crate) after_s: f64,
}

impl Run {
    pub(crate) fn new(corner: &Corner, bump: &Bump, speed: f64) -> Self {
        let body_hz = (corner.spring_n_m / corner.sprung_kg).sqrt() / (2.0 * PI);
        let on_bump_s = bump.length_m / speed;
        Self { corner: *corner, height_m: bump.height_m, on_bump_s, after_s: 3.0 / body_hz }
    }

    /// Steps on the bump for a first run: a fifth of the shortest time in the system, and 32 at least.
    pub(crate) fn first_steps(&self) -> f64 {
        let Corner { sprung_kg: ms, unsprung_kg: mu, spring_n_m: ks, damper_n_s_m: cs, tyre_n_m: kt } =
            self.corner;
        let fastest = ((ks + kt) / mu).sqrt() + cs / mu + (ks / ms).sqrt() + cs / ms;
        (5.0 * fastest * self.on_bump_s).ceil().max(32.0)
    }

    /// One run with `steps_on_bump` equal steps from start to end of the bump, and the same step after it.
    fn peaks(&self, steps_on_bump: f64) -> Result<Jolt, RoadError> {
        let dt = self.on_bump_s / steps_on_bump;
        let steps = steps_on_bump + (self.after_s / dt).ceil();
        if steps.is_nan() || steps > MOST_STEPS {
            return Err(RoadError::TooStiff { steps });
        }
        let mut x = [0.0; 4];
        let mut jolt = Jolt {
            up_m_s2: 0.0,
            down_m_s2: 0.0,
            compression_m: 0.0,
            extension_m: 0.0,
            wheel_lifts: false,
            step_change: 0.0,
        };
        let mut done = 0.0;
        while done < steps {
            let share = done / steps_on_bump;
            let next = (done + 1.0) / steps_on_bump;
            let (now, mid, then) = (self.road(share), self.road(f64::midpoint(share, next)), self.road(next));
            let k1 = self.rates(&x, now).0;
            let k2 = self.rates(&along(&x, &k1, dt / 2.0), mid).0;
            let k3 = self.rates(&along(&x, &k2, dt / 2.0), mid).0;
            let k4 = self.rates(&along(&x, &k3, dt), then).0;
            for i in 0..4 {
                x[i] += dt / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]);
            }
            let (rates, lifted) = self.rates(&x, then);
            jolt.up_m_s2 = jolt.up_m_s2.max(rates[1]);
            jolt.down_m_s2 = jolt.down_m_s2.max(-rates[1]);
            jolt.compression_m = jolt.compression_m.max(x[2] - x[0]);
            jolt.extension_m = jolt.extension_m.max(x[0] - x[2]);
            jolt.wheel_lifts |= lifted;
            done += 1.0;
        }
        // `max` passes over NaN; the state keeps it.
        if x.iter().all(|v| v.is_finite()) {
            Ok(jolt)
        } else {
            Err(RoadError::NotSettled { change: f64::INFINITY })
        }
    }

    /// Road height at a share of the bump's length.
    pub(crate) fn road(&self, share: f64) -> f64 {
        if share < 1.0 { self.height_m * (PI * share).sin() } else { 0.0 }
    }

    /// Rates of `[z_s, z_s', z_u, z_u']`, and whether the tyre is off the road.
    pub(crate) fn rates(&self, x: &[f64; 4], road_m: f64) -> ([f64; 4], bool) {
        let Corner { sprung_kg: ms, unsprung_kg: mu, spring_n_m: ks, damper_n_s_m: cs, tyre_n_m: kt } =
            self.corner;
        let strut = ks * (x[2] - x[0]) + cs * (x[3] - x[1]);
        let tyre = kt * (road_m - x[2]);
        let off = -(ms + mu) * STANDARD_GRAVITY;
        ([x[1], strut / ms, x[3], (tyre.max(off) - strut) / mu], tyre < off)
    }
}

fn along(x: &[f64; 4], k: &[f64; 4], dt: f64) -> [f64; 4] {
    [x[0] + dt * k[0], x[1] + dt * k[1], x[2] + dt * k[2], x[3] + dt * k[3]]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::road::transition::Transition;

    const CORNER: Corner =
        Corner { sprung_kg: 300.0, unsprung_kg: 60.0, spring_n_m: 16e3, damper_n_s_m: 1e3, tyre_n_m: 190e3 };

    fn car() -> QuarterCar {
        QuarterCar::new(CORNER).unwrap()
    }

    #[test]
    fn agrees_with_exact_stepping_while_the_tyre_stays_down() {
        // 10 mm over 1 m at 5 m/s. The exact stepper holds the road over each of 40 000 steps (midpoint height), an error
        // of second order in a step of 5 µs, far below the 1e-4 that the integration itself is settled to.
        let bump = Bump::new(0.01, 1.0).unwrap();
        let got = jolt(&car(), &bump, 5.0).unwrap();
        assert!(!got.wheel_lifts);
        let dt = 5e-6;
        let step = Transition::new(&car(), dt).unwrap();
        let mut x = [0.0; 4];
        let (mut up, mut down) = (0.0_f64, 0.0_f64);
        for k in 0..600_000_u32 {
            let s = (f64::from(k) + 0.5) * dt * 5.0;
            x = step.step(&x, if s < 1.0 { 0.01 * (PI * s).sin() } else { 0.0 });
            let a = (16e3 * (x[2] - x[0]) + 1e3 * (x[3] - x[1])) / 300.0;
            up = up.max(a);
            down = down.max(-a);
        }
        assert!((got.up_m_s2 / up - 1.0).abs() < 3e-4, "{} against {up}", got.up_m_s2);
        assert!((got.down_m_s2 / down - 1.0).abs() < 3e-4, "{} against {down}", got.down_m_s2);
    }

    #[test]
    fn a_long_low_bump_is_driven_over_quasi_statically() {
        // 10 s on the bump against a body period of 0.9 s: the body follows, and only the kink of slope π h v / L = 0.031 m/s
        // at either end moves the suspension, by at most 0.031 / ω_body = 4.3 mm.
        let got = jolt(&car(), &Bump::new(0.1, 50.0).unwrap(), 5.0).unwrap();
        assert!(got.compression_m < 0.005 && got.extension_m < 0.005, "{got:?}");
    }

    #[test]
    fn small_bumps_scale_and_potholes_mirror() {
        let one = jolt(&car(), &Bump::new(0.005, 0.5).unwrap(), 3.0).unwrap();
        let two = jolt(&car(), &Bump::new(0.010, 0.5).unwrap(), 3.0).unwrap();
        let hole = jolt(&car(), &Bump::new(-0.005, 0.5).unwrap(), 3.0).unwrap();
        assert!(!two.wheel_lifts && !hole.wheel_lifts);
        // Linear while the tyre stays down; same steps, so only rounding.
        assert!((two.up_m_s2 / one.up_m_s2 - 2.0).abs() < 1e-9);
        assert!((hole.down_m_s2 / one.up_m_s2 - 1.0).abs() < 1e-9);
        assert!((hole.up_m_s2 / one.down_m_s2 - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_kerb_at_speed_throws_the_wheel_off_the_road() {
        let got = jolt(&car(), &Bump::new(0.1, 0.4).unwrap(), 8.0).unwrap();
        assert!(got.wheel_lifts);
        assert!(got.step_change <= SETTLED);
        // No published value: a kerb's jolt is more than 1 g and less than 10 g.
        assert!(got.up_m_s2 > 9.81 && got.up_m_s2 < 98.1, "{got:?}");
    }

    #[test]
    fn off_the_road_the_mass_centre_falls_freely() {
        let run = Run::new(&CORNER, &Bump::new(0.1, 0.4).unwrap(), 8.0);
        let (rates, lifted) = run.rates(&[0.2, 1.0, 0.15, 2.0], 0.0);
        assert!(lifted);
        let centre = (300.0 * rates[1] + 60.0 * rates[3]) / 360.0;
        // Internal forces cancel; rounding of forces of some 1e4 N.
        assert!((centre + STANDARD_GRAVITY).abs() < 1e-10);
        // On the road the tyre's spring rate counts.
        let (rates, lifted) = run.rates(&[0.0; 4], 0.01);
        assert!(!lifted);
        assert!((rates[3] - 190e3 * 0.01 / 60.0).abs() < 1e-10);
    }

    #[test]
    fn flat_ground_shakes_nothing_and_bad_input_is_refused() {
        let flat = jolt(&car(), &Bump::new(0.0, 1.0).unwrap(), 10.0).unwrap();
        assert!(flat.up_m_s2 < 1e-12 && flat.down_m_s2 < 1e-12);
        assert!(Bump::new(0.51, 1.0).is_err());
        assert!(Bump::new(f64::NAN, 1.0).is_err());
        assert!(Bump::new(0.1, 0.0).is_err());
        assert!(jolt(&car(), &Bump::new(0.1, 1.0).unwrap(), f64::NAN).is_err());
        let stiff = QuarterCar::new(Corner { unsprung_kg: 1e-3, tyre_n_m: 1e9, ..CORNER }).unwrap();
        let told = jolt(&stiff, &Bump::new(0.1, 50.0).unwrap(), 0.1);
        assert!(matches!(told, Err(RoadError::TooStiff { .. })));
    }
}
