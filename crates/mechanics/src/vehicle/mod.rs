//! The vehicle under the rig: laden mass centre, axle loads, rollover.

use std::error::Error;
use std::fmt;

pub mod loads;
pub mod sets;
pub mod stability;

/// Why a vehicle calculation was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum VehicleError {
    /// A value is not a number, or lies outside the range its formula is good for.
    OutOfRange {
        /// What the value is, in plain words.
        what: &'static str,
        /// The value as given.
        value: f64,
        /// Lowest value accepted.
        low: f64,
        /// Highest value accepted.
        high: f64,
        /// Unit of all three.
        unit: &'static str,
    },
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
            Self::OutOfRange { what, value, low, high, unit } => {
                write!(f, "{what} is {value} {unit}; it must lie from {low} to {high} {unit}")
            }
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

/// A quantity and the closed range it must lie in.
pub(crate) struct Range {
    pub(crate) what: &'static str,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) unit: &'static str,
}

impl Range {
    /// The value itself, when it is in the range; NaN never is.
    pub(crate) fn check(&self, value: f64) -> Result<f64, VehicleError> {
        if value >= self.low && value <= self.high {
            Ok(value)
        } else {
            let Self { what, low, high, unit } = *self;
            Err(VehicleError::OutOfRange { what, value, low, high, unit })
        }
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
