//! How a job stands now: what `clingfish go` says, on every phone, worked out anew when something was written.

use super::{Answer, away, of_job};
use crate::command::go::untold;
use crate::notebook::stop;
use crate::print::standing::{CAUTION, Point, Section, sections};
use crate::web::frame::{Place, capital, segment};
use crate::web::gate::Person;
use crate::web::job;
use crate::web::news::News;
use crate::web::state::Station;
use crate::web::strip;
use crate::web::works::{Stage, Work, apart};
use axum::extract::{Path, State};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};
use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use verdict::verdict::Options;
use watch::Standing;

pub(super) const PLACE: Place =
    Place { path: "standing", title: "Standing", says: "GO, HOLD or NO-GO now, and what is open" };

/// While a round is overdue, how long ago each gauge was read is told anew after this, ms.
const OVERDUE_MS: i64 = 300_000;
/// Jobs whose standing is kept.
const JOBS: usize = 20;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/job/{id}/standing", get(page))
}

/// The standing of a job after one entry of its record.
struct Kept {
    /// Hash of that entry.
    head: String,
    work: Arc<Work<Stands>>,
    /// What it was before, in a word.
    before: Option<&'static str>,
    /// Something was written since, so that nobody asks for this one any more.
    overtaken: Arc<AtomicBool>,
}

/// What stands in for one state of a record.
struct Asked {
    work: Arc<Work<Stands>>,
    before: Option<&'static str>,
    overtaken: Arc<AtomicBool>,
}

impl Kept {
    fn asked(&self) -> Asked {
        let Self { work, before, overtaken, .. } = self;
        Asked { work: Arc::clone(work), before: *before, overtaken: Arc::clone(overtaken) }
    }
}

/// A standing and when it was worked out, ms since 1970 UTC.
struct Stands {
    standing: Standing,
    at_ms: i64,
}

impl Stands {
    /// Whether time alone has made it another: the next round has fallen due since, or has been due for long.
    fn is_late(&self, now_ms: i64) -> bool {
        let over = |due: i64| due < now_ms && (self.at_ms <= due || now_ms - self.at_ms > OVERDUE_MS);
        self.standing.due_ms.is_some_and(over)
    }
}

/// How each job stands, worked out once for each state of its record.
#[derive(Default)]
pub(crate) struct Standings(Mutex<HashMap<String, Kept>>);

impl Standings {
    /// The work for a job whose newest entry has this hash, and the answer before that entry.
    fn of(&self, job: &str, head: &str, now_ms: i64) -> Asked {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let last = kept.get(job);
        if let Some(last) = last.filter(|k| k.head == head)
            && !last.work.so_far().is_some_and(|s| s.is_late(now_ms))
        {
            return last.asked();
        }
        if let Some(last) = last {
            last.overtaken.store(true, Ordering::Relaxed);
        }
        let before = last.and_then(|k| k.work.so_far().map(|s| s.standing.answer.word()).or(k.before));
        if kept.len() >= JOBS && !kept.contains_key(job) {
            kept.clear();
        }
        let new = Kept { head: head.to_owned(), work: Arc::default(), before, overtaken: Arc::default() };
        let asked = new.asked();
        kept.insert(job.to_owned(), new);
        asked
    }
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(id): Path<String>,
) -> Answer {
    let (of, job) = (Arc::clone(&station), id.clone());
    let (book, past, head) = away(move || {
        let book = job::open(&of, &job)?;
        let head = book.store.head(&book.job.id).map_err(|f| stop(&f))?;
        let past = book.past()?;
        Ok((book, past, head))
    })
    .await?;
    let now_ms = book.now_ms();
    let Asked { work, before, overtaken } = station.standings.of(&id, &head.hash, now_ms);
    apart(&station, &work, News::Entry, move || {
        let options = Options { stop: &|| overtaken.load(Ordering::Relaxed), ..Options::default() };
        let standing = Standing::of(&past, now_ms, &options).map_err(untold)?;
        Ok(Stands { standing, at_ms: now_ms })
    });
    let shown = |at_ms| book.clock.shown(at_ms);
    let body = html! {
        h1 { "Standing" }
        div #standing data-live {
            @match work.stage() {
                Stage::Unasked | Stage::Working => {
                    p.verdict.working role="status" { b { "Working it out" } span { "the rig as built, every state and every loss, the gauges, the steps" } }
                    @if let Some(before) = before { p { "Before the newest entry it was " b { (before) } "." } }
                }
                Stage::Done(Err(wrong)) => { (wrong.words()) }
                Stage::Done(Ok(stands)) => { (whole(&id, stands, &shown)) }
            }
            p.scope { (CAUTION) }
            p.record { "Record: " code { (head.number) ":" (head.hash) } }
        }
    };
    Ok(of_job(&station, &person, (&id, &book.job.name), &PLACE, body))
}

/// As a sentence begins; a key of the file stays as it is written.
fn sentence(text: &str) -> String {
    let first = text.split([' ', ':']).next().unwrap_or_default();
    if first.contains('.') { text.to_owned() } else { capital(text) }
}

fn whole(id: &str, stands: &Stands, shown: &dyn Fn(i64) -> String) -> Markup {
    let s = &stands.standing;
    let (done, steps) = (s.progress.done.len(), s.method.steps.len());
    let why = match (s.against.len(), s.wants.len()) {
        (0, 0) => "Nothing is against it and nothing is missing.".to_owned(),
        (0, n) => format!("{n} missing."),
        (n, 0) => format!("{n} against it."),
        (n, m) => format!("{n} against it, {m} missing."),
    };
    html! {
        p.verdict.(strip::of_answer(s.answer)) { b { (s.answer.word()) } span { (why) " " (capital(&s.rig.name)) ", as built, " (shown(stands.at_ms)) "." } }
        p { a href={ "/job/" (segment(id)) "/build" } { "Build" } ": " (done) " of " (steps) " steps done. "
            a href={ "/job/" (segment(id)) "/rounds" } { "Rounds" } ": "
            @match s.due_ms {
                Some(due) => { "next " b data-due=(due) { (shown(due)) } ", by " (shown(due)) "." }
                None => { "not every cup was read." }
            }
        }
        @for section in sections(s) { (part(&section)) }
    }
}

fn part(section: &Section<'_>) -> Markup {
    html! {
        h2 { (section.heading) }
        ul.settle {
            @for point in &section.points {
                @match point {
                    Point::Want(w) => { li { p { strong { (capital(&w.what)) } } @if !w.mend.is_empty() { p { "To settle it: " (without_command(&w.mend)) } } } }
                    Point::Said(text) => { li { (sentence(text)) } }
                    Point::Entry(number, text) => { li { "Entry " (number) ": " (text) } }
                }
            }
        }
    }
}

/// What to do, without the command that does it on the terminal.
fn without_command(mend: &str) -> &str {
    mend.split_once(": clingfish ").map_or(mend, |(what, _)| what)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_standing_is_kept_until_something_is_written() {
        let all = Standings::default();
        let first = all.of("job", "a", 0);
        assert_eq!(first.before, None);
        assert!(Arc::ptr_eq(&first.work, &all.of("job", "a", 1_000_000).work), "nothing was written");
        assert!(!Arc::ptr_eq(&first.work, &all.of("other", "a", 0).work));
        assert!(!first.overtaken.load(Ordering::Relaxed));
        assert!(!Arc::ptr_eq(&first.work, &all.of("job", "b", 0).work));
        assert!(first.overtaken.load(Ordering::Relaxed), "nobody waits for the older one");
        assert_eq!(without_command("read its gauge: clingfish round"), "read its gauge");
        assert_eq!(without_command("weigh it"), "weigh it");
        assert_eq!(sentence("cup.FL.aft: 1 m"), "cup.FL.aft: 1 m");
        assert_eq!(sentence("cup FL read at 66 kPa"), "Cup FL read at 66 kPa");
    }
}
