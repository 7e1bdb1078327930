//! The rig file to a checked model and back, keeping the person's own text.

pub mod fact;
pub mod model;
pub mod policy;
