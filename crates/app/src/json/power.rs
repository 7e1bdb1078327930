//! What `power --json` prints.

use super::finding::{Found, Missing};
use crate::print::power::{CAUTIONS, Sheet};
use crate::print::startup::Order;
use serde::Serialize;
use verdict::Answer;
use verdict::power::{BatteryRow, CableRow, ConsumerRow, Plan};

/// A power plan. Numbers that have no end (a voltage that collapses) are `null`.
#[derive(Debug, Serialize)]
pub(crate) struct Printed {
    rig: String,
    answer: &'static str,
    exit_status: u8,
    findings: Vec<Found>,
    missing: Vec<Missing>,
    consumers: Vec<Consumer>,
    cables: Vec<Cable>,
    batteries: Vec<Battery>,
    /// Empty without a GO.
    start_up: Vec<String>,
    shut_down: Vec<String>,
    cautions: &'static [&'static str],
}

#[derive(Debug, Serialize)]
struct Consumer {
    tag: String,
    source: String,
    lowest_v: Option<f64>,
    when: String,
    needs_v: Option<f64>,
    lost_share: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Cable {
    tag: String,
    source: String,
    average_a: Option<f64>,
    peak_a: Option<f64>,
    drop_at_peak_v: Option<f64>,
    drop_at_peak_share: Option<f64>,
    heat_w: Option<f64>,
    carries_a: Option<f64>,
    fuse_a: Option<f64>,
    gives_way_first: Option<String>,
    at_times_its_average: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Battery {
    tag: String,
    usable_j: f64,
    lowest_terminal_v: Option<f64>,
    day_s: Option<f64>,
    /// `null`: longer than two weeks of such days, or not known.
    lasts_s: Option<f64>,
    left_share: Option<f64>,
    must_stay_share: Option<f64>,
    drawn_c: Option<f64>,
    mass_kg: Option<f64>,
}

fn finite(v: f64) -> Option<f64> {
    v.is_finite().then_some(v)
}

impl Printed {
    pub(crate) fn of(sheet: &Sheet<'_>, exit_status: u8) -> Self {
        let tables = sheet.plan.zip(sheet.tables);
        let order = sheet.plan.filter(|_| sheet.answer == Answer::Go).map(|p| Order::of(sheet, p));
        let (start_up, shut_down) = order.map(|o| (o.on, o.off)).unwrap_or_default();
        Self {
            rig: sheet.rig.name.clone(),
            answer: sheet.answer.word(),
            exit_status,
            findings: sheet.findings.iter().map(|f| Found::of(sheet.rig, f)).collect(),
            missing: sheet.needs.iter().map(Missing::of).collect(),
            consumers: tables
                .map(|(p, t)| t.consumers.iter().map(|r| Consumer::of(p, r)).collect())
                .unwrap_or_default(),
            cables: tables
                .map(|(p, t)| t.cables.iter().map(|r| Cable::of(p, r)).collect())
                .unwrap_or_default(),
            batteries: tables
                .map(|(p, t)| t.batteries.iter().map(|r| Battery::of(p, r)).collect())
                .unwrap_or_default(),
            start_up,
            shut_down,
            cautions: CAUTIONS,
        }
    }
}

impl Consumer {
    fn of(plan: &Plan<'_>, row: &ConsumerRow) -> Self {
        Self {
            tag: plan.power.consumers[row.consumer].tag.clone(),
            source: plan.nets[row.net].source.name(plan.power),
            lowest_v: row.volts,
            when: plan.words(row.moment),
            needs_v: row.needs,
            lost_share: row.lost,
        }
    }
}

impl Cable {
    fn of(plan: &Plan<'_>, row: &CableRow) -> Self {
        let cable = &plan.power.cables[row.cable];
        Self {
            tag: cable.tag.clone(),
            source: plan.nets[row.net].source.name(plan.power),
            average_a: finite(row.average_a),
            peak_a: finite(row.peak_a),
            drop_at_peak_v: finite(row.drop_v),
            drop_at_peak_share: finite(row.drop_share),
            heat_w: finite(row.heat_w),
            carries_a: row.carries_a,
            fuse_a: cable.fuse.as_ref().map(|f| f.rating),
            gives_way_first: row.trip.as_ref().map(|t| t.what.clone()),
            at_times_its_average: row.trip.as_ref().map(|t| t.load),
        }
    }
}

impl Battery {
    fn of(plan: &Plan<'_>, row: &BatteryRow) -> Self {
        let day = row.day.as_ref();
        Self {
            tag: plan.power.batteries[row.battery].tag.clone(),
            usable_j: row.usable_j,
            lowest_terminal_v: row.volts,
            day_s: day.map(|d| d.length_s),
            lasts_s: day.and_then(|d| d.run.lasts_s),
            left_share: day.map(|d| d.run.left),
            must_stay_share: day.map(|d| d.floor),
            drawn_c: day.map(|d| d.run.drawn_c),
            mass_kg: row.mass,
        }
    }
}
