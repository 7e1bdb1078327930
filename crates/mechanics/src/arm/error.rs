//! What can be wrong with an arm or with the state asked of it.

use core::fmt;

/// Why an arm, a state or a wind was not accepted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ArmError {
    /// A number is not finite (or the answer overflowed).
    NotFinite(&'static str),
    /// A number must be greater than zero.
    NotPositive(&'static str, f64),
    /// A number must not be negative.
    Negative(&'static str, f64),
    /// No distribution of mass has this inertia (each principal moment is at most the sum of the other two).
    ImpossibleInertia,
    /// The mass centre of a section lies further from its middle than a linear taper allows (length / 6).
    TaperTooStrong {
        /// Distance of the mass centre from the middle of the section, m.
        offset_m: f64,
        /// Largest distance a linear taper can give, m.
        limit_m: f64,
    },
    /// The two ends of a rod are the same point.
    NoLength,
    /// An arm needs at least one body.
    NoBodies,
    /// The car rolls or pitches in this state; the short form of the equations holds for yaw alone.
    NotPureYaw,
    /// At this elevation the counterweight has no lever about the pivot, or the lever is on the wrong side.
    NoLever {
        /// Lever of the counterweight forward of the pivot, horizontally, m.
        lever_m: f64,
    },
}

impl fmt::Display for ArmError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite(what) => write!(f, "{what} is not a finite number"),
            Self::NotPositive(what, value) => write!(f, "{what} is {value}; it must be greater than zero"),
            Self::Negative(what, value) => write!(f, "{what} is {value}; it must not be negative"),
            Self::ImpossibleInertia => {
                write!(f, "no body has this inertia: one principal moment exceeds the sum of the other two")
            }
            Self::TaperTooStrong { offset_m, limit_m } => write!(
                f,
                "the mass centre is {offset_m} m from the middle of the section; a taper gives at most \
                 {limit_m} m, so give the inertia or split the section"
            ),
            Self::NoLength => write!(f, "the two ends of the rod are the same point"),
            Self::NoBodies => write!(f, "the arm has no bodies"),
            Self::NotPureYaw => {
                write!(f, "the car rolls or pitches in this state; use the full equations, not the basis")
            }
            Self::NoLever { lever_m } => write!(
                f,
                "a counterweight {lever_m} m forward of the pivot cannot balance the boom at this elevation"
            ),
        }
    }
}

impl core::error::Error for ArmError {}

/// `value` if it is finite.
pub(super) fn finite(what: &'static str, value: f64) -> Result<f64, ArmError> {
    if value.is_finite() { Ok(value) } else { Err(ArmError::NotFinite(what)) }
}

/// `value` if it is finite and greater than zero.
pub(super) fn positive(what: &'static str, value: f64) -> Result<f64, ArmError> {
    if finite(what, value)? > 0.0 { Ok(value) } else { Err(ArmError::NotPositive(what, value)) }
}

/// `value` if it is finite and not negative.
pub(super) fn not_negative(what: &'static str, value: f64) -> Result<f64, ArmError> {
    if finite(what, value)? >= 0.0 { Ok(value) } else { Err(ArmError::Negative(what, value)) }
}

/// `v` if all its parts are finite.
pub(super) fn finite_vec(what: &'static str, v: glam::DVec3) -> Result<glam::DVec3, ArmError> {
    if v.is_finite() { Ok(v) } else { Err(ArmError::NotFinite(what)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bad_numbers_are_named() {
        assert_eq!(finite("pan", f64::NAN), Err(ArmError::NotFinite("pan")));
        assert_eq!(positive("mass", 0.0), Err(ArmError::NotPositive("mass", 0.0)));
        assert_eq!(positive("mass", f64::INFINITY), Err(ArmError::NotFinite("mass")));
        assert_eq!(not_negative("rate", -1.0), Err(ArmError::Negative("rate", -1.0)));
        assert_eq!(not_negative("rate", 0.0), Ok(0.0));
        assert_eq!(
            ArmError::NotPositive("mass", -2.0).to_string(),
            "mass is -2; it must be greater than zero"
        );
    }
}
