//! A quantity and the range that its formula is good for: one check for all subjects that state their ranges as numbers.

use core::fmt;

/// A quantity and the closed range it must lie in.
pub(crate) struct Range {
    pub(crate) what: &'static str,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) unit: &'static str,
}

/// A value that is not a number, or lies outside the range its formula is good for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutOfRange {
    /// What the value is, in plain words.
    pub what: &'static str,
    /// The value as given.
    pub value: f64,
    /// Lowest value accepted.
    pub low: f64,
    /// Highest value accepted.
    pub high: f64,
    /// Unit of all three.
    pub unit: &'static str,
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { what, value, low, high, unit } = self;
        let gap = if unit.is_empty() { "" } else { " " };
        write!(f, "{what} is {value}{gap}{unit}; it must lie from {low} to {high}{gap}{unit}")
    }
}

impl core::error::Error for OutOfRange {}

impl Range {
    /// The value itself, when it is in the range; NaN never is.
    pub(crate) fn check(&self, value: f64) -> Result<f64, OutOfRange> {
        if value >= self.low && value <= self.high {
            Ok(value)
        } else {
            let Self { what, low, high, unit } = *self;
            Err(OutOfRange { what, value, low, high, unit })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends_are_in_and_no_number_is_out() {
        let mass = Range { what: "mass", low: 1.0, high: 2.0, unit: "kg" };
        assert_eq!((mass.check(1.0), mass.check(2.0)), (Ok(1.0), Ok(2.0)));
        for v in [0.999, 2.001, f64::NAN, f64::INFINITY] {
            assert!(mass.check(v).is_err(), "{v}");
        }
        assert_eq!(mass.check(3.0).unwrap_err().to_string(), "mass is 3 kg; it must lie from 1 to 2 kg");
        let share = Range { unit: "", ..mass };
        assert_eq!(share.check(3.0).unwrap_err().to_string(), "mass is 3; it must lie from 1 to 2");
    }
}
