//! What `build --json` and `strip --json` print.

use method::{Kind, Method, Schedule};
use serde::Serialize;

/// An order of work.
#[derive(Debug, Serialize)]
pub(crate) struct Order<'a> {
    rig: &'a str,
    crew: usize,
    /// For this crew.
    minutes: f64,
    /// No crew is faster.
    least_minutes: f64,
    critical_path: Vec<&'a str>,
    /// Steps that take more people than the crew has.
    too_few_people: Vec<&'a str>,
    steps: Vec<Step<'a>>,
}

#[derive(Debug, Serialize)]
struct Step<'a> {
    name: &'a str,
    stage: &'static str,
    does: &'a str,
    why: &'a str,
    after: Vec<&'a str>,
    people: usize,
    minutes: f64,
    begins_minutes: f64,
    tools: &'a [String],
    torque_n_m: Option<f64>,
    records: Vec<Record<'a>>,
    signed_by: Option<&'a str>,
    signature_says: Option<&'a str>,
    can_be_left_out: bool,
    own: bool,
}

#[derive(Debug, Serialize)]
struct Record<'a> {
    what: &'a str,
    kind: &'static str,
    key: &'a str,
}

/// The word of a kind of record.
pub(crate) fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Measured => "measured",
        Kind::Reading => "reading",
        Kind::Torque => "torque",
        Kind::Weight => "weight",
        Kind::Note => "note",
    }
}

impl<'a> Order<'a> {
    pub(crate) fn of(
        method: &'a Method,
        rig: &'a str,
        (crew, plan): (usize, &Schedule),
        (path, least_minutes): (&[usize], f64),
    ) -> Self {
        let name = |s: &usize| method.steps[*s].name.as_str();
        let begins = |s: usize| plan.tasks.iter().find(|t| t.step == s).map_or(0.0, |t| t.begins);
        let step = |(i, s): (usize, &'a method::Step)| Step {
            name: &s.name,
            stage: s.stage.word(),
            does: &s.does,
            why: &s.why,
            after: method.before[i].iter().map(name).collect(),
            people: s.people,
            minutes: s.minutes,
            begins_minutes: begins(i),
            tools: &s.tools,
            torque_n_m: s.torque_nm,
            records: s
                .records
                .iter()
                .map(|r| Record { what: &r.what, kind: kind(r.kind), key: &r.key })
                .collect(),
            signed_by: s.hold.as_ref().map(|h| h.role.as_str()),
            signature_says: s.hold.as_ref().map(|h| h.says.as_str()),
            can_be_left_out: s.kept.is_none() && s.hold.is_none(),
            own: s.is_own,
        };
        Self {
            rig,
            crew,
            minutes: plan.minutes,
            least_minutes,
            critical_path: path.iter().map(name).collect(),
            too_few_people: plan.short.iter().map(name).collect(),
            steps: method.steps.iter().enumerate().map(step).collect(),
        }
    }
}
