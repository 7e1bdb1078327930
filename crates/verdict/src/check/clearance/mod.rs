//! Height, overhead lines, sweep, and the gaps that the moving arm keeps.

mod gaps;
mod height;
mod moving;

use crate::context::Context;
use crate::finding::Finding;

/// Overall height, overhead line, sweep beside and beyond the car, and the arm's gaps over its whole range.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let mut out = height::check(ctx);
    out.extend(gaps::check(ctx));
    out
}
