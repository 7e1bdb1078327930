//! Air: how thick it is at an altitude, and how hard it pushes on tubes, boxes and cameras.

use crate::range::OutOfRange;
use std::error::Error;
use std::fmt;

pub mod atmosphere;
pub mod coefficient;
pub mod drag;

/// Why an air calculation was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AirError {
    /// A value is not a number, or lies outside the range its formula is good for.
    OutOfRange(OutOfRange),
    /// A direction has no length, or is not finite.
    NoDirection {
        /// What the direction belongs to.
        what: &'static str,
    },
}

impl fmt::Display for AirError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange(e) => e.fmt(f),
            Self::NoDirection { what } => {
                write!(f, "{what} has no direction: its length is zero or not finite")
            }
        }
    }
}

impl Error for AirError {}

impl From<OutOfRange> for AirError {
    fn from(e: OutOfRange) -> Self {
        Self::OutOfRange(e)
    }
}
