//! Being written.
use crate::{Context, Finding};
pub(super) fn roof_load(_ctx: &Context<'_>) -> Vec<Finding> { Vec::new() }
pub(super) fn gross_mass(_ctx: &Context<'_>) -> Vec<Finding> { Vec::new() }
pub(super) fn axle_load(_ctx: &Context<'_>) -> Vec<Finding> { Vec::new() }
pub(super) fn rollover(_ctx: &Context<'_>) -> Vec<Finding> { Vec::new() }
