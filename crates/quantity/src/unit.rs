//! One unit of measure, and what every quantity type offers.

use crate::Kind;

/// The two systems a technician meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum System {
    /// Millimetres, kilograms, newtons, kilopascals.
    Metric,
    /// Inches and feet, pounds, pounds-force, inches of mercury.
    Us,
}

impl System {
    /// The system to put in brackets beside this one.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::Metric => Self::Us,
            Self::Us => Self::Metric,
        }
    }
}

/// A typed amount held in SI units.
pub trait Quantity: Copy {
    /// The kind of amount: a length, a mass, ...
    const KIND: Kind;
    /// From a value in the SI unit of the kind.
    fn from_si(value: f64) -> Self;
    /// The value in the SI unit of the kind.
    fn si(self) -> f64;
}

/// One row of the unit table.
///
/// ```text
/// si = value * num / den + offset          (a slope instead: si = atan(value * num / den))
/// ```
///
/// The factor is kept as a ratio so that 346 mm is 346 / 1000 m, the nearest double to 0.346.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// The spelling used when showing a value: `mm`, `ft·lbf`. Empty for a bare number.
    pub symbol: &'static str,
    /// Other spellings that are read.
    pub also: &'static [&'static str],
    /// The system it belongs to; `None` for a unit that both use (degree, second, g).
    pub system: Option<System>,
    /// Where the factor comes from.
    pub source: &'static str,
    pub(crate) num: f64,
    pub(crate) den: f64,
    pub(crate) offset: f64,
    pub(crate) any_case: bool,
    pub(crate) slope: bool,
}

impl Unit {
    /// SI units in one of this unit. For a slope in percent: the slope of 1 %.
    pub fn factor(&self) -> f64 {
        self.num / self.den
    }

    /// The SI value of `value` of this unit.
    pub fn si(&self, value: f64) -> f64 {
        let scaled = value * self.num / self.den;
        if self.slope { scaled.atan() } else { scaled + self.offset }
    }

    /// How many of this unit the SI value is.
    pub fn value(&self, si: f64) -> f64 {
        let scaled = if self.slope { si.tan() } else { si - self.offset };
        scaled * self.den / self.num
    }

    /// Every spelling that is read, the shown one first.
    pub fn spellings(&self) -> impl Iterator<Item = &'static str> + use<> {
        core::iter::once(self.symbol).chain(self.also.iter().copied())
    }
}
