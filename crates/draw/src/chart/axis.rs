//! An axis: from SI to a share of its length, and the marks that people read, in one system or in both.

/// Even steps, or even ratios.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Even steps.
    Linear,
    /// Even ratios; values that are not positive are left out.
    Log,
}

/// What an axis is marked in: the symbol, and how much SI one of it is.
#[derive(Clone, Debug, PartialEq)]
struct Unit {
    symbol: String,
    si: f64,
}

/// One axis of a chart. Values are SI; marks are in the unit, and in the other system on the far side.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    name: String,
    scale: Scale,
    unit: Option<Unit>,
    other: Option<Unit>,
    span: Option<(f64, f64)>,
    at: Vec<f64>,
}

/// Nothing larger has a place: no rig has such a number, and its marks could not be written.
const MOST: f64 = 1e18;

/// A mark: the value in SI and what is written beside it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mark {
    pub(super) si: f64,
    pub(super) text: String,
}

/// An axis with its ends set.
#[derive(Clone, Debug)]
pub(super) struct Ruled {
    scale: Scale,
    /// Ends in SI, the first below the second.
    from: f64,
    to: f64,
    pub(super) marks: Vec<Mark>,
    pub(super) other: Vec<Mark>,
}

impl Axis {
    /// An axis for numbers without a unit, its ends taken from what is drawn.
    pub fn new(name: impl Into<String>, scale: Scale) -> Self {
        Self { name: name.into(), scale, unit: None, other: None, span: None, at: Vec::new() }
    }

    /// Marked in a unit, one of which is `si` of the SI unit. A size that is not positive and finite is taken as one.
    #[must_use]
    pub fn unit(mut self, symbol: impl Into<String>, si: f64) -> Self {
        self.unit = Some(Unit::new(symbol.into(), si));
        self
    }

    /// The other system, on the far side.
    #[must_use]
    pub fn other(mut self, symbol: impl Into<String>, si: f64) -> Self {
        self.other = Some(Unit::new(symbol.into(), si));
        self
    }

    /// Reaches at least over these values, SI.
    #[must_use]
    pub fn from_to(mut self, from: f64, to: f64) -> Self {
        self.span = Some((from, to));
        self
    }

    /// Marked at these values, SI, and nowhere else.
    #[must_use]
    pub fn marked_at(mut self, values: Vec<f64>) -> Self {
        self.at = values;
        self
    }

    /// Whether a value has a place on this axis.
    pub(super) fn shows(&self, si: f64) -> bool {
        si.abs() <= MOST && (self.scale == Scale::Linear || si > 0.0)
    }

    /// `residual moment, N·m`.
    pub(super) fn words(&self) -> String {
        match &self.unit {
            Some(u) => format!("{}, {}", self.name, u.symbol),
            None => self.name.clone(),
        }
    }

    /// The other system's symbol.
    pub(super) fn other_words(&self) -> Option<&str> {
        self.other.as_ref().map(|u| u.symbol.as_str())
    }

    /// Ends and marks for lengths that start at nothing; what is under it or not a number does not count.
    pub(super) fn ruled_lengths(&self, values: impl Iterator<Item = f64>, wanted: usize) -> Ruled {
        let most = values.filter(|v| v.is_finite()).fold(0.0, f64::max).min(1e12);
        let one = self.unit.as_ref().map_or(1.0, |u| u.si);
        let most = if most > one * 1e-6 { most } else { one };
        self.ruled([0.0, most].into_iter(), wanted)
    }

    /// Sets the ends for the values drawn and finds the marks; about `wanted` of them.
    pub(super) fn ruled(&self, values: impl Iterator<Item = f64>, wanted: usize) -> Ruled {
        let asked = self.span.iter().flat_map(|s| [s.0, s.1]).chain(self.at.iter().copied());
        let (low, high) = asked
            .chain(values)
            .filter(|v| self.shows(*v))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        let si = self.unit.as_ref().map_or(1.0, |u| u.si);
        let (low, high) = match (low.is_finite() && high.is_finite(), self.scale) {
            (true, _) => (low / si, high / si),
            (false, Scale::Linear) => (0.0, 1.0),
            (false, Scale::Log) => (1.0, 10.0),
        };
        let (from, to, texts) = match self.scale {
            Scale::Linear => linear(low, high, wanted),
            Scale::Log => logarithmic(low, high),
        };
        let marks = if self.at.is_empty() {
            texts.into_iter().map(|(v, text)| Mark { si: v * si, text }).collect()
        } else {
            self.at
                .iter()
                .filter(|v| self.shows(**v))
                .map(|v| Mark { si: *v, text: plain(*v / si) })
                .collect()
        };
        // Marks that are given are the ends as well.
        let given = !self.at.is_empty() && high - low > low.abs().max(high.abs()) * 1e-6;
        let (from, to) = if given { (low, high) } else { (from, to) };
        let other = self.other.as_ref().map_or_else(Vec::new, |u| {
            let (a, b) = (from * si / u.si, to * si / u.si);
            let (_, _, texts) = match self.scale {
                Scale::Linear => linear(a, b, wanted),
                Scale::Log => logarithmic(a, b),
            };
            let inside = |v: f64| v >= a - (b - a) * 1e-9 && v <= b + (b - a) * 1e-9;
            texts
                .into_iter()
                .filter(|(v, _)| inside(*v))
                .map(|(v, text)| Mark { si: v * u.si, text })
                .collect()
        });
        Ruled { scale: self.scale, from: from * si, to: to * si, marks, other }
    }
}

impl Unit {
    fn new(symbol: String, si: f64) -> Self {
        Self { symbol, si: if si.is_finite() && si > 0.0 { si } else { 1.0 } }
    }
}

impl Ruled {
    /// Whether a value lies between the ends.
    pub(super) fn holds(&self, si: f64) -> bool {
        (-0.01..=1.01).contains(&self.share(si))
    }

    /// Where a value stands: 0 at the axis's start, 1 at its end.
    pub(super) fn share(&self, si: f64) -> f64 {
        match self.scale {
            Scale::Linear => (si - self.from) / (self.to - self.from),
            Scale::Log => (si / self.from).ln() / (self.to / self.from).ln(),
        }
    }
}

/// Ends and marks in even steps of 1, 2 or 5 times a power of ten around two values.
fn linear(low: f64, high: f64, wanted: usize) -> (f64, f64, Vec<(f64, String)>) {
    // One value alone, or a spread that doubles cannot tell apart, gets room on both sides.
    let room = (low.abs().max(high.abs()) * 1e-9).max(1e-12);
    let (low, high) =
        if high - low > room { (low, high) } else { (low - room.max(0.5), high + room.max(0.5)) };
    let wanted = u32::try_from(wanted.clamp(2, 50)).unwrap_or(50);
    let rough = (high - low) / f64::from(wanted);
    let power = 10.0_f64.powf(rough.log10().floor());
    let step =
        [1.0, 2.0, 5.0, 10.0].into_iter().find(|m| m * power >= rough * (1.0 - 1e-9)).unwrap_or(10.0) * power;
    let (first, last) = ((low / step + 1e-9).floor(), (high / step - 1e-9).ceil());
    let places = decimals(step);
    let mut marks = Vec::new();
    let mut k = first;
    while k <= last && marks.len() < 100 {
        marks.push((k * step, number(k * step, places)));
        k += 1.0;
    }
    (first * step, last * step, marks)
}

/// Ends and marks at powers of ten; at 2 and 5 too where there are few powers.
fn logarithmic(low: f64, high: f64) -> (f64, f64, Vec<(f64, String)>) {
    let high = if high > low * 1.001 { high } else { low * 10.0 };
    let few = (high / low).log10() < 2.2;
    let steps: &[f64] = if few { &[1.0, 2.0, 5.0] } else { &[1.0] };
    let first = whole(low.log10().floor());
    let all: Vec<f64> = (first..=first.saturating_add(40).min(whole(high.log10().ceil())))
        .flat_map(|e| steps.iter().map(move |s| s * 10.0_f64.powi(e)))
        .collect();
    // The last mark at or below, the first at or above; rounding must not open a step that only its border is in.
    let from = all.iter().copied().rfind(|v| *v <= low * 1.02).unwrap_or(low);
    let to = all.iter().copied().find(|v| *v >= high * 0.98).unwrap_or(high);
    let (from, to) = (from.min(low), to.max(high));
    let near = from > 0.9e-3 && to < 1.1e3;
    let marks = all
        .into_iter()
        .filter(|v| *v >= from * 0.999 && *v <= to * 1.001)
        .map(|v| (v, if few || near { plain(v) } else { power_of_ten(whole(v.log10().round())) }))
        .collect();
    (from, to, marks)
}

/// A whole number as such; what is out of range becomes its end.
#[allow(clippy::cast_possible_truncation, reason = "the cast stops at the ends of the range")]
fn whole(value: f64) -> i32 {
    value as i32
}

/// Digits after the point that a step needs.
fn decimals(step: f64) -> usize {
    usize::try_from(-whole((step.log10() + 1e-9).floor())).unwrap_or(0).min(12)
}

/// A number with its minus sign, and its thousands apart from ten thousand on.
fn number(value: f64, places: usize) -> String {
    let text = format!("{:.places$}", value.abs());
    if text.chars().all(|c| matches!(c, '0' | '.')) {
        return "0".to_owned();
    }
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut out = String::from(if value < 0.0 { "−" } else { "" });
    for (i, c) in whole.chars().enumerate() {
        if i > 0 && whole.len() > 4 && (whole.len() - i) % 3 == 0 {
            out.push('\u{202f}');
        }
        out.push(c);
    }
    out + rest
}

/// A number as short as it can be written.
fn plain(value: f64) -> String {
    let size = value.abs();
    if size != 0.0 && !(1e-4..1e7).contains(&size) {
        return format!("{value:.0e}");
    }
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let places = text.split_once('.').map_or(0, |(_, rest)| rest.len());
    number(value, places)
}

/// `10⁴`, or `1` and `10` as they are.
fn power_of_ten(exponent: i32) -> String {
    if exponent == 0 || exponent == 1 {
        return if exponent == 0 { "1" } else { "10" }.to_owned();
    }
    let raised = |c: char| match c {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        c => char::from_u32('⁰' as u32 + c.to_digit(10).unwrap_or(0)).unwrap_or(c),
    };
    format!("10{}", exponent.to_string().chars().map(raised).collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn texts(marks: &[Mark]) -> Vec<&str> {
        marks.iter().map(|m| m.text.as_str()).collect()
    }

    #[test]
    fn marks_stand_at_round_values_of_both_systems() {
        let axis = Axis::new("sag", Scale::Linear).unit("mm", 0.001).other("in", 0.0254);
        let ruled = axis.ruled([0.0, 0.047].into_iter(), 5);
        assert_eq!(texts(&ruled.marks), ["0", "10", "20", "30", "40", "50"]);
        assert_eq!(texts(&ruled.other), ["0", "0.5", "1.0", "1.5"]);
        assert!((ruled.share(0.0254) - 0.508).abs() < 1e-12 && (ruled.other[2].si - 0.0254).abs() < 1e-15);
    }

    #[test]
    fn powers_of_ten_and_steps_between() {
        let wide = Axis::new("states", Scale::Log).ruled([10_020.0, 1.01e8].into_iter(), 5);
        assert_eq!(texts(&wide.marks), ["10⁴", "10⁵", "10⁶", "10⁷", "10⁸"]);
        let narrow = Axis::new("f", Scale::Log).ruled([0.6, 18.0].into_iter(), 5);
        assert_eq!(texts(&narrow.marks), ["0.5", "1", "2", "5", "10", "20"]);
        assert!((narrow.share(0.5)).abs() < 1e-12 && (narrow.share(20.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn numbers_as_people_write_them() {
        assert_eq!(number(-0.0001, 2), "0");
        assert_eq!(number(-1234.5, 1), "−1234.5");
        assert_eq!(number(1_234_567.0, 0), "1\u{202f}234\u{202f}567");
        assert_eq!(plain(0.25), "0.25");
        assert_eq!(plain(64.0), "64");
    }

    #[test]
    fn nothing_to_draw_still_has_an_axis() {
        for scale in [Scale::Linear, Scale::Log] {
            let ruled = Axis::new("x", scale).ruled([f64::NAN, f64::INFINITY].into_iter(), 5);
            assert!(ruled.marks.len() >= 2 && ruled.share(ruled.marks[0].si).is_finite());
        }
        let one = Axis::new("x", Scale::Linear).ruled([3.0].into_iter(), 5);
        assert!(one.share(3.0) > 0.2 && one.share(3.0) < 0.8);
    }

    proptest! {
        /// Every value drawn lies between the ends, marks rise, and there are neither none nor heaps of them.
        #[test]
        fn values_lie_between_the_ends(a in -1e9_f64..1e9, b in -1e9_f64..1e9, e in -9_i32..9, log in any::<bool>()) {
            let size = 10.0_f64.powi(e);
            let (a, b) = if log { (a.abs() * size + 1e-12, b.abs() * size + 1e-12) } else { (a * size, b * size) };
            let scale = if log { Scale::Log } else { Scale::Linear };
            let ruled = Axis::new("x", scale).unit("u", 0.3048).other("v", 1.7).ruled([a, b].into_iter(), 6);
            for v in [a, b] {
                let share = ruled.share(v);
                prop_assert!((-1e-6..=1.0 + 1e-6).contains(&share), "{share}");
            }
            prop_assert!(!ruled.marks.is_empty() && ruled.marks.len() <= 45);
            prop_assert!(ruled.marks.windows(2).all(|w| w[0].si < w[1].si));
            for m in ruled.marks.iter().chain(&ruled.other) {
                prop_assert!((-1e-2..=1.01).contains(&ruled.share(m.si)), "{m:?}");
            }
        }
    }
}
