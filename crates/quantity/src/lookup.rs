//! Finds a unit by its spelling; tells a wrong kind from a wrong capital from an unknown word, and suggests.

use core::ops::Range;

use crate::{Fault, Kind, System, Unit};

/// Why a spelling is no unit of the kind asked for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Miss {
    /// It would be this unit with other capitals, but capitals matter here.
    Case(&'static str),
    /// It is a unit of another kind.
    Elsewhere(Kind, &'static Unit),
    /// No unit is spelt so.
    Unknown,
}

/// The unit of `kind` spelt `key` (products joined with `·`).
pub(crate) fn find(key: &str, kind: Kind) -> Result<&'static Unit, Miss> {
    if key.is_empty() {
        return Err(Miss::Unknown);
    }
    if let Some(unit) = exact(key, kind) {
        return Ok(unit);
    }
    let others = || Kind::ALL.iter().copied().filter(|other| *other != kind);
    if let Some((other, unit)) = others().find_map(|other| Some((other, exact(key, other)?))) {
        return Err(Miss::Elsewhere(other, unit));
    }
    match folded(key, kind) {
        Some((unit, _)) if unit.any_case => return Ok(unit),
        Some((_, spelling)) => return Err(Miss::Case(spelling)),
        None => {}
    }
    if let Some((other, (unit, _))) = others().find_map(|other| Some((other, folded(key, other)?))) {
        return Err(Miss::Elsewhere(other, unit));
    }
    Err(Miss::Unknown)
}

fn exact(key: &str, kind: Kind) -> Option<&'static Unit> {
    kind.units().iter().find(|unit| unit.spellings().any(|s| s == key))
}

/// A unit whose spelling differs only in capitals. Whole words such as `Metres` may be capitalised at will.
fn folded(key: &str, kind: Kind) -> Option<(&'static Unit, &'static str)> {
    let low = key.to_lowercase();
    // A test on the table holds that no two units of a kind differ only in capitals.
    kind.units().iter().find_map(|unit| Some((unit, unit.spellings().find(|s| s.to_lowercase() == low)?)))
}

/// The fault for a spelling that is no unit of `kind`. `number` is the amount as written.
pub(crate) fn fault(miss: &Miss, written: &str, number: &str, kind: Kind, span: Range<usize>) -> Fault {
    match miss {
        Miss::Case(spelling) => Fault::new(
            span,
            format!("`{written}` is doubtful"),
            format!("capitals change the meaning of this unit, and `{written}` is not `{}`", plain(spelling)),
            format!("write `{number} {}` if that is meant", plain(spelling)),
        ),
        Miss::Elsewhere(other, unit) => Fault::new(
            span,
            if kind == Kind::Number {
                format!("`{written}` is a unit of {}, and a plain number is wanted", other.name())
            } else {
                format!("`{written}` is a unit of {}, not of {}", other.name(), kind.name())
            },
            why_not(kind, *other),
            mend_kind(kind, *other, unit, number),
        ),
        Miss::Unknown => {
            let mend = match nearest(written, kind) {
                Some(spelling) => format!("did you mean `{}`?", plain(spelling)),
                None => format!("units of {}: {}", kind.name(), list(kind)),
            };
            Fault::new(
                span,
                format!("`{written}` is not a unit of {}", kind.name()),
                "no unit is spelt so".to_owned(),
                mend,
            )
        }
    }
}

fn plain(spelling: &str) -> &str {
    if spelling.is_empty() { "1" } else { spelling }
}

fn why_not(kind: Kind, other: Kind) -> String {
    match (kind, other) {
        (Kind::Force, Kind::Mass) => {
            "lb and kg are mass here; a force is written in lbf, kgf or N".to_owned()
        }
        (Kind::Mass, Kind::Force) => "N, lbf and kgf are force; a mass is written in kg or lb".to_owned(),
        (Kind::Number, _) => "a plain number has no unit".to_owned(),
        (Kind::Force, Kind::Speed) => "`kn` is the knot; a kilonewton is `kN`".to_owned(),
        (Kind::Speed, Kind::Force) => "`kN` is a kilonewton; the knot is `kn`".to_owned(),
        _ => format!("{} is wanted here", kind.with_article()),
    }
}

fn mend_kind(kind: Kind, other: Kind, unit: &Unit, number: &str) -> String {
    let twin = match (kind, other, unit.symbol) {
        (Kind::Force, Kind::Mass, "lb") => Some("lbf"),
        (Kind::Force, Kind::Mass, "kg") => Some("kgf"),
        (Kind::Force, Kind::Mass, "oz") => Some("ozf"),
        (Kind::Mass, Kind::Force, "lbf") => Some("lb"),
        (Kind::Mass, Kind::Force, "kgf") => Some("kg"),
        (Kind::Mass, Kind::Force, "ozf") => Some("oz"),
        (Kind::Stiffness, Kind::LineMass, "lb/ft") => Some("lbf/ft"),
        (Kind::Stiffness, Kind::LineMass, "lb/in") => Some("lbf/in"),
        (Kind::LineMass, Kind::Stiffness, "lbf/ft") => Some("lb/ft"),
        (Kind::LineMass, Kind::Stiffness, "lbf/in") => Some("lb/in"),
        (Kind::Force, Kind::Speed, "kn") => Some("kN"),
        (Kind::Speed, Kind::Force, "kN") => Some("kn"),
        _ => None,
    };
    match (twin, kind) {
        (Some(twin), Kind::Force) if other == Kind::Mass => {
            format!("write `{number} {twin}` if the weight of {number} {} is meant", unit.symbol)
        }
        (Some(twin), _) => format!("write `{number} {twin}` if that is meant"),
        (None, Kind::Number) => format!("write `{number}` alone"),
        (None, _) => format!("write {} such as {}", kind.with_article(), examples(kind)),
    }
}

/// `346 mm` or `13-5/8 in`, each in back quotes.
pub(crate) fn examples(kind: Kind) -> String {
    let quoted: Vec<String> = kind.examples().iter().take(2).map(|e| format!("`{e}`")).collect();
    quoted.join(" or ")
}

/// The everyday unit of the kind in each system: `mm`, then `in`. A kind may have one.
pub(crate) fn everyday(kind: Kind) -> Vec<&'static str> {
    let first =
        |system: System| kind.units().iter().find(|u| u.system.is_none_or(|s| s == system)).map(|u| u.symbol);
    let mut found: Vec<&'static str> = [System::Metric, System::Us].into_iter().filter_map(first).collect();
    found.dedup();
    found
}

fn list(kind: Kind) -> String {
    let symbols: Vec<&str> = kind.units().iter().map(|u| u.symbol).filter(|s| !s.is_empty()).collect();
    symbols.join(", ")
}

/// The spelling closest to the word, if it is close: at most a third of its letters, rounded up, may differ.
fn nearest(word: &str, kind: Kind) -> Option<&'static str> {
    let word: Vec<char> = word.to_lowercase().chars().collect();
    if word.len() > 24 {
        return None;
    }
    let reach = word.len().div_ceil(3);
    kind.units()
        .iter()
        .flat_map(Unit::spellings)
        .filter(|s| !s.is_empty())
        .map(|s| (distance(&word, &s.to_lowercase().chars().collect::<Vec<_>>()), s))
        .filter(|(d, s)| *d <= reach && *d < s.chars().count() && *d < word.len())
        // Of two as close, the one that only adds or leaves out letters: `kg·m` is `kgf·m` rather than `kN·m`.
        .min_by_key(|(d, s)| (*d, !within(&word, s)))
        .map(|(_, s)| s)
}

/// Whether all letters of the word stand in the spelling in the same order, or the other way round.
fn within(word: &[char], spelling: &str) -> bool {
    let spelling: Vec<char> = spelling.to_lowercase().chars().collect();
    let inside = |small: &[char], large: &[char]| {
        let mut rest = large.iter();
        small.iter().all(|c| rest.any(|r| r == c))
    };
    inside(word, &spelling) || inside(&spelling, word)
}

/// Edits between two words: insert, delete, replace, swap two neighbours (optimal string alignment).
///
/// Source: textbook dynamic programme (Damerau 1964; Wagner and Fischer 1974), three rows kept.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    let mut a_left: Option<char> = None;
    for (i, &ca) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        let mut b_left: Option<char> = None;
        for (j, &cb) in b.iter().enumerate() {
            let at = |r: &[usize], k: usize| r.get(k).copied().unwrap_or(usize::MAX - 1);
            let mut best =
                (at(&last, j) + usize::from(ca != cb)).min(at(&last, j + 1) + 1).min(at(&row, j) + 1);
            if j > 0 && a_left == Some(cb) && b_left == Some(ca) {
                best = best.min(at(&before, j - 1) + 1);
            }
            row.push(best);
            b_left = Some(cb);
        }
        before = last;
        last = row;
        a_left = Some(ca);
    }
    last.last().copied().unwrap_or(a.len())
}

impl Kind {
    /// `a length`, `an angle`.
    pub fn with_article(self) -> String {
        let article = if self.name().starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        format!("{article} {}", self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn d(a: &str, b: &str) -> usize {
        distance(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>())
    }

    #[test]
    fn distance_counts_edits() {
        assert_eq!(d("", ""), 0);
        assert_eq!(d("", "abc"), 3);
        assert_eq!(d("kitten", "sitting"), 3);
        assert_eq!(d("inhg", "ihng"), 1);
        assert_eq!(d("mm", "mm"), 0);
        assert_eq!(d("ca", "abc"), 3);
    }

    #[test]
    fn capitals_are_forgiven_only_where_they_say_nothing() {
        for (key, kind, symbol) in [
            ("KG", Kind::Mass, "kg"),
            ("Kg", Kind::Mass, "kg"),
            ("LB", Kind::Mass, "lb"),
            ("IN", Kind::Length, "in"),
            ("MM", Kind::Length, "mm"),
            ("kpa", Kind::Pressure, "kPa"),
            ("INHG", Kind::Pressure, "inHg"),
            ("PSI", Kind::Pressure, "psi"),
            ("FT·LB", Kind::Moment, "ft·lbf"),
            ("G", Kind::Acceleration, "g"),
            ("f", Kind::Temperature, "°F"),
        ] {
            assert_eq!(find(key, kind).map(|u| u.symbol), Ok(symbol), "{key}");
        }
        for (key, kind, meant) in [
            ("mPa", Kind::Pressure, "MPa"),
            ("MPA", Kind::Pressure, "MPa"),
            ("Mm", Kind::Length, "mm"),
            ("nm", Kind::Moment, "Nm"),
            ("n·m", Kind::Moment, "N·m"),
            ("T", Kind::Mass, "t"),
            ("k", Kind::Temperature, "K"),
            ("Mbar", Kind::Pressure, "mbar"),
        ] {
            assert_eq!(find(key, kind), Err(Miss::Case(meant)), "{key}");
        }
    }

    #[test]
    fn the_kind_asked_for_decides_between_two_meanings() {
        assert_eq!(find("g", Kind::Mass).map(Unit::factor), Ok(0.001));
        assert_eq!(find("g", Kind::Acceleration).map(Unit::factor), Ok(9.806_65));
        assert_eq!(find("C", Kind::Temperature).map(|u| u.symbol), Ok("°C"));
        assert_eq!(find("C", Kind::Charge).map(|u| u.symbol), Ok("C"));
        assert!(matches!(find("kN", Kind::Speed), Err(Miss::Elsewhere(Kind::Force, _))));
        assert!(matches!(find("kn", Kind::Force), Err(Miss::Elsewhere(Kind::Speed, _))));
    }
}
