//! Vacuum cups: what the vacuum holds, when the seal lifts, when the cup slips, how a group shares a
//! load, and whether a cup fits where it is put.
//!
//! Signs for one cup, everywhere in this folder: pull `T` is positive **away from the panel**, shear `V`
//! and moment `M` are magnitudes in the panel plane and about an axis in it, torsion `Mz` is about the
//! panel normal. Pressures are absolute unless called vacuum; vacuum is below ambient and positive.

pub mod fit;
pub mod group;
pub mod seal;
pub mod slip;
pub mod vacuum;

use core::fmt;

/// What is wrong with a number given to the cup equations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CupError {
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
    /// A number of items is wrong: too few corners, or lists of different length.
    Count {
        /// The list.
        what: &'static str,
        /// How many were given.
        given: usize,
        /// What it must be.
        needs: &'static str,
    },
    /// The sides of an outline cross.
    OutlineCrosses,
    /// The supports stand on one line or point and cannot balance the moment across it.
    CannotBalance,
}

impl fmt::Display for CupError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => write!(f, "{what} is not a finite number"),
            Self::OutOfRange { what, value, needs } => write!(f, "{what} is {value}, but must be {needs}"),
            Self::Count { what, given, needs } => write!(f, "{given} {what} given, but {needs}"),
            Self::OutlineCrosses => write!(f, "two sides of the outline cross"),
            Self::CannotBalance => {
                write!(f, "the supports stand on one line or point and cannot balance the moment across it")
            }
        }
    }
}

impl core::error::Error for CupError {}

/// Demand and capacity of one check in newtons, set up so that the capacity may be divided by any
/// factor of 1 or more on the demand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// What the action asks for, N, at least 0.
    pub demand_n: f64,
    /// What the cup can give, N, at least 0.
    pub capacity_n: f64,
}

impl Check {
    /// Capacity over demand: how often the unfavourable action fits in. Infinite where nothing is asked
    /// for and something can be given, 0 where nothing can be given.
    pub fn ratio(self) -> f64 {
        if self.capacity_n <= 0.0 {
            0.0
        } else if self.demand_n > 0.0 {
            self.capacity_n / self.demand_n
        } else {
            f64::INFINITY
        }
    }

    /// Whether the demand, multiplied by `factor`, is within the capacity. False for a factor that is not
    /// a positive number.
    pub fn holds(self, factor: f64) -> bool {
        factor > 0.0 && factor * self.demand_n <= self.capacity_n
    }
}

pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, CupError> {
    if value.is_finite() { Ok(value) } else { Err(CupError::NotFinite { what }) }
}

pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, CupError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(CupError::OutOfRange { what, value, needs: "more than 0" })
    }
}

pub(crate) fn not_negative(what: &'static str, value: f64) -> Result<f64, CupError> {
    if finite(what, value)? >= 0.0 {
        Ok(value)
    } else {
        Err(CupError::OutOfRange { what, value, needs: "0 or more" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_check_of_nothing_holds_and_nan_never_passes() {
        assert!(Check { demand_n: 0.0, capacity_n: 1.0 }.ratio().is_infinite());
        assert!(Check { demand_n: 0.0, capacity_n: 0.0 }.ratio() <= 0.0);
        assert!(!Check { demand_n: f64::NAN, capacity_n: 1.0 }.holds(1.0));
        assert!(!Check { demand_n: 0.1, capacity_n: 1.0 }.holds(f64::NAN));
        assert!(Check { demand_n: 0.5, capacity_n: 1.0 }.holds(2.0));
        assert!(!Check { demand_n: 0.5, capacity_n: 1.0 }.holds(2.01));
    }

    #[test]
    fn messages_name_the_value_and_the_limit() {
        let e = positive("friction", -0.1).expect_err("negative friction");
        assert_eq!(e.to_string(), "friction is -0.1, but must be more than 0");
        let e = finite("pull", f64::NAN).expect_err("not a number");
        assert_eq!(e.to_string(), "pull is not a finite number");
    }
}
