//! To be written.
pub mod profile;
pub mod quarter_car;
pub mod kerb;
