//! Assumed values over their range: does the verdict stand, whatever they turn out to be?
//!
//! Values whose bad side is known (friction low, leak high) are set to it all together; the rest (stiffness, mass, drag) are set
//! all low, then all high. If every such run is a GO, the GO stands. Where a run changes the verdict, each value is tried
//! alone to name the one to measure.

use rig::fact::{Fact, Origin};
use rig::model::Rig;
use rig::{assumed, facts_mut};

/// Which end of its range is the bad one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Adverse {
    /// The low end.
    Low,
    /// The high end.
    High,
    /// Not known beforehand: both are tried.
    Either,
}

/// One end of a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The low end.
    Low,
    /// The high end.
    High,
}

/// Last word of a key and its bad side. Anything else may be bad at either end: so may drag and wind, which push back where
/// braking throws ahead.
const BAD_SIDE: &[(&str, Adverse)] = &[
    ("friction", Adverse::Low),
    ("pull_limit", Adverse::Low),
    ("push_limit", Adverse::Low),
    ("pull_rating", Adverse::Low),
    ("shear_rating", Adverse::Low),
    ("lip_follow", Adverse::Low),
    ("slip", Adverse::Low),
    ("twist", Adverse::Low),
    ("yield", Adverse::Low),
    ("capacity", Adverse::Low),
    ("vacuum", Adverse::Low),
    ("face_friction", Adverse::Low),
    ("roof_rating", Adverse::Low),
    ("gross_limit", Adverse::Low),
    ("front_axle_limit", Adverse::Low),
    ("rear_axle_limit", Adverse::Low),
    ("clearance", Adverse::Low),
    ("track_front", Adverse::Low),
    ("track_rear", Adverse::Low),
    ("roll_stiffness", Adverse::Low),
    ("roll_axis_height", Adverse::Low),
    ("centre_height", Adverse::High),
    ("highest", Adverse::High),
    ("hottest", Adverse::High),
    ("loss", Adverse::High),
    ("peak_factor", Adverse::High),
    ("pump_ultimate", Adverse::High),
    ("spring", Adverse::High),
    ("tyre", Adverse::High),
    ("sprung_corner", Adverse::Low),
    ("usable", Adverse::Low),
    ("health", Adverse::Low),
    ("cold_share", Adverse::Low),
    ("greatest_current", Adverse::Low),
    ("charge_current", Adverse::Low),
    ("efficiency", Adverse::Low),
    ("carries", Adverse::Low),
    ("connector_rating", Adverse::Low),
    ("voltage_low", Adverse::Low),
    ("cut_off", Adverse::High),
    ("surroundings", Adverse::High),
    ("peukert", Adverse::High),
    ("rated_time", Adverse::High),
    ("charged", Adverse::High),
    ("start_time", Adverse::High),
    ("peak_power", Adverse::High),
    ("peak_current", Adverse::High),
    ("start_power", Adverse::High),
    ("start_current", Adverse::High),
];

/// Values that change together because they are one thing: the same property of all parts of a kind.
#[derive(Clone, Debug)]
pub struct Group {
    /// Name, for a person: the key with its tag left out where several parts share it.
    pub name: String,
    /// Keys of the facts.
    pub keys: Vec<String>,
    /// One of the facts.
    pub fact: Fact,
    /// Bad side.
    pub adverse: Adverse,
}

/// The assumed values of a rig in groups.
pub fn groups(rig: &Rig) -> Vec<Group> {
    let mut out: Vec<Group> = Vec::new();
    for fact in assumed(rig).into_iter().filter(|f| !same_number(f.low, f.high)) {
        let last = fact.key.rsplit('.').next().unwrap_or_default();
        let name = if fact.group.is_empty() { fact.key.clone() } else { fact.group.clone() };
        let same = |g: &&mut Group| {
            g.name == name && same_number(g.fact.low, fact.low) && same_number(g.fact.high, fact.high)
        };
        if let Some(g) = out.iter_mut().find(same) {
            g.keys.push(fact.key.clone());
            continue;
        }
        let adverse = BAD_SIDE.iter().find(|(w, _)| *w == last).map_or(Adverse::Either, |(_, a)| *a);
        out.push(Group { name, keys: vec![fact.key.clone()], fact, adverse });
    }
    for g in &mut out {
        // A group of one says which one.
        if let [key] = &g.keys[..] {
            g.name.clone_from(key);
        }
    }
    out
}

fn same_number(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

/// The rig with some groups at an end of their range.
pub fn with(rig: &Rig, changes: &[(&Group, End)]) -> Rig {
    let mut out = rig.clone();
    facts_mut(&mut out, &mut |f: &mut Fact| {
        if f.origin == Origin::Assumed
            && let Some((_, end)) = changes.iter().find(|(g, _)| g.keys.contains(&f.key))
        {
            f.value = match end {
                End::Low => f.low,
                End::High => f.high,
            };
        }
    });
    out
}

/// The two whole-rig runs: everything at its bad side, the undecided all low, then all high.
pub fn bad_corners(groups: &[Group]) -> Vec<Vec<(&Group, End)>> {
    let corner = |either: End| {
        groups
            .iter()
            .map(|g| {
                let end = match g.adverse {
                    Adverse::Low => End::Low,
                    Adverse::High => End::High,
                    Adverse::Either => either,
                };
                (g, end)
            })
            .collect::<Vec<_>>()
    };
    if groups.iter().any(|g| g.adverse == Adverse::Either) {
        vec![corner(End::Low), corner(End::High)]
    } else {
        vec![corner(End::Low)]
    }
}

/// Each value alone at the ends that may be bad.
pub fn one_by_one(groups: &[Group]) -> Vec<(&Group, End)> {
    groups
        .iter()
        .flat_map(|g| match g.adverse {
            Adverse::Low => vec![(g, End::Low)],
            Adverse::High => vec![(g, End::High)],
            Adverse::Either => vec![(g, End::Low), (g, End::High)],
        })
        .collect()
}

/// Each value alone at its good end, to see whether a NO-GO hangs on a guess.
pub fn good_sides(groups: &[Group]) -> Vec<(&Group, End)> {
    groups
        .iter()
        .flat_map(|g| match g.adverse {
            Adverse::Low => vec![(g, End::High)],
            Adverse::High => vec![(g, End::Low)],
            Adverse::Either => vec![(g, End::Low), (g, End::High)],
        })
        .collect()
}
