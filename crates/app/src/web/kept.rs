//! Each job as it was read last: of a record that only grows, only what came since is read again.

use super::job::Least;
use super::page::Wrong;
use crate::notebook::{Notebook, stop};
use record::Value;
use rig::Rig;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use watch::Past;
use watch::built::AsBuilt;
use watch::rounds::{self, CupRounds, Worked};

/// What the gauges of a job say, in the rig's order of cups.
pub(crate) type Rounds = Arc<Vec<CupRounds>>;

/// The jobs that were read, by id.
#[derive(Default)]
pub(crate) struct Kept(Mutex<HashMap<String, Arc<Known>>>);

/// One job. Who only writes waits for the first alone.
#[derive(Default)]
struct Known {
    read: Mutex<Read>,
    rounds: Mutex<Rounded>,
}

/// The rounds of a rig as built, with the last entry that they know of.
#[derive(Default)]
struct Rounded {
    last: String,
    rig: Option<Arc<Rig>>,
    worked: Worked,
    rounds: Rounds,
}

#[derive(Default)]
struct Read {
    past: Arc<Past>,
    /// Number and hash of the last entry that is in it.
    last: Option<(u32, String)>,
    /// The rig as built, with the entry that it hangs on.
    rig: Option<(String, Arc<Rig>)>,
}

/// Its hash names the newest entry that a rig as built may hang on; none where there is no plan.
pub(crate) fn mark(past: &Past) -> Option<&str> {
    let makes =
        |v: &Value| matches!(v, Value::Rig(_) | Value::Measured(_) | Value::Torque(_) | Value::Weight(_));
    past.entries().iter().rev().find(|e| makes(&e.value)).map(|e| e.hash.as_str())
}

fn locked<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    // What is put in is whole, or is read anew.
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Read {
    fn up_to_date(&mut self, book: &Notebook) -> Result<(), Wrong> {
        let (number, hash) = self.last.clone().unwrap_or_default();
        // The last one is read once more: in another file under the same name it would be another.
        let mut new = book.store.entries(&book.job.id, number.saturating_sub(1)).map_err(|f| stop(&f))?;
        if number > 0 && new.first().is_none_or(|e| e.number != number || e.hash != hash) {
            *self = Self::default();
            new = book.store.entries(&book.job.id, 0).map_err(|f| stop(&f))?;
        }
        let past = Arc::make_mut(&mut self.past);
        let known = self.last.as_ref().map_or(0, |(number, _)| *number);
        for entry in new.into_iter().filter(|e| e.number > known) {
            self.last = Some((entry.number, entry.hash.clone()));
            past.add(entry);
        }
        Ok(())
    }

    fn rig(&mut self) -> Result<Arc<Rig>, Wrong> {
        let mark = mark(&self.past).unwrap_or_default();
        if let Some((of, rig)) = &self.rig
            && of == mark
        {
            return Ok(Arc::clone(rig));
        }
        let rig = AsBuilt::of(&self.past).read(&self.past, &[]).and_then(|r| r.rig);
        let rig = Arc::new(rig.ok_or_else(super::job::not_read)?);
        self.rig = Some((mark.to_owned(), Arc::clone(&rig)));
        Ok(rig)
    }
}

impl Rounded {
    fn of(&mut self, (past, rig): (&Past, Arc<Rig>), least: &Least) -> Result<(Arc<Rig>, Rounds), Wrong> {
        if self.rig.as_ref().is_none_or(|r| !Arc::ptr_eq(r, &rig)) {
            *self = Self { rig: Some(Arc::clone(&rig)), ..Self::default() };
        }
        let last = past.entries().last().map_or("", |e| e.hash.as_str());
        if self.last != last {
            let limits = least.of(past, &rig)?;
            self.rounds = Arc::new(rounds::of_again(past, &rig, &limits, &mut self.worked));
            last.clone_into(&mut self.last);
        }
        Ok((rig, Arc::clone(&self.rounds)))
    }
}

impl Kept {
    fn known(&self, book: &Notebook) -> Arc<Known> {
        Arc::clone(locked(&self.0).entry(book.job.id.clone()).or_default())
    }

    fn read<T>(&self, book: &Notebook, take: impl FnOnce(&mut Read) -> Result<T, Wrong>) -> Result<T, Wrong> {
        let known = self.known(book);
        let mut read = locked(&known.read);
        read.up_to_date(book)?;
        take(&mut read)
    }

    /// What stands in the record of an open job now.
    pub(crate) fn past(&self, book: &Notebook) -> Result<Arc<Past>, Wrong> {
        self.read(book, |r| Ok(Arc::clone(&r.past)))
    }

    /// The rig as built.
    pub(crate) fn rig(&self, book: &Notebook) -> Result<Arc<Rig>, Wrong> {
        self.read(book, Read::rig)
    }

    /// The rig as built and what its gauges say.
    pub(crate) fn rounds(&self, book: &Notebook, least: &Least) -> Result<(Arc<Rig>, Rounds), Wrong> {
        let known = self.known(book);
        let mut rounds = locked(&known.rounds);
        let (past, rig) = self.read(book, |r| Ok((Arc::clone(&r.past), r.rig()?)))?;
        rounds.of((&past, rig), least)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::Clock;
    use record::{Draft, Job, Note, Store};

    fn book(job: &str) -> Notebook {
        let mut store = Store::in_memory().unwrap();
        let job = Job { id: job.repeat(32), name: "n".into(), rig: "r".into(), at_ms: 1, by: "b".into() };
        store.start(&job).unwrap();
        let clock = Clock { at: None, zone: Some("UTC".into()) };
        Notebook { store, job, now: clock.now().unwrap(), clock }
    }

    fn write(book: &mut Notebook, text: &str, corrects: Option<u32>) {
        let value = Value::Note(Note { text: text.to_owned() });
        let (by, device) = ("b".to_owned(), "d".to_owned());
        let token = format!("{text:a>20}");
        let about = "step".to_owned();
        let draft = Draft { at_ms: 5, by, device, token, about, value, corrects, bytes: None };
        book.store.write(&book.job.id, &draft).unwrap();
    }

    /// What is kept and what a reading of the whole gives are the same.
    fn same(kept: &Kept, book: &Notebook) -> usize {
        let (kept, whole) =
            (kept.past(book).unwrap_or_else(|w| panic!("{}", w.what())), book.past().unwrap());
        assert_eq!(kept.entries(), whole.entries());
        kept.entries().len()
    }

    #[test]
    fn what_was_read_before_and_what_came_since_are_the_whole() {
        let (kept, mut one) = (Kept::default(), book("a"));
        assert_eq!(same(&kept, &one), 0);
        for n in 1..=5 {
            write(&mut one, &format!("note {n}"), None);
            assert_eq!(same(&kept, &one), n);
        }
        write(&mut one, "note 3 put right", Some(3));
        assert_eq!(same(&kept, &one), 5);
        assert_eq!(same(&kept, &one), 5);
        // Another file in its place: longer, shorter, and of the same length.
        for many in [9_usize, 2, 6, 0] {
            let mut other = book("a");
            for n in 0..many {
                write(&mut other, &format!("{many} other {n}"), None);
            }
            assert_eq!(same(&kept, &other), many);
        }
    }
}
