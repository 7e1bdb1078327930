//! Wind on the arm (`docs/mechanics.md` §3.4.4).
//!
//! Drag coefficients \[from memory: Hoerner, *Fluid-Dynamic Drag*; Blevins, *Applied Fluid Dynamics
//! Handbook*; tolerance 10 %\]: round tube across the flow 1.2 below Reynolds number 2e5, square bar 2.0 to
//! 2.1, cube face-on 1.05, square plate 1.17.

use super::chain::{Arm, Carrier, Frames, Levelling};
use super::dynamics::{Actions, Needed, Pose, Rates};
use super::error::{ArmError, finite, finite_vec, not_negative, positive};
use crate::wrench::Wrench;
use glam::DVec3;

/// Three-point Gauss rule on `[-1, 1]`, weights halved to sum to one: exact to the fifth degree.
const GAUSS: [(f64, f64); 3] =
    [(-0.774_596_669_241_483_4, 5.0 / 18.0), (0.0, 8.0 / 18.0), (0.774_596_669_241_483_4, 5.0 / 18.0)];

/// What of a body the wind sees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DragShape {
    /// A long bar or tube; only the flow across it counts.
    Rod {
        /// From the middle to the end, carrier axes, m.
        half_m: DVec3,
        /// Width across the flow, m.
        diameter_m: f64,
        /// Drag coefficient on width times length.
        cd: f64,
    },
    /// A compact block with its faces square to the carrier's axes.
    Box {
        /// Areas of the faces square to x, y and z, m².
        areas_m2: DVec3,
        /// Drag coefficient on a face.
        cd: f64,
    },
}

/// A shape that catches wind and where its middle is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drag {
    centre_m: DVec3,
    shape: DragShape,
}

impl Drag {
    /// A bar or tube from end to end, in the carrier's axes.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if the ends coincide, the diameter is not positive, the coefficient is negative or a
    /// number is not finite.
    pub fn rod(from_m: DVec3, to_m: DVec3, diameter_m: f64, cd: f64) -> Result<Self, ArmError> {
        let half_m = (finite_vec("rod end", to_m)? - finite_vec("rod end", from_m)?) * 0.5;
        if half_m == DVec3::ZERO {
            return Err(ArmError::NoLength);
        }
        let diameter_m = positive("diameter", diameter_m)?;
        let cd = not_negative("drag coefficient", cd)?;
        Ok(Self { centre_m: from_m + half_m, shape: DragShape::Rod { half_m, diameter_m, cd } })
    }

    /// A block with the areas of its faces square to the carrier's x, y and z.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if an area or the coefficient is negative or a number is not finite.
    pub fn bluff_box(centre_m: DVec3, areas_m2: DVec3, cd: f64) -> Result<Self, ArmError> {
        for area in areas_m2.to_array() {
            not_negative("face area", area)?;
        }
        let cd = not_negative("drag coefficient", cd)?;
        Ok(Self {
            centre_m: finite_vec("middle of the box", centre_m)?,
            shape: DragShape::Box { areas_m2, cd },
        })
    }

    /// Middle of the shape, carrier axes, m.
    pub fn centre_m(&self) -> DVec3 {
        self.centre_m
    }

    /// The shape.
    pub fn shape(&self) -> DragShape {
        self.shape
    }

    /// Where the air's speed is taken and what meets it there, carrier axes.
    pub(super) fn spots(&self) -> Vec<(DVec3, Facing)> {
        match self.shape {
            DragShape::Rod { half_m, diameter_m, cd } => {
                let axis = half_m.normalize_or_zero();
                let cd_area = cd * 2.0 * half_m.length() * diameter_m;
                let bar = |(s, weight): (f64, f64)| {
                    (self.centre_m + half_m * s, Facing::Bar { axis, cd_area: cd_area * weight })
                };
                GAUSS.map(bar).to_vec()
            }
            DragShape::Box { areas_m2, cd } => {
                vec![(self.centre_m, Facing::Faces { axes: DVec3::AXES, cd_areas: areas_m2 * cd })]
            }
        }
    }
}

/// The air that meets the car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wind {
    /// Velocity of the air relative to the car, vehicle axes, m/s. Driving at 30 m/s in still air is
    /// `(-30, 0, 0)`; a wind from the left adds negative y.
    pub relative_mps: DVec3,
    /// Density of the air, kg/m³.
    pub density_kgm3: f64,
}

/// What the wind on the arm does to the platform and the drives.
///
/// ```text
/// rod   dF = rho/2 Cd d |v_n| v_n ds       v_n = v - (v·u) u
/// box   F_i = rho/2 Cd A_i |v| v_i          i = the three faces
/// ```
///
/// `v` is the air's velocity relative to the shape itself: the wind past the car, less what the shape moves
/// by pan, tilt and the car's own turning. Along a rod it is taken at three Gauss points, at a box in its
/// middle. Add the result to [`super::dynamics::actions`]; drive torques come out as what the drives must
/// **give** against the wind.
///
/// # Assumes
///
/// Cross-flow principle for rods: nothing along the rod. No shielding of one part by another, no lift, no
/// speed-up over the roof (put it into the wind). The face rule gives a cube edge-on the drag of a cube
/// face-on; the measured figure is some 7 % higher (0.80 on the projected area) \[from memory: Hoerner\],
/// within the tolerance of the coefficients.
///
/// # Source
///
/// Cross-flow principle: Hoerner, *Fluid-Dynamic Drag*, 1965, ch. III \[from memory\];
/// `docs/mechanics.md` §3.4.4. Checked by the tests beside this function.
///
/// # Errors
///
/// [`ArmError`] if a number is not finite, the density is not positive or a sum overflows.
pub fn wind_actions(
    arm: &Arm,
    pose: Pose,
    rates: Rates,
    car_angular_velocity_rps: DVec3,
    wind: &Wind,
) -> Result<Actions, ArmError> {
    InWind::at(arm, pose)?.actions(rates, car_angular_velocity_rps, wind)
}

/// A place on the arm at which the air's speed is taken.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub(super) carrier: Carrier,
    /// Along the boom, m.
    pub(super) x_m: f64,
    /// Where, from the mast base, m.
    pub(super) at: DVec3,
    /// What moves with tilt: from the pivot to the place, or to the tip, m.
    pub(super) lever: DVec3,
    pub(super) shape: Facing,
}

/// What the air meets there.
#[derive(Clone, Copy, Debug)]
pub(super) enum Facing {
    /// A stretch of bar: its direction, and `Cd A`.
    Bar { axis: DVec3, cd_area: f64 },
    /// Three faces: the axes they are square to, and `Cd A` of each.
    Faces { axes: [DVec3; 3], cd_areas: DVec3 },
}

/// An arm in a pose, ready for any number of winds and rates.
#[derive(Clone, Debug)]
pub struct InWind {
    pub(super) frames: Frames,
    pub(super) levelling: Levelling,
    pub(super) spots: Vec<Spot>,
}

impl InWind {
    /// The places at which the arm catches wind in a pose.
    ///
    /// # Errors
    ///
    /// [`ArmError::NotFinite`] if the pose is not finite.
    pub fn at(arm: &Arm, pose: Pose) -> Result<Self, ArmError> {
        let frames = Frames::at(arm.geometry(), pose)?;
        let mut spots = Vec::new();
        for body in arm.bodies() {
            let Some(drag) = body.drag() else { continue };
            let carrier = body.carrier();
            let (origin, rotation) = frames.of(carrier);
            for (local, shape) in drag.spots() {
                let at = origin + rotation * local;
                let lever = match carrier {
                    Carrier::Base | Carrier::Mast => DVec3::ZERO,
                    Carrier::LevelTip => frames.tip - frames.pivot,
                    Carrier::Boom | Carrier::FixedTip => at - frames.pivot,
                };
                let shape = match shape {
                    Facing::Bar { axis, cd_area } => Facing::Bar { axis: rotation * axis, cd_area },
                    Facing::Faces { axes, cd_areas } => {
                        Facing::Faces { axes: axes.map(|axis| rotation * axis), cd_areas }
                    }
                };
                spots.push(Spot { carrier, x_m: local.x, at, lever, shape });
            }
        }
        Ok(Self { frames, levelling: arm.levelling(), spots })
    }

    /// What a wind does at some rates: see [`wind_actions`].
    ///
    /// # Errors
    ///
    /// [`ArmError`] if a number is not finite, the density is not positive or a sum overflows.
    pub fn actions(
        &self,
        rates: Rates,
        car_angular_velocity_rps: DVec3,
        wind: &Wind,
    ) -> Result<Actions, ArmError> {
        let half_rho = 0.5 * positive("air density", wind.density_kgm3)?;
        let air = finite_vec("wind", wind.relative_mps)?;
        let car = finite_vec("angular velocity of the car", car_angular_velocity_rps)?;
        let mast = car + DVec3::Z * finite("pan rate", rates.pan_rps)?;
        let tilt = self.frames.tilt_axis * finite("tilt rate", rates.tilt_rps)?;
        let mut needed = Needed::default();
        for spot in &self.spots {
            let turning = if spot.carrier == Carrier::Base { car } else { mast };
            let v = air - turning.cross(spot.at) - tilt.cross(spot.lever);
            let force = match spot.shape {
                Facing::Bar { axis, cd_area } => {
                    let across = v - axis * v.dot(axis);
                    across * (half_rho * cd_area * across.length())
                }
                Facing::Faces { axes: [x, y, z], cd_areas } => {
                    let faced = cd_areas * DVec3::new(v.dot(x), v.dot(y), v.dot(z));
                    (x * faced.x + y * faced.y + z * faced.z) * (half_rho * v.length())
                }
            };
            needed.add(spot.carrier, spot.x_m, Wrench::of_force_at(-force, spot.at));
        }
        needed.actions(&self.frames, self.levelling).checked()
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Body, Geometry, Levelling};
    use super::*;
    use core::f64::consts::{FRAC_PI_2, FRAC_PI_3};

    /// Rounding of some tens of products.
    const TOL: f64 = 1e-9;

    fn arm_with(carrier: Carrier, drag: Drag) -> Arm {
        let body = Body::point(1.0, DVec3::ZERO, carrier).unwrap().with_drag(drag);
        Arm::new(Geometry::new(1.0, 4.0).unwrap(), Levelling::Linkage, vec![body]).unwrap()
    }

    fn blow(arm: &Arm, pan_rad: f64, elevation_rad: f64, v: DVec3) -> Actions {
        let wind = Wind { relative_mps: v, density_kgm3: 1.225 };
        wind_actions(arm, Pose { pan_rad, elevation_rad }, Rates::default(), DVec3::ZERO, &wind).unwrap()
    }

    #[test]
    fn one_metre_of_tube_at_130_km_h() {
        // rho 1.225, Cd 1.2, 48.3 mm, 130 km/h: 46.29 N, own calculation to four figures.
        let tube = Drag::rod(DVec3::ZERO, DVec3::Z, 0.0483, 1.2).unwrap();
        let a = blow(&arm_with(Carrier::Mast, tube), 0.4, 0.0, DVec3::new(-130.0 / 3.6, 0.0, 0.0));
        assert!((a.on_platform.force.x + 46.29).abs() < 0.005);
        assert!((a.on_platform.moment.y - 0.5 * a.on_platform.force.x).abs() < TOL);
        // A box of 0.3 m x 0.4 m, Cd 1.05, at 100 km/h: 59.55 N.
        let cage = Drag::bluff_box(DVec3::ZERO, DVec3::new(0.12, 0.2, 0.2), 1.05).unwrap();
        let b = blow(&arm_with(Carrier::LevelTip, cage), 0.0, 0.0, DVec3::new(-100.0 / 3.6, 0.0, 0.0));
        assert!((b.on_platform.force.x + 59.55).abs() < 0.005);
    }

    #[test]
    fn only_flow_across_a_boom_counts() {
        let tube = Drag::rod(DVec3::ZERO, DVec3::X * 4.0, 0.06, 1.2).unwrap();
        let arm = arm_with(Carrier::Boom, tube);
        let v = DVec3::new(-25.0, 0.0, 0.0);
        let full = 0.5 * 1.225 * 1.2 * 0.06 * 4.0 * 625.0;
        assert!(blow(&arm, 0.0, 0.0, v).on_platform.force.length() < TOL);
        let side = blow(&arm, FRAC_PI_2, 0.0, v);
        assert!((side.on_platform.force - DVec3::new(-full, 0.0, 0.0)).length() < TOL);
        // Boom to the left: the wind turns it back, left again; the drive must hold it against that.
        assert!((side.on_platform.moment.z - 2.0 * full).abs() < TOL);
        assert!((side.pan_torque_nm + 2.0 * full).abs() < TOL);
        // Sixty degrees to the wind: sin² 60 = 3/4 of the force, square to the boom.
        let skew = blow(&arm, FRAC_PI_3, 0.0, v);
        let n = DVec3::new(-(FRAC_PI_3.sin()), FRAC_PI_3.cos(), 0.0);
        assert!((skew.on_platform.force - n * (0.75 * full)).length() < TOL);
        // Head wind lifts a raised boom's front backwards and up: the tilt drive must hold it down.
        assert!(blow(&arm, 0.0, 0.5, v).tilt_torque_nm < -1.0);
        assert!(blow(&arm, 0.0, 0.5, v).on_platform.force.z > 1.0);
    }

    #[test]
    fn a_boom_swung_through_still_air_is_held_back() {
        // ∫ rho/2 Cd d (w x)² x dx from 0 to L = rho/2 Cd d w² L⁴ / 4.
        let tube = Drag::rod(DVec3::ZERO, DVec3::X * 4.0, 0.06, 1.2).unwrap();
        let arm = arm_with(Carrier::Boom, tube);
        let wind = Wind { relative_mps: DVec3::ZERO, density_kgm3: 1.225 };
        let torque = 0.5 * 1.225 * 1.2 * 0.06 * 2.25 * 64.0;
        let swing = |pan_rps, tilt_rps, yaw| {
            let rates = Rates { pan_rps, tilt_rps };
            wind_actions(&arm, Pose { pan_rad: 0.3, elevation_rad: 0.0 }, rates, DVec3::Z * yaw, &wind)
                .unwrap()
        };
        assert!((swing(1.5, 0.0, 0.0).pan_torque_nm - torque).abs() < TOL);
        assert!((swing(1.0, 0.0, 0.5).pan_torque_nm - torque).abs() < TOL);
        assert!((swing(-1.5, 0.0, 0.0).pan_torque_nm + torque).abs() < TOL);
        assert!((swing(0.0, 1.5, 0.0).tilt_torque_nm - torque).abs() < TOL);
        // The speed counts from the pivot, not from the mast base: the same with the boom raised.
        let raised = Pose { pan_rad: 0.3, elevation_rad: 0.8 };
        let tilting = Rates { pan_rps: 0.0, tilt_rps: 1.5 };
        let up = wind_actions(&arm, raised, tilting, DVec3::ZERO, &wind).unwrap();
        assert!((up.tilt_torque_nm - torque).abs() < TOL);
        // Parts on the base do not feel the pan drive, only the car's own turning.
        let post = Drag::rod(DVec3::X, DVec3::new(1.0, 0.0, 1.0), 0.06, 1.2).unwrap();
        let post = arm_with(Carrier::Base, post);
        let pan = Rates { pan_rps: 1.5, tilt_rps: 0.0 };
        let still = wind_actions(&post, Pose::default(), pan, DVec3::ZERO, &wind).unwrap();
        assert!(still.on_platform.force.length() < TOL);
        let yawed = wind_actions(&post, Pose::default(), pan, DVec3::Z * 1.5, &wind).unwrap();
        assert!((yawed.on_platform.force.y + 0.5 * 1.225 * 1.2 * 0.06 * 2.25).abs() < TOL);
        assert!(yawed.pan_torque_nm.abs() < TOL);
        // A levelled box moves with the tip: 4 m at 1.5 rad/s is 6 m/s, straight up when the boom is level.
        let cage = Drag::bluff_box(DVec3::ZERO, DVec3::splat(0.2), 1.0).unwrap();
        let load = arm_with(Carrier::LevelTip, cage);
        let rates = Rates { pan_rps: 0.0, tilt_rps: 1.5 };
        let up = wind_actions(&load, Pose::default(), rates, DVec3::ZERO, &wind).unwrap();
        assert!((up.tilt_torque_nm - 0.5 * 1.225 * 0.2 * 36.0 * 4.0).abs() < TOL);
    }

    #[test]
    fn a_cube_has_the_same_drag_edge_on() {
        let cage = Drag::bluff_box(DVec3::ZERO, DVec3::splat(0.09), 1.05).unwrap();
        let arm = arm_with(Carrier::LevelTip, cage);
        let v = DVec3::new(-20.0, 0.0, 0.0);
        let (face, edge) = (blow(&arm, 0.0, 0.0, v), blow(&arm, 0.785, 0.0, v));
        assert!((face.on_platform.force - edge.on_platform.force).length() < TOL);
    }

    #[test]
    fn nonsense_is_refused() {
        assert_eq!(Drag::rod(DVec3::ONE, DVec3::ONE, 0.1, 1.2), Err(ArmError::NoLength));
        assert!(Drag::rod(DVec3::ZERO, DVec3::ONE, 0.0, 1.2).is_err());
        assert!(Drag::rod(DVec3::ZERO, DVec3::ONE, 0.1, -1.2).is_err());
        assert!(Drag::bluff_box(DVec3::NAN, DVec3::ONE, 1.0).is_err());
        assert!(Drag::bluff_box(DVec3::ZERO, -DVec3::ONE, 1.0).is_err());
        let arm = arm_with(Carrier::Mast, Drag::bluff_box(DVec3::ZERO, DVec3::ONE, 1.0).unwrap());
        let ask = |v, rho| {
            let wind = Wind { relative_mps: v, density_kgm3: rho };
            wind_actions(&arm, Pose::default(), Rates::default(), DVec3::ZERO, &wind)
        };
        assert!(ask(DVec3::X, 0.0).is_err());
        assert!(ask(DVec3::NAN, 1.2).is_err());
        assert!(ask(DVec3::splat(1e200), 1.2).is_err());
        assert!(ask(DVec3::X, 1.2).is_ok());
    }
}
