//! Where cups, tubes and platform stand, laid out from a few taped distances. A plan to start from: the as-built places
//! go into the file.

use super::Answers;
use quantity::Kind;

/// Distance between the axes of two crossing tubes of 48.3 mm.
const CROSSING: f64 = 0.0483;
/// Tubes go on past their last cup or clamp by this.
const BEYOND: f64 = 0.1;

/// The layout, m.
#[derive(Clone, Debug)]
pub(crate) struct Grid {
    /// Rows, aft of the datum.
    pub(crate) rows: Vec<f64>,
    /// Cups of a row, left positive, with the letter of their tag.
    pub(crate) columns: Vec<(f64, char)>,
    /// Height of the cross tubes' axes over the datum.
    pub(crate) axis: f64,
    /// The lengthwise tubes stand this far left and right.
    pub(crate) lengthwise: f64,
    /// Middle of the platform, aft, and its top over the datum.
    pub(crate) platform: (f64, f64),
    /// Radii of the crown, along and across; `None` is flat.
    pub(crate) crown: (Option<f64>, Option<f64>),
    /// Middle of the roof, aft.
    pub(crate) middle: f64,
}

/// Radius of a crown from a string line of length `l` that touches the middle and stands `h` off at its ends:
/// `R = L² / 8h + h / 2`, the sagitta of a circle. `None` is flat.
pub(crate) fn crown(l: f64, h: f64) -> Option<f64> {
    (h > 1e-6 && l > 0.0).then(|| l * l / (8.0 * h) + h / 2.0)
}

impl Grid {
    pub(crate) fn of(a: &Answers) -> Self {
        let spread = |n: u32, span: f64| (0..n).map(move |i| span * f64::from(i) / f64::from(n.max(2) - 1));
        let (first, span) = (a.metres("first_row"), a.metres("row_span"));
        let rows: Vec<f64> = spread(a.count("rows"), span).map(|x| first + x).collect();
        let width = a.metres("column_span");
        let letters: &[char] = if a.count("columns") == 3 { &['L', 'M', 'R'] } else { &['L', 'R'] };
        let columns: Vec<(f64, char)> =
            spread(a.count("columns"), width).map(|x| width / 2.0 - x).zip(letters.iter().copied()).collect();
        let crown = (
            crown(a.metres("along_line"), a.metres("along_gap")),
            crown(a.metres("across_line"), a.metres("across_gap")),
        );
        let middle = a.metres("roof_length") / 2.0;
        let fall = |x: f64, r: Option<f64>| r.map_or(0.0, |r| x * x / (2.0 * r));
        let drops = rows.iter().flat_map(|row| {
            columns.iter().map(move |(y, _)| fall(row - middle, crown.0) + fall(*y, crown.1))
        });
        let (least, most) = drops.fold((f64::INFINITY, 0.0_f64), |(l, m), d| (l.min(d), m.max(d)));
        // The middle of the cups' stack heights, over the middle of what the crown takes away.
        let axis = a.metres("roof_rise") + stack(a.text("cup")) - f64::midpoint(least.min(most), most);
        Self {
            platform: (first + span / 2.0, axis + CROSSING + 0.12),
            lengthwise: (width * 0.21).clamp(0.08, 0.18),
            rows,
            columns,
            axis,
            crown,
            middle,
        }
    }

    /// Ends of the cross tubes, left and right of the centreline.
    pub(crate) fn half(&self) -> f64 {
        self.columns.first().map_or(0.0, |c| c.0) + BEYOND
    }

    /// Ends of the lengthwise tubes, aft.
    pub(crate) fn ends(&self) -> (f64, f64) {
        let (first, last) =
            (self.rows.first().copied().unwrap_or(0.0), self.rows.last().copied().unwrap_or(0.0));
        (first - BEYOND, last + BEYOND)
    }
}

/// The middle of a cup's range of stack heights, by the parts list.
fn stack(part: &str) -> f64 {
    let all = rig::catalogue();
    let cup = all.iter().find(|l| l.kind == "cup" && l.name == part);
    let height = |key: &str| {
        let text = cup?.data.iter().find(|(k, _)| *k == key).map(|(_, v)| v.as_str())?;
        let metric = text.split(" (").next().unwrap_or(text);
        quantity::parse_kind(metric, Kind::Length).ok()
    };
    match (height("height_least"), height("height_greatest")) {
        (Some(least), Some(greatest)) => f64::midpoint(least, greatest),
        _ => 0.12,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_string_line_gives_the_radius_of_its_circle() {
        // The sagitta of a chord of 1.2 m on a circle of 5 m.
        let h = 5.0 - (25.0_f64 - 0.36).sqrt();
        assert!((crown(1.2, h).unwrap() - 5.0).abs() < 1e-9, "exact for a chord");
        assert_eq!(crown(1.0, 0.0), None);
    }

    #[test]
    fn the_parts_list_gives_the_stack_height() {
        assert!((stack("cup-200") - 0.1175).abs() < 1e-6, "85 mm to 150 mm");
    }
}
