//! The arm's actions as a linear map for a fixed pose (`docs/mechanics.md` §3.4.3).

use super::chain::{Arm, Carrier, Frames};
use super::dynamics::{Accelerations, Actions, Base, Needed, Pose, Rates};
use super::error::{ArmError, finite, finite_vec};
use crate::wrench::Wrench;
use glam::DVec3;

/// Number of terms of the basis.
pub const TERMS: usize = 10;

/// Number of leading terms that are enough when no body is carried by the base.
pub const TURNING_TERMS: usize = 8;

/// The terms that a state puts into the basis, in this order:
///
/// ```text
/// 0..3  specific force a - g at the mast base, x y z (vehicle axes), m/s²
/// 3     w'     pan acceleration + yaw acceleration of the car, rad/s²
/// 4     t''    tilt acceleration, rad/s²
/// 5     w²     w = pan rate + yaw rate of the car, rad²/s²
/// 6     w t'   times the tilt rate, rad²/s²
/// 7     t'²    rad²/s²
/// 8     W'     yaw acceleration of the car alone: the parts that do not turn with pan
/// 9     W²     yaw rate of the car alone, squared: likewise
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BasisTerms(pub [f64; TERMS]);

impl BasisTerms {
    /// The terms of a state in which the car turns by yaw alone.
    ///
    /// # Errors
    ///
    /// [`ArmError::NotPureYaw`] if the car rolls or pitches, [`ArmError::NotFinite`] if a number is not
    /// finite.
    pub fn of(rates: Rates, accelerations: Accelerations, base: &Base) -> Result<Self, ArmError> {
        let (turn, change) = (base.angular_velocity_rps, base.angular_acceleration_rps2);
        finite_vec("angular velocity of the car", turn)?;
        finite_vec("angular acceleration of the car", change)?;
        if turn.truncate() != glam::DVec2::ZERO || change.truncate() != glam::DVec2::ZERO {
            return Err(ArmError::NotPureYaw);
        }
        let f = finite_vec("specific force", base.specific_force_mps2())?;
        let w = finite("pan rate", rates.pan_rps)? + turn.z;
        let t = finite("tilt rate", rates.tilt_rps)?;
        let w_dot = finite("pan acceleration", accelerations.pan_rps2)? + change.z;
        let t_ddot = finite("tilt acceleration", accelerations.tilt_rps2)?;
        Ok(Self([f.x, f.y, f.z, w_dot, t_ddot, w * w, w * t, t * t, change.z, turn.z * turn.z]))
    }
}

/// Actions of the arm per unit of each term, for one pose.
#[derive(Clone, Debug, PartialEq)]
pub struct WrenchBasis {
    columns: [Actions; TERMS],
}

impl WrenchBasis {
    /// Actions per unit of each term of [`BasisTerms`].
    pub fn columns(&self) -> &[Actions; TERMS] {
        &self.columns
    }

    /// Rows `Fx Fy Fz Mx My Mz` of the arm on the platform at the mast base, vehicle axes.
    ///
    /// Without bodies on the base the last two columns are zero: the first [`TURNING_TERMS`] are the matrix.
    pub fn platform_matrix(&self) -> [[f64; TERMS]; 6] {
        let columns = self.columns.map(|c| c.on_platform.to_array());
        let mut rows = [[0.0; TERMS]; 6];
        for (k, column) in columns.iter().enumerate() {
            for (row, value) in rows.iter_mut().zip(column) {
                row[k] = *value;
            }
        }
        rows
    }

    /// Torque of the pan drive per unit of each term.
    pub fn pan_torque_row(&self) -> [f64; TERMS] {
        self.columns.map(|c| c.pan_torque_nm)
    }

    /// Torque of the tilt drive per unit of each term.
    pub fn tilt_torque_row(&self) -> [f64; TERMS] {
        self.columns.map(|c| c.tilt_torque_nm)
    }

    /// All actions of one state.
    pub fn actions(&self, terms: &BasisTerms) -> Actions {
        self.columns.iter().zip(terms.0).fold(Actions::default(), |sum, (c, t)| sum + *c * t)
    }
}

/// The basis of one pose: exact, not an approximation, as long as the car turns by yaw alone.
///
/// For a mass centre at `r` from the mast base, carried by the boom vector `b` (pivot to mass centre, or to
/// the tip for a levelled load), with the mast axis `z` and the tilt axis `e`:
///
/// ```text
/// a = a_0 + w' z x r + w² z x (z x r) + t'' e x b + t'² e x (e x b) + 2 w t' z x (e x b)
/// M = w' I z + w² z x I z + t'' I e + t'² e x I e + w t' [ I (z x e) + z x I e + e x I z ]
/// ```
///
/// The terms with `t` in `M` fall away for parts that do not tilt; parts on the base have the car's own yaw
/// `W` for `w`.
///
/// # Source
///
/// Derived in `docs/mechanics.md` §3.4.3 from the equations of [`super::dynamics::actions`]. Checked by
/// `the_basis_equals_the_full_equations` in `tests/arm_physics.rs`.
///
/// # Errors
///
/// [`ArmError::NotFinite`] if the pose is not finite or a sum overflows.
pub fn wrench_basis(arm: &Arm, pose: Pose) -> Result<WrenchBasis, ArmError> {
    let frames = Frames::at(arm.geometry(), pose)?;
    let (z, e) = (DVec3::Z, frames.tilt_axis);
    let mut needed = [Needed::default(); TERMS];
    for body in arm.bodies() {
        let r = frames.centre(body);
        let i = frames.inertia(body);
        let (b, tilts, turns) = match body.carrier() {
            Carrier::Base => (DVec3::ZERO, false, false),
            Carrier::Mast => (DVec3::ZERO, false, true),
            Carrier::LevelTip => (frames.tip - frames.pivot, false, true),
            Carrier::Boom | Carrier::FixedTip => (r - frames.pivot, true, true),
        };
        let tilting = |m: DVec3| if tilts { m } else { DVec3::ZERO };
        let euler = (z.cross(r), i * z);
        let centripetal = (z.cross(z.cross(r)), z.cross(i * z));
        let none = (DVec3::ZERO, DVec3::ZERO);
        let pan = |term| if turns { term } else { none };
        let yaw = |term| if turns { none } else { term };
        let per_unit: [(DVec3, DVec3); TERMS] = [
            (DVec3::X, DVec3::ZERO),
            (DVec3::Y, DVec3::ZERO),
            (DVec3::Z, DVec3::ZERO),
            pan(euler),
            (e.cross(b), tilting(i * e)),
            pan(centripetal),
            (z.cross(e.cross(b)) * 2.0, tilting(i * z.cross(e) + z.cross(i * e) + e.cross(i * z))),
            (e.cross(e.cross(b)), tilting(e.cross(i * e))),
            yaw(euler),
            yaw(centripetal),
        ];
        for (sum, (a, m)) in needed.iter_mut().zip(per_unit) {
            let wrench = Wrench::of_force_at(a * body.mass_kg(), r) + Wrench::new(DVec3::ZERO, m);
            sum.add(body.carrier(), body.centre_m().x, wrench);
        }
    }
    let columns = needed.map(|n| n.actions(&frames, arm.levelling()));
    for column in columns {
        column.checked()?;
    }
    Ok(WrenchBasis { columns })
}

#[cfg(test)]
mod tests {
    use super::super::{Body, Geometry, Levelling};
    use super::*;

    #[test]
    fn rows_and_columns_agree_and_the_base_has_its_own_two() {
        let g = Geometry::new(1.0, 4.0).unwrap();
        let tip = Body::point(20.0, DVec3::new(0.1, 0.0, -0.4), Carrier::LevelTip).unwrap();
        let foot = Body::point(30.0, DVec3::new(0.2, 0.1, 0.1), Carrier::Base).unwrap();
        let pose = Pose { pan_rad: 0.3, elevation_rad: 0.2 };
        let arm = Arm::new(g, Levelling::Linkage, vec![tip]).unwrap();
        let turning = wrench_basis(&arm, pose).unwrap().platform_matrix();
        for row in turning {
            assert!(row[TURNING_TERMS..].iter().all(|v| v.abs() < f64::MIN_POSITIVE));
        }
        let basis = wrench_basis(&arm.with_body(foot), pose).unwrap();
        let rows = basis.platform_matrix();
        for (k, column) in basis.columns().iter().enumerate() {
            let from_rows = rows.map(|r| r[k]);
            assert_eq!(Wrench::from_array(from_rows), column.on_platform);
        }
        // 30 kg at 0.2 m forward, 0.1 m left, pulled outward by the car's yaw alone.
        assert!((rows[0][9] - 6.0).abs() < 1e-12 && (rows[1][9] - 3.0).abs() < 1e-12);
        assert!((rows[0][5] - turning[0][5]).abs() < 1e-12);
    }

    #[test]
    fn roll_and_pitch_are_refused() {
        let base = Base { angular_velocity_rps: DVec3::new(0.1, 0.0, 0.2), ..Base::LEVEL };
        let terms = BasisTerms::of(Rates::default(), Accelerations::default(), &base);
        assert_eq!(terms, Err(ArmError::NotPureYaw));
        let base = Base { angular_acceleration_rps2: DVec3::new(0.0, 0.1, 0.0), ..Base::LEVEL };
        let terms = BasisTerms::of(Rates::default(), Accelerations::default(), &base);
        assert_eq!(terms, Err(ArmError::NotPureYaw));
    }
}
