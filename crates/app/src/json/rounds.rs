//! What `round --json` prints.

use crate::print::rounds::View;
use mechanics::leak::Estimate;
use serde::Serialize;

/// All cups.
#[derive(Debug, Serialize)]
pub(crate) struct Rounds<'a> {
    rig: &'a str,
    exit_status: u8,
    now_ms: i64,
    next_round_by_ms: Option<i64>,
    cups: Vec<Watched<'a>>,
}

#[derive(Debug, Serialize)]
struct Watched<'a> {
    cup: &'a str,
    /// `holds`, `READ`, `LOOK` or `PUMP`.
    word: &'static str,
    readings: Vec<Reading>,
    least_pa: Option<f64>,
    leak: Option<Leak>,
    /// Why no leak can be told.
    no_leak: Option<String>,
    earliest_to_least_s: Option<f64>,
    likely_to_least_s: Option<f64>,
    leaks_more_than_others: bool,
}

#[derive(Debug, Serialize)]
struct Reading {
    entry: u32,
    at_ms: i64,
    vacuum_pa: f64,
    ambient_pa: f64,
    temperature_k: f64,
    pumped: bool,
}

#[derive(Debug, Serialize)]
struct Leak {
    seen: bool,
    fall_pa_per_s: f64,
    low_pa_per_s: f64,
    high_pa_per_s: f64,
}

fn finite(v: f64) -> Option<f64> {
    v.is_finite().then_some(v)
}

impl<'a> Rounds<'a> {
    pub(crate) fn of(view: &View<'a>) -> Self {
        let cup = |c: &watch::rounds::CupRounds| Watched {
            cup: view.rig.cups.get(c.cup).map_or("?", |c| c.tag.as_str()),
            word: view.word(c).text(),
            readings: c
                .reads
                .iter()
                .map(|r| Reading {
                    entry: r.number,
                    at_ms: r.at_ms,
                    vacuum_pa: r.reading.vacuum_pa,
                    ambient_pa: r.reading.ambient_pa,
                    temperature_k: r.reading.temperature_k,
                    pumped: r.pumped,
                })
                .collect(),
            least_pa: c.limit_pa,
            leak: c.leak.as_ref().ok().map(|l| {
                let Estimate { value, low, high } = l.fall_pa_per_s();
                Leak { seen: l.seen, fall_pa_per_s: value, low_pa_per_s: low, high_pa_per_s: high }
            }),
            no_leak: c.leak.as_ref().err().map(ToString::to_string),
            earliest_to_least_s: c.left.as_ref().and_then(|l| finite(l.earliest_s)),
            likely_to_least_s: c.left.as_ref().and_then(|l| l.likely_s),
            leaks_more_than_others: c.leaks_more,
        };
        Self {
            rig: &view.rig.name,
            exit_status: view.status(),
            now_ms: view.now_ms,
            next_round_by_ms: view.due_ms,
            cups: view.rounds.iter().map(cup).collect(),
        }
    }
}
