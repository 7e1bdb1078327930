//! Every finding of the verdict.

use super::{digits, number};
use crate::json::finding::si_unit;
use crate::print::report::{Word, is_lost};
use quantity::{Kind, both_kind};
use rig::Rig;
use serde::Serialize;
use verdict::{Finding, Outcome};

/// One check of one part at its worst.
#[derive(Debug, Serialize)]
pub(crate) struct Checked {
    check: &'static str,
    title: &'static str,
    part: String,
    tag: String,
    place: String,
    /// `FAILS`, `NOT CHECKED`, `close`, `holds` or `note`.
    outcome: &'static str,
    margin: Option<f64>,
    required_factor: Option<f64>,
    /// What demand and capacity measure.
    measures: &'static str,
    demand: Option<f64>,
    capacity: Option<f64>,
    /// SI, of demand and capacity.
    unit: &'static str,
    /// In both systems.
    demand_shown: String,
    capacity_shown: String,
    one_lost: bool,
    state: String,
    bearing_deg: Option<f64>,
    elevation_deg: Option<f64>,
    contact: String,
    missing: String,
    missing_key: String,
}

impl Checked {
    pub(crate) fn of(rig: &Rig, f: &Finding) -> Self {
        let need = match &f.outcome {
            Outcome::NotChecked(need) => Some(need),
            _ => None,
        };
        let asked = need.is_none() && (f.margin.is_some() || !f.hand.steps.is_empty());
        let shown = |v: f64| if asked { both_kind(v, f.kind) } else { String::new() };
        let value = |v: f64| if asked { digits(v) } else { None };
        let pose = f.state.filter(|_| rig.arm.is_some()).map(|s| s.pose);
        Self {
            check: f.check.row().name,
            title: f.check.row().title,
            part: f.part.name(rig),
            tag: f.part.tag(rig),
            place: f.place.clone(),
            outcome: Word::of(f).map_or("note", Word::text),
            // In full: rounding must not make enough of a little less.
            margin: f.margin.filter(|m| m.is_finite()),
            required_factor: value(f.factor),
            measures: if asked { f.kind.name() } else { "" },
            demand: value(f.demand),
            capacity: value(f.capacity),
            unit: if asked { si_unit(f.kind) } else { "" },
            demand_shown: shown(f.demand),
            capacity_shown: shown(f.capacity),
            one_lost: is_lost(f),
            state: f.situation.clone(),
            bearing_deg: pose.and_then(|p| number(p.pan_rad, Kind::Angle, "deg")),
            elevation_deg: pose.and_then(|p| number(p.elevation_rad, Kind::Angle, "deg")),
            contact: f.contact.clone(),
            missing: need.map_or(String::new(), |n| n.what.clone()),
            missing_key: need.map_or(String::new(), |n| n.key.clone()),
        }
    }
}
