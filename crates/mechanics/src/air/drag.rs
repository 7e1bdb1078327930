//! Wind force on tubes and on boxes, as vectors in whichever frame the wind is given in.

use super::AirError;
use crate::range::Range;
use glam::DVec3;

/// Reynolds number below which a smooth round tube keeps its full drag coefficient.
///
/// Between 2·10⁵ and 4·10⁵ the boundary layer turns turbulent and the coefficient drops to 0.3 to 0.4. A clamp,
/// tape, rain or a cable moves that drop about, so keeping 1.2 above it is the safe side. A 48.3 mm tube at
/// 130 km/h has Re 1.2·10⁵. Hoerner, *Fluid-Dynamic Drag*, 1965, ch. 3 [from memory].
pub const CRITICAL_REYNOLDS: f64 = 2.0e5;

/// Speed up to which air may be taken as incompressible here, m/s (Mach 0.3 at sea level).
pub const MAX_SPEED_M_S: f64 = 100.0;

const DENSITY: Range = Range { what: "air density", low: 0.2, high: 2.0, unit: "kg/m³" };
const SPEED: Range = Range { what: "air speed", low: 0.0, high: MAX_SPEED_M_S, unit: "m/s" };
const COEFFICIENT: Range = Range { what: "drag coefficient", low: 0.0, high: 3.0, unit: "" };
const DIAMETER: Range = Range { what: "tube diameter", low: 1e-4, high: 5.0, unit: "m" };
const DRAG_AREA: Range = Range { what: "drag area", low: 0.0, high: 100.0, unit: "m²" };
const SIDE: Range = Range { what: "side of a box", low: 1e-4, high: 20.0, unit: "m" };
const SPEED_UP: Range = Range { what: "speed-up over the roof", low: 1.0, high: 2.0, unit: "" };
const VISCOSITY: Range = Range { what: "kinematic viscosity", low: 1e-7, high: 1e-3, unit: "m²/s" };

fn wind(v_rel_m_s: DVec3) -> Result<DVec3, AirError> {
    SPEED.check(v_rel_m_s.length())?;
    Ok(v_rel_m_s)
}

/// Dynamic pressure `q = ½ ρ V²`, Pa.
///
/// # Source
///
/// Bernoulli; Hoerner, *Fluid-Dynamic Drag*, 1965, ch. 1 [from memory]. `docs/mechanics.md` §3.5. Checked by
/// `tests/sources/hoerner-1965`.
///
/// # Errors
///
/// [`AirError::OutOfRange`] for the density, or a speed outside 0 to 100 m/s.
pub fn dynamic_pressure(density_kg_m3: f64, speed_m_s: f64) -> Result<f64, AirError> {
    let v = SPEED.check(speed_m_s)?;
    Ok(0.5 * DENSITY.check(density_kg_m3)? * v * v)
}

/// Velocity of the air past the rig, m/s: `k (wind - vehicle)`.
///
/// # Symbols
///
/// | here            | unit | meaning                                                                  |
/// |-----------------|------|--------------------------------------------------------------------------|
/// | `wind_m_s`      | m/s  | air over ground, gust included                                           |
/// | `vehicle_m_s`   | m/s  | vehicle over ground                                                      |
/// | `over_roof`     | 1    | `k`, 1.0 to 2.0: air runs faster over a roof than the vehicle through it |
///
/// # Frame and signs
///
/// Any one frame for both vectors. Driving forward (+x) gives a relative wind along -x, and drag has its sense.
///
/// # Assumes
///
/// The speed-up multiplies the whole vector; in truth mostly the part along the roof, so this errs high. A factor
/// of 1.2 to 1.3 over a car's windscreen edge is common practice, no source. `docs/mechanics.md` §3.5.
///
/// # Errors
///
/// [`AirError::OutOfRange`] for the factor, or when the relative wind is not finite or above 100 m/s.
pub fn relative_wind(wind_m_s: DVec3, vehicle_m_s: DVec3, over_roof: f64) -> Result<DVec3, AirError> {
    wind(SPEED_UP.check(over_roof)? * (wind_m_s - vehicle_m_s))
}

/// Reynolds number of a tube, `Re = V D / ν`; compare with [`CRITICAL_REYNOLDS`].
///
/// # Errors
///
/// [`AirError::OutOfRange`] for any of the three.
pub fn reynolds(speed_m_s: f64, diameter_m: f64, viscosity_m2_s: f64) -> Result<f64, AirError> {
    Ok(SPEED.check(speed_m_s)? * DIAMETER.check(diameter_m)? / VISCOSITY.check(viscosity_m2_s)?)
}

/// Wind force per metre of round tube, N/m, by the cross-flow principle.
///
/// ```text
/// v_n = v - (v·a) a                 part of the wind across the axis a
/// f   = ½ ρ Cd D |v_n| v_n
/// ```
///
/// # Symbols
///
/// | here            | in the source | unit  | meaning                                     |
/// |-----------------|---------------|-------|---------------------------------------------|
/// | `density_kg_m3` | `ρ`           | kg/m³ |                                             |
/// | `cd`            | `C_D`         | 1     | of the tube square to the wind, 1.2         |
/// | `diameter_m`    | `D`           | m     | outside, with anything wrapped around it    |
/// | `axis`          | `a`           | any   | along the tube; length and sense do not count |
/// | `v_rel_m_s`     | `v`           | m/s   | air past the tube, see [`relative_wind`]    |
///
/// # Assumes
///
/// Skin friction along the tube is left out (about 1 % of the cross force; common practice, no source). No shelter from a neighbour.
///
/// # Source
///
/// Cross-flow (sine-squared) principle: Hoerner, *Fluid-Dynamic Drag*, 1965, ch. 3 "inclined cylinders"; Blevins,
/// *Applied Fluid Dynamics Handbook*, 1984, ch. 10 [from memory]. `docs/mechanics.md` §3.5.
///
/// # Errors
///
/// [`AirError::NoDirection`] for an axis without length; [`AirError::OutOfRange`] for the numbers.
///
/// # Examples
///
/// ```
/// # use glam::DVec3;
/// # use mechanics::air::drag::tube_force_per_length;
/// // 48.3 mm tube across the car at 100 km/h: 27.4 N on each metre, pushing aft.
/// let f = tube_force_per_length(1.225, 1.2, 0.0483, DVec3::Y, DVec3::new(-100.0 / 3.6, 0.0, 0.0))?;
/// assert!((f.x + 27.39).abs() < 0.01);
/// # Ok::<(), mechanics::air::AirError>(())
/// ```
pub fn tube_force_per_length(
    density_kg_m3: f64,
    cd: f64,
    diameter_m: f64,
    axis: DVec3,
    v_rel_m_s: DVec3,
) -> Result<DVec3, AirError> {
    let a = axis.try_normalize().ok_or(AirError::NoDirection { what: "the tube's axis" })?;
    let v = wind(v_rel_m_s)?;
    let v_n = v - v.dot(a) * a;
    let per_speed =
        0.5 * DENSITY.check(density_kg_m3)? * COEFFICIENT.check(cd)? * DIAMETER.check(diameter_m)?;
    Ok(per_speed * v_n.length() * v_n)
}

/// Wind force on a body with one drag area for every direction, N: `F = ½ ρ (Cd A) |v| v`.
///
/// For a thin plate or sheet take its full area with
/// [`PLATE_ANY_ANGLE`](super::coefficient::PLATE_ANY_ANGLE).
///
/// # Source
///
/// Definition of the drag coefficient; Hoerner, *Fluid-Dynamic Drag*, 1965, ch. 1 [from memory]. `docs/mechanics.md` §3.5.
/// Checked by `tests/sources/hoerner-1965`.
///
/// # Errors
///
/// [`AirError::OutOfRange`] for the density, the drag area or the wind.
pub fn bluff_force(density_kg_m3: f64, drag_area_m2: f64, v_rel_m_s: DVec3) -> Result<DVec3, AirError> {
    let v = wind(v_rel_m_s)?;
    Ok(0.5 * DENSITY.check(density_kg_m3)? * DRAG_AREA.check(drag_area_m2)? * v.length() * v)
}

/// A rectangular box with its edges along the frame the wind is given in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoxBody {
    sides_m: DVec3,
    cd: f64,
}

impl BoxBody {
    /// A box of edge lengths `sides_m` (along x, y, z) and face-on drag coefficient `cd`.
    ///
    /// # Errors
    ///
    /// [`AirError::OutOfRange`] unless each side is 0.1 mm to 20 m and the coefficient 0 to 3.
    pub fn new(sides_m: DVec3, cd: f64) -> Result<Self, AirError> {
        for side_m in sides_m.to_array() {
            SIDE.check(side_m)?;
        }
        Ok(Self { sides_m, cd: COEFFICIENT.check(cd)? })
    }

    /// Area of the box seen along a direction, m²: `A(n) = |n_x| A_x + |n_y| A_y + |n_z| A_z`, `n` a unit vector.
    ///
    /// This is the exact silhouette: each of the three visible faces shows its area times the cosine of its tilt.
    ///
    /// # Errors
    ///
    /// [`AirError::NoDirection`] for a direction without length.
    pub fn seen_area(&self, direction: DVec3) -> Result<f64, AirError> {
        let n = direction.try_normalize().ok_or(AirError::NoDirection { what: "the line of sight" })?;
        Ok(n.abs().dot(self.face_areas()))
    }

    /// Wind force on the box, N: `F = ½ ρ Cd A(v) |v| v`, along the wind.
    ///
    /// # Assumes
    ///
    /// The face-on coefficient times the silhouette at every angle. On the safe side for the size of the force on
    /// chunky boxes (sides within about 1 : 3): a cube edge-on has 0.80 on its silhouette against 1.05 face-on (Hoerner
    /// 1965, ch. 3 [from memory]), and the silhouette is never less than the root of the sum of squares that
    /// face-by-face pressures would give. The part of the force square to the wind is left out. Not for sheets and
    /// flat panels, which work as wings: use [`bluff_force`] with their full face.
    ///
    /// # Source
    ///
    /// As above; `docs/mechanics.md` §3.5. Checked by `tests/sources/hoerner-1965` and
    /// `box_force_is_along_the_wind_and_bounds_the_faces`.
    ///
    /// # Errors
    ///
    /// [`AirError::OutOfRange`] for the density or the wind.
    pub fn force(&self, density_kg_m3: f64, v_rel_m_s: DVec3) -> Result<DVec3, AirError> {
        let v = wind(v_rel_m_s)?;
        // A(v) |v| without dividing by |v|, so that still air is no special case.
        let area_speed = v.abs().dot(self.face_areas());
        Ok(0.5 * DENSITY.check(density_kg_m3)? * self.cd * area_speed * v)
    }

    fn face_areas(&self) -> DVec3 {
        let s = self.sides_m;
        DVec3::new(s.y * s.z, s.z * s.x, s.x * s.y)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DQuat;
    use proptest::prelude::*;

    const RHO: f64 = 1.225;

    fn vector(limit: f64) -> impl Strategy<Value = DVec3> {
        (-limit..limit, -limit..limit, -limit..limit).prop_map(|(x, y, z)| DVec3::new(x, y, z))
    }

    #[test]
    fn refuses_what_is_not_a_wind_or_a_tube() {
        let v = DVec3::new(-20.0, 0.0, 0.0);
        assert!(tube_force_per_length(RHO, 1.2, 0.05, DVec3::ZERO, v).is_err());
        assert!(tube_force_per_length(RHO, 1.2, 0.05, DVec3::NAN, v).is_err());
        assert!(tube_force_per_length(RHO, f64::NAN, 0.05, DVec3::Y, v).is_err());
        assert!(tube_force_per_length(RHO, 1.2, 0.0, DVec3::Y, v).is_err());
        assert!(tube_force_per_length(RHO, 1.2, 0.05, DVec3::Y, DVec3::new(101.0, 0.0, 0.0)).is_err());
        assert!(bluff_force(RHO, -0.1, v).is_err());
        assert!(bluff_force(0.0, 0.1, v).is_err());
        assert!(bluff_force(RHO, 0.1, DVec3::splat(f64::INFINITY)).is_err());
        assert!(BoxBody::new(DVec3::new(0.3, -0.4, 0.2), 1.05).is_err());
        assert!(relative_wind(v, DVec3::ZERO, 0.9).is_err());
        assert!(relative_wind(v, DVec3::NAN, 1.0).is_err());
        assert!(dynamic_pressure(RHO, -1.0).is_err());
        assert!(reynolds(10.0, 0.05, 0.0).is_err());
    }

    #[test]
    fn still_air_pushes_nothing() {
        let body = BoxBody::new(DVec3::new(0.3, 0.4, 0.2), 1.2).unwrap();
        assert_eq!(body.force(RHO, DVec3::ZERO).unwrap(), DVec3::ZERO);
        assert_eq!(tube_force_per_length(RHO, 1.2, 0.05, DVec3::Y, DVec3::ZERO).unwrap(), DVec3::ZERO);
        assert_eq!(bluff_force(RHO, 1.0, DVec3::ZERO).unwrap(), DVec3::ZERO);
    }

    #[test]
    fn driving_forward_into_a_head_wind_pushes_aft() {
        let v = relative_wind(DVec3::new(-5.0, 3.0, 0.0), DVec3::new(20.0, 0.0, 0.0), 1.2).unwrap();
        // 1.2 (-5 - 20), 1.2 · 3; exact in binary to rounding.
        assert!((v - DVec3::new(-30.0, 3.6, 0.0)).length() < 1e-12);
    }

    #[test]
    fn a_cube_seen_along_its_diagonal_shows_root_three_faces() {
        let cube = BoxBody::new(DVec3::ONE, 1.05).unwrap();
        assert!((cube.seen_area(DVec3::ONE).unwrap() - 3.0_f64.sqrt()).abs() < 1e-12);
        assert!(cube.seen_area(DVec3::ZERO).is_err());
    }

    proptest! {
        #[test]
        fn tube_force_is_square_to_the_tube_and_goes_with_the_wind(axis in vector(1.0), v in vector(50.0)) {
            prop_assume!(axis.length() > 1e-3);
            let f = tube_force_per_length(RHO, 1.2, 0.0483, axis, v).unwrap();
            prop_assert!(f.dot(axis.normalize()).abs() <= 1e-9 * (1.0 + f.length()));
            prop_assert!(f.dot(v) >= -1e-9);
            // Sine-squared law against the same tube square to the wind.
            let sin = axis.normalize().cross(v).length() / v.length().max(1e-12);
            let square = 0.5 * RHO * 1.2 * 0.0483 * v.length_squared();
            prop_assert!((f.length() - square * sin * sin).abs() <= 1e-9 * (1.0 + square));
        }

        #[test]
        fn turning_the_world_turns_the_tube_force(axis in vector(1.0), v in vector(50.0), turn in vector(3.0)) {
            prop_assume!(axis.length() > 1e-3);
            let q = DQuat::from_scaled_axis(turn);
            let f = tube_force_per_length(RHO, 1.2, 0.0483, axis, v).unwrap();
            let g = tube_force_per_length(RHO, 1.2, 0.0483, q * axis, q * v).unwrap();
            prop_assert!((q * f - g).length() <= 1e-9 * (1.0 + f.length()));
        }

        #[test]
        fn box_force_is_along_the_wind_and_bounds_the_faces(sides in vector(2.0), v in vector(50.0)) {
            let sides = sides.abs() + DVec3::splat(0.01);
            let body = BoxBody::new(sides, 1.2).unwrap();
            let f = body.force(RHO, v).unwrap();
            prop_assert!(f.cross(v).length() <= 1e-9 * (1.0 + f.length() * v.length()));
            prop_assert!(f.dot(v) >= 0.0);
            let faces = DVec3::new(sides.y * sides.z, sides.z * sides.x, sides.x * sides.y);
            let by_face = 0.5 * RHO * 1.2 * v.length() * faces * v;
            prop_assert!(f.length() >= by_face.length() * (1.0 - 1e-12));
            // No more than the box seen along its worst direction.
            let most = 0.5 * RHO * 1.2 * faces.length() * v.length_squared();
            prop_assert!(f.length() <= most * (1.0 + 1e-12));
        }

        #[test]
        fn twice_the_wind_is_four_times_the_force(v in vector(25.0)) {
            let one = bluff_force(RHO, 0.4, v).unwrap();
            let two = bluff_force(RHO, 0.4, 2.0 * v).unwrap();
            prop_assert!((two - 4.0 * one).length() <= 1e-12 * (1.0 + two.length()));
        }
    }
}
