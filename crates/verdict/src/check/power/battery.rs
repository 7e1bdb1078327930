//! Batteries and supplies against the current that is asked of them, and batteries before they are joined.

use super::{found, lacks};
use crate::check::power::cable::Currents;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::power::{Moment, Plan, Source, number};
use mechanics::power::battery::equalising_a;
use quantity::{Kind, both_kind};
use rig::model::Rig;
use rig::model::power::Battery;
use rig::policy::CheckId;

const ID: CheckId = CheckId::PowerCurrent;
/// Batteries in series may differ by this share of their voltage at rest: common practice, no source (50 mV of 12.8 V).
const SERIES_APART: f64 = 0.004;
/// ... and in age by this, s: half a year, common practice, no source.
const AGES_APART_S: f64 = 182.0 * 86_400.0;

/// What each source gives at the worst moment; its protection answers at once, so starts count.
pub(super) fn sources(rig: &Rig, plan: &Plan<'_>, currents: &Currents) -> Vec<Finding> {
    let power = plan.power;
    let mut out = Vec::new();
    for (n, net) in plan.nets.iter().enumerate() {
        let (part, table, tag, limit, times) = match net.source {
            Source::Battery(i) => {
                let b = &power.batteries[i];
                (PartRef::Battery(i), "battery", &b.tag, &b.greatest_current, number(b.parallel))
            }
            Source::Supply(i) => {
                let s = &power.supplies[i];
                (PartRef::Supply(i), "supply", &s.tag, &s.greatest_current, 1.0)
            }
        };
        let Some(limit) = limit else {
            out.push(Finding::not_checked(
                ID,
                part,
                lacks(table, tag, "the greatest current", "greatest_current", "read the label"),
            ));
            continue;
        };
        let (moment, amps) = Moment::ALL
            .map(|m| (m, currents.source(n, m)))
            .into_iter()
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or((Moment::Average, 0.0));
        // Where the voltage collapses there is no current to compare; `power-voltage` says so.
        if amps.is_infinite() {
            continue;
        }
        out.push(
            found(rig, (ID, part), Kind::Current, amps, limit.value * times).when(plan.words(moment)).hand(
                HandCheck {
                    formula: "demand = I;  capacity = greatest current x rows in parallel",
                    source: "the maker's limit; mechanics.md §16.8",
                    steps: vec![
                        Step::new("I", plan.words(moment), amps, Kind::Current),
                        Step::new("limit", "of one", limit.value, Kind::Current),
                        Step::new("rows", "in parallel", times, Kind::Number),
                    ],
                },
            ),
        );
    }
    out
}

fn spread(values: &[f64]) -> f64 {
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    if values.is_empty() { 0.0 } else { most - least }
}

/// Batteries of a bank: alike in charge and age in a row, alike in voltage between rows.
pub(super) fn joining(rig: &Rig, index: usize) -> Vec<Finding> {
    let Some(b) = rig.power.as_ref().and_then(|p| p.batteries.get(index)) else { return Vec::new() };
    let part = PartRef::Battery(index);
    if b.series * b.parallel < 2 {
        return Vec::new();
    }
    let missing = |what: &str, key: &str, settle: &str| {
        Finding::not_checked(ID, part, lacks("battery", &b.tag, what, key, settle))
    };
    let mut all = Vec::new();
    if b.readings.is_empty() {
        all.push(missing(
            "the voltage at rest of each one before joining",
            "readings",
            "measure each one an hour after charging, with one meter",
        ));
    } else {
        if b.series > 1 {
            all.push(row(rig, b, part));
        }
        if b.parallel > 1 {
            all.push(match &b.charge_current {
                None => missing("the current that one may take", "charge_current", "read the label"),
                Some(limit) => rows(rig, b, part, limit.value),
            });
        }
    }
    if b.ages.is_empty() {
        all.push(missing("the age of each one", "ages", "read the date of make on each"));
    } else {
        let apart = spread(&b.ages);
        all.push(
            Finding::of(ID, part, Kind::Time, 1.0, apart, AGES_APART_S)
                .at("ages of its batteries")
                .when("oldest and newest")
                .hand(HandCheck {
                    formula: "demand = oldest - newest;  capacity = 182 d",
                    source: "common practice, no source; mechanics.md §16.7",
                    steps: vec![Step::new("apart", "oldest less newest", apart, Kind::Time)],
                }),
        );
    }
    all
}

/// Members of a row.
fn row(rig: &Rig, b: &Battery, part: PartRef) -> Finding {
    let apart = b.readings.chunks(b.series).map(spread).fold(0.0, f64::max);
    let most = SERIES_APART * b.voltage.value;
    found(rig, (ID, part), Kind::Voltage, apart, most)
        .at("joined in series")
        .when("voltages at rest, before joining")
        .hand(HandCheck {
            formula: "demand = highest - lowest of a row;  capacity = 0.4 % of the voltage of one",
            source: "common practice, no source; mechanics.md §16.7",
            steps: vec![
                Step::new("apart", "highest less lowest reading of a row", apart, Kind::Voltage),
                Step::new("most", "0.4 % of the label's voltage", most, Kind::Voltage),
            ],
        })
}

/// Rows side by side.
fn rows(rig: &Rig, b: &Battery, part: PartRef, limit: f64) -> Finding {
    let sums: Vec<f64> = b.readings.chunks(b.series).map(|r| r.iter().sum()).collect();
    let high = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = sums.iter().copied().fold(f64::INFINITY, f64::min);
    let ohm = 2.0 * b.resistance.value * number(b.series);
    let amps = equalising_a(high, low, ohm).unwrap_or(f64::INFINITY);
    found(rig, (ID, part), Kind::Current, amps, limit)
        .at("joined in parallel")
        .when(format!("rows {} apart; charge them alike, then join", both_kind(high - low, Kind::Voltage)))
        .hand(HandCheck {
            formula: "I = (E1 - E2) / 2 R;  capacity = the current that one may take",
            source: "Ohm's law round the loop, leads left out; mechanics.md §16.7",
            steps: vec![
                Step::new("E1", "highest row", high, Kind::Voltage),
                Step::new("E2", "lowest row", low, Kind::Voltage),
                Step::new("2 R", "both rows, inside", ohm, Kind::Resistance),
                Step::new("I", "(E1 - E2) / 2 R", amps, Kind::Current),
            ],
        })
}
