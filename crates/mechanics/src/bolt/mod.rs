//! To be written.
pub mod thread;
pub mod joint;
