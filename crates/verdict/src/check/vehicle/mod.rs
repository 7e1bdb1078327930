//! What the rig does to the car: roof, gross mass, axles, rolling over.

mod axles;
mod masses;
mod rollover;
mod roof;

pub(super) use axles::{axle_load, gross_mass};
pub(super) use rollover::rollover;
pub(super) use roof::roof_load;
