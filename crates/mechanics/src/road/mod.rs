//! To be written.
pub mod kerb;
pub mod profile;
pub mod quarter_car;
