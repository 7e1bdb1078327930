//! A rig model to a structure, states, responses, margins and a verdict.
//!
//! The way down: [`Context::new`] turns a rig into a structure, its responses `R` intact and with each part lost, and the
//! instants of its manoeuvres; [`sweep`] runs every swept check over every state; [`verdict::check`] adds the checks that
//! need one look, varies what is assumed and answers GO, HOLD or NO-GO.

pub mod actions;
pub mod advise;
pub mod arm_model;
pub mod balance;
pub mod beyond;
pub mod boom;
pub mod check;
pub mod context;
pub mod fault;
pub mod finding;
pub mod isolator;
pub mod limits;
pub mod losses;
pub mod parts;
pub mod picture;
pub mod power;
pub mod responses;
pub mod shape;
pub mod situation;
mod slack;
pub mod state;
pub mod structure;
pub mod sums;
pub mod sweep;
#[cfg(test)]
mod testing;
pub mod vary;
pub mod verdict;
pub mod weigh;

pub use context::Context;
pub use fault::Fault;
pub use finding::{Finding, HandCheck, Need, Outcome, Step};
pub use parts::PartRef;
pub use state::StateId;
pub use verdict::{Answer, Verdict};
