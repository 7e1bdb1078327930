//! How a rough road moves a car's body: up and down, in pitch and in roll.

use super::{Movement, ShakingError, c64};
use crate::range::Range;
use crate::road::SPEED;
use crate::road::quarter_car::{Corner, QuarterCar};
use std::f64::consts::{PI, TAU};

const WHEELBASE: Range = Range { what: "wheelbase", low: 0.01, high: 20.0, unit: "m" };
const TRACK: Range = Range { what: "track", low: 1e-4, high: 5.0, unit: "m" };
const HEIGHT: Range =
    Range { what: "height of the car's centre or roll axis", low: -1.0, high: 5.0, unit: "m" };
const GYRATION: Range =
    Range { what: "radius of gyration of the body in roll", low: 1e-4, high: 5.0, unit: "m" };
const BODY: Range = Range { what: "mass of the car's body", low: 1e-3, high: 1e6, unit: "kg" };
const SPECTRUM: Range = Range { what: "road velocity spectrum", low: 0.0, high: 1e3, unit: "(m/s)²/Hz" };

/// What is known of a car that shakes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Car {
    /// One corner; all four are taken alike for their weight.
    pub corner: Corner,
    /// Body on its springs, kg.
    pub body_kg: f64,
    /// Wheelbase `L`, m.
    pub wheelbase_m: f64,
    /// Track `t`, m.
    pub track_m: f64,
    /// Height of the mass centre over the road, m.
    pub centre_height_m: f64,
    /// Height of the roll axis over the road, m.
    pub roll_axis_height_m: f64,
    /// Stiffness of the whole suspension in roll, N m/rad.
    pub roll_stiffness_nm_rad: f64,
    /// Radius of gyration of the body in roll, m.
    pub roll_gyration_m: f64,
}

/// A car body on a rough road with two tracks.
///
/// ```text
/// front axle   z_f = H(f) z_m                       H: quarter car, body over road
/// rear axle    z_r = H(f) z_m e^(-i 2π f L/v)       the same road, L/v later
/// pitch        θ = (z_r - z_f)/L                    nose down +
/// roll         φ = H_φ(f) φ_road (1 + e^(-i 2π f L/v))/2,   φ_road = (z_left - z_right)/t
/// road         S_m = S (1 + g)/2,   S_φ = 2 S (1 - g)/t²,   g = x K₁(x),  x = 2π n t
/// ```
///
/// `z_m` is the mean height of the two tracks. It and the difference are independent, because the tracks are alike.
///
/// # Frame and signs
///
/// ISO 8855; the movement is that of the body at the point on the ground under the middle of the front axle. Pitch turns about
/// the height of the mass centre, roll about the roll axis.
///
/// # Assumes
///
/// * Front and rear do not couple: the body's radius of gyration in pitch is `√(a b)`, as in most cars within some 10 %
///   (common practice, no source), and front and rear have the same frequencies. Each axle is then a quarter car.
/// * Roll is a quarter car of its own, turning: inertia `m ρ²` for the body, `m_u t²`, `c t²` and `k_t t²` for four wheels,
///   dampers and tyres half a track from the middle.
/// * The road is the same in all directions (isotropic), which gives `g`.
/// * As [`QuarterCar`]: linear, no stops, tyres never off the road, point contact. Body stiff. Engine, wheels out of balance and
///   the driver left out.
///
/// # Source
///
/// Axles that do not couple: T. D. Gillespie, *Fundamentals of Vehicle Dynamics*, ch. 5 [from memory]. Coherence of two tracks:
/// K. M. A. Kamash and J. D. Robson, "Implications of isotropy in random surfaces", *J. Sound and Vibration* 54 (1977) [from
/// memory]; derived in `docs/mechanics.md` §14.4. Checked by `the_front_axle_is_a_quarter_car` and
/// `two_tracks_come_from_a_surface_that_is_the_same_in_all_directions`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarBody {
    car: Car,
    heave: QuarterCar,
    roll: QuarterCar,
}

impl CarBody {
    /// Checks the numbers.
    ///
    /// # Errors
    ///
    /// [`ShakingError`] where one is not positive or far from any car.
    pub fn new(car: Car) -> Result<Self, ShakingError> {
        let t2 = TRACK.check(car.track_m)?.powi(2);
        WHEELBASE.check(car.wheelbase_m)?;
        HEIGHT.check(car.centre_height_m)?;
        HEIGHT.check(car.roll_axis_height_m)?;
        let heave = QuarterCar::new(car.corner)?;
        let roll = QuarterCar::new(Corner {
            sprung_kg: BODY.check(car.body_kg)? * GYRATION.check(car.roll_gyration_m)?.powi(2),
            unsprung_kg: car.corner.unsprung_kg * t2,
            spring_n_m: car.roll_stiffness_nm_rad,
            damper_n_s_m: car.corner.damper_n_s_m * t2,
            tyre_n_m: car.corner.tyre_n_m * t2,
        })?;
        Ok(Self { car, heave, roll })
    }

    /// Bounce of the body and hop of the wheels, Hz.
    pub fn heave_hz(&self) -> (f64, f64) {
        self.heave.natural_frequencies_hz()
    }

    /// The two frequencies in roll, Hz.
    pub fn roll_hz(&self) -> (f64, f64) {
        self.roll.natural_frequencies_hz()
    }

    /// On a road at a speed.
    ///
    /// # Errors
    ///
    /// [`ShakingError`] for a speed outside 0.1 to 100 m/s or a spectrum that is none.
    pub fn on(&self, velocity_psd: f64, speed_m_s: f64) -> Result<Driven, ShakingError> {
        let speed = SPEED.check(speed_m_s)?;
        Ok(Driven { body: *self, velocity_psd: SPECTRUM.check(velocity_psd)?, speed_m_s: speed })
    }
}

/// A car body driven over a road.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Driven {
    body: CarBody,
    velocity_psd: f64,
    speed_m_s: f64,
}

impl Driven {
    /// Movements of the body at the ground under the front axle at a frequency: by the mean of the tracks, and by their
    /// difference. Each is scaled by the square root of its source's spectrum, so `|·|²` is m²/Hz or rad²/Hz.
    pub fn at(&self, at_hz: f64) -> [Movement; 2] {
        let Car { wheelbase_m: l, track_m: t, centre_height_m, roll_axis_height_m, .. } = self.body.car;
        let w = TAU * at_hz;
        let road = self.velocity_psd.sqrt() / w;
        let g = track_coherence(at_hz / self.speed_m_s, t);
        let later = c64::cis(-w * l / self.speed_m_s);
        let one = c64::new(1.0, 0.0);
        let zero = c64::new(0.0, 0.0);
        let front = self.body.heave.body_over_road(w) * road * (f64::midpoint(1.0, g)).sqrt();
        let pitch = (later - one) * (front / l);
        let mean = [-pitch * centre_height_m, zero, one * front, zero, pitch, zero];
        let tilt = self.body.roll.body_over_road(w) * road * (2.0 * (1.0 - g).max(0.0)).sqrt() / t;
        let roll = (one + later) * (0.5 * tilt);
        let apart = [zero, roll * roll_axis_height_m, zero, roll, zero, zero];
        [mean, apart]
    }
}

/// Coherence (square root of the usual squared one, real) of two parallel tracks: `x K₁(x)`, `x = 2π n t`.
///
/// A surface that is the same in all directions and whose tracks have the spectrum `n⁻²` has the two-dimensional spectrum
/// `k⁻³`; across the tracks `∫ (k_x² + k_y²)^(-3/2) cos(k_y t) dk_y = 2 (t/k_x) K₁(k_x t)` (Basset), which at `t = 0` is `2/k_x²`.
///
/// `docs/mechanics.md` §14.4.
pub fn track_coherence(cycles_per_m: f64, track_m: f64) -> f64 {
    let x = 2.0 * PI * cycles_per_m * track_m;
    if x.is_nan() {
        return f64::NAN;
    }
    x_k1(x.abs()).clamp(0.0, 1.0)
}

/// `x K₁(x)` for `x ≥ 0`; error under 1e-6. M. Abramowitz and I. Stegun, *Handbook of Mathematical Functions*, 9.8.3, 9.8.7 and 9.8.8
/// [from memory]; checked against scipy's `kv` in `x_times_k1_agrees_with_tables`.
fn x_k1(x: f64) -> f64 {
    let poly = |c: &[f64], t: f64| c.iter().rev().fold(0.0, |sum, c| sum * t + c);
    if x <= 0.0 {
        1.0
    } else if x <= 2.0 {
        let i1 = x * poly(
            &[0.5, 0.878_905_94, 0.514_988_69, 0.150_849_34, 0.026_587_33, 0.003_015_32, 0.000_324_11],
            (x / 3.75).powi(2),
        );
        x * (x / 2.0).ln() * i1
            + poly(
                &[
                    1.0,
                    0.154_431_44,
                    -0.672_785_79,
                    -0.181_568_97,
                    -0.019_194_02,
                    -0.001_104_04,
                    -0.000_046_86,
                ],
                (x / 2.0).powi(2),
            )
    } else {
        let c = [
            1.253_314_14,
            0.234_986_19,
            -0.036_556_20,
            0.015_042_68,
            -0.007_803_53,
            0.003_256_14,
            -0.000_682_45,
        ];
        x.sqrt() * (-x).exp() * poly(&c, 2.0 / x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::road::profile::RoadClass;
    use crate::shaking::carry::at_point;
    use crate::shaking::spectrum::mean_squares;
    use glam::DVec3;
    use proptest::prelude::*;

    pub(crate) fn estate() -> Car {
        Car {
            corner: Corner {
                sprung_kg: 350.0,
                unsprung_kg: 40.0,
                spring_n_m: 25e3,
                damper_n_s_m: 2e3,
                tyre_n_m: 200e3,
            },
            body_kg: 1340.0,
            wheelbase_m: 2.7,
            track_m: 1.5,
            centre_height_m: 0.55,
            roll_axis_height_m: 0.15,
            roll_stiffness_nm_rad: 60e3,
            roll_gyration_m: 0.6,
        }
    }

    #[test]
    fn x_times_k1_agrees_with_tables() {
        // scipy.special.kv(1, x) times x, scipy 1.17.
        for (x, value) in X_K1 {
            assert!((x_k1(*x) - value).abs() < 1e-6, "{x}: {} {value}", x_k1(*x));
        }
        assert!((track_coherence(0.0, 1.5) - 1.0).abs() < 1e-15);
        assert!(track_coherence(10.0, 1.5) < 1e-12);
        assert!(track_coherence(f64::NAN, 1.5).is_nan());
    }

    #[test]
    fn two_tracks_come_from_a_surface_that_is_the_same_in_all_directions() {
        // The integral over k_y of (k² + k_y²)^(-3/2) cos(k_y t) by Simpson, over the same at t = 0 (2/k²).
        for (k, t) in [(0.3_f64, 1.5_f64), (1.0, 1.5), (2.0, 1.4)] {
            let f = |y: f64| (k * k + y * y).powf(-1.5) * (y * t).cos();
            let (n, top) = (400_000_u32, 400.0);
            let h = top / f64::from(n);
            let inner: f64 = (1..n).map(|i| if i % 2 == 1 { 4.0 } else { 2.0 } * f(f64::from(i) * h)).sum();
            let integral = 2.0 * (f(0.0) + inner + f(top)) * h / 3.0;
            let g = integral / (2.0 / (k * k));
            // The tail over 400 is under 1/400³ k².
            assert!((g - track_coherence(k / TAU, t)).abs() < 1e-5, "{k} {t}");
        }
    }

    #[test]
    fn the_front_axle_is_a_quarter_car() {
        // With the share of the mean track taken out, the front axle's acceleration is the quarter car's.
        let gv = RoadClass::C.road().velocity_psd(20.0).unwrap();
        let body = CarBody::new(estate()).unwrap();
        let driven = body.on(gv, 20.0).unwrap();
        let (b, h) = body.heave_hz();
        let [sum] = mean_squares((1e-4, 1e4), &[b, h], |f| {
            let [m, _] = driven.at(f);
            [(m[2] * (TAU * f).powi(2)).norm_sqr() / f64::midpoint(1.0, track_coherence(f / 20.0, 1.5))]
        })
        .unwrap();
        let closed = QuarterCar::new(estate().corner).unwrap().ride(gv).unwrap().body_m_s2;
        // Tails as in the quarter car's own test.
        assert!((sum.sqrt() / closed - 1.0).abs() < 1e-3, "{} {closed}", sum.sqrt());
    }

    #[test]
    fn pitch_and_roll_follow_a_slow_road() {
        let driven = CarBody::new(estate()).unwrap().on(1e-3, 20.0).unwrap();
        let f = 0.01;
        let [mean, apart] = driven.at(f);
        let road = 1e-3_f64.sqrt() / (TAU * f);
        // 2 km long waves: the whole car goes up and down with them, slope = ω/v of the height.
        assert!((mean[2].norm() / road - 1.0).abs() < 1e-3);
        assert!((mean[4].norm() / (road * TAU * f / 20.0) - 1.0).abs() < 1e-2);
        // Nose down is positive: the height's gradient is against it; 90 degrees apart.
        assert!((mean[4] / mean[2]).re.abs() < 0.02 * (mean[4] / mean[2]).norm());
        // Rear axle: the same, L/v later.
        let rear = at_point(&mean, DVec3::new(-2.7, 0.0, 0.0));
        assert!((rear[2] - mean[2] * c64::cis(-TAU * f * 2.7 / 20.0)).norm() < 1e-9 * road);
        // Isotropic, long waves: 1 - x K₁(x) = x²/2 (ln(2/x) + 1/2 - 0.577 216) + ..., the slope across holds all waves along y.
        let x = TAU * f / 20.0 * 1.5;
        let slope = (x * x * ((2.0 / x).ln() + 0.5 - 0.577_216)).sqrt() * road / 1.5;
        assert!((apart[3].norm() / slope - 1.0).abs() < 0.01, "{} {slope}", apart[3].norm());
        // Roll axis stays where it is.
        let axis = at_point(&apart, DVec3::new(0.0, 0.0, 0.15));
        assert!(axis[1].norm() < 1e-12 * road);
    }

    #[test]
    fn refuses_what_is_no_car() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            for car in [
                Car { body_kg: bad, ..estate() },
                Car { wheelbase_m: bad, ..estate() },
                Car { track_m: bad, ..estate() },
                Car { roll_stiffness_nm_rad: bad, ..estate() },
                Car { roll_gyration_m: bad, ..estate() },
            ] {
                assert!(CarBody::new(car).is_err(), "{car:?}");
            }
            assert!(CarBody::new(estate()).unwrap().on(1e-3, bad).is_err());
        }
        assert!(CarBody::new(Car { centre_height_m: f64::NAN, ..estate() }).is_err());
        assert!(CarBody::new(estate()).unwrap().on(f64::NAN, 20.0).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn each_class_of_road_shakes_twice_as_much(f in 0.1..80.0f64, v in 2.0..40.0f64) {
            let body = CarBody::new(estate()).unwrap();
            let on = |c: RoadClass| body.on(c.road().velocity_psd(v).unwrap(), v).unwrap().at(f);
            let (b, c) = (on(RoadClass::B), on(RoadClass::C));
            for (b, c) in b.iter().flatten().zip(c.iter().flatten()) {
                // Four times the spectrum is twice the movement; rounding only.
                prop_assert!((c - b * 2.0).norm() <= 1e-12 * c.norm());
            }
        }
    }

    /// `x`, `x K₁(x)`.
    const X_K1: &[(f64, f64)] = &[
        (0.01, 0.999_738_941_2),
        (0.1, 0.985_384_478_1),
        (0.5, 0.828_220_560_0),
        (1.0, 0.601_907_230_2),
        (1.5, 0.416_081_700_7),
        (1.999, 0.279_959_634_3),
        (2.001, 0.279_504_058_8),
        (3.0, 0.120_469_293_4),
        (5.0, 0.020_223_067_2),
        (10.0, 0.000_186_487_7),
    ];
}
