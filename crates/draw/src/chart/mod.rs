//! Charts: marks in both systems, names beside what they name, told apart by dash, mark and pattern so that grey paper does.
//!
//! [`Chart`] has lines, [`Trend`] lines over time, [`Bars`] level bars, [`Heat`] tables in shades, [`Sectors`] a dial around the car.

mod axis;
mod bars;
mod heat;
pub(crate) mod labels;
mod line;
#[cfg(test)]
mod looks;
mod pen;
mod sectors;
mod trend;

pub use crate::view::Word;
pub use axis::{Axis, Scale};
pub use bars::{Bar, Bars, Group, Key};
pub use heat::{Block, Cell, Heat};
pub use sectors::{Dial, Sector, Sectors};
pub use trend::{Band, Trend};

/// One line, or a cloud of points.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its name, written at its end.
    pub label: String,
    /// Places in SI, in order. One that is not finite breaks the line.
    pub points: Vec<(f64, f64)>,
    /// Points alone, with no line between them.
    pub dots: bool,
}

/// Which way a ruled line runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    /// Upright, at a value of the axis across.
    X,
    /// Level, at a value of the axis up.
    Y,
}

/// A ruled line at a value that means something: a limit, a plan, a frequency.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Its name, written on it.
    pub label: String,
    /// Where, in SI.
    pub at: f64,
    /// Which way it runs.
    pub along: Along,
}

/// A chart with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// What is seen.
    pub title: String,
    /// The axis across.
    pub x: Axis,
    /// The axis up.
    pub y: Axis,
    /// What is drawn.
    pub lines: Vec<Line>,
    /// Ruled lines.
    pub limits: Vec<Limit>,
    /// Sentences under the chart.
    pub notes: Vec<String>,
}

/// How wide the paper is that the type is set for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Width {
    /// A sheet or a laptop: names stand beside the ends of the lines.
    Page,
    /// A phone held upright: names stand under the chart.
    Phone,
}

impl Chart {
    /// The chart as an SVG file, for a sheet or a laptop.
    pub fn svg(&self) -> String {
        self.svg_for(Width::Page)
    }

    /// The chart as an SVG file, for a width of paper.
    pub fn svg_for(&self, width: Width) -> String {
        line::svg(self, &[], width)
    }
}
