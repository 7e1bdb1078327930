//! To be written.
pub mod chain;
pub mod dynamics;
