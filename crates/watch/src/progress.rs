//! Steps done, signed and written down, out of a record.

use crate::built::{over, same_place};
use crate::past::Past;
use method::{Kind, Method, Progress, Stage};
use record::{Entry, Signature, State, Step, Value};
use std::collections::BTreeMap;

/// How far the work is.
///
/// A step counts as done until it is taken back, or the plan is changed in what it is about; the last looks, until the plan is changed
/// at all. A hold point counts only if all that comes before it was last done before it, and its signature only if it came after: who
/// signed has not seen what was done later.
pub fn of(past: &Past, method: &Method) -> Progress {
    let mut out = Progress::default();
    // Numbers of the entries that count: when each step was done, when it was signed.
    let mut done: BTreeMap<usize, u32> = BTreeMap::new();
    let mut signed: BTreeMap<usize, u32> = BTreeMap::new();
    for entry in past.entries() {
        let Some(at) = method.find(&entry.about) else { continue };
        match &entry.value {
            Value::Step(Step { state: State::Undone, .. }) => {
                done.remove(&at);
            }
            Value::Step(step) if holds_still(past, entry, &method.steps[at]) => {
                done.insert(at, entry.number);
                if step.state == State::Skipped {
                    out.left_out.insert(at);
                } else {
                    out.left_out.remove(&at);
                }
            }
            Value::Signature(s) => {
                let role = method.steps[at].hold.as_ref().is_some_and(|h| h.role == s.role);
                if role && may_sign(past, s) {
                    signed.insert(at, entry.number);
                }
            }
            _ => {}
        }
    }
    for at in 0..method.steps.len() {
        let looks_back = method.steps[at].hold.is_some() || method.steps[at].stage == Stage::Proof;
        if let Some(when) = done.get(&at).copied().filter(|_| looks_back) {
            let later = |b: &usize| done.get(b).is_none_or(|then| *then > when);
            if method.all_before(at).iter().any(later) {
                done.remove(&at);
            }
        }
    }
    signed.retain(|at, number| done.get(at).is_some_and(|when| *when < *number));
    out.left_out.retain(|at| done.contains_key(at));
    for (s, step) in method.steps.iter().enumerate() {
        let before = method.before[s].iter().filter_map(|b| done.get(b)).max().copied().unwrap_or(0);
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
    out.done = done.into_keys().collect();
    out.signed = signed.into_keys().collect();
    out
}

/// Whether what was done then is what the plan asks for now.
fn holds_still(past: &Past, entry: &Entry, step: &method::Step) -> bool {
    let Some(plan) = past.plan().filter(|p| p.number > entry.number) else { return true };
    if step.stage == Stage::Proof {
        return false;
    }
    let Some(about) = &step.about else { return true };
    let then = past.plan_before(entry.number).and_then(|p| rig::written(&p.files.file.text, about));
    then == rig::written(&plan.files.file.text, about)
}

/// Whether this person may sign in this role: a second one is somebody else than the first.
pub fn may_sign(past: &Past, signature: &Signature) -> bool {
    let Some(first) = signature.role.strip_prefix("second ") else { return true };
    let same = |name: &str| name.trim().eq_ignore_ascii_case(signature.name.trim());
    let taken = |e: &Entry| matches!(&e.value, Value::Signature(s) if s.role == first && same(&s.name));
    !past.entries().iter().any(|e| taken(e))
}
