//! How often: the frequency multiplier's table.

use super::{LiftError, not_negative};

/// How long the lifting goes on without a rest from it.
///
/// The shorter classes also ask for light work after it: 1.2 times as long after an hour at most, 0.3 times after two
/// (DHHS (NIOSH) 94-110 \[from memory\]). Without such a rest the next longer class counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Duration {
    /// One hour at most.
    UpTo1h,
    /// One to two hours.
    UpTo2h,
    /// Two to eight hours.
    UpTo8h,
}

/// Height of the hands from which the table's second figure holds, m.
pub(super) const KNUCKLE_M: f64 = 0.75;

/// Least rate of the table: below it nothing gets better, 1/min.
const LEAST: f64 = 0.2;

/// A count of lifts a minute that was divided by 60 and multiplied again is off by rounding alone.
const ROUNDING: f64 = 1e-9;

/// Lifts a minute; below and above 0.75 m for each of the three durations.
type Row = (f64, [f64; 2], [f64; 2], [f64; 2]);

/// Table 5 of the manual.
const TABLE: [Row; 17] = [
    (0.2, [1.00, 1.00], [0.95, 0.95], [0.85, 0.85]),
    (0.5, [0.97, 0.97], [0.92, 0.92], [0.81, 0.81]),
    (1.0, [0.94, 0.94], [0.88, 0.88], [0.75, 0.75]),
    (2.0, [0.91, 0.91], [0.84, 0.84], [0.65, 0.65]),
    (3.0, [0.88, 0.88], [0.79, 0.79], [0.55, 0.55]),
    (4.0, [0.84, 0.84], [0.72, 0.72], [0.45, 0.45]),
    (5.0, [0.80, 0.80], [0.60, 0.60], [0.35, 0.35]),
    (6.0, [0.75, 0.75], [0.50, 0.50], [0.27, 0.27]),
    (7.0, [0.70, 0.70], [0.42, 0.42], [0.22, 0.22]),
    (8.0, [0.60, 0.60], [0.35, 0.35], [0.18, 0.18]),
    (9.0, [0.52, 0.52], [0.30, 0.30], [0.00, 0.15]),
    (10.0, [0.45, 0.45], [0.26, 0.26], [0.00, 0.13]),
    (11.0, [0.41, 0.41], [0.00, 0.23], [0.00, 0.00]),
    (12.0, [0.37, 0.37], [0.00, 0.21], [0.00, 0.00]),
    (13.0, [0.00, 0.34], [0.00, 0.00], [0.00, 0.00]),
    (14.0, [0.00, 0.31], [0.00, 0.00], [0.00, 0.00]),
    (15.0, [0.00, 0.28], [0.00, 0.00], [0.00, 0.00]),
];

/// Frequency multiplier: table 5 with straight lines between its rows, as the manual's own example does it; 0 past the last row.
///
/// # Source
///
/// DHHS (NIOSH) 94-110, table 5; `docs/mechanics.md` §17.1. Checked by FM-* in `tests/sources/niosh-94-110`.
///
/// # Errors
///
/// [`LiftError`] if the rate or the height is negative or not finite.
pub fn frequency_multiplier(rate_hz: f64, duration: Duration, height_m: f64) -> Result<f64, LiftError> {
    let per_minute = (60.0 * not_negative("rate of lifts", rate_hz)?).max(LEAST);
    let high = not_negative("height of the hands", height_m)? >= KNUCKLE_M;
    let value = |row: &Row| {
        let [low, up] = match duration {
            Duration::UpTo1h => row.1,
            Duration::UpTo2h => row.2,
            Duration::UpTo8h => row.3,
        };
        if high { up } else { low }
    };
    for pair in TABLE.windows(2) {
        if let [a, b] = pair
            && per_minute <= b.0 + ROUNDING
        {
            let share = ((per_minute - a.0) / (b.0 - a.0)).min(1.0);
            return Ok(value(a) + share * (value(b) - value(a)));
        }
    }
    Ok(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_come_back_and_between_them_it_is_straight() {
        let at = |per_minute: f64| frequency_multiplier(per_minute / 60.0, Duration::UpTo1h, 1.0).unwrap();
        for (rate, short, ..) in TABLE {
            assert!((at(rate) - short[1]).abs() < 1e-12, "{rate}");
        }
        // Table rows 2 and 3: 0.91 and 0.88; at 2.4 it is 0.898 (the manual's example 7).
        assert!((at(2.4) - 0.898).abs() < 1e-12);
        assert!((at(0.0) - 1.0).abs() < 1e-15);
        assert!(at(15.01).abs() < 1e-15);
    }

    #[test]
    fn bad_rates_are_refused() {
        for (rate, height) in [(-0.1, 1.0), (f64::NAN, 1.0), (0.1, -1.0), (f64::INFINITY, 1.0)] {
            assert!(frequency_multiplier(rate, Duration::UpTo1h, height).is_err());
        }
    }
}
