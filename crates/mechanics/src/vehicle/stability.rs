//! Rollover: static stability factor, the part that body roll takes off it, and cornering.

use super::{HEIGHT, TRACK, VehicleError};
use crate::STANDARD_GRAVITY;
use crate::range::Range;

const ROLL_RATE: Range =
    Range { what: "roll per g of side acceleration", low: 0.0, high: 2.0, unit: "rad/g" };
const ROLL_CENTRE: Range = Range { what: "roll centre height", low: -1.0, high: 10.0, unit: "m" };
const SPRING: Range = Range { what: "spring rate at a wheel", low: 0.0, high: 1e8, unit: "N/m" };
const BAR: Range = Range { what: "roll stiffness of an anti-roll bar", low: 0.0, high: 1e8, unit: "N m/rad" };
const STIFFNESS: Range = Range { what: "roll stiffness", low: 1.0, high: 1e9, unit: "N m/rad" };
const OVERTURNING: Range =
    Range { what: "overturning moment per radian", low: 0.0, high: 1e9, unit: "N m/rad" };
const SPEED: Range = Range { what: "speed", low: 0.0, high: 100.0, unit: "m/s" };
const RADIUS: Range = Range { what: "radius of a bend", low: 1.0, high: 1e6, unit: "m" };

/// Static stability factor `T / 2h`: side acceleration in g at which a rigid vehicle lifts its inside wheels.
///
/// # Symbols
///
/// | here       | in the source | unit | meaning                                                     |
/// |------------|---------------|------|-------------------------------------------------------------|
/// | `track_m`  | `T`           | m    | 0.5 to 5; mean of the axles, or in line with the mass centre |
/// | `height_m` | `h`           | m    | mass centre of vehicle and load above the road              |
///
/// # Assumes
///
/// Rigid suspension and tyres, steady bend, level road: the true threshold is lower, see [`compliant_threshold_g`].
///
/// # Source
///
/// NHTSA, rollover resistance rulemaking, section "Why choose SSF?". `docs/mechanics.md` §4.9. Checked by
/// `tests/sources/commonroad-vehicles-2020`.
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for either.
pub fn static_stability_factor(track_m: f64, height_m: f64) -> Result<f64, VehicleError> {
    Ok(TRACK.check(track_m)? / (2.0 * HEIGHT.check(height_m)?))
}

/// What the roll-compliant threshold needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rollover {
    /// Track `T`, m.
    pub track_m: f64,
    /// Height `h` of the laden mass centre, m.
    pub height_m: f64,
    /// Height `h_r` of the roll centre, m; 0 is the safe side.
    pub roll_centre_m: f64,
    /// Roll `R_φ` of the body per g of side acceleration, rad/g.
    pub roll_rate_rad_g: f64,
}

/// Side acceleration in g at which the inside wheels lift when the body may roll:
/// `(T / 2h) / (1 + R_φ (1 - h_r/h))`.
///
/// # Assumes
///
/// Small roll, steady bend, level road, rigid tyres and axles; a swerve back and forth can roll a vehicle below this.
///
/// # Source
///
/// T. D. Gillespie, *Fundamentals of Vehicle Dynamics*, SAE 1992, ch. 9, suspended vehicle [from memory].
/// `docs/mechanics.md` §4.9. Checked by `tests/sources/gillespie-1992`.
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for any of the four, or a roll centre above the mass centre.
pub fn compliant_threshold_g(r: &Rollover) -> Result<f64, VehicleError> {
    let rigid = static_stability_factor(r.track_m, r.height_m)?;
    let below = Range { high: r.height_m, ..ROLL_CENTRE };
    let arm = 1.0 - below.check(r.roll_centre_m)? / r.height_m;
    Ok(rigid / (1.0 + ROLL_RATE.check(r.roll_rate_rad_g)? * arm))
}

/// What one axle gives against roll.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleRoll {
    /// Spring rate at one wheel, N/m.
    pub spring_n_m: f64,
    /// Distance between the springs' lines of action, m: the track for independent suspension.
    pub track_m: f64,
    /// Roll stiffness of the anti-roll bar, N m/rad; 0 for none.
    pub bar_n_m_rad: f64,
}

/// Roll stiffness of the suspension, N m/rad: `K_φ = Σ (½ k T² + K_bar)` over both axles.
///
/// Two springs of rate `k` at `± T/2` push back with `2 k (T/2)² = ½ k T²` per radian.
///
/// # Source
///
/// Gillespie 1992, ch. 6, eq. for roll stiffness of an axle [from memory]. `docs/mechanics.md` §4.9. Checked by
/// `tests/sources/commonroad-vehicles-2020`.
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for a spring, a track or a bar.
pub fn roll_stiffness(front: &AxleRoll, rear: &AxleRoll) -> Result<f64, VehicleError> {
    let one = |axle: &AxleRoll| -> Result<f64, VehicleError> {
        let track = TRACK.check(axle.track_m)?;
        Ok(0.5 * SPRING.check(axle.spring_n_m)? * track * track + BAR.check(axle.bar_n_m_rad)?)
    };
    Ok(one(front)? + one(rear)?)
}

/// Roll of the body per g of side acceleration, rad/g: `R_φ = W / (K_φ - W)`, `W = Σ m g z'`.
///
/// # Symbols
///
/// | here              | above | unit    | meaning                                                                |
/// |-------------------|-------|---------|------------------------------------------------------------------------|
/// | `overturning_n_m` | `W`   | N m/rad | sprung weight times its height over the roll axis, rig and load included |
/// | `stiffness_n_m`   | `K_φ` | N m/rad | from [`roll_stiffness`]                                                |
///
/// # Assumes
///
/// Small roll, springs off their stops, rigid tyres (a soft tyre rolls further).
///
/// # Source
///
/// Moment balance of the rolled body, `K_φ φ = W (a/g + φ)`; Gillespie 1992, ch. 6 and 9 [from memory].
/// `docs/mechanics.md` §4.9. Checked by `tests/sources/commonroad-vehicles-2020`.
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for either; [`VehicleError::FallsOver`] when the springs cannot hold the body up.
pub fn roll_rate_rad_g(overturning_n_m: f64, stiffness_n_m: f64) -> Result<f64, VehicleError> {
    let w = OVERTURNING.check(overturning_n_m)?;
    let k = STIFFNESS.check(stiffness_n_m)?;
    if k > w {
        Ok(w / (k - w))
    } else {
        Err(VehicleError::FallsOver { stiffness_n_m: k, overturning_n_m: w })
    }
}

/// Side acceleration of a bend in g: `v² / (R g)`.
///
/// # Source
///
/// Circular motion. `docs/mechanics.md` §4.9. Checked by `tests/sources/gillespie-1992`.
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for a speed above 100 m/s or a radius under 1 m.
pub fn cornering_g(speed_m_s: f64, radius_m: f64) -> Result<f64, VehicleError> {
    let v = SPEED.check(speed_m_s)?;
    Ok(v * v / (RADIUS.check(radius_m)? * STANDARD_GRAVITY))
}

/// Speed in m/s at which a bend reaches a side acceleration: `√(a R g)`, the inverse of [`cornering_g`].
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for a side acceleration outside 0 to 3 g or a radius under 1 m.
pub fn cornering_speed(side_g: f64, radius_m: f64) -> Result<f64, VehicleError> {
    const SIDE: Range = Range { what: "side acceleration", low: 0.0, high: 3.0, unit: "g" };
    Ok((SIDE.check(side_g)? * RADIUS.check(radius_m)? * STANDARD_GRAVITY).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rollover() -> impl Strategy<Value = Rollover> {
        (1.2..2.0f64, 0.4..1.5f64, 0.0..0.4f64, 0.0..0.3f64).prop_map(
            |(track_m, height_m, roll_centre_m, roll_rate_rad_g)| Rollover {
                track_m,
                height_m,
                roll_centre_m,
                roll_rate_rad_g,
            },
        )
    }

    #[test]
    fn refuses_what_cannot_stand() {
        let axle = AxleRoll { spring_n_m: 20e3, track_m: 1.4, bar_n_m_rad: 0.0 };
        assert!(static_stability_factor(1.5, 0.0).is_err());
        assert!(static_stability_factor(f64::NAN, 0.6).is_err());
        assert!(roll_stiffness(&axle, &AxleRoll { spring_n_m: -1.0, ..axle }).is_err());
        assert!(roll_stiffness(&AxleRoll { bar_n_m_rad: f64::NAN, ..axle }, &axle).is_err());
        assert!(matches!(roll_rate_rad_g(5e3, 5e3), Err(VehicleError::FallsOver { .. })));
        assert!(roll_rate_rad_g(f64::INFINITY, 5e4).is_err());
        let r = Rollover { track_m: 1.5, height_m: 0.6, roll_centre_m: 0.7, roll_rate_rad_g: 0.1 };
        assert!(compliant_threshold_g(&r).is_err());
        assert!(cornering_g(f64::NAN, 20.0).is_err());
        assert!(cornering_g(10.0, 0.0).is_err());
        assert!(cornering_speed(-0.1, 20.0).is_err());
    }

    #[test]
    fn the_rolled_body_is_in_balance() {
        let (w, k) = (7e3, 5e4);
        let phi = roll_rate_rad_g(w, k).unwrap();
        // K φ = W (1 + φ) at one g; rounding of 1e4 N m.
        assert!((k * phi - w * (1.0 + phi)).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn roll_only_ever_lowers_the_threshold(r in rollover(), extra in 0.01..0.5f64) {
            let rigid = static_stability_factor(r.track_m, r.height_m).unwrap();
            let held = compliant_threshold_g(&r).unwrap();
            prop_assert!(held <= rigid);
            let softer = Rollover { roll_rate_rad_g: r.roll_rate_rad_g + extra, ..r };
            let taller = Rollover { height_m: r.height_m + extra, ..r };
            prop_assert!(compliant_threshold_g(&softer).unwrap() <= held);
            prop_assert!(compliant_threshold_g(&taller).unwrap() < held);
        }

        #[test]
        fn speed_and_side_acceleration_are_inverse(v in 0.1..60.0f64, radius in 5.0..500.0f64) {
            let g = cornering_g(v, radius).unwrap();
            prop_assume!(g <= 3.0);
            prop_assert!((cornering_speed(g, radius).unwrap() / v - 1.0).abs() < 1e-12);
        }
    }
}
