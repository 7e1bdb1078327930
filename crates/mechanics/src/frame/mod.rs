//! To be written.
pub mod section;
