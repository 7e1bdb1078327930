//! What takes long: begun when somebody asks for it, worked out beside everything else, kept with the text that it belongs to.

use super::news::News;
use super::page::Wrong;
use super::shelf::Known;
use super::state::Station;
use crate::io::Stop;
use paper::Block;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use verdict::advise::Advice;
use verdict::limits::{Envelope, Largest};
use verdict::sweep::Around;

/// How hard the car may go, how far the plan may be stretched, and the least margins as the boom goes round.
pub(crate) struct Limits {
    pub(crate) envelope: Envelope,
    pub(crate) stretched: Vec<Largest>,
    pub(crate) around: Around,
}

/// A sheet as it is shown and as it is taken away.
pub(crate) struct Made {
    pub(crate) blocks: Vec<Block>,
    pub(crate) pdf: Vec<u8>,
}

/// One thing that takes long.
pub(crate) struct Work<T> {
    begun: AtomicBool,
    done: OnceLock<Result<T, Wrong>>,
}

impl<T> Default for Work<T> {
    fn default() -> Self {
        Self { begun: AtomicBool::new(false), done: OnceLock::new() }
    }
}

/// How far it is.
pub(crate) enum Stage<'a, T> {
    /// Nobody has asked for it.
    Unasked,
    /// Somebody has.
    Working,
    /// It is there, or why it is not.
    Done(Result<&'a T, &'a Wrong>),
}

impl<T> Work<T> {
    /// How far it is now.
    pub(crate) fn stage(&self) -> Stage<'_, T> {
        match self.done.get() {
            Some(done) => Stage::Done(done.as_ref()),
            None if self.begun.load(Ordering::Relaxed) => Stage::Working,
            None => Stage::Unasked,
        }
    }

    /// What came of it, once it is there.
    pub(crate) fn so_far(&self) -> Option<&T> {
        self.done.get().and_then(|done| done.as_ref().ok())
    }
}

/// All of it for one text.
#[derive(Default)]
pub(crate) struct Works {
    /// Held by what is at work: one at a time.
    turn: Mutex<()>,
    pub(crate) limits: Arc<Work<Limits>>,
    pub(crate) advice: Arc<Work<Advice>>,
    /// The last sheet that was asked for, with its cover as the address has it.
    pub(crate) sheet: Mutex<Option<(String, Arc<Work<Made>>)>>,
}

/// Begins it, unless somebody did; tells when it is there.
pub(crate) fn begin<T: Send + Sync + 'static>(
    station: &Arc<Station>,
    known: &Arc<Known>,
    work: &Arc<Work<T>>,
    make: impl FnOnce(&Known) -> Result<T, Stop> + Send + 'static,
) {
    let of = Arc::clone(known);
    apart(station, work, News::Verdict(known.name.clone()), move || {
        let _turn = of.works.turn.lock().unwrap_or_else(PoisonError::into_inner);
        // Nobody waits for what is said of a text that was changed meanwhile.
        if of.is_overtaken() {
            return Err(Stop::bad("the rig was changed meanwhile", "load the page again"));
        }
        make(&of)
    });
}

/// Begins what belongs to no rig file, unless somebody did; tells this news when it is there.
pub(crate) fn apart<T: Send + Sync + 'static>(
    station: &Arc<Station>,
    work: &Arc<Work<T>>,
    news: News,
    make: impl FnOnce() -> Result<T, Stop> + Send + 'static,
) {
    if work.begun.swap(true, Ordering::Relaxed) {
        return;
    }
    let (station, work) = (Arc::clone(station), Arc::clone(work));
    tokio::spawn(async move {
        let made = match tokio::task::spawn_blocking(make).await {
            Ok(made) => made.map_err(Wrong::from),
            Err(_) => Err(Stop::bad("this could not be worked out", "").into()),
        };
        // Only this one sets it.
        let _ = work.done.set(made);
        station.tell(news);
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::{Clock, Which};
    use crate::web::gate::Gate;
    use std::path::PathBuf;
    use std::sync::atomic::AtomicUsize;
    use tokio::sync::broadcast::error::RecvError;

    /// Begins `works` and hears that they are done.
    fn heard(
        works: &[Arc<Work<u8>>],
        make: impl Fn() -> Result<u8, Stop> + Send + Clone + 'static,
    ) -> Result<usize, RecvError> {
        let which = Which { record: PathBuf::new(), job: None, clock: Clock { at: None, zone: None } };
        let at = "127.0.0.1:1".parse().unwrap();
        let station = Arc::new(Station::new(PathBuf::new(), which, at, Gate::new().unwrap()));
        let known =
            Arc::new(Known::of("a rig", 1, String::new(), rig::read("", "a rig", &|_| Err(String::new()))));
        let run = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        run.block_on(async {
            let mut news = station.listen();
            for work in works {
                let make = make.clone();
                begin(&station, &known, work, move |_| make());
                assert!(!matches!(work.stage(), Stage::Unasked));
            }
            while works.iter().any(|w| !matches!(w.stage(), Stage::Done(_))) {
                assert_eq!(news.recv().await?, News::Verdict("a rig".to_owned()));
            }
            Ok(works.len())
        })
    }

    #[test]
    fn one_is_at_work_at_a_time_and_each_is_told() {
        let works: Vec<Arc<Work<u8>>> = (0..4).map(|_| Arc::default()).collect();
        assert!(matches!(works[0].stage(), Stage::Unasked) && works[0].so_far().is_none());
        let at_once = Arc::new(AtomicUsize::new(0));
        heard(&works, move || {
            let others = at_once.fetch_add(1, Ordering::SeqCst);
            std::thread::sleep(std::time::Duration::from_millis(20));
            at_once.fetch_sub(1, Ordering::SeqCst);
            Ok(u8::try_from(others).unwrap())
        })
        .unwrap();
        assert!(works.iter().all(|w| w.so_far() == Some(&0)));
    }

    #[test]
    fn what_goes_wrong_is_told_and_nothing_waits_for_ever() {
        let work: Arc<Work<u8>> = Arc::default();
        heard(std::slice::from_ref(&work), || Err(Stop::bad("no", ""))).unwrap();
        assert!(matches!(work.stage(), Stage::Done(Err(_))));
        let works: Vec<Arc<Work<u8>>> = (0..2).map(|_| Arc::default()).collect();
        heard(&works, || panic!("a fault of its own")).unwrap();
        assert!(works.iter().all(|w| matches!(w.stage(), Stage::Done(Err(_)))));
    }
}
