//! Units in the heads of columns.

use quantity::Kind as Amount;

/// What a signal is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Angle; samples in rad.
    Angle,
    /// Angular rate; samples in rad/s.
    AngularRate,
    /// Acceleration; samples in m/s².
    Acceleration,
    /// Displacement; samples in m.
    Displacement,
}

impl Kind {
    /// In words.
    pub fn name(self) -> &'static str {
        match self {
            Self::Angle => "angle",
            Self::AngularRate => "angular rate",
            Self::Acceleration => "acceleration",
            Self::Displacement => "displacement",
        }
    }

    /// The kind of quantity it is.
    pub fn amount(self) -> Amount {
        match self {
            Self::Angle => Amount::Angle,
            Self::AngularRate => Amount::AngularSpeed,
            Self::Acceleration => Amount::Acceleration,
            Self::Displacement => Amount::Length,
        }
    }
}

/// What a unit says of its column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Unit {
    /// Time: seconds in one.
    Time(f64),
    /// A signal: what it is, and SI in one.
    Signal(Kind, f64),
    /// A unit of something that is no swing.
    Other,
}

/// Units that no signal here has; their columns are left aside.
const OTHERS: [&str; 20] = [
    "c", "°c", "f", "°f", "%", "v", "mv", "a", "ma", "ut", "µt", "t", "hpa", "pa", "kpa", "mbar", "hz",
    "lux", "db", "kg",
];

/// Reads a unit; `None` for what is none.
pub(crate) fn unit(text: &str) -> Option<Unit> {
    let clean = text.trim().replace('²', "2").replace('^', "").replace("**", "");
    let low = clean.to_lowercase();
    let seconds = match low.as_str() {
        "s" | "sec" | "secs" | "second" | "seconds" => Some(1.0),
        "ms" | "msec" | "millis" | "millisecond" | "milliseconds" => Some(1e-3),
        "us" | "µs" | "μs" | "usec" | "micros" | "microsecond" | "microseconds" => Some(1e-6),
        "ns" | "nsec" | "nanos" | "nanosecond" | "nanoseconds" => Some(1e-9),
        "min" | "minute" | "minutes" => Some(60.0),
        "h" | "hour" | "hours" => Some(3600.0),
        _ => None,
    };
    if let Some(s) = seconds {
        return Some(Unit::Time(s));
    }
    // Spellings of loggers that people would not write.
    let spelt = match low.as_str() {
        "dps" | "deg/s" | "°/s" | "degs" | "deg_s" | "degps" => "deg/s",
        "rads" | "rad_s" | "radps" | "rps" => "rad/s",
        "mps2" | "ms2" | "ms-2" | "m s-2" | "m/s2" | "m/s/s" | "m_s2" | "m/s 2" => "m/s2",
        "g" | "gee" | "gs" => "g",
        "mg" => return Some(Unit::Signal(Kind::Acceleration, 9.806_65e-3)),
        other if OTHERS.contains(&other) => return Some(Unit::Other),
        _ => clean.as_str(),
    };
    if !spelt.starts_with(|c: char| c.is_alphabetic() || c == '°')
        || spelt.chars().any(|c| c.is_ascii_digit() && c != '2')
    {
        return None;
    }
    let kinds = [Kind::AngularRate, Kind::Acceleration, Kind::Angle, Kind::Displacement];
    kinds.into_iter().find_map(|k| {
        let si = quantity::parse_kind(&format!("1 {spelt}"), k.amount()).ok()?;
        (si > 0.0).then_some(Unit::Signal(k, si))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_of_loggers_are_known() {
        let deg = core::f64::consts::PI / 180.0;
        for (text, want) in [
            ("ms", Unit::Time(1e-3)),
            ("ns", Unit::Time(1e-9)),
            ("µs", Unit::Time(1e-6)),
            ("deg", Unit::Signal(Kind::Angle, deg)),
            ("°", Unit::Signal(Kind::Angle, deg)),
            ("rad", Unit::Signal(Kind::Angle, 1.0)),
            ("deg/s", Unit::Signal(Kind::AngularRate, deg)),
            ("dps", Unit::Signal(Kind::AngularRate, deg)),
            ("rad/s", Unit::Signal(Kind::AngularRate, 1.0)),
            ("m/s^2", Unit::Signal(Kind::Acceleration, 1.0)),
            ("m/s²", Unit::Signal(Kind::Acceleration, 1.0)),
            ("g", Unit::Signal(Kind::Acceleration, 9.806_65)),
            ("mm", Unit::Signal(Kind::Displacement, 1e-3)),
            ("°C", Unit::Other),
            ("hPa", Unit::Other),
        ] {
            let got = unit(text);
            let near = match (got, want) {
                (Some(Unit::Time(a)), Unit::Time(b)) => (a - b).abs() < 1e-15,
                (Some(Unit::Signal(k, a)), Unit::Signal(l, b)) => k == l && (a / b - 1.0).abs() < 1e-12,
                (Some(Unit::Other), Unit::Other) => true,
                _ => false,
            };
            assert!(near, "{text}: {got:?}");
        }
        for none in ["", "x", "furlong", "1", "deg 3", "\"", "2"] {
            assert_eq!(unit(none), None, "{none}");
        }
    }
}
