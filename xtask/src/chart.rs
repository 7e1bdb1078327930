//! Log-log charts as SVG: lines with their labels beside them, told apart by mark and dash so that grey paper does.

use std::fmt::Write as _;

/// One line of a chart.
pub(crate) struct Line {
    pub(crate) label: String,
    /// What grows and its fitted exponent: written under the label.
    pub(crate) law: (&'static str, f64),
    pub(crate) points: Vec<(f64, f64)>,
}

/// A chart with its words.
pub(crate) struct Chart {
    pub(crate) title: String,
    pub(crate) x: String,
    pub(crate) y: String,
    /// Where the x axis has marks; decades where none are given.
    pub(crate) marks: Vec<f64>,
    pub(crate) lines: Vec<Line>,
}

const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 420.0;
/// Of the field that lines are drawn in.
const LEFT: f64 = 78.0;
const RIGHT: f64 = 530.0;
const TOP: f64 = 46.0;
const BOTTOM: f64 = 358.0;
/// Labels stand at least this far apart.
const LABEL_STEP: f64 = 40.0;
/// Ink and dash of each line.
const STYLES: [(&str, &str); 4] = [("#111", "none"), ("#555", "7 4"), ("#333", "2 3"), ("#777", "10 3 2 3")];

/// `10⁴`, or `1` and `10` as they are.
pub(crate) fn power(exponent: i32) -> String {
    if exponent == 0 || exponent == 1 {
        return if exponent == 0 { "1" } else { "10" }.to_owned();
    }
    let digit = |c: char| match c {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        c => char::from_u32('⁰' as u32 + c.to_digit(10).unwrap_or(0)).unwrap_or(c),
    };
    format!("10{}", exponent.to_string().chars().map(digit).collect::<String>())
}

/// The whole powers of ten around some values.
fn decades(values: impl Iterator<Item = f64>) -> (i32, i32) {
    let (low, high) = values
        .filter(|v| v.is_finite() && *v > 0.0)
        .map(f64::log10)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
    // Rounding must not open a decade that only its border would be in.
    let whole = |v: f64| format!("{v:.0}").parse::<i32>().unwrap_or(0);
    let (low, high) = (whole((low + 0.02).floor()), whole((high - 0.02).ceil()));
    (low, high.max(low + 1))
}

impl Chart {
    /// The chart as a file.
    pub(crate) fn svg(&self) -> String {
        let all = || self.lines.iter().flat_map(|l| l.points.iter().copied());
        let (y0, y1) = decades(all().map(|p| p.1));
        let x_decades = decades(all().map(|p| p.0));
        let marks: Vec<(f64, String)> = if self.marks.is_empty() {
            (x_decades.0..=x_decades.1).map(|e| (10.0_f64.powi(e), power(e))).collect()
        } else {
            self.marks.iter().map(|m| (*m, m.to_string())).collect()
        };
        let ends = marks.iter().map(|m| m.0.log10());
        let (x0, x1) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        let across = |x: f64| LEFT + 14.0 + (x.log10() - x0) / (x1 - x0) * (RIGHT - LEFT - 28.0);
        let up = |y: f64| BOTTOM - (y.log10() - f64::from(y0)) / f64::from(y1 - y0) * (BOTTOM - TOP);
        let mut out = String::new();
        let mut put = |text: std::fmt::Arguments<'_>| {
            let _ = writeln!(out, "{text}");
        };
        put(format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" height=\"{HEIGHT}\" font-family=\"Helvetica, Arial, 'DejaVu Sans', sans-serif\" font-size=\"13\" fill=\"#111\" role=\"img\">\n<title>{0}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n<text x=\"{LEFT}\" y=\"26\" font-size=\"15\" font-weight=\"bold\">{0}</text>",
            escaped(&self.title)
        ));
        for (x, name) in &marks {
            let at = across(*x);
            put(format_args!(
                "<path d=\"M{at:.1} {TOP}V{BOTTOM}\" stroke=\"#e2e2e2\"/>\n<text x=\"{at:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{name}</text>",
                BOTTOM + 19.0
            ));
        }
        for e in y0..=y1 {
            let at = up(10.0_f64.powi(e));
            put(format_args!(
                "<path d=\"M{LEFT} {at:.1}H{RIGHT}\" stroke=\"#e2e2e2\"/>\n<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>",
                LEFT - 8.0,
                at + 4.5,
                power(e)
            ));
        }
        put(format_args!(
            "<path d=\"M{LEFT} {TOP}V{BOTTOM}H{RIGHT}\" fill=\"none\" stroke=\"#111\"/>\n<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>\n<text transform=\"translate(22 {:.1}) rotate(-90)\" text-anchor=\"middle\">{}</text>",
            f64::midpoint(LEFT, RIGHT),
            HEIGHT - 16.0,
            escaped(&self.x),
            f64::midpoint(TOP, BOTTOM),
            escaped(&self.y)
        ));
        let mut labels: Vec<(f64, usize)> = Vec::new();
        for (k, line) in self.lines.iter().enumerate() {
            let (ink, dash) = STYLES[k % STYLES.len()];
            let at: Vec<(f64, f64)> = line.points.iter().map(|(x, y)| (across(*x), up(*y))).collect();
            let path: Vec<String> = at.iter().map(|(x, y)| format!("{x:.1} {y:.1}")).collect();
            put(format_args!(
                "<path d=\"M{}\" fill=\"none\" stroke=\"{ink}\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>",
                path.join("L")
            ));
            for (x, y) in &at {
                put(format_args!("{}", mark(k, *x, *y, ink)));
            }
            labels.extend(at.last().map(|(_, y)| (*y, k)));
        }
        labels.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut free = f64::NEG_INFINITY;
        for (y, k) in labels {
            let y = y.max(free);
            free = y + LABEL_STEP;
            let (x, line) = (RIGHT + 12.0, &self.lines[k]);
            put(format_args!("{}", mark(k, x + 4.0, y, STYLES[k % STYLES.len()].0)));
            put(format_args!(
                "<text x=\"{:.1}\" y=\"{:.1}\">{}</text>",
                x + 16.0,
                y + 4.5,
                escaped(&line.label)
            ));
            put(format_args!(
                "<text x=\"{:.1}\" y=\"{:.1}\">grows as {}<tspan dy=\"-5\" font-size=\"10\">{:.2}</tspan></text>",
                x + 16.0,
                y + 21.5,
                line.law.0,
                line.law.1
            ));
        }
        out.push_str("</svg>\n");
        out
    }
}

/// A mark of the line's own.
fn mark(line: usize, x: f64, y: f64, ink: &str) -> String {
    match line % 4 {
        0 => format!("<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4\" fill=\"{ink}\"/>"),
        1 => format!(
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"8\" height=\"8\" fill=\"#fff\" stroke=\"{ink}\" stroke-width=\"2\"/>",
            x - 4.0,
            y - 4.0
        ),
        2 => format!("<path d=\"M{:.1} {:.1}l5 9h-10z\" fill=\"{ink}\"/>", x, y - 5.0),
        _ => format!("<path d=\"M{:.1} {:.1}l5 5-5 5-5-5z\" fill=\"#fff\" stroke=\"{ink}\"/>", x, y - 5.0),
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_and_decades() {
        let words: Vec<String> = [-3, 0, 1, 2, 4, 8].map(power).into();
        assert_eq!(words, ["10⁻³", "1", "10", "10²", "10⁴", "10⁸"]);
        assert_eq!(decades([10_000.0, 99_997_500.0].into_iter()), (4, 8));
        assert_eq!(decades([10_020.0, 1.01e8].into_iter()), (4, 8));
        assert_eq!(decades([0.005, 0.3].into_iter()), (-3, 0));
        assert_eq!(decades([2.0].into_iter()), (0, 1));
    }

    #[test]
    fn a_line_of_slope_one_goes_from_corner_to_corner_and_labels_keep_apart() {
        let line = |label: &str| Line {
            label: label.to_owned(),
            law: ("states", 1.0),
            points: vec![(10.0, 1.0), (100.0, 10.0)],
        };
        let chart = Chart {
            title: "A & B".to_owned(),
            x: "states".to_owned(),
            y: "seconds".to_owned(),
            marks: Vec::new(),
            lines: vec![line("one"), line("two")],
        };
        let svg = chart.svg();
        assert!(svg.contains("A &amp; B"));
        assert!(svg.contains(&format!("M{:.1} {BOTTOM:.1}L{:.1} {TOP:.1}", LEFT + 14.0, RIGHT - 14.0)));
        assert!(svg.contains(&format!("y=\"{:.1}\">one", TOP + 4.5)));
        assert!(svg.contains(&format!("y=\"{:.1}\">two", TOP + 4.5 + LABEL_STEP)));
    }
}
