//! What `check --json` prints.

use super::diagnostic::Fault;
use super::finding::{Found, si_unit};
use crate::print::report::{Report, Row, Settle};
use crate::print::verdict::CAUTIONS;
use rig::{Reading, Rig};
use serde::Serialize;
use verdict::vary::End;
use verdict::verdict::{Varied, Verdict};

/// A verdict.
#[derive(Debug, Serialize)]
pub(crate) struct Check {
    rig: String,
    /// `GO`, `HOLD` or `NO-GO`.
    answer: &'static str,
    why: String,
    exit_status: u8,
    conventions: Conventions,
    warnings: Vec<Fault>,
    /// The finding with the least margin.
    governs: Option<Found>,
    checks: Vec<Line>,
    findings: Vec<Found>,
    holds: Vec<Open>,
    varied: Vec<Tried>,
    /// Assumed values that move the least margin by 2 % or less.
    others_assumed: usize,
    scope: Scope,
    cautions: &'static [&'static str],
}

#[derive(Debug, Serialize)]
struct Conventions {
    units: &'static str,
    margin: &'static str,
}

#[derive(Debug, Serialize)]
struct Line {
    check: &'static str,
    title: &'static str,
    /// `FAILS`, `NOT CHECKED`, `close` or `holds`.
    word: &'static str,
    margin: Option<f64>,
    intact: Option<f64>,
    one_lost: Option<f64>,
    detail: String,
}

#[derive(Debug, Serialize)]
struct Open {
    what: String,
    why: String,
    settle: String,
    keys: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Tried {
    name: String,
    end: &'static str,
    value: f64,
    unit: &'static str,
    least_margin: Option<f64>,
    check: &'static str,
}

#[derive(Debug, Serialize)]
struct Scope {
    states: u64,
    runs_with_assumed_values_varied: usize,
    worst_residual: f64,
    words: String,
}

fn finite(m: Option<f64>) -> Option<f64> {
    m.filter(|m| m.is_finite())
}

impl Check {
    pub(crate) fn of(
        (rig, reading): (&Rig, &Reading),
        verdict: &Verdict,
        report: &Report,
        exit_status: u8,
    ) -> Self {
        let least = verdict.findings.iter().filter(|f| f.margin.is_some_and(f64::is_finite));
        let governs = least.min_by(|a, b| a.margin.unwrap_or(0.0).total_cmp(&b.margin.unwrap_or(0.0)));
        Self {
            rig: rig.name.clone(),
            answer: report.answer.word(),
            why: report.why.clone(),
            exit_status,
            conventions: Conventions {
                units: "SI: m, kg, s, N, Pa, rad, K; the unit stands beside each value",
                margin: "capacity / (required factor x demand); 1 is just enough",
            },
            warnings: reading.diagnostics.iter().map(|d| Fault::of(reading, d)).collect(),
            governs: governs.map(|f| Found::of(rig, f)),
            checks: report.rows.iter().map(Line::of).collect(),
            findings: verdict.findings.iter().map(|f| Found::of(rig, f)).collect(),
            holds: report.holds.iter().map(Open::of).collect(),
            varied: verdict.varied.iter().map(Tried::of).collect(),
            others_assumed: report.still,
            scope: Scope {
                states: verdict.states,
                runs_with_assumed_values_varied: verdict.runs,
                worst_residual: verdict.worst_residual,
                words: report.scope.clone(),
            },
            cautions: CAUTIONS,
        }
    }
}

impl Line {
    fn of(row: &Row) -> Self {
        Self {
            check: row.check.row().name,
            title: row.check.row().title,
            word: row.word.text(),
            margin: finite(row.margin),
            intact: finite(row.intact),
            one_lost: finite(row.lost),
            detail: row.detail.clone(),
        }
    }
}

impl Open {
    fn of(s: &Settle) -> Self {
        Self { what: s.what.clone(), why: s.why.clone(), settle: s.how.clone(), keys: s.keys.clone() }
    }
}

impl Tried {
    fn of(v: &Varied) -> Self {
        Self {
            name: v.name.clone(),
            end: match v.end {
                End::Low => "low",
                End::High => "high",
            },
            value: v.value,
            unit: si_unit(v.kind),
            least_margin: finite(Some(v.least)),
            check: v.check.row().name,
        }
    }
}
