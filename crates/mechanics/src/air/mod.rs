//! Air: how thick it is at an altitude, and how hard it pushes on tubes, boxes and cameras.

use std::error::Error;
use std::fmt;

pub mod atmosphere;
pub mod coefficient;
pub mod drag;

/// Why an air calculation was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AirError {
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
    /// A direction has no length, or is not finite.
    NoDirection {
        /// What the direction belongs to.
        what: &'static str,
    },
}

impl fmt::Display for AirError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { what, value, low, high, unit } => {
                let gap = if unit.is_empty() { "" } else { " " };
                write!(f, "{what} is {value}{gap}{unit}; it must lie from {low} to {high}{gap}{unit}")
            }
            Self::NoDirection { what } => {
                write!(f, "{what} has no direction: its length is zero or not finite")
            }
        }
    }
}

impl Error for AirError {}

/// A quantity and the closed range it must lie in.
pub(crate) struct Range {
    pub(crate) what: &'static str,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) unit: &'static str,
}

impl Range {
    /// The value itself, when it is in the range; NaN never is.
    pub(crate) fn check(&self, value: f64) -> Result<f64, AirError> {
        if value >= self.low && value <= self.high {
            Ok(value)
        } else {
            let Self { what, low, high, unit } = *self;
            Err(AirError::OutOfRange { what, value, low, high, unit })
        }
    }
}
