//! To be written.
pub mod vacuum;
pub mod seal;
pub mod slip;
pub mod group;
pub mod fit;
