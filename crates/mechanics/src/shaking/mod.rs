//! Shaking: from a rough road through car body, rig and isolator to a camera, in the frequency domain.
//!
//! Movements are six complex numbers, `[x y z, about x, about y, about z]`, m and rad, vehicle axes (ISO 8855), at one frequency.
//! A [`Movement`] from [`body`] is scaled by the square root of its source's one-sided spectrum, so the spectrum of any number that
//! is linear in it is the sum of `|number|²` over the independent sources. `docs/mechanics.md` §14.

pub mod blur;
pub mod body;
pub mod carry;
pub mod kerb;
pub mod oscillator;
pub mod spectrum;
pub mod spring;
pub mod swing;

use crate::range::OutOfRange;
use crate::road::RoadError;
pub use faer::c64;
use std::error::Error;
use std::fmt;

/// A movement at one frequency: `[x y z, about x, about y, about z]`.
pub type Movement = [c64; 6];

/// Why a calculation of shaking was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShakingError {
    /// A value is not a number, or lies outside the range its formula is good for.
    OutOfRange(OutOfRange),
    /// Finer and finer strips did not settle the sum over frequency.
    NotSettled {
        /// Change at the last halving, as a share.
        change: f64,
    },
    /// The road or the car on it was refused.
    Road(RoadError),
}

impl fmt::Display for ShakingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange(e) => e.fmt(f),
            Self::NotSettled { change } => {
                write!(
                    f,
                    "the sum over frequency did not settle: the last halving moved it by {:.2} %",
                    100.0 * change
                )
            }
            Self::Road(e) => e.fmt(f),
        }
    }
}

impl Error for ShakingError {}

impl From<RoadError> for ShakingError {
    fn from(e: RoadError) -> Self {
        Self::Road(e)
    }
}

impl From<OutOfRange> for ShakingError {
    fn from(e: OutOfRange) -> Self {
        Self::OutOfRange(e)
    }
}
