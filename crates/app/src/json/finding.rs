//! One finding with its hand check.

use quantity::Kind;
use rig::Rig;
use serde::Serialize;
use verdict::{Finding, HandCheck, Need, Outcome};

/// One check of one part at its worst.
#[derive(Debug, Serialize)]
pub(crate) struct Found {
    check: &'static str,
    title: &'static str,
    part: String,
    tag: String,
    place: String,
    /// `holds`, `fails`, `not checked` or `note`.
    outcome: &'static str,
    /// `null` without a number, and where nothing is asked.
    margin: Option<f64>,
    /// Nothing is asked of it: the margin has no end.
    nothing_asked: bool,
    numbers: Option<Numbers>,
    one_lost: bool,
    state: String,
    /// What contact makes of the state, where the linear answer is past its assumption.
    #[serde(skip_serializing_if = "String::is_empty")]
    contact: String,
    pose: Option<Pose>,
    missing: Option<Missing>,
}

#[derive(Debug, Serialize)]
struct Numbers {
    /// What demand and capacity measure.
    measures: &'static str,
    unit: &'static str,
    demand: f64,
    capacity: f64,
    required_factor: f64,
}

#[derive(Debug, Serialize)]
struct Pose {
    pan_rad: f64,
    elevation_rad: f64,
}

/// A fact that is missing.
#[derive(Debug, Serialize)]
pub(crate) struct Missing {
    what: String,
    key: String,
    settle: String,
}

/// The sum by hand.
#[derive(Debug, Serialize)]
pub(crate) struct Hand {
    formula: &'static str,
    source: &'static str,
    steps: Vec<Step>,
}

#[derive(Debug, Serialize)]
struct Step {
    symbol: &'static str,
    text: String,
    value: f64,
    measures: &'static str,
    unit: &'static str,
    shown: String,
}

/// The SI unit of a kind (the one whose value is the raw number).
pub(crate) fn si_unit(kind: Kind) -> &'static str {
    let same = |u: &&quantity::Unit| (u.value(1.0) - 1.0).abs() < 1e-12 && (u.value(3.0) - 3.0).abs() < 1e-12;
    kind.units().iter().find(same).map_or("", |u| u.symbol)
}

impl Found {
    pub(crate) fn of(rig: &Rig, f: &Finding) -> Self {
        let row = f.check.row();
        let (outcome, missing) = match &f.outcome {
            Outcome::Holds => ("holds", None),
            Outcome::Fails => ("fails", None),
            Outcome::Note => ("note", None),
            Outcome::NotChecked(n) => ("not checked", Some(n)),
        };
        let numbers =
            (missing.is_none() && !f.hand.steps.is_empty() || f.margin.is_some()).then(|| Numbers {
                measures: f.kind.name(),
                unit: si_unit(f.kind),
                demand: f.demand,
                capacity: f.capacity,
                required_factor: f.factor,
            });
        Self {
            check: row.name,
            title: row.title,
            part: f.part.name(rig),
            tag: f.part.tag(rig),
            place: f.place.clone(),
            outcome,
            margin: f.margin.filter(|m| m.is_finite()),
            nothing_asked: f.margin.is_some_and(|m| m == f64::INFINITY),
            numbers,
            one_lost: crate::print::report::is_lost(f),
            state: f.situation.clone(),
            contact: f.contact.clone(),
            pose: f
                .state
                .filter(|_| rig.arm.is_some())
                .map(|s| Pose { pan_rad: s.pose.pan_rad, elevation_rad: s.pose.elevation_rad }),
            missing: missing.map(Missing::of),
        }
    }
}

impl Missing {
    pub(crate) fn of(need: &Need) -> Self {
        Self { what: need.what.clone(), key: need.key.clone(), settle: need.settle.clone() }
    }
}

impl Hand {
    pub(crate) fn of(hand: &HandCheck) -> Self {
        let step = |s: &verdict::Step| Step {
            symbol: s.symbol,
            text: s.text.clone(),
            value: s.value,
            measures: s.kind.name(),
            unit: si_unit(s.kind),
            shown: quantity::both_kind(s.value, s.kind),
        };
        Self { formula: hand.formula, source: hand.source, steps: hand.steps.iter().map(step).collect() }
    }
}
