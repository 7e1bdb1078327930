//! A job of the record as pages use it: opened, and written to once however often it is sent.

use super::gate::Person;
use super::page::Wrong;
use super::state::Station;
use crate::notebook::{Notebook, stop, token};
use axum::http::StatusCode;
use record::{Draft, Fault, File, Job, Store, Value, Written};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use verdict::limits;
use verdict::verdict::Options;
use watch::Past;

/// An entry that waited longer than this on a phone is not believed, ms.
const WAITED_MS: i64 = 7 * 86_400_000;

/// What every form that writes to the record sends along.
#[derive(Clone, Debug, Default, serde::Deserialize)]
#[serde(default)]
pub(crate) struct Sent {
    /// A text of its own, so that it is written once.
    pub(crate) token: String,
    /// How long ago it was made, ms, by the phone's own watch; empty for just now. No two clocks are compared.
    pub(crate) waited: String,
}

/// The jobs of the record, newest first; none where there is no record yet.
pub(crate) fn jobs(station: &Station) -> Result<Vec<Job>, Wrong> {
    if !station.which.record.exists() {
        return Ok(Vec::new());
    }
    let mut jobs = station.which.store()?.jobs().map_err(|f| stop(&f))?;
    jobs.sort_by_key(|j| std::cmp::Reverse(j.at_ms));
    Ok(jobs)
}

/// A job by its id.
pub(crate) fn open(station: &Station, id: &str) -> Result<Notebook, Wrong> {
    let none = || Wrong::new(StatusCode::NOT_FOUND, "there is no such job", "see the list of jobs");
    if !station.which.record.exists() {
        return Err(none());
    }
    let store = station.which.store()?;
    let job = store.jobs().map_err(|f| stop(&f))?.into_iter().find(|j| j.id == id).ok_or_else(none)?;
    Ok(Notebook { store, job, now: station.which.clock.now()?, clock: station.which.clock.clone() })
}

/// A name of its own for a form that is yet to be sent.
pub(crate) fn fresh() -> String {
    // Without one the entry is refused, not written twice.
    token().unwrap_or_default()
}

/// Writes an entry: what was sent before with the same token is not written again.
pub(crate) fn write(
    book: &mut Notebook,
    person: &Person,
    sent: &Sent,
    about: &str,
    value: Value,
    bytes: Option<Vec<u8>>,
) -> Result<Written, Wrong> {
    let waited = sent.waited.parse::<i64>().ok().filter(|ms| (0..=WAITED_MS).contains(ms));
    let draft = Draft {
        at_ms: book.now_ms() - waited.unwrap_or(0),
        by: person.name.clone(),
        device: format!("phone {}", person.device),
        token: sent.token.clone(),
        about: about.to_owned(),
        value,
        corrects: None,
        bytes,
    };
    match book.store.write(&book.job.id, &draft) {
        Ok(written) => Ok(written),
        // Sent again it comes at another time: it is still the same.
        Err(fault @ Fault::TokenTaken { number, .. }) => {
            let there = book.entries()?.into_iter().map(|c| c.entry).find(|e| e.number == number);
            let same = there.filter(|e| e.about == draft.about && e.value == draft.value && e.by == draft.by);
            let written = same.map(|e| Written { number, hash: e.hash, again: true });
            Ok(written.ok_or_else(|| stop(&fault))?)
        }
        Err(fault) => Err(stop(&fault).into()),
    }
}

/// A new job with a rig file as its plan.
pub(crate) fn begin(station: &Station, person: &Person, rig: record::Rig, name: &str) -> Result<Job, Wrong> {
    let now = station.which.clock.now()?;
    let mut store = Store::open(&station.which.record).map_err(|f| stop(&f))?;
    let job = Job {
        id: token()?,
        name: name.trim().to_owned(),
        rig: rig.file.name.clone(),
        at_ms: now.timestamp().as_millisecond(),
        by: person.name.clone(),
    };
    store.start(&job).map_err(|f| stop(&f))?;
    let mut book = Notebook { store, job: job.clone(), now, clock: station.which.clock.clone() };
    write(&mut book, person, &Sent { token: token()?, waited: String::new() }, "", Value::Rig(rig), None)?;
    Ok(job)
}

/// A rig file and all that it names, as the record keeps a plan.
pub(crate) fn plan_of(known: &super::shelf::Known) -> Option<record::Rig> {
    let mut sources = known.reading.sources.iter();
    let file = File { name: format!("{}.toml", known.name), text: sources.next()?.text.clone() };
    Some(record::Rig {
        file,
        parts: sources.map(|s| File { name: s.name.clone(), text: s.text.clone() }).collect(),
    })
}

/// Why there is no rig of a job as it was built.
pub(crate) fn not_read() -> Wrong {
    Wrong::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "the plan of the job cannot be read as it was built",
        "clingfish go says what is wrong with it",
    )
}

/// The least vacuum of each cup, worked out once for each state of the rig.
#[derive(Default)]
pub(crate) struct Least(Mutex<HashMap<String, Limits>>);

/// By cup; none where no vacuum is enough.
type Limits = Arc<Vec<Option<f64>>>;

impl Least {
    /// Of a rig as it was built, by all that was measured.
    pub(crate) fn of(&self, past: &Past, rig: &rig::Rig) -> Result<Limits, Wrong> {
        let mark = super::kept::mark(past).unwrap_or_default().to_owned();
        let known = |map: &HashMap<String, Limits>| map.get(&mark).map(Arc::clone);
        if let Some(limits) = known(&self.0.lock().unwrap_or_else(PoisonError::into_inner)) {
            return Ok(limits);
        }
        let options = Options::default();
        let least = limits::vacuum(rig, options.resolution, options.build)
            .map_err(|f| Wrong::from(crate::command::check::cannot(&f)))?;
        let limits: Limits = Arc::new(least.iter().map(|v| v.least).collect());
        let mut map = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if map.len() > 50 {
            map.clear();
        }
        map.insert(mark, Arc::clone(&limits));
        Ok(limits)
    }
}
