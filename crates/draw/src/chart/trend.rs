//! Readings over time: one line each, the line that they must stay over or under, a band where they are not sure.

use super::axis::{Axis, Scale};
use super::line;
use super::{Chart, Limit, Line, Width};

/// A band that a line may lie in.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Its name, written at its end.
    pub label: String,
    /// Time, low end and high end, in SI, in order. What is not finite breaks the band.
    pub points: Vec<(f64, f64, f64)>,
}

/// Readings over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// What is seen.
    pub title: String,
    /// What time is counted from: `time from the first round`.
    pub since: String,
    /// What is read.
    pub y: Axis,
    /// One line each; times in s.
    pub series: Vec<Line>,
    /// Bands behind the lines; times in s.
    pub bands: Vec<Band>,
    /// Ruled lines; upright ones at times in s.
    pub limits: Vec<Limit>,
    /// Sentences under the chart.
    pub notes: Vec<String>,
}

impl Trend {
    /// The chart as an SVG file, for a width of paper; time in seconds, minutes or hours as its length asks.
    pub fn svg_for(&self, paper: Width) -> String {
        let lines = self.series.iter().flat_map(|l| l.points.iter().map(|p| p.0));
        let times = lines.chain(self.bands.iter().flat_map(|b| b.points.iter().map(|p| p.0)));
        let (first, last) = times
            .filter(|t| t.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), t| (a.min(t), b.max(t)));
        let x = Axis::new(self.since.clone(), Scale::Linear);
        let x = match last - first {
            long if long > 3.0 * 3600.0 => x.unit("h", 3600.0),
            long if long > 180.0 => x.unit("min", 60.0),
            _ => x.unit("s", 1.0),
        };
        let chart = Chart {
            title: self.title.clone(),
            x,
            y: self.y.clone(),
            lines: self.series.clone(),
            limits: self.limits.clone(),
            notes: self.notes.clone(),
        };
        line::svg(&chart, &self.bands, paper)
    }
}
