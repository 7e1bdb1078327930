//! The supports of a rigid rig: contacts that bear and rub, vacuum cups, straps, rigid holds.

use core::fmt;
use glam::DVec3;

/// What is wrong with a number given to the limit analysis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitError {
    /// The value is not a number or not finite.
    NotFinite {
        /// The quantity.
        what: &'static str,
    },
    /// The value is finite but cannot be right.
    OutOfRange {
        /// The quantity.
        what: &'static str,
        /// Its value, SI.
        value: f64,
        /// What it must be.
        needs: &'static str,
    },
}

impl fmt::Display for LimitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => write!(f, "{what} is not a finite number"),
            Self::OutOfRange { what, value, needs } => write!(f, "{what} is {value}, but must be {needs}"),
        }
    }
}

impl core::error::Error for LimitError {}

pub(super) fn finite(what: &'static str, value: f64) -> Result<f64, LimitError> {
    if value.is_finite() { Ok(value) } else { Err(LimitError::NotFinite { what }) }
}

pub(super) fn finite_vec(what: &'static str, value: DVec3) -> Result<DVec3, LimitError> {
    if value.is_finite() { Ok(value) } else { Err(LimitError::NotFinite { what }) }
}

pub(super) fn not_negative(what: &'static str, value: f64) -> Result<f64, LimitError> {
    if finite(what, value)? >= 0.0 {
        Ok(value)
    } else {
        Err(LimitError::OutOfRange { what, value, needs: "0 or more" })
    }
}

pub(super) fn positive(what: &'static str, value: f64) -> Result<f64, LimitError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(LimitError::OutOfRange { what, value, needs: "more than 0" })
    }
}

/// What one contact can pass on per newton of contact force `N`.
///
/// ```text
/// |M| <= e N                             tilting, M in the contact plane
/// sqrt(V² + (Mz / r_t)²) <= mu N         slip (ellipsoidal limit surface, see cup::slip)
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Friction {
    pub(super) mu: f64,
    pub(super) core_radius_m: f64,
    pub(super) torsion_radius_m: f64,
}

impl Friction {
    /// From the friction coefficient, the core radius `e` and the torsion radius `r_t`; 0 leaves the part out
    /// (a smooth contact, a point contact).
    ///
    /// # Errors
    ///
    /// [`LimitError`] if a value is negative or not finite.
    pub fn new(mu: f64, core_radius_m: f64, torsion_radius_m: f64) -> Result<Self, LimitError> {
        Ok(Self {
            mu: not_negative("friction coefficient", mu)?,
            core_radius_m: not_negative("core radius", core_radius_m)?,
            torsion_radius_m: not_negative("torsion radius", torsion_radius_m)?,
        })
    }
}

/// A place where a strap pulls on the rig, per newton of its tension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    pub(super) at_m: DVec3,
    pub(super) per_newton: DVec3,
}

impl Pull {
    /// At a position, with the force on the rig per newton of tension: a unit vector at a strap's end, the
    /// sum of two where it runs over an edge of the rig.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if a value is not finite or the force per newton exceeds 2, which no strap reaches.
    pub fn new(at_m: DVec3, per_newton: DVec3) -> Result<Self, LimitError> {
        let per_newton = finite_vec("strap direction", per_newton)?;
        if per_newton.length() > 2.0 + 1e-9 {
            return Err(LimitError::OutOfRange {
                what: "strap force per newton of tension",
                value: per_newton.length(),
                needs: "2 or less",
            });
        }
        Ok(Self { at_m: finite_vec("strap position", at_m)?, per_newton })
    }
}

/// A contact as the program sees it: with or without vacuum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Contact {
    pub(super) at_m: DVec3,
    pub(super) normal: DVec3,
    pub(super) friction: Friction,
    pub(super) vacuum_n: f64,
    pub(super) pull_limit_n: Option<f64>,
    pub(super) shear_limit_n: Option<f64>,
}

impl Contact {
    /// Least contact force: 0, or what a limited pull leaves of the vacuum force.
    pub(super) fn least_n(&self) -> f64 {
        self.pull_limit_n.map_or(0.0, |p| (self.vacuum_n - p).max(0.0))
    }
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    Contact(Contact),
    Strap { capacity_n: f64, pulls: Vec<Pull> },
    Hold { at_m: DVec3, moments: bool },
}

/// One support of the rigid rig, anywhere and at any angle. Positions and directions are in the axes of
/// the wrenches; a contact normal points **from the panel into the rig**.
#[derive(Clone, Debug, PartialEq)]
pub struct Support(pub(super) Kind);

impl Support {
    /// A contact without vacuum: it bears and rubs, `N >= 0`.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if a value is not finite or the normal has no direction.
    pub fn bearing(at_m: DVec3, normal: DVec3, friction: Friction) -> Result<Self, LimitError> {
        Self::cup(at_m, normal, friction, 0.0)
    }

    /// A vacuum cup: the pull `T` away from the panel is free, `N = N0 - T >= 0` presses the seal.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if a value is not finite, the normal has no direction or the vacuum force is negative.
    pub fn cup(
        at_m: DVec3,
        normal: DVec3,
        friction: Friction,
        vacuum_force_n: f64,
    ) -> Result<Self, LimitError> {
        let normal = finite_vec("contact normal", normal)?.try_normalize().ok_or(LimitError::OutOfRange {
            what: "length of the contact normal",
            value: normal.length(),
            needs: "more than 0",
        })?;
        Ok(Self(Kind::Contact(Contact {
            at_m: finite_vec("contact position", at_m)?,
            normal,
            friction,
            vacuum_n: not_negative("vacuum force", vacuum_force_n)?,
            pull_limit_n: None,
            shear_limit_n: None,
        })))
    }

    /// The same cup with the maker's ratings: pull `T <= pull_n`, shear `|V| <= shear_n`. Leaves other supports
    /// as they are.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if a rating is negative or not finite.
    pub fn rated(mut self, pull_n: Option<f64>, shear_n: Option<f64>) -> Result<Self, LimitError> {
        if let Kind::Contact(c) = &mut self.0 {
            c.pull_limit_n = pull_n.map(|p| not_negative("pull rating", p)).transpose()?;
            c.shear_limit_n = shear_n.map(|s| not_negative("shear rating", s)).transpose()?;
        }
        Ok(self)
    }

    /// A strap or tether with one tension from 0 to `capacity_n`, pulling on the rig at one or more places.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if the capacity is not positive or there is no place.
    pub fn strap(capacity_n: f64, pulls: Vec<Pull>) -> Result<Self, LimitError> {
        if pulls.is_empty() {
            return Err(LimitError::OutOfRange {
                what: "number of places where the strap pulls",
                value: 0.0,
                needs: "1 or more",
            });
        }
        Ok(Self(Kind::Strap { capacity_n: positive("strap capacity", capacity_n)?, pulls }))
    }

    /// A joint that holds any force: a pin.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if the position is not finite.
    pub fn pin(at_m: DVec3) -> Result<Self, LimitError> {
        Ok(Self(Kind::Hold { at_m: finite_vec("position", at_m)?, moments: false }))
    }

    /// A joint that holds any force and any moment.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if the position is not finite.
    pub fn clamped(at_m: DVec3) -> Result<Self, LimitError> {
        Ok(Self(Kind::Hold { at_m: finite_vec("position", at_m)?, moments: true }))
    }

    pub(super) fn positions(&self) -> impl Iterator<Item = DVec3> + '_ {
        let (one, many): (Option<DVec3>, &[Pull]) = match &self.0 {
            Kind::Contact(c) => (Some(c.at_m), &[]),
            Kind::Strap { pulls, .. } => (None, pulls),
            Kind::Hold { at_m, .. } => (Some(*at_m), &[]),
        };
        one.into_iter().chain(many.iter().map(|p| p.at_m))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bad_numbers_are_refused() {
        let f = Friction::new(0.5, 0.05, 0.1).unwrap();
        assert!(Friction::new(-0.1, 0.0, 0.0).is_err());
        assert!(Friction::new(0.1, f64::NAN, 0.0).is_err());
        assert!(Support::bearing(DVec3::NAN, DVec3::Z, f).is_err());
        assert!(Support::bearing(DVec3::ZERO, DVec3::ZERO, f).is_err());
        assert!(Support::cup(DVec3::ZERO, DVec3::Z, f, -1.0).is_err());
        let cup = Support::cup(DVec3::ZERO, DVec3::Z, f, 1.0).unwrap();
        assert!(cup.clone().rated(Some(-1.0), None).is_err());
        assert!(cup.rated(None, Some(f64::NAN)).is_err());
        assert!(Support::strap(1.0, vec![]).is_err());
        let p = Pull::new(DVec3::ZERO, DVec3::Z).unwrap();
        assert!(Support::strap(0.0, vec![p]).is_err());
        assert!(Pull::new(DVec3::ZERO, 3.0 * DVec3::Z).is_err());
        assert!(Support::pin(DVec3::INFINITY).is_err());
    }

    #[test]
    fn a_rated_cup_keeps_contact_force() {
        let f = Friction::new(0.5, 0.05, 0.1).unwrap();
        let least = |pull| match Support::cup(DVec3::ZERO, DVec3::Z, f, 100.0).unwrap().rated(pull, None) {
            Ok(Support(Kind::Contact(c))) => c.least_n(),
            _ => f64::NAN,
        };
        assert!((least(Some(30.0)) - 70.0).abs() < 1e-12);
        assert!(least(Some(130.0)).abs() < 1e-12 && least(None).abs() < 1e-12);
    }
}
