//! To be written.
pub mod joint;
pub mod thread;
