//! Steps done, signed and written down, out of a record.

use crate::built::{over, same_place};
use crate::past::Past;
use method::{Kind, Method, Progress, Stage};
use record::{State, Value};

/// How far the work is. What belongs to the last looks counts only since the plan was last changed.
pub fn of(past: &Past, method: &Method) -> Progress {
    let mut out = Progress::default();
    let plan = past.plan().map_or(0, |p| p.number);
    // When each step was done, by number.
    let mut done_at = vec![0_u32; method.steps.len()];
    for entry in past.entries() {
        match &entry.value {
            Value::Step(step) => {
                let Some(at) = method.find(&entry.about) else { continue };
                if method.steps[at].stage == Stage::Proof && entry.number < plan {
                    continue;
                }
                match step.state {
                    State::Done | State::Skipped => {
                        out.done.insert(at);
                        done_at[at] = entry.number;
                    }
                    State::Undone => {
                        out.done.remove(&at);
                        out.signed.remove(&at);
                        done_at[at] = 0;
                    }
                }
            }
            Value::Signature(signature) => {
                let Some(at) = method.find(&entry.about) else { continue };
                let old = method.steps[at].stage == Stage::Proof && entry.number < plan;
                let role = method.steps[at].hold.as_ref().is_some_and(|h| h.role == signature.role);
                // A step that is done again after its signature is signed again.
                if !old && role && out.done.contains(&at) {
                    out.signed.insert(at);
                }
            }
            _ => {}
        }
    }
    for (s, step) in method.steps.iter().enumerate() {
        let before = method.before[s].iter().map(|b| done_at[*b]).max().unwrap_or(0);
        for (r, record) in step.records.iter().enumerate() {
            let written = past.entries().iter().any(|entry| match record.kind {
                Kind::Measured | Kind::Torque | Kind::Weight => {
                    over(entry).is_some_and(|(key, _)| same_place(&key) == same_place(&record.key))
                }
                Kind::Reading => {
                    matches!(entry.value, Value::Reading(_))
                        && entry.about == record.key
                        && entry.number > before
                }
                Kind::Note => matches!(entry.value, Value::Note(_)) && entry.about == step.name,
            });
            if written {
                out.written.insert((s, r));
            }
        }
    }
    out
}
