//! To be written.
pub mod contact;
pub mod program;
