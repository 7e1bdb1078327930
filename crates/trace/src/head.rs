//! The head of a column: its name and unit, and what the name says.

use crate::table::{Table, bare};
use crate::unit::{Unit, unit};

/// One column.
#[derive(Clone, Debug)]
pub(crate) struct Head {
    /// Number, from 1.
    pub(crate) number: usize,
    pub(crate) name: String,
    /// Unit as written, and what it says.
    pub(crate) unit: Option<(String, Unit)>,
    /// The name says time.
    pub(crate) is_time: bool,
    /// The name says something that swings.
    pub(crate) is_signal: bool,
}

const TIME: [&str; 12] = [
    "time",
    "timestamp",
    "t",
    "elapsed",
    "seconds",
    "clock",
    "date",
    "datetime",
    "zeit",
    "millis",
    "nanos",
    "epoch",
];
const SIGNAL: [&str; 30] = [
    "angle",
    "pitch",
    "roll",
    "yaw",
    "tilt",
    "elevation",
    "gyro",
    "gyroscope",
    "rotation",
    "rate",
    "omega",
    "angular",
    "acc",
    "accel",
    "acceleration",
    "accelerometer",
    "displacement",
    "position",
    "height",
    "deflection",
    "x",
    "y",
    "z",
    "ax",
    "ay",
    "az",
    "gx",
    "gy",
    "gz",
    "signal",
];

/// Words of a name: parted by blanks, marks, and capitals inside (`accX` is `acc x`).
fn words(name: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut before_low = false;
    for c in name.chars() {
        if !c.is_alphanumeric() && c != '°' {
            out.push(String::new());
        } else {
            if c.is_uppercase() && before_low {
                out.push(String::new());
            }
            if let Some(last) = out.last_mut() {
                last.extend(c.to_lowercase());
            }
        }
        before_low = c.is_lowercase();
    }
    out.retain(|w| !w.is_empty());
    out
}

/// Name and unit of `name [unit]`, `name (unit)`, `name, unit`, `name_unit`, `name unit`.
fn split(text: &str) -> (String, Option<String>) {
    let text = text.trim();
    for (open, close) in [('[', ']'), ('(', ')'), ('<', '>'), ('{', '}')] {
        if let (Some(a), Some(b)) = (text.find(open), text.rfind(close))
            && a < b
            && let (Some(name), Some(inside)) = (text.get(..a), text.get(a + 1..b))
        {
            let name = if name.trim().is_empty() { text.get(b + 1..).unwrap_or(text) } else { name };
            return (name.trim().to_owned(), Some(inside.trim().to_owned()));
        }
    }
    let parted = [',', ':', ' ', '_', '/'].into_iter().find_map(|mark| {
        // "gyro deg/s": the name ends at the first mark whose rest is a unit.
        text.match_indices(mark).find_map(|(at, m)| {
            let (name, rest) = (text.get(..at)?.trim(), text.get(at + m.len()..)?.trim());
            (!name.is_empty() && unit(rest).is_some() && rest != "in" && rest != "t")
                .then(|| (name.to_owned(), Some(rest.to_owned())))
        })
    });
    parted.unwrap_or_else(|| (text.to_owned(), None))
}

/// The columns of a table.
pub(crate) fn heads(table: &Table) -> Vec<Head> {
    (0..table.width()).map(|i| head(i + 1, table.head.get(i), table.units.get(i))).collect()
}

fn head(number: usize, text: Option<&String>, own_unit: Option<&String>) -> Head {
    let given = text.map(|t| t.trim()).filter(|t| !t.is_empty());
    let (name, mut unit_text) = given.map_or((String::new(), None), split);
    if let Some(u) = own_unit.filter(|u| !bare(u).is_empty()) {
        unit_text = Some(bare(u).to_owned());
    }
    let words = words(&name);
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let mut found = unit_text.and_then(|u| unit(&u).map(|k| (u, k)));
    // "seconds_elapsed": the unit is in the name.
    if found.is_none() && has(&TIME) {
        found = words.iter().filter(|w| w.len() > 1).find_map(|w| match unit(w) {
            Some(Unit::Time(s)) => Some((w.clone(), Unit::Time(s))),
            _ => None,
        });
    }
    let unit_is_time = matches!(found, Some((_, Unit::Time(_))));
    let is_time = (has(&TIME) && !matches!(found, Some((_, Unit::Signal(..))))) || unit_is_time;
    let name = if name.is_empty() { format!("column {number}") } else { name };
    let is_signal = !is_time && (has(&SIGNAL) || matches!(found, Some((_, Unit::Signal(..)))));
    Head { number, name, unit: found, is_time, is_signal }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::Kind;

    #[test]
    fn names_and_units_of_odd_heads() {
        for (text, name, time, kind) in [
            ("time", "time", true, None),
            ("Time (s)", "Time", true, None),
            ("time_ms", "time", true, None),
            ("seconds_elapsed", "seconds_elapsed", true, None),
            ("timestamp [ns]", "timestamp", true, None),
            ("gyro z (deg/s)", "gyro z", false, Some(Kind::AngularRate)),
            ("gyro z deg/s", "gyro z", false, Some(Kind::AngularRate)),
            ("acc_z_g", "acc_z", false, Some(Kind::Acceleration)),
            ("accX [m/s^2]", "accX", false, Some(Kind::Acceleration)),
            ("[mm] height", "height", false, Some(Kind::Displacement)),
            ("pitch, deg", "pitch", false, Some(Kind::Angle)),
        ] {
            let h = head(1, Some(&text.to_owned()), None);
            assert_eq!((h.name.as_str(), h.is_time), (name, time), "{text}");
            let got = match h.unit {
                Some((_, Unit::Signal(k, _))) => Some(k),
                _ => None,
            };
            assert_eq!(got, kind, "{text}");
            assert_eq!(h.is_signal, !time, "{text}");
        }
        let plain = head(3, None, None);
        assert_eq!((plain.name.as_str(), plain.is_time, plain.is_signal), ("column 3", false, false));
        let other = head(1, Some(&"temperature (°C)".to_owned()), None);
        assert!(!other.is_signal && matches!(other.unit, Some((_, Unit::Other))));
    }
}
