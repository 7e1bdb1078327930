//! What stands in a record: corrections followed, the newest of each thing found.

use record::{Current, Entry, Value};
use std::sync::Arc;

/// The entries of a job that stand, in their order.
#[derive(Clone, Debug, Default)]
pub struct Past {
    /// Each once, however many hold this: a copy of it is a list of places.
    entries: Vec<Arc<Entry>>,
}

/// The plan of a job: the rig file and what it refers to, and the number of its entry.
#[derive(Clone, Copy, Debug)]
pub struct Plan<'a> {
    /// Number of the entry.
    pub number: u32,
    /// The files.
    pub files: &'a record::Rig,
}

impl Past {
    /// Of a job's entries those that are not corrected.
    pub fn of(all: &[Current]) -> Self {
        let standing = all.iter().filter(|c| c.corrected_by.is_none());
        Self { entries: standing.map(|c| Arc::new(c.entry.clone())).collect() }
    }

    /// One more, which came after all of these; what it corrects stands no more.
    pub fn add(&mut self, entry: Entry) {
        if let Some(number) = entry.corrects {
            self.entries.retain(|e| e.number != number);
        }
        self.entries.push(Arc::new(entry));
    }

    /// All of them.
    pub fn entries(&self) -> &[Arc<Entry>] {
        &self.entries
    }

    /// The plan as it stands.
    pub fn plan(&self) -> Option<Plan<'_>> {
        self.plan_before(u32::MAX)
    }

    /// The plan that stood when the entry of that number was written.
    pub fn plan_before(&self, number: u32) -> Option<Plan<'_>> {
        self.entries.iter().rev().filter(|e| e.number < number).find_map(|e| match &e.value {
            Value::Rig(files) => Some(Plan { number: e.number, files }),
            _ => None,
        })
    }

    /// The newest answer, if it was asked for one.
    pub fn last_go(&self) -> Option<&Entry> {
        self.entries
            .iter()
            .rev()
            .find(|e| matches!(&e.value, Value::Verdict(v) if v.answer == record::Answer::Go))
            .map(AsRef::as_ref)
    }
}
