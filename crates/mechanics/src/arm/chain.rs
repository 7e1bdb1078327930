//! The arm as a chain of rigid bodies: base, mast, boom, tip.

use super::body::Body;
use super::dynamics::Pose;
use super::error::{ArmError, finite, not_negative, positive};
use glam::{DMat3, DVec3};

/// The part of the arm that carries a body; it sets the axes and the origin the body is described in.
#[derive(Clone, Copy, Debug, Eq, Hash, PartialEq)]
pub enum Carrier {
    /// Does not turn: vehicle axes from the mast base.
    Base,
    /// Turns with pan only: mast axes from the mast base.
    Mast,
    /// Turns with pan and tilt: boom axes from the pivot.
    Boom,
    /// At the boom tip, kept upright: mast axes from the tip.
    LevelTip,
    /// At the boom tip, fixed to the boom: boom axes from the tip.
    FixedTip,
}

/// How what is carried at the tip is kept upright. Of no effect on parts fixed to the boom.
#[derive(Clone, Copy, Debug, Default, Eq, Hash, PartialEq)]
pub enum Levelling {
    /// A parallel linkage beside the boom that reacts on the mast head. The tip's moment about the tilt axis
    /// bypasses the boom and the tilt drive.
    #[default]
    Linkage,
    /// A drive at the tip that reacts on the boom. The tilt drive must hold the tip's moment too.
    TipDrive,
}

/// Where the pivot and the tip are.
///
/// ```text
///                     pivot . . . . . . . rise . .
///                       o----------------------- tip     boom, seen from the right, level
///                       |<----- tip radius ----->|
///        pivot forward->| (from the mast axis)
///   height              |
///               ========#========  platform, mast base on the mast axis
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geometry {
    // All in metres.
    pivot_height: f64,
    pivot_forward: f64,
    axis_rise: f64,
    tip_radius: f64,
}

impl Geometry {
    /// Pivot at `pivot_height_m` on the mast axis, tip at `tip_radius_m` on a boom through the pivot.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if the height is negative, the radius is not positive or either is not finite.
    pub fn new(pivot_height_m: f64, tip_radius_m: f64) -> Result<Self, ArmError> {
        Ok(Self {
            pivot_height: not_negative("pivot height", pivot_height_m)?,
            pivot_forward: 0.0,
            axis_rise: 0.0,
            tip_radius: positive("tip radius", tip_radius_m)?,
        })
    }

    /// The same with the pivot `forward_m` in front of the mast axis and the boom's axis `rise_m` above the
    /// pivot (boom axes, square to the boom).
    ///
    /// # Errors
    ///
    /// [`ArmError::NotFinite`] if an offset is not finite.
    pub fn with_pivot_offset(mut self, forward_m: f64, rise_m: f64) -> Result<Self, ArmError> {
        self.pivot_forward = finite("pivot offset forward", forward_m)?;
        self.axis_rise = finite("boom axis above pivot", rise_m)?;
        Ok(self)
    }

    /// Height of the pivot above the mast base, m.
    pub fn pivot_height_m(&self) -> f64 {
        self.pivot_height
    }

    /// Distance of the pivot in front of the mast axis, m.
    pub fn pivot_forward_m(&self) -> f64 {
        self.pivot_forward
    }

    /// Height of the boom's axis above the pivot, square to the boom, m.
    pub fn axis_rise_m(&self) -> f64 {
        self.axis_rise
    }

    /// Distance of the tip from the pivot along the boom, m.
    pub fn tip_radius_m(&self) -> f64 {
        self.tip_radius
    }

    /// Pivot in mast axes from the mast base, m.
    pub fn pivot_m(&self) -> DVec3 {
        DVec3::new(self.pivot_forward, 0.0, self.pivot_height)
    }

    /// Tip in boom axes from the pivot, m.
    pub fn tip_m(&self) -> DVec3 {
        DVec3::new(self.tip_radius, 0.0, self.axis_rise)
    }
}

/// The whole arm.
#[derive(Clone, Debug, PartialEq)]
pub struct Arm {
    geometry: Geometry,
    levelling: Levelling,
    bodies: Vec<Body>,
}

impl Arm {
    /// An arm from its bodies.
    ///
    /// # Errors
    ///
    /// [`ArmError::NoBodies`] if there is none.
    pub fn new(geometry: Geometry, levelling: Levelling, bodies: Vec<Body>) -> Result<Self, ArmError> {
        if bodies.is_empty() {
            return Err(ArmError::NoBodies);
        }
        Ok(Self { geometry, levelling, bodies })
    }

    /// The same arm with one more body: another plate on the counterweight, another payload.
    #[must_use]
    pub fn with_body(mut self, body: Body) -> Self {
        self.bodies.push(body);
        self
    }

    /// Where the pivot and the tip are.
    pub fn geometry(&self) -> &Geometry {
        &self.geometry
    }

    /// How the tip is kept upright.
    pub fn levelling(&self) -> Levelling {
        self.levelling
    }

    /// The bodies.
    pub fn bodies(&self) -> &[Body] {
        &self.bodies
    }

    /// Mass of everything, kg.
    pub fn mass_kg(&self) -> f64 {
        self.bodies.iter().map(Body::mass_kg).sum()
    }

    /// Mass centre of everything in a pose, vehicle axes from the mast base, m.
    ///
    /// # Errors
    ///
    /// [`ArmError::NotFinite`] if the pose is not finite.
    pub fn mass_centre_m(&self, pose: Pose) -> Result<DVec3, ArmError> {
        let frames = Frames::at(&self.geometry, pose)?;
        let moment: DVec3 = self.bodies.iter().map(|b| frames.centre(b) * b.mass_kg()).sum();
        Ok(moment / self.mass_kg())
    }

    /// Tip of the boom in a pose, vehicle axes from the mast base, m.
    ///
    /// # Errors
    ///
    /// [`ArmError::NotFinite`] if the pose is not finite.
    pub fn tip_position_m(&self, pose: Pose) -> Result<DVec3, ArmError> {
        Ok(Frames::at(&self.geometry, pose)?.tip)
    }
}

/// Where the parts are in one pose, all in vehicle axes from the mast base.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frames {
    /// Turns mast axes into vehicle axes.
    pub(super) mast: DMat3,
    /// Turns boom axes into vehicle axes.
    pub(super) boom: DMat3,
    /// The pivot.
    pub(super) pivot: DVec3,
    /// The tip.
    pub(super) tip: DVec3,
    /// The axis about which the boom front rises, a unit vector.
    pub(super) tilt_axis: DVec3,
}

impl Frames {
    pub(super) fn at(geometry: &Geometry, pose: Pose) -> Result<Self, ArmError> {
        let mast = DMat3::from_rotation_z(finite("pan", pose.pan_rad)?);
        let boom = mast * DMat3::from_rotation_y(-finite("elevation", pose.elevation_rad)?);
        let pivot = mast * geometry.pivot_m();
        Ok(Self { mast, boom, pivot, tip: pivot + boom * geometry.tip_m(), tilt_axis: -mast.y_axis })
    }

    /// Origin and rotation of a carrier.
    pub(super) fn of(&self, carrier: Carrier) -> (DVec3, DMat3) {
        match carrier {
            Carrier::Base => (DVec3::ZERO, DMat3::IDENTITY),
            Carrier::Mast => (DVec3::ZERO, self.mast),
            Carrier::Boom => (self.pivot, self.boom),
            Carrier::LevelTip => (self.tip, self.mast),
            Carrier::FixedTip => (self.tip, self.boom),
        }
    }

    /// Mass centre of a body.
    pub(super) fn centre(&self, body: &Body) -> DVec3 {
        let (origin, rotation) = self.of(body.carrier());
        origin + rotation * body.centre_m()
    }

    /// Inertia of a body about its mass centre.
    pub(super) fn inertia(&self, body: &Body) -> DMat3 {
        let (_, rotation) = self.of(body.carrier());
        rotation * body.inertia_kgm2().matrix() * rotation.transpose()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::{FRAC_PI_2, FRAC_PI_6};

    /// Rounding of a few products of metres.
    const TOL: f64 = 1e-12;

    #[test]
    fn pan_goes_left_and_elevation_goes_up() {
        let g = Geometry::new(1.2, 4.0).unwrap().with_pivot_offset(0.1, 0.05).unwrap();
        let body = |c| Body::point(1.0, DVec3::new(0.2, 0.0, -0.3), c).unwrap();
        let arm = Arm::new(g, Levelling::Linkage, vec![body(Carrier::LevelTip)]).unwrap();
        let ahead = arm.tip_position_m(Pose { pan_rad: 0.0, elevation_rad: 0.0 }).unwrap();
        assert!((ahead - DVec3::new(4.1, 0.0, 1.25)).length() < TOL);
        let left = arm.tip_position_m(Pose { pan_rad: FRAC_PI_2, elevation_rad: 0.0 }).unwrap();
        assert!((left - DVec3::new(0.0, 4.1, 1.25)).length() < TOL);
        let pose = Pose { pan_rad: 0.0, elevation_rad: FRAC_PI_6 };
        let (s, c) = (0.5, 0.75_f64.sqrt());
        let tip = DVec3::new(0.1 + 4.0 * c - 0.05 * s, 0.0, 1.2 + 4.0 * s + 0.05 * c);
        assert!((arm.tip_position_m(pose).unwrap() - tip).length() < TOL);
        // A levelled load keeps its offset upright, a fixed one tilts with the boom.
        let level = arm.mass_centre_m(pose).unwrap();
        assert!((level - tip - DVec3::new(0.2, 0.0, -0.3)).length() < TOL);
        let arm = Arm::new(g, Levelling::Linkage, vec![body(Carrier::FixedTip)]).unwrap();
        let fixed = arm.mass_centre_m(pose).unwrap() - tip;
        assert!((fixed - DVec3::new(0.2 * c + 0.3 * s, 0.0, 0.2 * s - 0.3 * c)).length() < TOL);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(Geometry::new(-0.1, 1.0).is_err());
        assert!(Geometry::new(0.1, 0.0).is_err());
        assert!(Geometry::new(f64::NAN, 1.0).is_err());
        let g = Geometry::new(0.1, 1.0).unwrap();
        assert!(g.with_pivot_offset(f64::INFINITY, 0.0).is_err());
        assert_eq!(Arm::new(g, Levelling::Linkage, vec![]), Err(ArmError::NoBodies));
    }
}
