//! Road: how rough it is, and what a corner of the vehicle makes of it.

use crate::range::{OutOfRange, Range};
use std::error::Error;
use std::fmt;

pub mod kerb;
pub mod profile;
pub mod quarter_car;
pub mod transition;

/// Why a road calculation was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RoadError {
    /// A value is not a number, or lies outside the range its formula is good for.
    OutOfRange(OutOfRange),
    /// The upper end of a band does not lie above its lower end.
    EmptyBand {
        /// Lower end as given.
        low: f64,
        /// Upper end as given.
        high: f64,
    },
    /// Halving the step or the strip did not settle the answer.
    NotSettled {
        /// Change of the answer at the last halving, as a share of the answer.
        change: f64,
    },
    /// The corner is so stiff for its mass, or so heavily damped, that the run would need too many steps.
    TooStiff {
        /// Steps that one run would need.
        steps: f64,
    },
}

impl fmt::Display for RoadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange(e) => e.fmt(f),
            Self::EmptyBand { low, high } => {
                write!(f, "the band runs from {low} to {high}; its end must lie above its start")
            }
            Self::NotSettled { change } => {
                write!(
                    f,
                    "the ride did not settle: the last halving still moved it by {:.2} %",
                    100.0 * change
                )
            }
            Self::TooStiff { steps } => {
                write!(f, "the corner is too stiff for its mass: one run would need {steps:.0} steps")
            }
        }
    }
}

impl Error for RoadError {}

impl From<OutOfRange> for RoadError {
    fn from(e: OutOfRange) -> Self {
        Self::OutOfRange(e)
    }
}

/// Speed of the vehicle over ground.
pub(crate) const SPEED: Range = Range { what: "speed", low: 0.1, high: 100.0, unit: "m/s" };

/// Checks the ends of a band with `range` and that they are in order.
pub(crate) fn band(range: &Range, low: f64, high: f64) -> Result<(f64, f64), RoadError> {
    let (low, high) = (range.check(low)?, range.check(high)?);
    if low < high { Ok((low, high)) } else { Err(RoadError::EmptyBand { low, high }) }
}
