//! Newton-Euler equations of the arm on a moving base (`docs/mechanics.md` §3.4.2).

use super::body::Body;
use super::chain::{Arm, Carrier, Frames, Levelling};
use super::error::{ArmError, finite, finite_vec};
use crate::wrench::Wrench;
use core::ops::{Add, AddAssign, Mul};
use glam::DVec3;

/// Where the boom points.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pose {
    /// Pan from straight ahead, positive to the left, rad.
    pub pan_rad: f64,
    /// Elevation above the horizon of the car, positive with the boom front up, rad.
    pub elevation_rad: f64,
}

/// How fast the drives turn, relative to the car.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rates {
    /// Pan rate, positive to the left, rad/s.
    pub pan_rps: f64,
    /// Tilt rate, positive with the boom front rising, rad/s.
    pub tilt_rps: f64,
}

/// How hard the drives accelerate, relative to the car.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Accelerations {
    /// Pan acceleration, positive to the left, rad/s².
    pub pan_rps2: f64,
    /// Tilt acceleration, positive upwards, rad/s².
    pub tilt_rps2: f64,
}

/// How the car carries the arm. All vectors in vehicle axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Base {
    /// Acceleration **of the mast base point** over the ground, m/s². Braking is negative x, a left bend
    /// positive y. Where the car's acceleration is known at another point, add the terms of its rotation.
    pub acceleration_mps2: DVec3,
    /// Angular velocity of the car, rad/s. Yaw to the left is positive z.
    pub angular_velocity_rps: DVec3,
    /// Angular acceleration of the car, rad/s².
    pub angular_acceleration_rps2: DVec3,
    /// Acceleration of free fall, m/s²: `(0, 0, -9.80665)` on the level, tilted by grade and bank.
    pub gravity_mps2: DVec3,
}

impl Base {
    /// Parked on level ground.
    pub const LEVEL: Self = Self {
        acceleration_mps2: DVec3::ZERO,
        angular_velocity_rps: DVec3::ZERO,
        angular_acceleration_rps2: DVec3::ZERO,
        gravity_mps2: DVec3::new(0.0, 0.0, -crate::STANDARD_GRAVITY),
    };

    /// Specific force at the mast base, `a - g`: what an accelerometer reads. `+9.80665` upwards when parked.
    pub fn specific_force_mps2(&self) -> DVec3 {
        self.acceleration_mps2 - self.gravity_mps2
    }

    fn checked(&self) -> Result<(), ArmError> {
        finite_vec("acceleration of the mast base", self.acceleration_mps2)?;
        finite_vec("angular velocity of the car", self.angular_velocity_rps)?;
        finite_vec("angular acceleration of the car", self.angular_acceleration_rps2)?;
        finite_vec("gravity", self.gravity_mps2)?;
        Ok(())
    }
}

/// What the arm does to the platform, to its drives and inside itself.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Actions {
    /// Wrench **of the arm on the platform** at the mast base, vehicle axes.
    pub on_platform: Wrench,
    /// Torque the pan drive must give to the mast, about +z, N m.
    pub pan_torque_nm: f64,
    /// Torque the tilt drive must give to the boom, positive lifting the front, N m.
    pub tilt_torque_nm: f64,
    /// Torque that keeps the levelled tip upright: about the tilt axis, on what hangs from the tip, N m.
    pub level_torque_nm: f64,
    /// Wrench **of what hangs at the tip on the boom**, about the tip, mast axes (upright, turned by pan).
    pub on_tip: Wrench,
    /// Wrench **of everything in front of the pivot on the boom's root**, about the pivot, boom axes.
    /// The moment about y bends the boom up or down, that about z sideways.
    pub boom_root: Wrench,
}

impl Add for Actions {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self {
            on_platform: self.on_platform + o.on_platform,
            pan_torque_nm: self.pan_torque_nm + o.pan_torque_nm,
            tilt_torque_nm: self.tilt_torque_nm + o.tilt_torque_nm,
            level_torque_nm: self.level_torque_nm + o.level_torque_nm,
            on_tip: self.on_tip + o.on_tip,
            boom_root: self.boom_root + o.boom_root,
        }
    }
}

impl Mul<f64> for Actions {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self {
            on_platform: self.on_platform * k,
            pan_torque_nm: self.pan_torque_nm * k,
            tilt_torque_nm: self.tilt_torque_nm * k,
            level_torque_nm: self.level_torque_nm * k,
            on_tip: self.on_tip * k,
            boom_root: self.boom_root * k,
        }
    }
}

impl Actions {
    /// Itself, unless a number overflowed.
    pub(super) fn checked(self) -> Result<Self, ArmError> {
        let wrench = |w: Wrench| w.force.is_finite() && w.moment.is_finite();
        let sums = self.pan_torque_nm + self.tilt_torque_nm + self.level_torque_nm;
        if wrench(self.on_platform) && wrench(self.on_tip) && wrench(self.boom_root) && sums.is_finite() {
            Ok(self)
        } else {
            Err(ArmError::NotFinite("action of the arm"))
        }
    }
}

/// Forces and moments that the bodies **need** for a motion, by part: about the mast base, vehicle axes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Needed {
    base: Wrench,
    mast: Wrench,
    tail: Wrench,
    front: Wrench,
    fixed_tip: Wrench,
    level_tip: Wrench,
}

impl Needed {
    /// Which of the parts something belongs to that sits on a carrier, at `x_m` along the boom if it sits there.
    pub(super) fn part(carrier: Carrier, x_m: f64) -> usize {
        match carrier {
            Carrier::Base => 0,
            Carrier::Mast => 1,
            Carrier::Boom if x_m < 0.0 => 2,
            Carrier::Boom => 3,
            Carrier::FixedTip => 4,
            Carrier::LevelTip => 5,
        }
    }

    /// Adds a wrench about the mast base that acts on the part `carrier`, at `x_m` along the boom if that is
    /// where it sits.
    pub(super) fn add(&mut self, carrier: Carrier, x_m: f64, wrench: Wrench) {
        let Self { base, mast, tail, front, fixed_tip, level_tip } = self;
        let parts = [base, mast, tail, front, fixed_tip, level_tip];
        parts[Self::part(carrier, x_m)].add_assign(wrench);
    }

    /// The actions that follow: reactions by Newton's third law, drive torques about their axes.
    ///
    /// With a linkage the levelling moment goes through the linkage's own pair of forces to the mast head:
    /// by virtual work (the tip does not turn with tilt) it is no load on the tilt drive, and it does not
    /// bend the boom.
    pub(super) fn actions(&self, frames: &Frames, levelling: Levelling) -> Actions {
        let e = frames.tilt_axis;
        let at_tip = |w: Wrench| w.about(DVec3::ZERO, frames.tip);
        let level_torque_nm = at_tip(self.level_tip).moment.dot(e);
        let bypass = match levelling {
            Levelling::Linkage => Wrench::new(DVec3::ZERO, e * level_torque_nm),
            Levelling::TipDrive => Wrench::ZERO,
        };
        let tip = self.fixed_tip + self.level_tip;
        let turning = self.mast + self.tail + self.front + tip;
        let front = (self.front + tip).about(DVec3::ZERO, frames.pivot) - bypass;
        let boom = front + self.tail.about(DVec3::ZERO, frames.pivot);
        let turned =
            |m: glam::DMat3, w: Wrench| Wrench::new(m.transpose() * w.force, m.transpose() * w.moment);
        Actions {
            on_platform: -(self.base + turning),
            pan_torque_nm: turning.moment.z,
            tilt_torque_nm: boom.moment.dot(e),
            level_torque_nm,
            on_tip: turned(frames.mast, -at_tip(tip)),
            boom_root: turned(frames.boom, -front),
        }
    }
}

/// What the arm does to the platform and its drives in one state: the full Newton-Euler equations.
///
/// ```text
/// mast      w_m = W + p' z                 a_m = W' + p'' z + W x p' z
/// boom      w_b = w_m + t' e               a_b = a_m + t'' e + w_m x t' e
/// point     a = a_0 + Σ over the chain of  alpha x d + w x (w x d)
/// body      F = m (a_c - g)                M = I alpha + w x I w      (about the mass centre)
/// platform  -Σ F,  -Σ (r_c x F + M)        (about the mast base)
/// ```
///
/// # Symbols
///
/// `W`, `W'` the car's angular velocity and acceleration; `p`, `t` pan and elevation; `z` the mast axis; `e`
/// the tilt axis (front up); `d` the steps mast base - pivot - tip - mass centre; `a_0` the acceleration of
/// the mast base.
///
/// # Frame and signs
///
/// See [`Base`] and [`Actions`]. A body of the boom counts as in front of the pivot when its mass centre is:
/// give a part that spans the pivot as two bodies if the root moment matters.
///
/// # Assumes
///
/// Rigid bodies and stiff drives; friction and play in the bearings left out; nothing swings at the tip.
///
/// # Source
///
/// Newton-Euler recursion, R. Featherstone, *Rigid Body Dynamics Algorithms*, 2008, §5.3 \[from memory\];
/// derived in `docs/mechanics.md` §3.4.2. Checked by `tests/arm_reference.rs` (an independent multibody
/// library), `tests/arm_physics.rs` (positions differentiated twice; energy) and the closed forms beside
/// this function.
///
/// # Errors
///
/// [`ArmError::NotFinite`] if an input is not finite or the answer overflows.
pub fn actions(
    arm: &Arm,
    pose: Pose,
    rates: Rates,
    accelerations: Accelerations,
    base: &Base,
) -> Result<Actions, ArmError> {
    let frames = Frames::at(arm.geometry(), pose)?;
    base.checked()?;
    let pan_rate = DVec3::Z * finite("pan rate", rates.pan_rps)?;
    let pan_acc = DVec3::Z * finite("pan acceleration", accelerations.pan_rps2)?;
    let tilt_rate = frames.tilt_axis * finite("tilt rate", rates.tilt_rps)?;
    let tilt_acc = frames.tilt_axis * finite("tilt acceleration", accelerations.tilt_rps2)?;

    let car = Turn { w: base.angular_velocity_rps, alpha: base.angular_acceleration_rps2 };
    let mast = car.then(pan_rate, pan_acc);
    let boom = mast.then(tilt_rate, tilt_acc);
    // Gravity is taken in as an acceleration of the base the other way.
    let at_base = base.specific_force_mps2();
    let at_pivot = at_base + mast.acceleration_of(frames.pivot);
    let at_tip = at_pivot + boom.acceleration_of(frames.tip - frames.pivot);

    let mut needed = Needed::default();
    for body in arm.bodies() {
        let (turn, at_origin) = match body.carrier() {
            Carrier::Base => (car, at_base),
            Carrier::Mast => (mast, at_base),
            Carrier::Boom => (boom, at_pivot),
            Carrier::LevelTip => (mast, at_tip),
            Carrier::FixedTip => (boom, at_tip),
        };
        needed.add(body.carrier(), body.centre_m().x, turn.wrench_on(body, &frames, at_origin));
    }
    needed.actions(&frames, arm.levelling()).checked()
}

/// Angular velocity and acceleration of one part.
#[derive(Clone, Copy)]
struct Turn {
    w: DVec3,
    alpha: DVec3,
}

impl Turn {
    /// The next part, turning relative to this one about an axis that this one carries.
    fn then(self, rate: DVec3, acc: DVec3) -> Self {
        Self { w: self.w + rate, alpha: self.alpha + acc + self.w.cross(rate) }
    }

    /// Acceleration of the end of `d` relative to its start, both fixed to the part.
    fn acceleration_of(self, d: DVec3) -> DVec3 {
        self.alpha.cross(d) + self.w.cross(self.w.cross(d))
    }

    /// Wrench about the mast base that a body of this part needs.
    fn wrench_on(self, body: &Body, frames: &Frames, at_origin: DVec3) -> Wrench {
        let (_, rotation) = frames.of(body.carrier());
        let force = (at_origin + self.acceleration_of(rotation * body.centre_m())) * body.mass_kg();
        let inertia = frames.inertia(body);
        let moment = inertia * self.alpha + self.w.cross(inertia * self.w);
        Wrench::of_force_at(force, frames.centre(body)) + Wrench::new(DVec3::ZERO, moment)
    }
}

#[cfg(test)]
mod tests {
    use super::super::chain::Geometry;
    use super::*;
    use crate::STANDARD_GRAVITY as G;
    use core::f64::consts::FRAC_PI_2;

    /// Relative rounding over some tens of products.
    const TOL: f64 = 1e-12;

    fn weightless() -> Base {
        Base { gravity_mps2: DVec3::ZERO, ..Base::LEVEL }
    }

    fn arm_of(bodies: Vec<Body>) -> Arm {
        Arm::new(Geometry::new(1.0, 4.0).unwrap(), Levelling::Linkage, bodies).unwrap()
    }

    fn rates(pan_rps: f64, tilt_rps: f64) -> Rates {
        Rates { pan_rps, tilt_rps }
    }

    fn accs(pan_rps2: f64, tilt_rps2: f64) -> Accelerations {
        Accelerations { pan_rps2, tilt_rps2 }
    }

    fn close(a: DVec3, b: DVec3) -> bool {
        (a - b).length() <= TOL * (1.0 + b.length())
    }

    #[test]
    fn a_parked_arm_weighs_what_it_weighs() {
        let arm = arm_of(vec![
            Body::point(20.0, DVec3::ZERO, Carrier::LevelTip).unwrap(),
            Body::point(80.0, DVec3::new(-0.9, 0.0, 0.0), Carrier::Boom).unwrap(),
            Body::point(10.0, DVec3::new(0.0, 0.0, 0.5), Carrier::Mast).unwrap(),
        ]);
        let pose = Pose { pan_rad: 0.0, elevation_rad: 0.3 };
        let a = actions(&arm, pose, Rates::default(), Accelerations::default(), &Base::LEVEL).unwrap();
        assert!(close(a.on_platform.force, DVec3::new(0.0, 0.0, -110.0 * G)));
        // 20 kg at 4 m against 80 kg at 0.9 m: 8 kg m nose-heavy, which lowers the nose (+y turn).
        let m = 8.0 * G * 0.3_f64.cos();
        assert!(close(a.on_platform.moment, DVec3::new(0.0, m, 0.0)));
        assert!((a.tilt_torque_nm - m).abs() < TOL * 1e3);
        assert!(a.pan_torque_nm.abs() < TOL * 1e3);
        assert!(close(a.on_tip.force, DVec3::new(0.0, 0.0, -20.0 * G)));
        let root = 80.0 * G * 0.3_f64.cos();
        assert!(close(a.boom_root.moment, DVec3::new(0.0, root, 0.0)));
    }

    #[test]
    fn braking_throws_the_arm_forward() {
        let arm = arm_of(vec![Body::point(50.0, DVec3::new(0.0, 0.0, 2.0), Carrier::Mast).unwrap()]);
        let base = Base { acceleration_mps2: DVec3::new(-6.0, 2.0, 0.0), ..weightless() };
        let a = actions(&arm, Pose::default(), Rates::default(), Accelerations::default(), &base).unwrap();
        assert!(close(a.on_platform.force, DVec3::new(300.0, -100.0, 0.0)));
        assert!(close(a.on_platform.moment, DVec3::new(200.0, 600.0, 0.0)));
    }

    #[test]
    fn a_swung_point_pulls_outward() {
        // m w² r with r = 4 cos 0.5, whether the pan drive or the car turns.
        let arm = arm_of(vec![Body::point(25.0, DVec3::ZERO, Carrier::LevelTip).unwrap()]);
        let pose = Pose { pan_rad: FRAC_PI_2, elevation_rad: 0.5 };
        let pull = 25.0 * 1.2 * 1.2 * 4.0 * 0.5_f64.cos();
        let still = accs(0.0, 0.0);
        let a = actions(&arm, pose, rates(1.2, 0.0), still, &weightless()).unwrap();
        let turning = Base { angular_velocity_rps: DVec3::Z * 0.9, ..weightless() };
        let b = actions(&arm, pose, rates(0.3, 0.0), still, &turning).unwrap();
        for w in [a.on_platform, b.on_platform] {
            assert!(close(w.force, DVec3::new(0.0, pull, 0.0)));
            assert!(close(w.moment, DVec3::new(-pull * (1.0 + 4.0 * 0.5_f64.sin()), 0.0, 0.0)));
        }
    }

    #[test]
    fn a_rod_started_from_rest_needs_m_l_l_over_3_alpha() {
        let rod = Body::rod(6.0, DVec3::ZERO, DVec3::X * 4.0, Carrier::Boom).unwrap();
        let arm = arm_of(vec![rod]);
        let i = 6.0 * 16.0 / 3.0;
        let pan = actions(&arm, Pose::default(), Rates::default(), accs(0.7, 0.0), &weightless()).unwrap();
        assert!((pan.pan_torque_nm - i * 0.7).abs() < TOL * i);
        assert!((pan.on_platform.moment.z + i * 0.7).abs() < TOL * i);
        let tilt = actions(&arm, Pose::default(), Rates::default(), accs(0.0, 0.7), &weightless()).unwrap();
        assert!((tilt.tilt_torque_nm - i * 0.7).abs() < TOL * i);
        // Raised to 60 degrees the pan inertia falls with cos² = 1/4.
        let pose = Pose { pan_rad: 0.4, elevation_rad: core::f64::consts::FRAC_PI_3 };
        let up = actions(&arm, pose, Rates::default(), accs(0.7, 0.0), &weightless()).unwrap();
        assert!((up.pan_torque_nm - 0.25 * i * 0.7).abs() < TOL * i);
    }

    #[test]
    fn coriolis_and_gyroscopic_torques_have_their_closed_forms() {
        // Angular momentum about z is m r² cos² t p'; its rate at steady p', t' is -2 m r² p' t' sin t cos t.
        // About the tilt axis a steady pan needs m r² p'² sin t cos t: it wants to bring the boom level.
        let (r, t, w, td, m) = (3.0, 0.6_f64, 0.8, 0.5, 10.0);
        let pose = Pose { pan_rad: -0.7, elevation_rad: t };
        let point = arm_of(vec![Body::point(m, DVec3::X * r, Carrier::Boom).unwrap()]);
        let k = m * r * r * t.sin() * t.cos();
        let a = actions(&point, pose, rates(w, td), accs(0.0, 0.0), &weightless()).unwrap();
        assert!((a.pan_torque_nm + 2.0 * k * w * td).abs() < TOL * k);
        assert!((a.tilt_torque_nm - k * w * w).abs() < TOL * k);
        // The same through the inertia alone: a rod balanced on the pivot has m l² / 12 for m r².
        let rod = arm_of(vec![Body::rod(m, DVec3::X * -r, DVec3::X * r, Carrier::Boom).unwrap()]);
        let b = actions(&rod, pose, rates(w, td), accs(0.0, 0.0), &weightless()).unwrap();
        assert!((b.pan_torque_nm + 2.0 * k / 3.0 * w * td).abs() < TOL * k);
        assert!((b.tilt_torque_nm - k / 3.0 * w * w).abs() < TOL * k);
        assert!(b.on_platform.force.length() < TOL * k);
    }

    #[test]
    fn only_a_tip_drive_loads_the_tilt_drive_with_the_levelling_moment() {
        let g = Geometry::new(1.0, 4.0).unwrap();
        let load = Body::point(20.0, DVec3::new(0.3, 0.0, -0.5), Carrier::LevelTip).unwrap();
        let at = |l| {
            let arm = Arm::new(g, l, vec![load]).unwrap();
            let pose = Pose { pan_rad: 0.2, elevation_rad: 0.4 };
            actions(&arm, pose, Rates::default(), Accelerations::default(), &Base::LEVEL).unwrap()
        };
        let (linkage, drive) = (at(Levelling::Linkage), at(Levelling::TipDrive));
        assert!((linkage.level_torque_nm - 20.0 * G * 0.3).abs() < 1e-10);
        let carried = 20.0 * G * 4.0 * 0.4_f64.cos();
        assert!((linkage.tilt_torque_nm - carried).abs() < 1e-9);
        assert!((drive.tilt_torque_nm - carried - 20.0 * G * 0.3).abs() < 1e-9);
        assert!((linkage.boom_root.moment.y - carried).abs() < 1e-9);
        assert!((drive.boom_root.moment.y - carried - 20.0 * G * 0.3).abs() < 1e-9);
        assert!(close(linkage.on_platform.moment, drive.on_platform.moment));
    }

    #[test]
    fn numbers_that_are_none_are_refused() {
        let arm = arm_of(vec![Body::point(1.0, DVec3::ZERO, Carrier::Boom).unwrap()]);
        let ask = |pose, rates, accs, base: &Base| actions(&arm, pose, rates, accs, base);
        let (p, r, a, b) = (Pose::default(), Rates::default(), Accelerations::default(), Base::LEVEL);
        assert!(ask(p, r, a, &b).is_ok());
        assert!(ask(Pose { pan_rad: f64::NAN, ..p }, r, a, &b).is_err());
        assert!(ask(Pose { elevation_rad: f64::INFINITY, ..p }, r, a, &b).is_err());
        assert!(ask(p, rates(f64::NAN, 0.0), a, &b).is_err());
        assert!(ask(p, r, accs(0.0, f64::NAN), &b).is_err());
        assert!(ask(p, r, a, &Base { gravity_mps2: DVec3::NAN, ..b }).is_err());
        let arm = arm_of(vec![Body::point(1.0, DVec3::X, Carrier::Boom).unwrap()]);
        let over = actions(&arm, p, rates(1e200, 0.0), a, &b);
        assert_eq!(over, Err(ArmError::NotFinite("action of the arm")));
    }
}
