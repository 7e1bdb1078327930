//! What `go --json` prints.

use record::{Head, Job};
use serde::Serialize;
use watch::{Standing, Want};

/// How a job stands.
#[derive(Debug, Serialize)]
pub(crate) struct Stands<'a> {
    job: &'a str,
    rig: &'a str,
    answer: &'static str,
    exit_status: u8,
    against: Vec<Reason<'a>>,
    missing: Vec<Reason<'a>>,
    least_margin: Option<f64>,
    least_check: Option<&'static str>,
    measured: Vec<AsBuilt<'a>>,
    margins: Vec<Margin>,
    since_go: Option<Since<'a>>,
    next_round_by_ms: Option<i64>,
    steps_done: usize,
    steps: usize,
    last_entry: u32,
    last_hash: &'a str,
}

#[derive(Debug, Serialize)]
struct Reason<'a> {
    what: &'a str,
    mend: &'a str,
}

#[derive(Debug, Serialize)]
struct AsBuilt<'a> {
    key: &'a str,
    planned: Option<&'a str>,
    measured: &'a str,
    entry: u32,
}

#[derive(Debug, Serialize)]
struct Margin {
    check: &'static str,
    planned: f64,
    built: f64,
}

#[derive(Debug, Serialize)]
struct Since<'a> {
    entry: u32,
    changes: Vec<Happened<'a>>,
}

#[derive(Debug, Serialize)]
struct Happened<'a> {
    entry: u32,
    what: &'a str,
}

impl<'a> Stands<'a> {
    pub(crate) fn of(job: &'a Job, s: &'a Standing, head: &'a Head, exit_status: u8) -> Self {
        let reasons =
            |wants: &'a [Want]| wants.iter().map(|w| Reason { what: &w.what, mend: &w.mend }).collect();
        let least = s.verdict.findings.iter().filter_map(|f| Some((f.margin?, f.check.row().name)));
        let least = least.filter(|(m, _)| m.is_finite()).min_by(|a, b| a.0.total_cmp(&b.0));
        Self {
            job: &job.name,
            rig: &s.rig.name,
            answer: s.answer.word(),
            exit_status,
            against: reasons(&s.against),
            missing: reasons(&s.wants),
            least_margin: least.map(|l| l.0),
            least_check: least.map(|l| l.1),
            measured: s
                .built
                .changed()
                .map(|d| AsBuilt {
                    key: &d.key,
                    planned: d.planned.as_deref(),
                    measured: &d.measured,
                    entry: d.number,
                })
                .collect(),
            margins: s
                .moved
                .iter()
                .map(|m| Margin { check: m.check, planned: m.planned, built: m.built })
                .collect(),
            since_go: s.since_go.as_ref().map(|(entry, changes)| Since {
                entry: *entry,
                changes: changes.iter().map(|c| Happened { entry: c.number, what: &c.what }).collect(),
            }),
            next_round_by_ms: s.due_ms,
            steps_done: s.progress.done.len(),
            steps: s.method.steps.len(),
            last_entry: head.number,
            last_hash: &head.hash,
        }
    }
}
