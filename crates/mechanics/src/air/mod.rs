//! To be written.
pub mod atmosphere;
pub mod drag;
