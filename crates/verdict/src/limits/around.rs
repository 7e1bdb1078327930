//! Where the plan is tightest: the least margins by where the boom points and by its elevation.

use crate::context::{Context, Resolution};
use crate::structure::BuildOptions;
use crate::sweep::{self, Around};
use crate::{Fault, check};
use rig::Rig;

/// Least margins of every check over the states of the plan, by bearing and by elevation; values as they stand in the rig.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn around(rig: &Rig, resolution: Resolution, build: BuildOptions) -> Result<Around, Fault> {
    let ctx = Context::new(rig, build)?;
    Ok(sweep::around(&ctx, &check::swept(&ctx), resolution))
}
