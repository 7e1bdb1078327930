//! Sizes of the paper, in points.

use crate::Format;

/// Points in a millimetre.
pub(crate) const MM: f32 = 72.0 / 25.4;

/// A size as it is drawn: coarser than a number of the text, far finer than any printer.
#[allow(clippy::cast_possible_truncation, reason = "sizes of paper are far from the ends of f32")]
pub(crate) fn points(size: f64) -> f32 {
    size as f32
}

/// A count in a sum of sizes.
pub(crate) fn number(count: usize) -> f32 {
    u16::try_from(count).map_or(f32::from(u16::MAX), f32::from)
}

/// A sheet and where text stands on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sheet {
    pub(crate) wide: f32,
    pub(crate) high: f32,
    /// Left edge of the text: room for the holes of a ring binder.
    pub(crate) left: f32,
    pub(crate) right: f32,
    pub(crate) top: f32,
    pub(crate) bottom: f32,
}

impl Sheet {
    pub(crate) fn new(format: Format, running: bool) -> Self {
        let (wide, high) = match format {
            Format::A4 => (210.0 * MM, 297.0 * MM),
            Format::Letter => (612.0, 792.0),
        };
        let (left, right, top, bottom) =
            if running { (25.0, 15.0, 21.0, 19.0) } else { (14.0, 14.0, 12.0, 12.0) };
        Self { wide, high, left: left * MM, right: right * MM, top: top * MM, bottom: bottom * MM }
    }

    /// Width of the text.
    pub(crate) fn text_wide(&self) -> f32 {
        self.wide - self.left - self.right
    }

    /// Height of the text.
    pub(crate) fn text_high(&self) -> f32 {
        self.high - self.top - self.bottom
    }
}
