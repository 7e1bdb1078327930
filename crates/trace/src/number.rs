//! Numbers as loggers write them.

/// What a cell is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Cell {
    /// Nothing, or a word for nothing.
    Missing,
    /// A number, and whether a comma parted its decimals.
    Number(f64, Mark),
    /// Something else.
    Text,
}

/// What parts the decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mark {
    /// No decimals.
    None,
    /// `1.5`
    Point,
    /// `1,5`
    Comma,
}

/// Reads a cell; a comma counts as a decimal mark only where it cannot be the separator.
pub(crate) fn cell(text: &str, comma_allowed: bool) -> Cell {
    let text = text.trim().trim_matches('"').trim();
    if matches!(
        text.to_ascii_lowercase().as_str(),
        "" | "-" | "nan" | "null" | "na" | "n/a" | "none" | "inf" | "-inf"
    ) {
        return Cell::Missing;
    }
    let plain = text.strip_prefix('+').unwrap_or(text).replace('\u{2212}', "-");
    let (commas, points) = (plain.matches(',').count(), plain.matches('.').count());
    let (plain, mark) = match (commas, points) {
        (0, 0) => (plain, Mark::None),
        (0, 1) => (plain, Mark::Point),
        (1, 0) if comma_allowed => (plain.replace(',', "."), Mark::Comma),
        _ => return Cell::Text,
    };
    // Rust also reads "infinity" and "nan"; only digits, signs and an exponent are numbers here.
    if !plain.chars().all(|c| c.is_ascii_digit() || "+-.eE".contains(c)) {
        return Cell::Text;
    }
    match plain.parse::<f64>() {
        // No logger writes such a number, and sums and products of smaller ones stay finite.
        Ok(v) if v.abs() < 1e100 => Cell::Number(v, mark),
        _ => Cell::Text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_what_is_none() {
        for (text, comma, want) in [
            ("1.5", false, Cell::Number(1.5, Mark::Point)),
            ("1,5", true, Cell::Number(1.5, Mark::Comma)),
            ("1,5", false, Cell::Text),
            ("1.234,5", true, Cell::Text),
            ("1,234,5", true, Cell::Text),
            (" -2e-3 ", false, Cell::Number(-2e-3, Mark::None)),
            ("\u{2212}7", false, Cell::Number(-7.0, Mark::None)),
            ("+3", false, Cell::Number(3.0, Mark::None)),
            ("", false, Cell::Missing),
            ("NaN", false, Cell::Missing),
            ("1e999", false, Cell::Text),
            ("-1e100", false, Cell::Text),
            ("infinity", false, Cell::Text),
            ("0x10", false, Cell::Text),
            ("12 deg", false, Cell::Text),
        ] {
            assert_eq!(cell(text, comma), want, "{text}");
        }
    }
}
