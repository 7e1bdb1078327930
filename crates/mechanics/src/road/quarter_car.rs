//! One corner of a vehicle on a rough road: body, wheel, spring, damper, tyre.

use super::{RoadError, band};
use crate::range::Range;
use std::f64::consts::PI;

const MASS: Range = Range { what: "mass in the quarter car", low: 1e-3, high: 1e6, unit: "kg" };
const STIFFNESS: Range = Range { what: "stiffness in the quarter car", low: 1e-2, high: 1e9, unit: "N/m" };
const DAMPING: Range = Range { what: "damper in the quarter car", low: 1e-3, high: 1e8, unit: "N s/m" };
const SPECTRUM: Range = Range { what: "road velocity spectrum", low: 0.0, high: 1e3, unit: "(m/s)²/Hz" };
const FREQUENCY: Range = Range { what: "frequency", low: 1e-4, high: 1e5, unit: "Hz" };

/// The five numbers of a quarter car.
///
/// | here              | in the source | unit  | meaning                                   |
/// |-------------------|---------------|-------|-------------------------------------------|
/// | `sprung_kg`       | `m_s`         | kg    | body over this wheel, rig included        |
/// | `unsprung_kg`     | `m_u`         | kg    | wheel, brake, half the axle               |
/// | `spring_n_m`      | `k_s`         | N/m   | at the wheel                              |
/// | `damper_n_s_m`    | `c_s`         | N s/m | at the wheel                              |
/// | `tyre_n_m`        | `k_t`         | N/m   | vertical                                  |
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Body mass over the wheel, kg.
    pub sprung_kg: f64,
    /// Wheel mass, kg.
    pub unsprung_kg: f64,
    /// Spring rate at the wheel, N/m.
    pub spring_n_m: f64,
    /// Damper rate at the wheel, N s/m.
    pub damper_n_s_m: f64,
    /// Tyre rate, N/m.
    pub tyre_n_m: f64,
}

/// The standard car of the International Roughness Index, per kilogram of body.
///
/// World Bank Technical Paper 46 (Sayers, Gillespie and Paterson, 1986); ASTM E1926 [from memory]. Damped harder than
/// road cars are.
pub const GOLDEN_CAR: Corner =
    Corner { sprung_kg: 1.0, unsprung_kg: 0.15, spring_n_m: 63.3, damper_n_s_m: 6.0, tyre_n_m: 653.0 };

/// A checked quarter car with linear spring, damper and tyre.
///
/// ```text
///   m_s  body     z_s up +       m_s z_s'' = -k_s (z_s - z_u) - c_s (z_s' - z_u')
///   k_s c_s                      m_u z_u'' = +k_s (z_s - z_u) + c_s (z_s' - z_u') - k_t (z_u - z_r)
///   m_u  wheel    z_u
///   k_t  tyre                    D(s) = (m_s s² + c_s s + k_s)(m_u s² + c_s s + k_s + k_t) - (c_s s + k_s)²
///  ~~~~  road     z_r
/// ```
///
/// # Frame and signs
///
/// Heights from static equilibrium, up +.
///
/// # Assumes
///
/// Linear, tyre always on the road, tyre without damping, no stops, no pitch or roll of the body: the body over one axle.
/// A light car's roof panel and the rig's own sway come on top.
///
/// # Source
///
/// S. Türkay and H. Akçay, "A study of random vibration characteristics of the quarter-car model", *J. Sound and
/// Vibration* 282 (2005) 111-124 [from memory]. `docs/mechanics.md` §3.7. Checked by `tests/sources/turkay-2005`
/// and, for the equations of motion, by `tests/sources/sayers-1986`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct QuarterCar(Corner);

/// Root-mean-square ride of one corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ride {
    /// Vertical acceleration of the body, m/s².
    pub body_m_s2: f64,
    /// Travel of the suspension about its static place, m.
    pub travel_m: f64,
    /// Deflection of the tyre about its static one, m.
    pub tyre_m: f64,
}

/// Steady gains at one frequency from the road's vertical velocity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gains {
    /// Body acceleration over road velocity, 1/s.
    pub body_per_s: f64,
    /// Suspension travel over road velocity, s.
    pub travel_s: f64,
    /// Tyre deflection over road velocity, s.
    pub tyre_s: f64,
}

impl QuarterCar {
    /// Checks the five numbers.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] when one is not positive, or far from any vehicle.
    pub fn new(corner: Corner) -> Result<Self, RoadError> {
        MASS.check(corner.sprung_kg)?;
        MASS.check(corner.unsprung_kg)?;
        STIFFNESS.check(corner.spring_n_m)?;
        DAMPING.check(corner.damper_n_s_m)?;
        STIFFNESS.check(corner.tyre_n_m)?;
        Ok(Self(corner))
    }

    /// The five numbers.
    pub fn corner(&self) -> &Corner {
        &self.0
    }

    /// Body and wheel frequencies, Hz: the two roots of the undamped, coupled system, low one first.
    ///
    /// `m_s m_u ω⁴ - [m_s (k_s + k_t) + m_u k_s] ω² + k_s k_t = 0`. Checked by `tests/sources/turkay-2005`.
    pub fn natural_frequencies_hz(&self) -> (f64, f64) {
        let Corner { sprung_kg: ms, unsprung_kg: mu, spring_n_m: ks, tyre_n_m: kt, .. } = self.0;
        let half = 0.5 * (ms * (ks + kt) + mu * ks);
        // half² - m_s m_u k_s k_t is a sum of squares in disguise, so the root is real; max guards rounding.
        let high = half + (half * half - ms * mu * ks * kt).max(0.0).sqrt();
        // Product of the roots is k_s k_t / m_s m_u; dividing keeps the digits of the small one.
        let (low_squared, high_squared) = (ks * kt / high, high / (ms * mu));
        (low_squared.sqrt() / (2.0 * PI), high_squared.sqrt() / (2.0 * PI))
    }

    /// Ride on a road whose vertical velocity is white noise of one-sided spectrum `G_v`, all frequencies.
    ///
    /// ```text
    /// E[z_s''²]        = G_v/4 [ (m_s + m_u) k_s² / (c_s m_s²) + c_s k_t / m_s² ]
    /// E[(z_s - z_u)²]  = G_v/4 (m_s + m_u) / c_s
    /// E[(z_u - z_r)²]  = G_v/4 [ M³ k_s² / (c_s k_t² m_s²) - 2 M m_u k_s / (c_s k_t m_s)
    ///                            + M² c_s / (m_s² k_t) + m_u / c_s ],   M = m_s + m_u
    /// ```
    ///
    /// # Source
    ///
    /// Türkay and Akçay 2005 [from memory]; same form in D. Hrovat, *Automatica* 33 (1997) [from memory].
    /// `docs/mechanics.md` §3.7. Checked by `tests/sources/turkay-2005` and, independently,
    /// `integrating_the_gains_gives_the_closed_form`.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] for the spectrum.
    pub fn ride(&self, velocity_psd: f64) -> Result<Ride, RoadError> {
        let quarter = SPECTRUM.check(velocity_psd)? / 4.0;
        let Corner { sprung_kg: ms, unsprung_kg: mu, spring_n_m: ks, damper_n_s_m: cs, tyre_n_m: kt } =
            self.0;
        let m = ms + mu;
        let body = m * ks * ks / (cs * ms * ms) + cs * kt / (ms * ms);
        let travel = m / cs;
        let tyre = m.powi(3) * ks * ks / (cs * kt * kt * ms * ms) - 2.0 * m * mu * ks / (cs * kt * ms)
            + m * m * cs / (ms * ms * kt)
            + mu / cs;
        Ok(Ride {
            body_m_s2: (quarter * body).sqrt(),
            travel_m: (quarter * travel).sqrt(),
            tyre_m: (quarter * tyre.max(0.0)).sqrt(),
        })
    }

    /// Steady gains at one frequency, from the equations of motion with `s = i 2π f`.
    ///
    /// `z_s''/z_r' = s k_t (c_s s + k_s)/D`, `(z_s - z_u)/z_r' = -k_t m_s s/D`,
    /// `(z_u - z_r)/z_r' = -[m_s m_u s³ + (m_s + m_u)(c_s s² + k_s s)]/D`. `docs/mechanics.md` §3.7.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] for a frequency outside 10⁻⁴ to 10⁵ Hz.
    pub fn gains(&self, frequency_hz: f64) -> Result<Gains, RoadError> {
        Ok(self.gains_at(2.0 * PI * FREQUENCY.check(frequency_hz)?))
    }

    /// `|z_s / z_r|` at `w` rad/s; the same for its acceleration.
    pub(crate) fn body_over_road(&self, w: f64) -> f64 {
        self.gains_at(w).body_per_s / w
    }

    fn gains_at(&self, w: f64) -> Gains {
        let Corner { sprung_kg: ms, unsprung_kg: mu, spring_n_m: ks, damper_n_s_m: cs, tyre_n_m: kt } =
            self.0;
        let m = ms + mu;
        let w2 = w * w;
        let real = ms * mu * w2 * w2 - (ms * (ks + kt) + mu * ks) * w2 + ks * kt;
        let imaginary = cs * w * (kt - m * w2);
        // D has no zero on the imaginary axis: where its imaginary part is zero, w² = k_t/M, its real part is
        // -(m_s k_t / M)².
        let d = real.hypot(imaginary);
        Gains {
            body_per_s: w * kt * (cs * w).hypot(ks) / d,
            travel_s: kt * ms * w / d,
            tyre_s: w * (m * ks - ms * mu * w2).hypot(m * cs * w) / d,
        }
    }

    /// Ride counted only between two frequencies, for a white road velocity.
    ///
    /// A road described from 0.01 to 10 cycle/m and driven at `v` excites `0.01 v` to `10 v` Hz.
    ///
    /// # Assumes
    ///
    /// As [`QuarterCar::ride`]. Simpson's rule in `ln f`, cut at the two natural frequencies, strips doubled until the three
    /// results move by less than 10⁻⁸.
    ///
    /// # Errors
    ///
    /// [`RoadError`] for the spectrum or band, or [`RoadError::NotSettled`].
    pub fn ride_in_band(&self, velocity_psd: f64, low_hz: f64, high_hz: f64) -> Result<Ride, RoadError> {
        let spectrum = SPECTRUM.check(velocity_psd)?;
        let (low, high) = band(&FREQUENCY, low_hz, high_hz)?;
        let (body, wheel) = self.natural_frequencies_hz();
        let ends = [low, body.clamp(low, high), wheel.clamp(low, high), high];
        let mut sum = [0.0; 3];
        for pair in ends.windows(2) {
            if let [from, to] = *pair
                && from < to
            {
                let part = self.integral(from.ln(), to.ln())?;
                for (total, p) in sum.iter_mut().zip(part) {
                    *total += p;
                }
            }
        }
        let [body, travel, tyre] = sum.map(|s| (spectrum * s).sqrt());
        Ok(Ride { body_m_s2: body, travel_m: travel, tyre_m: tyre })
    }

    /// Integral of the three squared gains over frequency, between two values of `ln f`.
    fn integral(&self, from: f64, to: f64) -> Result<[f64; 3], RoadError> {
        let at = |x: f64| {
            let f = x.exp();
            let g = self.gains_at(2.0 * PI * f);
            [g.body_per_s, g.travel_s, g.tyre_s].map(|gain| gain * gain * f)
        };
        let add = |a: [f64; 3], b: [f64; 3]| [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
        let trapezoid_of = |inner: [f64; 3], width: f64| inner.map(|s| s * width);
        let ends = add(at(from), at(to)).map(|s| s / 2.0);
        let mut strips = 64_u32;
        let mut inner = ends;
        for k in 1..strips {
            inner = add(inner, at(from + (to - from) * f64::from(k) / f64::from(strips)));
        }
        let mut trapezoid = trapezoid_of(inner, (to - from) / f64::from(strips));
        let mut last: Option<[f64; 3]> = None;
        let mut change = f64::INFINITY;
        while strips <= 1 << 19 {
            strips *= 2;
            for k in (1..strips).step_by(2) {
                inner = add(inner, at(from + (to - from) * f64::from(k) / f64::from(strips)));
            }
            let finer = trapezoid_of(inner, (to - from) / f64::from(strips));
            let simpson = [0, 1, 2].map(|i: usize| (4.0 * finer[i] - trapezoid[i]) / 3.0);
            if let Some(last) = last {
                change = [0, 1, 2]
                    .map(|i: usize| (simpson[i] / last[i] - 1.0).abs())
                    .into_iter()
                    .fold(0.0, f64::max);
                if change < 1e-8 {
                    return Ok(simpson);
                }
            }
            trapezoid = finer;
            last = Some(simpson);
        }
        Err(RoadError::NotSettled { change })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn corner() -> impl Strategy<Value = Corner> {
        (150.0..800.0f64, 25.0..100.0f64, 8e3..80e3f64, 600.0..6e3f64, 100e3..400e3f64).prop_map(
            |(sprung_kg, unsprung_kg, spring_n_m, damper_n_s_m, tyre_n_m)| Corner {
                sprung_kg,
                unsprung_kg,
                spring_n_m,
                damper_n_s_m,
                tyre_n_m,
            },
        )
    }

    #[test]
    fn refuses_what_is_no_corner() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            for corner in [
                Corner { sprung_kg: bad, ..GOLDEN_CAR },
                Corner { unsprung_kg: bad, ..GOLDEN_CAR },
                Corner { spring_n_m: bad, ..GOLDEN_CAR },
                Corner { damper_n_s_m: bad, ..GOLDEN_CAR },
                Corner { tyre_n_m: bad, ..GOLDEN_CAR },
            ] {
                assert!(QuarterCar::new(corner).is_err(), "{corner:?}");
            }
        }
        let car = QuarterCar::new(GOLDEN_CAR).unwrap();
        assert!(car.ride(f64::NAN).is_err());
        assert!(car.ride(-1.0).is_err());
        assert!(car.gains(0.0).is_err());
        assert_eq!(car.ride_in_band(1.0, 5.0, 2.0), Err(RoadError::EmptyBand { low: 5.0, high: 2.0 }));
    }

    #[test]
    fn a_slow_road_lifts_the_whole_corner() {
        // Far below both frequencies the body follows the road: acceleration over velocity is ω.
        let car = QuarterCar::new(GOLDEN_CAR).unwrap();
        let w = 2.0 * PI * 0.01;
        // Leading correction (f / f_body)² is 7e-5.
        assert!((car.gains(0.01).unwrap().body_per_s / w - 1.0).abs() < 1e-3);
    }

    #[test]
    fn bands_add_by_squares() {
        let car = QuarterCar::new(GOLDEN_CAR).unwrap();
        let part = |low, high| car.ride_in_band(1e-3, low, high).unwrap().body_m_s2.powi(2);
        // Each piece is settled to 1e-8.
        assert!((part(0.2, 3.0) + part(3.0, 200.0) - part(0.2, 200.0)).abs() < 1e-6 * part(0.2, 200.0));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn integrating_the_gains_gives_the_closed_form(corner in corner()) {
            let car = QuarterCar::new(corner).unwrap();
            let exact = car.ride(1e-3).unwrap();
            let summed = car.ride_in_band(1e-3, 1e-4, 1e5).unwrap();
            // Tails left out: below 1e-4 Hz travel gains fall as f, tyre above 1e5 Hz as 1/f; both under 1e-4 of the rms.
            prop_assert!((summed.body_m_s2 / exact.body_m_s2 - 1.0).abs() < 1e-4);
            prop_assert!((summed.travel_m / exact.travel_m - 1.0).abs() < 1e-4);
            prop_assert!((summed.tyre_m / exact.tyre_m - 1.0).abs() < 1e-4);
        }

        #[test]
        fn frequencies_solve_their_equation_and_straddle_the_simple_ones(corner in corner()) {
            let car = QuarterCar::new(corner).unwrap();
            let (low, high) = car.natural_frequencies_hz();
            let Corner { sprung_kg: ms, unsprung_kg: mu, spring_n_m: ks, tyre_n_m: kt, .. } = corner;
            for f in [low, high] {
                let w2 = (2.0 * PI * f).powi(2);
                let rest = ms * mu * w2 * w2 - (ms * (ks + kt) + mu * ks) * w2 + ks * kt;
                prop_assert!(rest.abs() < 1e-9 * ks * kt * (1.0 + w2 * mu / kt).powi(2) * (ms / mu));
            }
            // Rayleigh: the coupled roots lie outside the body on fixed wheel and the wheel under a fixed body.
            prop_assert!(low < (ks / ms).sqrt() / (2.0 * PI));
            prop_assert!(high > ((ks + kt) / mu).sqrt() / (2.0 * PI));
        }
    }
}
