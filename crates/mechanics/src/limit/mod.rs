//! Limit analysis: how far an action can grow before no equilibrium is left.
//!
//! [`contact`] has the supports a rig can stand on or hang from, [`program`] the question itself:
//! [`largest_multiplier`]. Retention asks it with the vacuum gone, reserve with the vacuum in place.

pub mod contact;
pub mod program;
mod scaled;

#[cfg(test)]
mod closed_forms;
#[cfg(test)]
mod properties;

pub use contact::{Friction, LimitError, Pull, Support};
pub use program::{LAMBDA_CAP, Outcome, SupportAction, largest_multiplier, largest_multiplier_within};
