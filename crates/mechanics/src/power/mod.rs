//! Low-voltage direct current: cables, fuses, batteries (`docs/mechanics.md` §16.1 and §16.8).
//!
//! Both conductors of a cable carry the same current, so each cable stands for a loop: out and back. Volts, amperes, ohms,
//! coulombs, seconds, kelvin. Currents are positive from source to consumer.

pub mod ampacity;
pub mod battery;
pub mod conductor;
pub mod day;
pub mod fuse;
pub mod tree;

use core::fmt;

/// What cannot be computed with.
#[derive(Clone, Debug, PartialEq)]
pub enum PowerError {
    /// A value that must be positive and finite.
    NotPositive {
        /// Which.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// A value that must be zero or more, and finite.
    Negative {
        /// Which.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// A cross-section that the table does not have.
    NoSuchSize {
        /// As given, mm².
        area_mm2: f64,
    },
    /// No steady state: the voltage collapses.
    Collapse,
    /// A branch that hangs on a node which comes after it, or on none.
    NotATree {
        /// The branch.
        branch: usize,
    },
}

impl fmt::Display for PowerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive { what, value } => write!(f, "the {what} must be more than 0, not {value}"),
            Self::Negative { what, value } => write!(f, "the {what} cannot be {value}"),
            Self::NoSuchSize { area_mm2 } => {
                write!(
                    f,
                    "{area_mm2:.3} mm2 is no size of the table; state the resistance per length instead"
                )
            }
            Self::Collapse => f.write_str("the voltage collapses, so there is no current to reckon with"),
            Self::NotATree { branch } => write!(f, "branch {branch} does not hang on a node before it"),
        }
    }
}

impl std::error::Error for PowerError {}

/// The value, if it is positive and finite.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, PowerError> {
    if value.is_finite() && value > 0.0 { Ok(value) } else { Err(PowerError::NotPositive { what, value }) }
}

/// The value, if it is zero or more, and finite.
pub(crate) fn not_negative(what: &'static str, value: f64) -> Result<f64, PowerError> {
    if value.is_finite() && value >= 0.0 { Ok(value) } else { Err(PowerError::Negative { what, value }) }
}
