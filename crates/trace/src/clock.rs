//! Time as a clock or a date writes it.

/// Seconds of a cell that is a clock (`18:03:05.12`, `03:05,1`, `18:03:05:120`) or a date with a clock (RFC 3339, or with a blank for the `T`).
///
/// A date counts from 1970; a bare clock from midnight. Leap seconds are not known.
pub(crate) fn seconds(text: &str) -> Option<Time> {
    let text = text.trim().trim_matches('"').trim();
    let bytes = text.as_bytes();
    let dated = text.is_ascii()
        && bytes.len() >= 16
        && bytes.get(4) == Some(&b'-')
        && bytes.get(7) == Some(&b'-')
        && matches!(bytes.get(10), Some(b'T' | b't' | b' '));
    if !dated {
        return clock(text).map(Time::Clock);
    }
    let number = |from: usize, to: usize| text.get(from..to)?.parse::<u32>().ok();
    let (year, month, day) = (number(0, 4)?, number(5, 7)?, number(8, 10)?);
    if !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return None;
    }
    let rest = text.get(11..)?;
    let end = rest.find(['Z', 'z', '+', '-']).unwrap_or(rest.len());
    let (time, zone) = (rest.get(..end)?, rest.get(end..)?);
    let east = match zone {
        "" | "Z" | "z" => 0.0,
        _ => {
            let (h, m) =
                zone.get(1..)?.split_once(':').or_else(|| Some((zone.get(1..3)?, zone.get(3..)?)))?;
            let away = f64::from(h.parse::<u8>().ok()?) * 3600.0 + f64::from(m.parse::<u8>().ok()?) * 60.0;
            if zone.starts_with('-') { -away } else { away }
        }
    };
    Some(Time::Date(days(year, month, day), clock(time.trim())? - east))
}

/// A time of day, or a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Time {
    /// Seconds since midnight, or since the logger's own zero.
    Clock(f64),
    /// Days since 1970, and seconds of that day: kept apart, for the sum would lose the microseconds.
    Date(f64, f64),
}

impl Time {
    pub(crate) fn seconds(self) -> f64 {
        match self {
            Self::Clock(s) => s,
            Self::Date(d, s) => d * 86_400.0 + s,
        }
    }
}

/// `h:m:s`, `m:s`, or `h:m:s:ms`.
fn clock(text: &str) -> Option<f64> {
    let parts: Vec<&str> = text.split(':').collect();
    let whole = |t: &str| {
        if t.len() <= 3 && !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit()) {
            t.parse::<f64>().ok()
        } else {
            None
        }
    };
    let second = |t: &str| {
        let t = t.replace(',', ".");
        let ok = !t.is_empty() && t.len() < 16 && t.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        t.parse::<f64>().ok().filter(|s| ok && *s < 60.0)
    };
    let minute = |t: &str| whole(t).filter(|m| *m < 60.0);
    match parts.as_slice() {
        [m, s] => Some(whole(m)? * 60.0 + second(s)?),
        [h, m, s] => Some(whole(h)? * 3600.0 + minute(m)? * 60.0 + second(s)?),
        [h, m, s, ms] if ms.len() == 3 => {
            Some(whole(h)? * 3600.0 + minute(m)? * 60.0 + minute(s)? + whole(ms)? / 1000.0)
        }
        _ => None,
    }
}

/// Days from 1970-01-01 in the Gregorian calendar: years counted from March, 146 097 days in 400 of them.
fn days(year: u32, month: u32, day: u32) -> f64 {
    let y = f64::from(year) - f64::from(u8::from(month <= 2));
    let from_march = f64::from((month + 9) % 12);
    let cycle = (y / 400.0).floor();
    let in_cycle = y - cycle * 400.0;
    let in_year = ((153.0 * from_march + 2.0) / 5.0).floor() + f64::from(day) - 1.0;
    cycle * 146_097.0 + in_cycle * 365.0 + (in_cycle / 4.0).floor() - (in_cycle / 100.0).floor() + in_year
        - 719_468.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clocks_and_dates() {
        // Unix times from any calendar: 2000-03-01T00:00:00Z is 951 868 800, 2026-11-25T18:03:05Z is 1 795 629 785.
        for (text, want) in [
            ("2000-03-01T00:00:00Z", Time::Date(0.0, 951_868_800.0)),
            ("2026-11-25T18:03:05.250Z", Time::Date(0.0, 1_795_629_785.25)),
            ("2026-11-25 19:03:05+01:00", Time::Date(0.0, 1_795_629_785.0)),
            ("2026-11-25T13:03:05-0500", Time::Date(0.0, 1_795_629_785.0)),
            ("1970-01-01T00:00", Time::Date(0.0, 0.0)),
            ("18:03:05.5", Time::Clock(64_985.5)),
            ("18:03:05,5", Time::Clock(64_985.5)),
            ("18:03:05:500", Time::Clock(64_985.5)),
            ("3:05.25", Time::Clock(185.25)),
        ] {
            let got = seconds(text);
            assert!(got.is_some_and(|g| (g.seconds() - want.seconds()).abs() < 1e-6), "{text}: {got:?}");
        }
        for none in [
            "",
            "18",
            "18:99:00",
            "2026-13-25T18:03:05Z",
            "a:b:c",
            "1:2:3:4:5",
            "2026-11-25",
            "18:03:61",
            "-1:00:00",
        ] {
            assert_eq!(seconds(none), None, "{none}");
        }
    }
}
