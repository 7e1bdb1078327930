//! Balance of the boom about its pivot (`docs/mechanics.md` §3.4.6).

use super::chain::{Arm, Carrier, Levelling};
use super::error::{ArmError, finite, positive};
use glam::DVec3;

/// Below this share of the full lever a counterweight counts as straight over or under the pivot.
const LEVER_SHARE: f64 = 1e-9;

/// First moments of mass that decide how the boom balances.
///
/// ```text
/// tau(t) = g (A cos t - B sin t + C)        the torque the drive must give to hold the boom still
///
/// A = Σ m x    along the boom, forward of the pivot +
/// B = Σ m z    square to the boom, above the pivot +
/// C = Σ m x    of a levelled load, forward of the tip, where a drive at the tip keeps it upright
/// ```
///
/// Positive means nose-heavy. A levelled load counts in `A` and `B` as if all its mass sat at the tip.
/// `B` is why a boom balanced when level is not balanced when raised: with the mass centre above the pivot
/// it runs away from level, below the pivot it returns.
///
/// # Source
///
/// Virtual work of the weights, `tau = Σ m g dz/dt` with `z = x sin t + z_b cos t`; derived in
/// `docs/mechanics.md` §3.4.6. Checked by `the_closed_form_agrees_with_the_full_equations`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TiltBalance {
    /// `A`, kg m.
    pub along_kgm: f64,
    /// `B`, kg m.
    pub above_kgm: f64,
    /// `C`, kg m.
    pub level_kgm: f64,
}

impl TiltBalance {
    /// The first moments of an arm.
    pub fn of(arm: &Arm) -> Self {
        let tip = arm.geometry().tip_m();
        let mut sum = Self { along_kgm: 0.0, above_kgm: 0.0, level_kgm: 0.0 };
        for body in arm.bodies() {
            let (m, c) = (body.mass_kg(), body.centre_m());
            let at = match body.carrier() {
                Carrier::Base | Carrier::Mast => continue,
                Carrier::Boom => c,
                Carrier::FixedTip => tip + c,
                Carrier::LevelTip => tip,
            };
            sum.along_kgm += m * at.x;
            sum.above_kgm += m * at.z;
            if body.carrier() == Carrier::LevelTip && arm.levelling() == Levelling::TipDrive {
                sum.level_kgm += m * c.x;
            }
        }
        sum
    }

    /// The same boom with more mass at a place of it (boom axes, from the pivot); a negative mass comes off.
    #[must_use]
    pub fn with(&self, mass_kg: f64, x_m: f64, z_m: f64) -> Self {
        Self {
            along_kgm: self.along_kgm + mass_kg * x_m,
            above_kgm: self.above_kgm + mass_kg * z_m,
            level_kgm: self.level_kgm,
        }
    }

    /// `A cos t - B sin t + C`, kg m.
    fn lever_kgm(&self, elevation_rad: f64) -> f64 {
        let (s, c) = elevation_rad.sin_cos();
        self.along_kgm * c - self.above_kgm * s + self.level_kgm
    }

    /// Torque the drive must give to hold the boom on level ground, N m; positive when nose-heavy.
    ///
    /// # Errors
    ///
    /// [`ArmError::NotFinite`] if the elevation or the answer is not finite.
    pub fn torque_nm(&self, elevation_rad: f64) -> Result<f64, ArmError> {
        let t = finite("elevation", elevation_rad)?;
        finite("tilt torque", crate::STANDARD_GRAVITY * self.lever_kgm(t))
    }

    /// Elevation in a range, and torque there, where holding the boom takes most (by size), N m.
    ///
    /// The torque is a sine of the elevation: its peaks lie where `tan t = -B / A`, every half turn.
    ///
    /// # Errors
    ///
    /// [`ArmError::NotFinite`] if a number is not finite.
    pub fn worst_torque_nm(&self, from_rad: f64, to_rad: f64) -> Result<(f64, f64), ArmError> {
        let (a, b) = (finite("elevation", from_rad)?, finite("elevation", to_rad)?);
        let (low, high) = (a.min(b), a.max(b));
        let half_turn = core::f64::consts::PI;
        let peak = (-self.above_kgm).atan2(self.along_kgm);
        // The first two peaks at or above the lower end: one of each sign, so no further one can beat them.
        let first = peak + ((low - peak) / half_turn).ceil() * half_turn;
        let mut worst = (low, self.torque_nm(low)?);
        for t in [high, first, first + half_turn] {
            let torque = self.torque_nm(t)?;
            if t >= low && t <= high && torque.abs() > worst.1.abs() {
                worst = (t, torque);
            }
        }
        Ok(worst)
    }

    /// Mass to **add** at a place of the boom so that it balances at an elevation, kg.
    ///
    /// `x_m` along the boom from the pivot (negative behind), `z_m` above it, as for a body of the boom.
    ///
    /// # Errors
    ///
    /// [`ArmError::NoLever`] if no positive mass there can balance the boom at this elevation,
    /// [`ArmError::NotFinite`] if a number is not finite.
    pub fn counterweight_kg(&self, x_m: f64, z_m: f64, elevation_rad: f64) -> Result<f64, ArmError> {
        let (x, z) = (finite("counterweight place", x_m)?, finite("counterweight place", z_m)?);
        let t = finite("elevation", elevation_rad)?;
        let imbalance = finite("tilt moment", self.lever_kgm(t))?;
        if imbalance == 0.0 {
            return Ok(0.0);
        }
        let lever_m = x * t.cos() - z * t.sin();
        let mass = -imbalance / lever_m;
        if lever_m.abs() <= LEVER_SHARE * x.hypot(z) || mass < 0.0 {
            return Err(ArmError::NoLever { lever_m });
        }
        finite("counterweight", mass)
    }

    /// Place along the boom (from the pivot, negative behind) of an **added** mass that balances the boom at
    /// an elevation, m, when the mass sits `z_m` above the pivot.
    ///
    /// # Errors
    ///
    /// [`ArmError::NoLever`] if the boom stands upright (moving along it changes nothing), [`ArmError`] if
    /// the mass is not positive or a number is not finite.
    pub fn counterweight_place_m(&self, mass_kg: f64, z_m: f64, elevation_rad: f64) -> Result<f64, ArmError> {
        let m = positive("counterweight", mass_kg)?;
        let (z, t) = (finite("counterweight place", z_m)?, finite("elevation", elevation_rad)?);
        if t.cos().abs() <= LEVER_SHARE {
            return Err(ArmError::NoLever { lever_m: 0.0 });
        }
        finite("counterweight place", (z * t.sin() - self.lever_kgm(t) / m) / t.cos())
    }

    /// Place (boom axes, from the pivot) of an added mass that balances the boom at **every** elevation but
    /// for the constant `C`.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if the mass is not positive or a number is not finite.
    pub fn neutral_place_m(&self, mass_kg: f64) -> Result<DVec3, ArmError> {
        let m = positive("counterweight", mass_kg)?;
        let place = DVec3::new(-self.along_kgm / m, 0.0, -self.above_kgm / m);
        super::error::finite_vec("counterweight place", place)
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Accelerations, Base, Body, Geometry, Inertia, Pose, Rates, actions};
    use super::*;

    /// Rounding of a few hundred N m.
    const TOL: f64 = 1e-9;

    fn arm(levelling: Levelling) -> Arm {
        let g = Geometry::new(1.1, 4.2).unwrap().with_pivot_offset(0.05, 0.08).unwrap();
        let bodies = vec![
            Body::rod(14.0, DVec3::new(0.0, 0.0, 0.08), DVec3::new(4.2, 0.0, 0.08), Carrier::Boom).unwrap(),
            Body::point(60.0, DVec3::new(-1.1, 0.02, -0.1), Carrier::Boom).unwrap(),
            Body::point(18.0, DVec3::new(0.15, -0.05, -0.4), Carrier::LevelTip).unwrap(),
            Body::new(2.0, DVec3::new(0.1, 0.0, 0.2), Inertia::diagonal(0.1, 0.2, 0.2), Carrier::FixedTip)
                .unwrap(),
            Body::point(12.0, DVec3::new(0.3, 0.0, 0.6), Carrier::Mast).unwrap(),
        ];
        Arm::new(g, levelling, bodies).unwrap()
    }

    fn drive_nm(arm: &Arm, elevation_rad: f64) -> f64 {
        let pose = Pose { pan_rad: 0.7, elevation_rad };
        actions(arm, pose, Rates::default(), Accelerations::default(), &Base::LEVEL).unwrap().tilt_torque_nm
    }

    #[test]
    fn the_closed_form_agrees_with_the_full_equations() {
        for levelling in [Levelling::Linkage, Levelling::TipDrive] {
            let arm = arm(levelling);
            let balance = TiltBalance::of(&arm);
            for k in -8..=8 {
                let t = 0.2 * f64::from(k);
                assert!((balance.torque_nm(t).unwrap() - drive_nm(&arm, t)).abs() < TOL);
            }
        }
    }

    #[test]
    fn an_added_counterweight_balances() {
        for levelling in [Levelling::Linkage, Levelling::TipDrive] {
            let arm = arm(levelling);
            let balance = TiltBalance::of(&arm);
            let m = balance.counterweight_kg(-1.3, -0.1, 0.3).unwrap();
            let plate = Body::point(m, DVec3::new(-1.3, 0.0, -0.1), Carrier::Boom).unwrap();
            assert!(drive_nm(&arm.clone().with_body(plate), 0.3).abs() < TOL);
            let x = balance.counterweight_place_m(45.0, 0.2, -0.4).unwrap();
            let plate = Body::point(45.0, DVec3::new(x, 0.0, 0.2), Carrier::Boom).unwrap();
            assert!(drive_nm(&arm.clone().with_body(plate), -0.4).abs() < TOL);
        }
        let arm = arm(Levelling::Linkage);
        let place = TiltBalance::of(&arm).neutral_place_m(50.0).unwrap();
        let neutral = arm.with_body(Body::point(50.0, place, Carrier::Boom).unwrap());
        for t in [-1.0, 0.0, 0.5, 1.2] {
            assert!(drive_nm(&neutral, t).abs() < TOL);
        }
    }

    #[test]
    fn the_worst_elevation_is_found_inside_and_at_the_ends() {
        let all = [(8.0, -3.0, 0.5), (1.0, 10.0, 0.0), (-4.0, 2.0, -6.0), (0.0, 0.0, 1.0)];
        for (along_kgm, above_kgm, level_kgm) in all {
            let b = TiltBalance { along_kgm, above_kgm, level_kgm };
            for (from, to) in [(-0.5, 0.9), (0.2, 0.4), (-4.0, 5.0), (0.9, -0.5)] {
                let (at, worst) = b.worst_torque_nm(from, to).unwrap();
                assert!(at >= from.min(to) && at <= from.max(to));
                assert!((b.torque_nm(at).unwrap() - worst).abs() < TOL);
                let seen = (0..=4000_i32)
                    .map(|k| b.torque_nm(from + (to - from) * f64::from(k) / 4000.0).unwrap().abs())
                    .fold(0.0, f64::max);
                // A scan in steps of 2.3e-3 rad misses a peak by at most g m h² / 8.
                assert!(worst.abs() >= seen - TOL && worst.abs() <= seen + 1e-3);
            }
        }
    }

    #[test]
    fn what_cannot_balance_is_said() {
        let b = TiltBalance { along_kgm: 10.0, above_kgm: 0.0, level_kgm: 0.0 };
        assert!(matches!(b.counterweight_kg(0.5, 0.0, 0.0), Err(ArmError::NoLever { .. })));
        assert!(matches!(b.counterweight_kg(0.0, -0.5, 0.0), Err(ArmError::NoLever { .. })));
        assert!(matches!(b.counterweight_kg(0.0, 0.0, 0.0), Err(ArmError::NoLever { .. })));
        let up = core::f64::consts::FRAC_PI_2;
        assert!(matches!(b.counterweight_place_m(10.0, 0.0, up), Err(ArmError::NoLever { .. })));
        assert!(b.counterweight_place_m(0.0, 0.0, 0.0).is_err());
        assert!(b.torque_nm(f64::NAN).is_err());
        assert!(b.worst_torque_nm(f64::NAN, 1.0).is_err());
        assert!(b.worst_torque_nm(1.0, f64::NAN).is_err());
        assert!(b.neutral_place_m(-1.0).is_err());
        let none = TiltBalance { along_kgm: 0.0, ..b };
        assert_eq!(none.counterweight_kg(-1.0, 0.0, 0.3), Ok(0.0));
    }
}
