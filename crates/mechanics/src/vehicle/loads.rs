//! Laden mass centre, axle and side loads, and how braking, bends and slopes shift them.

use super::{ACCELERATION, HEIGHT, TRACK, VehicleError};
use crate::STANDARD_GRAVITY;
use crate::range::Range;
use glam::DVec3;

const MASS: Range = Range { what: "mass", low: 0.0, high: 1e6, unit: "kg" };
const PLACE: Range = Range { what: "coordinate of a mass", low: -50.0, high: 50.0, unit: "m" };
const WHEELBASE: Range = Range { what: "wheelbase", low: 0.5, high: 20.0, unit: "m" };
const SLOPE: Range = Range { what: "slope of the road", low: -0.8, high: 0.8, unit: "rad" };

/// A mass at a point, vehicle axes (x forward, y left, z up, origin on the ground under the middle of the front axle).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointMass {
    /// Mass, kg, not negative.
    pub mass_kg: f64,
    /// Where, m.
    pub at_m: DVec3,
}

/// Mass and mass centre of a vehicle with everything on it.
///
/// `m = Σ m_i`, `r = Σ m_i r_i / m`: the moment of the whole is the sum of the moments (statics).
///
/// Start with the empty vehicle and add driver, rig, arm and payload; take a thing off the vehicle by leaving it out.
/// `docs/mechanics.md` §4.8. Checked by `tests/sources/commonroad-vehicles-2020`.
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for a mass or place, [`VehicleError::NoMass`] when all is nothing.
///
/// # Examples
///
/// ```
/// # use glam::DVec3;
/// # use mechanics::vehicle::loads::{PointMass, laden};
/// let van = PointMass { mass_kg: 1478.898, at_m: DVec3::new(-1.150792, 0.0, 0.747817) };
/// let rig = PointMass { mass_kg: 120.0, at_m: DVec3::new(-1.0, 0.0, 2.0) };
/// let both = laden(&[van, rig])?;
/// assert!((both.at_m.z - 0.84180).abs() < 1e-4);
/// # Ok::<(), mechanics::vehicle::VehicleError>(())
/// ```
pub fn laden(parts: &[PointMass]) -> Result<PointMass, VehicleError> {
    let mut mass_kg = 0.0;
    let mut moment = DVec3::ZERO;
    for part in parts {
        let m = checked(part)?;
        mass_kg += m;
        moment += m * part.at_m;
    }
    // A mass so small that the quotient means nothing is no mass.
    if mass_kg > 1e-9 { Ok(PointMass { mass_kg, at_m: moment / mass_kg }) } else { Err(VehicleError::NoMass) }
}

/// Mass of a part, once its mass and place are found to be sound.
pub(crate) fn checked(part: &PointMass) -> Result<f64, VehicleError> {
    for coordinate in part.at_m.to_array() {
        PLACE.check(coordinate)?;
    }
    Ok(MASS.check(part.mass_kg)?)
}

/// Wheelbase and tracks of a two-axle vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_field_names, reason = "the suffix is the unit")]
pub struct Chassis {
    wheelbase_m: f64,
    track_front_m: f64,
    track_rear_m: f64,
}

impl Chassis {
    /// Checks wheelbase `L` and tracks `T_f`, `T_r`.
    ///
    /// # Errors
    ///
    /// [`VehicleError::OutOfRange`] for a wheelbase outside 0.5 to 20 m or a track outside 0.5 to 5 m.
    pub fn new(wheelbase_m: f64, track_front_m: f64, track_rear_m: f64) -> Result<Self, VehicleError> {
        Ok(Self {
            wheelbase_m: WHEELBASE.check(wheelbase_m)?,
            track_front_m: TRACK.check(track_front_m)?,
            track_rear_m: TRACK.check(track_rear_m)?,
        })
    }

    /// Wheelbase, m.
    pub fn wheelbase_m(&self) -> f64 {
        self.wheelbase_m
    }

    /// Mean of the two tracks, m.
    pub fn mean_track_m(&self) -> f64 {
        f64::midpoint(self.track_front_m, self.track_rear_m)
    }

    /// Track in line with the mass centre, m: the tipping edges run from tyre to tyre, so between unequal tracks the one
    /// that counts is interpolated, `T_f + (T_r - T_f) d / L` with `d` behind the front axle. Held to the axles.
    pub fn track_at(&self, x_m: f64) -> f64 {
        let share = (-x_m / self.wheelbase_m).clamp(0.0, 1.0);
        self.track_front_m + (self.track_rear_m - self.track_front_m) * share
    }
}

/// How the vehicle moves, and how the road lies.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Motion {
    /// Acceleration, m/s², vehicle axes: + gaining speed, + to the left, + upward. Braking is -x; a left bend is +y.
    pub acceleration_m_s2: DVec3,
    /// Slope along the road, rad, uphill +.
    pub grade_rad: f64,
    /// Slope across the road, rad, left side higher +.
    pub bank_rad: f64,
}

/// Upward road forces on axles and sides, N. A negative one means that those wheels lift and the rest no longer holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundLoads {
    /// Front axle.
    pub front_n: f64,
    /// Rear axle.
    pub rear_n: f64,
    /// Both left wheels.
    pub left_n: f64,
    /// Both right wheels.
    pub right_n: f64,
}

impl GroundLoads {
    /// All wheels together, N.
    pub fn total_n(&self) -> f64 {
        self.front_n + self.rear_n
    }

    /// Front axle's share of the whole; `None` when the wheels carry nothing.
    pub fn front_share(&self) -> Option<f64> {
        (self.total_n() > 0.0).then(|| self.front_n / self.total_n())
    }

    /// Whether no axle and no side has lifted.
    #[must_use]
    pub fn all_on_ground(&self) -> bool {
        [self.front_n, self.rear_n, self.left_n, self.right_n].into_iter().all(|load| load >= 0.0)
    }
}

/// Road forces on axles and sides of a vehicle in quasi-static motion.
///
/// ```text
/// g   = g₀ (-sin θ, -cos θ sin φ, -cos θ cos φ)        gravity in vehicle axes
/// q   = g - a                                          force per mass that road forces must balance
/// N   = -m q_z
/// N_f = [N (L + x) + m q_x h] / L        N_r = N - N_f
/// N_l = N/2 + (N y + m q_y h) / T        N_r' = N - N_l
/// ```
///
/// # Symbols
///
/// | here                       | above     | unit | meaning                                        |
/// |----------------------------|-----------|------|------------------------------------------------|
/// | `centre.at_m`              | `x, y, h` | m    | mass centre; `x` is negative behind the front axle |
/// | `chassis`                  | `L`, `T`  | m    | wheelbase; track in line with the mass centre  |
/// | `motion.grade_rad`, `bank` | `θ`, `φ`  | rad  | uphill +, left side higher +                   |
///
/// # Assumes
///
/// Quasi-static; the body does not pitch or roll far enough to move its mass centre (see
/// [`stability`](super::stability) for roll); no air force. How the side transfer splits between the axles depends on their
/// roll stiffness and is not given here.
///
/// # Source
///
/// Moment balance about the contact lines; same results as T. D. Gillespie, *Fundamentals of Vehicle Dynamics*, SAE 1992,
/// ch. 1 (axle loads) [from memory]. `docs/mechanics.md` §4.8. Checked by `tests/sources/commonroad-vehicles-2020` and
/// `tests/sources/gillespie-1992`.
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for a mass centre outside the vehicle's range, an acceleration above 100 m/s² or a slope
/// above 0.8 rad.
pub fn ground_loads(
    centre: &PointMass,
    chassis: &Chassis,
    motion: &Motion,
) -> Result<GroundLoads, VehicleError> {
    let m = checked(centre)?;
    if m <= 0.0 {
        return Err(VehicleError::NoMass);
    }
    HEIGHT.check(centre.at_m.z)?;
    for a in motion.acceleration_m_s2.to_array() {
        ACCELERATION.check(a)?;
    }
    let (sin_t, cos_t) = SLOPE.check(motion.grade_rad)?.sin_cos();
    let (sin_p, cos_p) = SLOPE.check(motion.bank_rad)?.sin_cos();
    let gravity = STANDARD_GRAVITY * DVec3::new(-sin_t, -cos_t * sin_p, -cos_t * cos_p);
    let force = m * (gravity - motion.acceleration_m_s2);
    let total = -force.z;
    let DVec3 { x, y, z: h } = centre.at_m;
    let length = chassis.wheelbase_m;
    let front_n = (total * (length + x) + force.x * h) / length;
    let left_n = total / 2.0 + (total * y + force.y * h) / chassis.track_at(x);
    Ok(GroundLoads { front_n, rear_n: total - front_n, left_n, right_n: total - left_n })
}

/// Load that moves between the axles, or between the sides, N: `m a h / base`.
///
/// With the wheelbase: from rear to front under braking at `a`. With the track: from the inside to the outside wheels
/// in a bend at `a`.
///
/// # Source
///
/// Moment balance; Gillespie 1992, ch. 1 and 9 [from memory]. `docs/mechanics.md` §4.8. Checked by
/// `tests/sources/gillespie-1992`.
///
/// # Errors
///
/// [`VehicleError::OutOfRange`] for any of the four.
pub fn load_transfer(mass_kg: f64, a_m_s2: f64, height_m: f64, base_m: f64) -> Result<f64, VehicleError> {
    Ok(MASS.check(mass_kg)? * ACCELERATION.check(a_m_s2)? * HEIGHT.check(height_m)?
        / WHEELBASE.check(base_m)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn part() -> impl Strategy<Value = PointMass> {
        (0.1..2000.0f64, -4.0..1.0f64, -1.0..1.0f64, 0.2..3.0f64)
            .prop_map(|(mass_kg, x, y, z)| PointMass { mass_kg, at_m: DVec3::new(x, y, z) })
    }

    fn motion() -> impl Strategy<Value = Motion> {
        (-9.0..9.0f64, -9.0..9.0f64, -9.0..9.0f64, -0.3..0.3f64, -0.3..0.3f64).prop_map(
            |(x, y, z, grade_rad, bank_rad)| Motion {
                acceleration_m_s2: DVec3::new(x, y, z),
                grade_rad,
                bank_rad,
            },
        )
    }

    fn car() -> (PointMass, Chassis) {
        let centre = PointMass { mass_kg: 1500.0, at_m: DVec3::new(-1.2, 0.0, 0.55) };
        (centre, Chassis::new(2.7, 1.5, 1.5).unwrap())
    }

    #[test]
    fn each_manoeuvre_loads_the_side_the_driver_expects() {
        let (centre, chassis) = car();
        let at = |motion: Motion| ground_loads(&centre, &chassis, &motion).unwrap();
        let rest = at(Motion::default());
        let moving = |x, y| at(Motion { acceleration_m_s2: DVec3::new(x, y, 0.0), ..Motion::default() });
        assert!(moving(-8.0, 0.0).front_n > rest.front_n, "braking dips the nose");
        assert!(moving(3.0, 0.0).rear_n > rest.rear_n, "pulling away squats");
        assert!(moving(0.0, 4.0).right_n > rest.right_n, "a left bend leans on the right wheels");
        assert!(
            at(Motion { grade_rad: 0.2, ..Motion::default() }).rear_n > rest.rear_n * 0.2_f64.cos(),
            "uphill"
        );
        assert!(at(Motion { bank_rad: 0.1, ..Motion::default() }).right_n > rest.right_n, "left side high");
        let crest = at(Motion { acceleration_m_s2: DVec3::new(0.0, 0.0, -3.0), ..Motion::default() });
        assert!(crest.total_n() < rest.total_n(), "a crest unloads the wheels");
        assert!(rest.all_on_ground());
        assert!(!moving(0.0, 14.0).all_on_ground(), "past its rollover threshold the inside lifts");
    }

    #[test]
    fn braking_and_bends_agree_with_the_short_formula() {
        let (centre, chassis) = car();
        let rest = ground_loads(&centre, &chassis, &Motion::default()).unwrap();
        let motion = Motion { acceleration_m_s2: DVec3::new(-7.0, -5.0, 0.0), ..Motion::default() };
        let moved = ground_loads(&centre, &chassis, &motion).unwrap();
        let front = load_transfer(1500.0, 7.0, 0.55, 2.7).unwrap();
        let left = load_transfer(1500.0, 5.0, 0.55, 1.5).unwrap();
        // Forces of 1e4 N to rounding.
        assert!((moved.front_n - rest.front_n - front).abs() < 1e-9);
        assert!((moved.left_n - rest.left_n - left).abs() < 1e-9);
    }

    #[test]
    fn a_bank_that_matches_the_bend_takes_the_side_load_away() {
        let (centre, chassis) = car();
        // Right bend of 2 m/s² in level axes on a road whose left side is higher, seen in vehicle axes: gravity and
        // acceleration together point straight into the road when tan φ = a/g.
        let phi = (2.0 / STANDARD_GRAVITY).atan();
        let motion = Motion {
            acceleration_m_s2: DVec3::new(0.0, -2.0 * phi.cos(), 2.0 * phi.sin()),
            bank_rad: phi,
            ..Motion::default()
        };
        let loads = ground_loads(&centre, &chassis, &motion).unwrap();
        assert!((loads.left_n - loads.right_n).abs() < 1e-9);
        // And the wheels carry g and a together.
        assert!((loads.total_n() - 1500.0 * STANDARD_GRAVITY.hypot(2.0)).abs() < 1e-9);
    }

    #[test]
    fn unequal_tracks_are_taken_in_line_with_the_mass_centre() {
        let chassis = Chassis::new(2.0, 1.6, 1.4).unwrap();
        assert!((chassis.track_at(-0.5) - 1.55).abs() < 1e-12);
        assert!((chassis.track_at(1.0) - 1.6).abs() < 1e-12);
        assert!((chassis.track_at(-9.0) - 1.4).abs() < 1e-12);
        assert!((chassis.mean_track_m() - 1.5).abs() < 1e-12);
    }

    #[test]
    fn refuses_what_is_no_vehicle() {
        assert_eq!(laden(&[]), Err(VehicleError::NoMass));
        let nothing = PointMass { mass_kg: 0.0, at_m: DVec3::ZERO };
        assert_eq!(laden(&[nothing]), Err(VehicleError::NoMass));
        assert!(laden(&[PointMass { mass_kg: -1.0, at_m: DVec3::ZERO }]).is_err());
        assert!(laden(&[PointMass { mass_kg: 1.0, at_m: DVec3::NAN }]).is_err());
        assert!(Chassis::new(0.0, 1.5, 1.5).is_err());
        assert!(Chassis::new(2.7, f64::NAN, 1.5).is_err());
        assert!(Chassis::new(2.7, 1.5, f64::INFINITY).is_err());
        let (centre, chassis) = car();
        let bad = Motion { grade_rad: f64::NAN, ..Motion::default() };
        assert!(ground_loads(&centre, &chassis, &bad).is_err());
        let bad = Motion { acceleration_m_s2: DVec3::splat(f64::INFINITY), ..Motion::default() };
        assert!(ground_loads(&centre, &chassis, &bad).is_err());
        assert!(ground_loads(&nothing, &chassis, &Motion::default()).is_err());
        assert!(load_transfer(1500.0, 7.0, 0.0, 2.7).is_err());
        assert!(load_transfer(1500.0, 7.0, 0.5, 0.0).is_err());
    }

    proptest! {
        #[test]
        fn the_mass_centre_moves_with_the_parts_and_stays_among_them(
            parts in proptest::collection::vec(part(), 1..8),
            x in -2.0..2.0f64, y in -2.0..2.0f64, z in -2.0..2.0f64,
        ) {
            let whole = laden(&parts).unwrap();
            let shift = DVec3::new(x, y, z);
            let moved: Vec<_> = parts.iter().map(|p| PointMass { at_m: p.at_m + shift, ..*p }).collect();
            prop_assert!((laden(&moved).unwrap().at_m - whole.at_m - shift).length() < 1e-9);
            let mut backwards = parts.clone();
            backwards.reverse();
            prop_assert!((laden(&backwards).unwrap().at_m - whole.at_m).length() < 1e-9);
            let low = parts.iter().fold(DVec3::INFINITY, |a, p| a.min(p.at_m));
            let high = parts.iter().fold(DVec3::NEG_INFINITY, |a, p| a.max(p.at_m));
            prop_assert!(whole.at_m.cmpge(low - 1e-9).all() && whole.at_m.cmple(high + 1e-9).all());
            // Lumping some parts first changes nothing.
            let (some, rest) = parts.split_at(parts.len() / 2);
            if let Ok(lump) = laden(some) {
                let mut lumped = vec![lump];
                lumped.extend_from_slice(rest);
                prop_assert!((laden(&lumped).unwrap().at_m - whole.at_m).length() < 1e-9);
            }
        }

        #[test]
        fn transfers_sum_to_zero_and_forces_balance_moments(centre in part(), motion in motion()) {
            let chassis = Chassis::new(2.7, 1.55, 1.45).unwrap();
            let loads = ground_loads(&centre, &chassis, &motion).unwrap();
            prop_assert!((loads.left_n + loads.right_n - loads.total_n()).abs() < 1e-6);
            let level = Motion { acceleration_m_s2: DVec3::ZERO, ..motion };
            let still = ground_loads(&centre, &chassis, &level).unwrap();
            let az = motion.acceleration_m_s2.z;
            // What the axles gain together is the vertical acceleration's alone.
            prop_assert!((loads.total_n() - still.total_n() - centre.mass_kg * az).abs() < 1e-6);
            // Moment about the mass centre: normal forces at the axles, friction at the ground.
            let (sin_t, cos_t) = motion.grade_rad.sin_cos();
            let (sin_p, _) = motion.bank_rad.sin_cos();
            let a = motion.acceleration_m_s2;
            let friction_x = centre.mass_kg * (a.x + STANDARD_GRAVITY * sin_t);
            let friction_y = centre.mass_kg * (a.y + STANDARD_GRAVITY * cos_t * sin_p);
            let c = centre.at_m;
            // About y: Σ (z f_x - x f_z) over the contacts, arms from the mass centre.
            let pitch = -c.z * friction_x - loads.front_n * -c.x - loads.rear_n * (-2.7 - c.x);
            // About x: Σ (y f_z - z f_y).
            let half = chassis.track_at(c.x) / 2.0;
            let roll = loads.left_n * (half - c.y) + loads.right_n * (-half - c.y) + c.z * friction_y;
            prop_assert!(pitch.abs() < 1e-6 && roll.abs() < 1e-6, "{pitch} {roll}");
        }
    }
}
