//! Limit analysis: how far an action can grow before no equilibrium is left.
//!
//! [`contact`] has the supports a rig can stand on or hang from, [`program`] the question itself:
//! [`largest_multiplier`]. Retention asks it with the vacuum gone, reserve with the vacuum in place.
//!
//! And what an elastic rig does on the way there: [`influence`] has how its forces change when a part gives, [`settled`] what
//! carries what once cups lift, rock or slide and straps hang slack ([`Settling::settle`]).

pub mod contact;
pub mod influence;
mod mixing;
mod nearest;
pub mod program;
mod scaled;
pub mod settled;

#[cfg(test)]
mod closed_forms;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod settled_forms;
#[cfg(test)]
mod settled_properties;

pub use contact::{Friction, LimitError, Pull, Support};
pub use influence::{Influence, InfluenceError};
pub use program::{
    LAMBDA_CAP, Outcome, SupportAction, largest_multiplier, largest_multiplier_of_held,
    largest_multiplier_within,
};
pub use settled::{Cup, CupState, Held, Settled, Settling, StrapState};
