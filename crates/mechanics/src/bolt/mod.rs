//! Bolts: threads, preload and torque, and groups of bolts in a joint.

pub mod joint;
pub mod thread;

use crate::cup::CupError;
use core::fmt;

/// What is wrong with a number given to the bolt equations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BoltError {
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
    /// The bolt group cannot carry the wrench.
    Group(CupError),
    /// A single bolt, or bolts in one place, cannot hold a torsion in the joint.
    CannotHoldTorsion,
}

impl fmt::Display for BoltError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => write!(f, "{what} is not a finite number"),
            Self::OutOfRange { what, value, needs } => write!(f, "{what} is {value}, but must be {needs}"),
            Self::Group(e) => write!(f, "bolt group: {e}"),
            Self::CannotHoldTorsion => write!(f, "bolts in one place cannot hold a torsion in the joint"),
        }
    }
}

impl core::error::Error for BoltError {}

impl From<CupError> for BoltError {
    fn from(e: CupError) -> Self {
        match e {
            CupError::NotFinite { what } => Self::NotFinite { what },
            CupError::OutOfRange { what, value, needs } => Self::OutOfRange { what, value, needs },
            other => Self::Group(other),
        }
    }
}

fn finite(what: &'static str, value: f64) -> Result<f64, BoltError> {
    if value.is_finite() { Ok(value) } else { Err(BoltError::NotFinite { what }) }
}

fn positive(what: &'static str, value: f64) -> Result<f64, BoltError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(BoltError::OutOfRange { what, value, needs: "more than 0" })
    }
}

fn not_negative(what: &'static str, value: f64) -> Result<f64, BoltError> {
    if finite(what, value)? >= 0.0 {
        Ok(value)
    } else {
        Err(BoltError::OutOfRange { what, value, needs: "0 or more" })
    }
}
