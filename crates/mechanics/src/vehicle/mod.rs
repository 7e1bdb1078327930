//! The vehicle under the rig: laden mass centre, axle loads, rollover.

use crate::range::{OutOfRange, Range};
use std::error::Error;
use std::fmt;

pub mod loads;
pub mod sets;
pub mod stability;

/// Why a vehicle calculation was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum VehicleError {
    /// A value is not a number, or lies outside the range its formula is good for.
    OutOfRange(OutOfRange),
    /// There is no mass to find the centre of.
    NoMass,
    /// The springs cannot hold the body upright: its weight tips it further than they push back.
    FallsOver {
        /// Roll stiffness of the suspension, N m/rad.
        stiffness_n_m: f64,
        /// Overturning moment per radian of roll, N m/rad.
        overturning_n_m: f64,
    },
}

impl fmt::Display for VehicleError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange(e) => e.fmt(f),
            Self::NoMass => write!(f, "no mass was given"),
            Self::FallsOver { stiffness_n_m, overturning_n_m } => write!(
                f,
                "the suspension's roll stiffness {stiffness_n_m:.0} N m/rad is no more than the overturning moment of the \
                 body and its load, {overturning_n_m:.0} N m/rad"
            ),
        }
    }
}

impl Error for VehicleError {}

impl From<OutOfRange> for VehicleError {
    fn from(e: OutOfRange) -> Self {
        Self::OutOfRange(e)
    }
}

/// Distance between the wheels of an axle.
pub(crate) const TRACK: Range = Range { what: "track", low: 0.5, high: 5.0, unit: "m" };
/// Height of a mass centre above the road.
pub(crate) const HEIGHT: Range =
    Range { what: "height of the mass centre", low: 0.05, high: 10.0, unit: "m" };
/// Any acceleration along one axis.
pub(crate) const ACCELERATION: Range =
    Range { what: "acceleration", low: -100.0, high: 100.0, unit: "m/s²" };
