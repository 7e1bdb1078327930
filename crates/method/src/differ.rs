//! From one rig's load to another's: what to add, what to leave at home, what is set otherwise.

use crate::pack::{Group, Load};
use quantity::{Kind, both_kind};
use rig::Rig;
use std::collections::BTreeMap;

/// A thing of which there must be more or fewer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// What it belongs to.
    pub group: Group,
    /// Its name on the list.
    pub name: String,
    /// How many the other load has.
    pub before: usize,
    /// How many this one has.
    pub now: usize,
}

/// A value that is set otherwise on parts that are the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// `torque of clamp K1`.
    pub what: String,
    /// As it was.
    pub before: String,
    /// As it is.
    pub now: String,
}

/// From one to the other.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Difference {
    /// Counts that differ, in the order of the list.
    pub changes: Vec<Change>,
    /// Torques and plates that differ.
    pub settings: Vec<Setting>,
}

impl Difference {
    /// Whether the same things go into the van, set the same way.
    pub fn is_empty(&self) -> bool {
        self.changes.is_empty() && self.settings.is_empty()
    }
}

/// What turns `before` into `now`, by name and count; parts that carry other tags are the same parts.
pub fn differ(before: (&Rig, &Load), now: (&Rig, &Load)) -> Difference {
    let (was, is) = (counts(before.1), counts(now.1));
    let names: std::collections::BTreeSet<_> = was.keys().chain(is.keys()).collect();
    let changes = names.into_iter().filter_map(|key| {
        let of = |m: &BTreeMap<(Group, String), usize>| m.get(key).copied().unwrap_or(0);
        let (before, now) = (of(&was), of(&is));
        (before != now).then(|| Change { group: key.0, name: key.1.clone(), before, now })
    });
    Difference { changes: changes.collect(), settings: settings(before.0, now.0) }
}

fn counts(load: &Load) -> BTreeMap<(Group, String), usize> {
    let mut out = BTreeMap::new();
    for l in &load.lines {
        *out.entry((l.group, l.name.clone())).or_insert(0) += l.count;
    }
    out
}

/// Values that a person sets by hand on what both rigs have, by name.
fn settings(before: &Rig, now: &Rig) -> Vec<Setting> {
    let (was, is) = (set(before), set(now));
    is.into_iter()
        .filter_map(|(what, now)| {
            let before = was.get(&what)?;
            (*before != now).then(|| Setting { what, before: before.clone(), now })
        })
        .collect()
}

fn set(rig: &Rig) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    let nm = |v: f64| both_kind(v, Kind::Moment);
    for c in &rig.clamps {
        out.insert(format!("torque of clamp {}", c.tag), nm(c.torque.value));
    }
    let legs = rig.legs.iter().filter_map(|l| l.bolts.as_ref().map(|b| (format!("leg {}", l.tag), b)));
    let sections = rig.arm.iter().flat_map(|a| &a.sections);
    let boom = sections.filter_map(|s| s.bolts.as_ref().map(|b| (format!("boom {}", s.tag), b)));
    for (name, bolts) in legs.chain(boom) {
        out.insert(format!("torque of {name}"), nm(bolts.torque.value));
    }
    if let Some(w) = rig.arm.as_ref().map(|a| &a.counterweight) {
        out.insert("counterweight".to_owned(), both_kind(w.mass.value, Kind::Mass));
        let mut plates = w.fitted.clone();
        plates.sort_by(f64::total_cmp);
        let plates: Vec<String> = plates.iter().map(|kg| both_kind(*kg, Kind::Mass)).collect();
        let plates = if plates.is_empty() { "none stated".to_owned() } else { plates.join(", ") };
        out.insert("plates fitted".to_owned(), plates);
    }
    out
}
