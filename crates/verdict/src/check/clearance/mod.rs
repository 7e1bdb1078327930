//! Height, overhead lines, sweep, and the gaps that the moving arm keeps.

mod gaps;
mod height;
mod moving;

use crate::context::Context;
use crate::finding::Finding;

/// Overall height, overhead line, sweep beside and beyond the car.
pub(super) fn height(ctx: &Context<'_>) -> Vec<Finding> {
    height::check(ctx)
}

/// The arm's gaps over its whole range.
pub(super) fn gaps(ctx: &Context<'_>) -> Vec<Finding> {
    gaps::check(ctx)
}
