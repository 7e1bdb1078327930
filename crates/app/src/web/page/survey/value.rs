//! A value of the survey: what the file says of it, where it comes from, what hangs on it.

use crate::print::report::Report;
use crate::web::shelf::Known;
use quantity::{Kind, both_kind, parse_kind};
use rig::{Diagnostic, Fact, Key, Origin, Rig, Severity, Takes, Written};
use std::collections::BTreeMap;

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum From {
    /// The file states it.
    Stated,
    /// The file states a range.
    Range(String),
    /// The parts list or the ready set gives it.
    Part(String),
    /// It is typical of such cars; its range and its source.
    Assumed(String),
    /// Nothing gives it.
    Missing,
}

/// A value.
pub(super) struct Value {
    pub(super) key: Key,
    /// As it stands in its field.
    pub(super) typed: String,
    /// In both systems; empty where there is nothing to say.
    pub(super) echo: String,
    pub(super) from: From,
    /// What waits for it, or changes with it, in sentences.
    pub(super) decides: Vec<String>,
    /// What the reader finds odd.
    pub(super) odd: Vec<String>,
}

impl Value {
    /// Whether somebody should still measure it: it is a guess, or the answer waits for it.
    pub(super) fn is_open(&self) -> bool {
        match self.from {
            From::Stated | From::Part(_) => !self.decides.is_empty() && self.from != From::Stated,
            From::Range(_) | From::Assumed(_) => true,
            From::Missing => !self.decides.is_empty(),
        }
    }
}

/// All that is known of the values of a rig.
pub(super) struct Values<'k> {
    known: &'k Known,
    written: Written,
    /// What the reader finds odd in the rig file itself.
    odd: Vec<&'k Diagnostic>,
    facts: BTreeMap<String, Fact>,
    report: Option<Report>,
}

impl<'k> Values<'k> {
    pub(super) fn of(known: &'k Known, rig: &Rig) -> Self {
        let mut facts = BTreeMap::new();
        rig::facts_mut(&mut rig.clone(), &mut |f| {
            facts.insert(f.key.clone(), f.clone());
        });
        let report = known.verdict_so_far().and_then(|v| v.as_ref().ok()).map(|v| Report::of(rig, v));
        let all = known.reading.diagnostics.iter();
        let odd = all.filter(|d| d.severity == Severity::Warning && d.source == 0).collect();
        Self { known, written: Written::of(&known.text), odd, facts, report }
    }

    /// What the file states.
    pub(super) fn written(&self) -> &Written {
        &self.written
    }

    /// Whether the verdict is there to say what waits for what.
    pub(super) fn is_judged(&self) -> bool {
        self.report.is_some()
    }

    /// Of a key; none where the format has no such key.
    pub(super) fn value(&self, key: &str) -> Option<Value> {
        let format = rig::key(key)?;
        let written = self.written.value(key);
        let fact = self.facts.get(key);
        let range = |f: &Fact| format!("{} to {}", shown(f.low, f.kind), shown(f.high, f.kind));
        let typed = match (&written, fact) {
            (Some(_), Some(f)) if f.is_assumed() => {
                self.written.value(&format!("{key}.value")).or_else(|| written.clone())
            }
            _ => written.clone(),
        };
        let from = match (&written, fact) {
            (Some(_), Some(f)) if f.is_assumed() => From::Range(range(f)),
            (Some(_), _) => From::Stated,
            (None, Some(f)) if f.is_assumed() => From::Assumed(format!("{}; {}", range(f), f.source)),
            (None, Some(f)) if f.origin == Origin::Part => From::Part(f.source.clone()),
            _ => From::Missing,
        };
        let echo = fact.map(|f| shown(f.value, f.kind)).or_else(|| match format.takes {
            Takes::Quantity(kind) => parse_kind(typed.as_deref()?, kind).ok().map(|v| shown(v, kind)),
            _ => None,
        });
        Some(Value {
            key: format,
            typed: typed.unwrap_or_default(),
            echo: echo.unwrap_or_default(),
            from,
            decides: self.decides(key),
            odd: self.odd(key),
        })
    }

    /// What the reader finds odd in it.
    fn odd(&self, key: &str) -> Vec<String> {
        if self.odd.is_empty() {
            return Vec::new();
        }
        let Some(place) = rig::place_of(&self.known.text, key) else { return Vec::new() };
        let here = self.odd.iter().filter(|d| place.start <= d.span.start && d.span.end <= place.end);
        here.map(|d| if d.why.is_empty() { d.message.clone() } else { format!("{}: {}", d.message, d.why) })
            .collect()
    }

    /// What the verdict says of it.
    fn decides(&self, key: &str) -> Vec<String> {
        let Some(report) = &self.report else { return Vec::new() };
        let held = report.holds.iter().filter(|h| h.keys.iter().any(|k| same(k, key)));
        let mut out: Vec<String> = held.map(|h| format!("HOLD until it is known: {}", h.why)).collect();
        let moved = report.moved.iter().filter(|m| same(&m.name, key));
        out.extend(moved.map(|m| {
            format!(
                "at {} the least margin is {} ({})",
                m.value,
                crate::print::text::margin(m.least),
                m.check.row().title.to_lowercase()
            )
        }));
        out
    }
}

fn shown(value: f64, kind: Kind) -> String {
    if kind == Kind::Length && value.is_infinite() { "flat".to_owned() } else { both_kind(value, kind) }
}

/// Whether a key of the verdict is this one; a star stands for any tag.
fn same(pattern: &str, key: &str) -> bool {
    if pattern == key {
        return true;
    }
    let (one, other): (Vec<&str>, Vec<&str>) = (pattern.split('.').collect(), key.split('.').collect());
    one.len() == other.len() && one.iter().zip(&other).all(|(a, b)| *a == "*" || a == b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_with_a_star_is_any_of_its_kind() {
        assert!(same("panel.*.friction", "panel.roof.friction") && same("a.b", "a.b"));
        assert!(!same("panel.*.friction", "panel.roof.stiffness") && !same("panel.*", "panel.roof.friction"));
    }
}
