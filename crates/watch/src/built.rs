//! Measured values in the place of planned ones.

use crate::past::Past;
use record::{Entry, Value};
use rig::{Reading, Source, quoted};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// A measured value beside the planned one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Key of the rig file.
    pub key: String,
    /// What the plan's file says; none where it leaves it to a part or a typical value.
    pub planned: Option<String>,
    /// As measured.
    pub measured: String,
    /// Number of the entry.
    pub number: u32,
}

/// Measured values of a job.
#[derive(Clone, Debug, Default)]
pub struct AsBuilt {
    /// In the order of their keys.
    pub differences: Vec<Difference>,
    /// Values that were measured before the plan was changed under them: they do not count.
    pub stale: Vec<Difference>,
    /// Panels whose stated friction is of a dry surface, while it is wet now.
    pub dry_friction: Vec<String>,
}

/// One name for a place, whichever way it is counted: `cup.FR.right` is `cup.FR.left`.
pub fn same_place(key: &str) -> String {
    let (table, last) = key.rsplit_once('.').unwrap_or(("", key));
    let last = match last {
        "right" | "forward" | "down" => rig::opposite(last).unwrap_or(last),
        other => other,
    };
    format!("{table}.{last}")
}

/// What a plan's text states of a place, whichever way it counts it.
fn planned(text: &str, key: &str) -> Option<String> {
    let other = || {
        let (table, last) = key.rsplit_once('.')?;
        let other = rig::opposite(last)?;
        Some(format!("{} {other}", rig::written(text, &format!("{table}.{other}"))?))
    };
    rig::written(text, key).or_else(other)
}

/// The value and key of an entry that stands over the plan.
pub(crate) fn over(entry: &Entry) -> Option<(String, &str)> {
    match &entry.value {
        Value::Measured(m) => Some((entry.about.clone(), &m.value)),
        Value::Torque(t) => Some((entry.about.clone(), &t.value)),
        Value::Weight(w) => Some((entry.about.clone(), &w.value)),
        _ => None,
    }
}

impl AsBuilt {
    /// What was measured, weighed and tightened, the newest of each.
    pub fn of(past: &Past) -> Self {
        let mut newest: BTreeMap<String, (String, Difference)> = BTreeMap::new();
        let mut stale = BTreeMap::new();
        let Some(plan) = past.plan() else { return Self::default() };
        for entry in past.entries() {
            let Some((key, value)) = over(entry) else { continue };
            let stands = planned(&plan.files.file.text, &key);
            let then = past.plan_before(entry.number).and_then(|p| planned(&p.files.file.text, &key));
            let place = same_place(&key);
            let d = Difference {
                key: key.clone(),
                planned: stands.clone(),
                measured: value.to_owned(),
                number: entry.number,
            };
            if entry.number < plan.number && then != stands {
                newest.remove(&place);
                stale.insert(place, d);
            } else {
                stale.remove(&place);
                newest.insert(place, (key, d));
            }
        }
        Self {
            differences: newest.into_values().map(|(_, d)| d).collect(),
            stale: stale.into_values().collect(),
            dry_friction: Vec::new(),
        }
    }

    /// The plan with these values, and more lines of keys, read.
    pub fn read(&self, past: &Past, more: &[(String, String)]) -> Option<Reading> {
        let plan = past.plan()?;
        let mut text = String::new();
        for d in &self.differences {
            let _ = writeln!(text, "{} = {} # entry {}", d.key, quoted(&d.measured), d.number);
        }
        for (key, value) in more {
            let _ = writeln!(text, "{key} = {}", quoted(value));
        }
        let load = |name: &str| {
            let found = plan.files.parts.iter().find(|f| f.name == name);
            found.map(|f| f.text.clone()).ok_or_else(|| "the record does not have it".to_owned())
        };
        let measured = Source { name: "measured values".to_owned(), text };
        Some(rig::read_as_built(&plan.files.file.text, &plan.files.file.name, &load, Some(&measured)))
    }
}
