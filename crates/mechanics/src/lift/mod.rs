//! Lifting by hand: the revised NIOSH lifting equation, and teams of two and three (`docs/mechanics.md` §17.1 and §17.2).
//!
//! Metres, kilograms, radians, lifts per second. Heights are those of the hands over the floor that the lifter stands on.

mod equation;
mod frequency;
mod scope;
mod team;

pub use equation::{
    Beyond, End, Form, Grip, Limit, Multipliers, Place, Task, limit, load_constant_kg, reach_from_width_m,
};
pub use frequency::{Duration, frequency_multiplier};
pub use scope::Exclusion;
pub use team::{INDEX_MOST_AT_RISK, INDEX_SOME_RISK, LARGEST_TEAM, Lift, lift, team_share};

use core::fmt;

/// What is wrong with a number given to the lifting equation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LiftError {
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
    /// Nobody lifts.
    Nobody,
}

impl fmt::Display for LiftError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => write!(f, "the {what} is not a finite number"),
            Self::OutOfRange { what, value, needs } => {
                write!(f, "the {what} is {value}; it must be {needs}")
            }
            Self::Nobody => f.write_str("a lift needs one person at least"),
        }
    }
}

impl core::error::Error for LiftError {}

fn not_negative(what: &'static str, value: f64) -> Result<f64, LiftError> {
    if !value.is_finite() {
        Err(LiftError::NotFinite { what })
    } else if value < 0.0 {
        Err(LiftError::OutOfRange { what, value, needs: "0 or more" })
    } else {
        Ok(value)
    }
}
