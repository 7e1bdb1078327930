//! To be written.
pub mod loads;
pub mod stability;
