//! Swings counted by eye.

use crate::io::Stop;
use mechanics::settle::{Counted, FromCount, from_count};

/// Counted swings and what they tell.
#[derive(Debug)]
pub(crate) struct Swings {
    pub(crate) counted: Counted,
    pub(crate) told: FromCount,
    /// Whether the reading error was taken from the digits written.
    pub(crate) by_digits: bool,
}

const FORM: &str = "write FIRST:LAST/CYCLES or FIRST:LAST/CYCLES/SECONDS, as 10:1/5/6.2";

/// Reads `10:1/5/6.2`.
pub(super) fn swings(text: &str, reading: Option<f64>) -> Result<Swings, Stop> {
    let bad = |what: String| Stop::bad(format!("--swings {text}: {what}"), FORM);
    let (first, rest) = text.split_once(':').ok_or_else(|| bad("no colon between the two sizes".into()))?;
    let mut rest = rest.split('/');
    let number = |t: Option<&str>, what: &str| {
        let t = t.map(str::trim).filter(|t| !t.is_empty()).ok_or_else(|| bad(format!("no {what}")))?;
        let plain = t.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == ' ').replace(',', ".");
        plain.parse::<f64>().ok().filter(|v| v.is_finite()).ok_or_else(|| bad(format!("\"{t}\" is no {what}")))
    };
    let last_text = rest.next();
    let counted = Counted {
        first: number(Some(first), "size of the first swing")?,
        last: number(last_text, "size of the last swing")?,
        cycles: number(rest.next(), "number of cycles")?,
        reading: 0.0,
        took_s: None,
    };
    let seconds = rest.next();
    let took_s = seconds.map(|s| number(Some(s), "time in seconds")).transpose()?;
    if rest.next().is_some() {
        return Err(bad("more parts than four".into()));
    }
    // Half of the last digit that was written, for a size and for the time.
    let digit = |t: &str| {
        let decimals = t.trim().split(['.', ',']).nth(1).map_or(0, |d| d.chars().take_while(char::is_ascii_digit).count());
        0.5 * 10_f64.powi(-i32::try_from(decimals.min(12)).unwrap_or(0))
    };
    let by_digits = digit(first).max(last_text.map_or(0.0, digit));
    let counted = Counted {
        reading: reading.unwrap_or(by_digits),
        took_s: took_s.map(|t| (t, digit(seconds.unwrap_or_default()))),
        ..counted
    };
    let told = from_count(&counted).map_err(|e| Stop::bad(format!("--swings {text}: {e}"), "--reading states how far a size may be off"))?;
    Ok(Swings { counted, told, by_digits: reading.is_none() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counted_swings_are_read_and_anything_else_is_told() {
        let s = swings("10.0 deg:1.0/5/6.2 s", None).unwrap();
        // Half a last digit: 0.05 of either size.
        assert!((s.counted.reading - 0.05).abs() < 1e-12 && s.by_digits);
        // ln 10 / 5 = 0.460517; 5 cycles in 6.2 s.
        assert!((s.told.decrement.value - 0.460_517).abs() < 1e-6);
        assert!((s.told.damped_hz.unwrap().value - 5.0 / 6.2).abs() < 1e-12);
        assert!(swings("10:1/5", Some(0.2)).unwrap().told.damped_hz.is_none());
        for bad in ["", "10", "10:1", "a:b/c", "10:1/5/6/7", "1:10/5", "10:1/0", "10:1/5/"] {
            assert!(swings(bad, None).is_err(), "{bad}");
        }
    }
}
