//! A length in the words that one was written in: the same unit, decimals or fractions as there.

use super::Snap;
use quantity::{Kind, parse_kind};

/// How a length was written.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Words {
    /// Of a foot that goes before inches: the mark and what stands between (`' `, ` ft `).
    feet: Option<(String, String)>,
    /// Blank and unit behind the number.
    unit: String,
    /// Metres in the unit.
    factor: f64,
    /// Written with decimals: how many.
    decimals: Option<usize>,
    /// A comma for the decimal point.
    comma: bool,
    /// Between inches and their fraction.
    joint: char,
}

/// Metres in an inch and a foot (international yard and pound agreement, 1959).
const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
/// Metres that no written length is off by.
const FINEST: f64 = 2e-5;

impl Words {
    /// Of millimetres.
    pub(crate) fn millimetres() -> Self {
        Self { feet: None, unit: " mm".to_owned(), factor: 0.001, decimals: None, comma: false, joint: '-' }
    }

    /// How `text` is written; none where it is no length.
    pub(crate) fn of(text: &str) -> Option<Self> {
        let text = text.trim();
        parse_kind(text, Kind::Length).ok()?;
        let number = |c: char| {
            c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '¼' | '½' | '¾' | '⅛' | '⅜' | '⅝' | '⅞')
        };
        let start = text.rfind(number)?;
        let end = start + text.get(start..)?.chars().next()?.len_utf8();
        let unit = text.get(end..)?.to_owned();
        let factor = parse_kind(&format!("1{unit}"), Kind::Length).ok()?;
        let body = text.get(..end)?.trim_start_matches(['-', '+', '−', ' ']);
        // A unit before the last number is that of feet.
        let word = |c: char| c.is_alphabetic() || matches!(c, '\'' | '′' | '’');
        let (feet, last) = match body.find(word) {
            Some(at) => {
                let behind = body.get(at..)?;
                let next = at + behind.find(|c: char| c.is_ascii_digit())?;
                let gap = body.get(..at)?.len() - body.get(..at)?.trim_end().len();
                let mark = body.get(at - gap..next)?;
                let split = mark.trim_end_matches([' ', '-']).len();
                (Some((mark.get(..split)?.to_owned(), mark.get(split..)?.to_owned())), body.get(next..)?)
            }
            None => (None, body),
        };
        let comma = last.contains(',');
        let point = last.find(['.', ',']).map(|i| last.len() - i - 1);
        let spaced = last.trim().contains(' ') && !last.contains('-');
        Some(Self { feet, unit, factor, decimals: point, comma, joint: if spaced { ' ' } else { '-' } })
    }

    /// For a length that is new beside one in these words: millimetres beside all that is metric.
    pub(crate) fn for_new(self) -> Self {
        if self.inches() { self } else { Self::millimetres() }
    }

    fn inches(&self) -> bool {
        (self.factor - INCH).abs() < 1e-12 || (self.factor - FOOT).abs() < 1e-12
    }

    /// The step that a place written so is set in, m.
    pub(crate) fn step_m(&self, snap: Snap) -> f64 {
        match (self.inches(), snap) {
            (true, Snap::Tape) => INCH / 4.0,
            (true, Snap::Fine) => INCH / 16.0,
            (false, Snap::Tape) => 0.005,
            (false, Snap::Fine) => 0.001,
        }
    }

    /// A length, m, in these words.
    pub(crate) fn write(&self, length_m: f64) -> String {
        let (sign, length) = (if length_m < 0.0 { "-" } else { "" }, length_m.abs());
        let inch = (self.factor - INCH).abs() < 1e-12;
        let amount = match &self.feet {
            Some((mark, gap)) => {
                // Whole sixty-fourths, so that eleven inches and all but nothing are a foot.
                let parts = (length / INCH * 64.0).round();
                let feet = (parts / 768.0).floor();
                let rest = self.in_inches((parts - feet * 768.0) / 64.0);
                format!("{feet:.0}{mark}{gap}{rest}")
            }
            None if inch => self.in_inches(length / INCH),
            None => self.in_decimals(length / self.factor),
        };
        let out = format!("{amount}{}", self.unit);
        let nothing = !amount.chars().any(|c| c.is_ascii_digit() && c != '0');
        if nothing { out } else { format!("{sign}{out}") }
    }

    fn in_inches(&self, inches: f64) -> String {
        if self.decimals.is_some() {
            return self.in_decimals(inches);
        }
        for below in [1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0] {
            let parts = (inches * below).round();
            if (parts / below - inches).abs() * INCH > FINEST && below < 64.0 {
                continue;
            }
            let (whole, top) = ((parts / below).floor(), parts % below);
            return match (whole > 0.0, top > 0.0) {
                (_, false) => format!("{whole:.0}"),
                (true, true) => format!("{whole:.0}{}{top:.0}/{below:.0}", self.joint),
                (false, true) => format!("{top:.0}/{below:.0}"),
            };
        }
        format!("{inches:.0}")
    }

    fn in_decimals(&self, value: f64) -> String {
        let least = self.decimals.unwrap_or(0);
        let unit = if self.feet.is_some() { INCH } else { self.factor };
        let mut out = String::new();
        for decimals in least..=least.max(6) {
            out = format!("{value:.decimals$}");
            if out.parse::<f64>().is_ok_and(|v| (v - value).abs() * unit <= FINEST) {
                break;
            }
        }
        if self.comma { out.replace('.', ",") } else { out }
    }
}

/// To whole steps.
pub(crate) fn snapped(value_m: f64, step_m: f64) -> f64 {
    (value_m / step_m).round() * step_m
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_stays_in_the_words_that_it_was_written_in() {
        for (was, length_m, now) in [
            ("380 mm", 0.385, "385 mm"),
            ("380mm", 0.385, "385mm"),
            ("1.05 m", 1.055, "1.055 m"),
            ("1.30 m", 1.4, "1.40 m"),
            ("38 cm", 0.385, "38.5 cm"),
            ("13-5/8 in", 13.25 * 0.0254, "13-1/4 in"),
            ("13 5/8 in", 13.0625 * 0.0254, "13 1/16 in"),
            ("13.5 in", 13.75 * 0.0254, "13.75 in"),
            ("8 in", 0.25 * 0.0254, "1/4 in"),
            ("8\"", 9.5 * 0.0254, "9-1/2\""),
            ("2' 3-1/4\"", 27.5 * 0.0254, "2' 3-1/2\""),
            ("2' 3-1/4\"", 35.999_99 * 0.0254, "3' 0\""),
            ("2 ft 3 in", 30.0 * 0.0254, "2 ft 6 in"),
            ("3.5 ft", 4.25 * 0.3048, "4.25 ft"),
            ("-60 mm", -0.065, "-65 mm"),
            ("60 mm", -0.0, "0 mm"),
            ("60 mm", 0.0612, "61.2 mm"),
        ] {
            assert_eq!(Words::of(was).unwrap().write(length_m), now, "{was}");
            let read = parse_kind(now, Kind::Length).unwrap();
            assert!((read - length_m).abs() < 1e-6, "{now} is {read}");
        }
        assert_eq!(Words::of("a mile or so"), None);
    }
}
