//! The sheet: what stands in it, one file a part, in the order of [`PARTS`].

use crate::drawing::Desk;
use crate::io::Stop;
use paper::Block;

/// A part of the sheet.
pub(crate) type Part = fn(&Desk<'_>) -> Result<Vec<Block>, Stop>;

/// The parts in order.
pub(crate) const PARTS: &[Part] = &[];
