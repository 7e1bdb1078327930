//! Drawings and charts as SVG: one text for screen, sheet and file.
//!
//! Numbers come in SI and finished; nothing is worked out here but where it stands on the paper.

pub mod chart;
mod text;
pub mod view;

pub use text::width as text_width;
