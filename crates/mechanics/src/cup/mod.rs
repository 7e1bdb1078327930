//! To be written.
pub mod fit;
pub mod group;
pub mod seal;
pub mod slip;
pub mod vacuum;
