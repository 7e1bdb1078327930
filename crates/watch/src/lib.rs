//! How a rig stands now: its job's record put over its plan, and judged.
//!
//! Entries in, answer out: no clock, no file, no terminal. [`Past`] finds what stands in the record; [`built`] puts measured values
//! over planned ones; [`progress`] counts the steps; [`rounds`] fits the leaks; [`Standing`] is GO, HOLD or NO-GO of all of it.

pub mod built;
mod past;
pub mod progress;
pub mod rounds;
mod standing;

pub use past::{Past, Plan};
pub use standing::{Change, Moved, Standing, Trouble, Want};
