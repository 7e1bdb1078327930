//! Why readings give no leak.

use core::fmt;

/// Why there is no answer. Each is its own word; none has a number in place of the answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LeakError {
    /// A value is not a number or cannot be right.
    OutOfRange {
        /// Which.
        what: &'static str,
        /// As given, SI.
        value: f64,
        /// What it must be.
        needs: &'static str,
    },
    /// Fewer than two readings since the last pumping.
    TooFew {
        /// How many there are.
        readings: usize,
    },
    /// A reading is not later than the one before it.
    TimeNotIncreasing {
        /// Its number, from 0.
        reading: usize,
    },
    /// A gauge shows more vacuum than there is air.
    Impossible {
        /// Its number, from 0.
        reading: usize,
        /// By how much, Pa.
        excess_pa: f64,
    },
    /// A reading shows no more vacuum than the gauge can tell from nothing.
    NoVacuum {
        /// Its number, from 0.
        reading: usize,
    },
    /// The vacuum got better, and nobody pumped.
    Rises {
        /// Number of the better reading, from 0.
        reading: usize,
        /// By how much at least, Pa.
        by_pa: f64,
    },
    /// The ambient pressure changed so much between the readings that they are of two different leaks.
    AmbientChanged {
        /// Least over greatest, less one, as a positive share.
        share: f64,
    },
    /// The readings follow no law of a leak.
    Scatter {
        /// Scatter over what the gauge explains.
        times: f64,
    },
    /// A comparison needs two cups at least.
    TooFewCups {
        /// How many there are.
        cups: usize,
    },
}

impl LeakError {
    /// A short word for it, for machines.
    pub fn word(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "out-of-range",
            Self::TooFew { .. } => "too-few-readings",
            Self::TimeNotIncreasing { .. } => "time-not-increasing",
            Self::Impossible { .. } => "impossible-reading",
            Self::NoVacuum { .. } => "no-vacuum",
            Self::Rises { .. } => "vacuum-rises",
            Self::AmbientChanged { .. } => "ambient-changed",
            Self::Scatter { .. } => "scatter",
            Self::TooFewCups { .. } => "too-few-cups",
        }
    }

    /// What to do about it.
    pub fn mend(&self) -> &'static str {
        match self {
            Self::OutOfRange { .. } => "correct the value",
            Self::TooFew { .. } => "read the gauge again after a while, without pumping",
            Self::TimeNotIncreasing { .. } => "put the readings in order and give each its own time",
            Self::Impossible { .. } => "check the gauge and the ambient pressure at that place",
            Self::NoVacuum { .. } => "pump, then read",
            Self::Rises { .. } => {
                "if it was pumped, start anew from there; if not, check gauge, temperature and ambient pressure"
            }
            Self::AmbientChanged { .. } => "read twice at the same height",
            Self::Scatter { .. } => {
                "look for a reading that was misread, a knock or a new leak, and start anew after it"
            }
            Self::TooFewCups { .. } => "read the other cups as well",
        }
    }
}

impl fmt::Display for LeakError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { what, value, needs } => write!(f, "the {what} is {value}; it must be {needs}"),
            Self::TooFew { readings } => {
                write!(f, "a leak needs two readings since the last pumping; there is {readings}")
            }
            Self::TimeNotIncreasing { reading } => {
                write!(f, "reading {} is not later than the one before it", reading + 1)
            }
            Self::Impossible { reading, excess_pa } => write!(
                f,
                "reading {} shows {:.1} kPa more vacuum than there is air",
                reading + 1,
                excess_pa / 1e3
            ),
            Self::NoVacuum { reading } => {
                write!(f, "reading {} shows no vacuum that the gauge could tell from nothing", reading + 1)
            }
            Self::Rises { reading, by_pa } => write!(
                f,
                "at reading {} the vacuum is {:.1} kPa better than before though nobody pumped",
                reading + 1,
                by_pa / 1e3
            ),
            Self::AmbientChanged { share } => {
                write!(f, "the ambient pressure changed by {:.0} % between the readings", 100.0 * share)
            }
            Self::Scatter { times } => {
                write!(f, "the readings scatter {times:.0} times as much as the gauge explains")
            }
            Self::TooFewCups { cups } => {
                write!(f, "a comparison needs two cups with a leak rate at least; there is {cups}")
            }
        }
    }
}

impl core::error::Error for LeakError {}
