//! What everybody must see now, on whatever page: worked out by the server from the record and its own clock.
//!
//! Nothing is kept: an alert stands as long as its cause does, so it is gone from every phone once somebody has seen to it, and is there
//! again after the program was begun anew. It is told when it begins, without a phone asking, so a phone whose clock is wrong is told too.

use super::job;
use super::news::News;
use super::page::Wrong;
use super::state::Station;
use crate::command::job::done::work;
use crate::print::rounds::{View, Word};
use quantity::{Kind, both_kind};
use record::{Entry, State, Step, Value};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::broadcast::error::{RecvError, TryRecvError};
use watch::rounds::{CupRounds, due_ms};

/// A round that is so late is overdue, ms (judgement, no source): it is told once more, to whoever put the first away.
const LATE_MS: i64 = 10 * 60_000;
/// A job in which nothing was written for so long is not at work, ms (judgement, no source): a rig from last week is nobody's round now.
const ASLEEP_MS: i64 = 12 * 3_600_000;
/// Entries that came so close together are looked at once.
const TOGETHER: Duration = Duration::from_millis(100);
/// The record is looked at so often in any case: another program may write to it.
const LOOK: Duration = Duration::from_secs(30);

/// How a reason begins that is given for not signing.
pub(crate) const REFUSED: &str = "not signed: ";

/// What it is about, the most urgent first: so they stand in the bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Topic {
    /// A cup is under what the plan asks of it, or by its leak may be by now.
    Pump,
    /// A cup leaks more than the others, or its readings fit no steady leak: it holds now, and nobody knows for how long.
    LookAt,
    /// A round is overdue, and nobody knows how the cups stand.
    Overdue,
    /// It is due: the gauges are to be read before anybody counts on the cups.
    Due,
    /// Who should sign did not: the rig may not go on, and others may be working on what comes after.
    Refused,
    /// A step was taken back that others may have built upon.
    TakenBack,
}

impl Topic {
    /// In a word or two, over the rest.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Due => "Round due",
            Self::Overdue => "Round overdue",
            Self::Pump => "Pump",
            Self::LookAt => "Look",
            Self::Refused => "Not signed",
            Self::TakenBack => "Taken back",
        }
    }
}

/// What everybody must see.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Alert {
    /// The same as long as it is the same: by it a phone knows that it was put away.
    pub(crate) id: String,
    /// What it is about.
    pub(crate) topic: Topic,
    /// A sentence.
    pub(crate) words: String,
    /// Of which job: its name.
    pub(crate) job: String,
    /// Where to see to it.
    pub(crate) address: String,
}

/// What stands, and who has put it away.
#[derive(Default)]
pub(crate) struct Alerts {
    now: Mutex<Arc<Vec<Alert>>>,
    away: Mutex<HashMap<u32, BTreeSet<String>>>,
}

impl Alerts {
    /// What a device has not put away.
    pub(crate) fn of(&self, device: u32) -> Vec<Alert> {
        let all = Arc::clone(&self.now.lock().unwrap_or_else(PoisonError::into_inner));
        let away = self.away.lock().unwrap_or_else(PoisonError::into_inner);
        let gone = |a: &&Alert| away.get(&device).is_some_and(|ids| ids.contains(&a.id));
        all.iter().filter(|a| !gone(a)).cloned().collect()
    }

    /// Puts one away on a device; what does not stand is nothing to put away.
    pub(crate) fn put_away(&self, device: u32, id: &str) {
        if self.of(device).iter().any(|a| a.id == id) {
            let mut away = self.away.lock().unwrap_or_else(PoisonError::into_inner);
            away.entry(device).or_default().insert(id.to_owned());
        }
    }

    /// What stands now; whether it is another than before.
    fn set(&self, all: Vec<Alert>) -> bool {
        let mut away = self.away.lock().unwrap_or_else(PoisonError::into_inner);
        away.retain(|_, ids| {
            ids.retain(|id| all.iter().any(|a| a.id == *id));
            !ids.is_empty()
        });
        let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        let another = **now != all;
        if another {
            *now = Arc::new(all);
        }
        another
    }
}

/// What stands of a job, and the next moment at which that may be other without anybody writing, ms since 1970.
#[derive(Debug, Default)]
struct Look {
    alerts: Vec<Alert>,
    next_ms: Option<i64>,
}

impl Look {
    fn at(&mut self, moment: i64, now_ms: i64) {
        if moment > now_ms {
            self.next_ms = Some(self.next_ms.map_or(moment, |n| n.min(moment)));
        }
    }
}

/// What stands of one job.
fn of_job(station: &Station, id: &str) -> Result<Look, Wrong> {
    let book = job::open(station, id)?;
    let (now_ms, mut look) = (book.now_ms(), Look::default());
    let past = station.kept.past(&book)?;
    if past.entries().last().is_none_or(|e| now_ms - e.at_ms > ASLEEP_MS) {
        return Ok(look);
    }
    let tell = |look: &mut Look, id: String, topic: Topic, words: String, place: String| {
        let (job, address) = (book.job.name.clone(), format!("/job/{}/{place}", book.job.id));
        look.alerts.push(Alert { id: format!("{}-{id}", book.job.id), topic, words, job, address });
    };
    for (name, entry, reason) in taken_back(past.entries()) {
        let Ok((method, progress)) = work(&past) else { break };
        let Some(step) = method.find(name).filter(|s| !progress.done.contains(s)) else { continue };
        let by = &entry.by;
        let (topic, words) = match reason.strip_prefix(REFUSED) {
            Some(why) => (Topic::Refused, format!("{name}, by {by}: {why}. Nobody goes on")),
            None => (Topic::TakenBack, format!("{name}, by {by}: {reason}. Look at what was built on it")),
        };
        tell(&mut look, format!("step-{}", entry.number), topic, words, format!("build#step-{step}"));
    }
    // Held on to, it would be copied when the next entry comes.
    drop(past);
    // A plan that cannot be read has no rounds: the page of the job says why.
    if let Ok((rig, rounds)) = station.kept.rounds(&book, &station.least) {
        let due_ms = due_ms(&rig, &rounds);
        let view = View { rig: &rig, rounds: &rounds, due_ms, now_ms, clock: &book.clock };
        if let Some(due) = due_ms {
            let since = book.clock.shown(due);
            if now_ms >= due.saturating_add(LATE_MS) {
                let words = format!(
                    "it was due at {since}. Nobody knows how the cups stand: read every gauge before the car moves"
                );
                tell(&mut look, format!("late-{due}"), Topic::Overdue, words, "rounds".to_owned());
            } else if now_ms >= due {
                let words = format!("since {since}: read every gauge");
                tell(&mut look, format!("due-{due}"), Topic::Due, words, "rounds".to_owned());
            }
            look.at(due, now_ms);
            look.at(due.saturating_add(LATE_MS), now_ms);
        }
        for c in rounds.iter() {
            let (Some(last), Some(cup)) = (c.last(), rig.cups.get(c.cup)) else { continue };
            let (id, place) = (format!("cup-{}-{}", cup.tag, last.number), format!("rounds#cup-{}", cup.tag));
            match view.word(c) {
                Word::Pump => tell(&mut look, id, Topic::Pump, pump(&view, c, &cup.tag), place),
                Word::Look => tell(&mut look, id, Topic::LookAt, look_at(&view, c, &cup.tag), place),
                Word::Holds | Word::Read => {}
            }
            if let Some(left) = c.left.filter(|l| l.earliest_s.is_finite()) {
                #[allow(clippy::cast_possible_truncation, reason = "a year at most")]
                let left_ms = (left.earliest_s.clamp(0.0, 3.2e7) * 1000.0) as i64;
                look.at(last.at_ms.saturating_add(left_ms), now_ms);
            }
        }
    }
    Ok(look)
}

fn last(view: &View<'_>, c: &CupRounds) -> String {
    c.last().map_or_else(String::new, |r| {
        format!("{} at {}", both_kind(r.reading.vacuum_pa, Kind::Pressure), view.clock.shown(r.at_ms))
    })
}

fn look_at(view: &View<'_>, c: &CupRounds, tag: &str) -> String {
    let shown = last(view, c);
    let why = if c.leaks_more {
        "it leaks more than the others"
    } else if c.unread.is_empty() {
        "its readings fit no steady leak: misread, knocked, or leaking anew"
    } else {
        "one of its readings cannot be read"
    };
    format!("cup {tag}: {shown}; {why}")
}

fn pump(view: &View<'_>, c: &CupRounds, tag: &str) -> String {
    let shown = last(view, c);
    match c.limit_pa {
        None => format!("cup {tag}: {shown}, and no vacuum that the pump can make is enough for the plan"),
        Some(limit) if c.is_under() => {
            format!("cup {tag}: {shown}, it needs {}", both_kind(limit, Kind::Pressure))
        }
        Some(limit) => {
            let limit = both_kind(limit, Kind::Pressure);
            format!("cup {tag}: {shown}; by its leak it may be under {limit} by now")
        }
    }
}

/// The steps whose last word is that they were taken back: name, entry, reason.
fn taken_back(entries: &[Arc<Entry>]) -> Vec<(&str, &Entry, &str)> {
    let mut newest: BTreeMap<&str, (&Entry, &Step)> = BTreeMap::new();
    for entry in entries {
        if let Value::Step(step) = &entry.value {
            newest.insert(&entry.about, (entry, step));
        }
    }
    let back = newest.into_iter().filter(|(_, (_, step))| step.state == State::Undone);
    back.map(|(name, (entry, step))| (name, entry, step.reason.as_deref().unwrap_or(""))).collect()
}

/// Looks at every job; how long nothing may change by itself.
fn look(station: &Station) -> Duration {
    let (mut all, mut next) = (Vec::new(), None::<i64>);
    let Ok(jobs) = job::jobs(station) else { return LOOK };
    for job in jobs {
        // One that cannot be read says so on its own page.
        let Ok(look) = of_job(station, &job.id) else { continue };
        all.extend(look.alerts);
        next = next.into_iter().chain(look.next_ms).min();
    }
    all.sort_by_key(|a| a.topic);
    if station.alerts.set(all) {
        station.tell(News::Alerts);
    }
    let now_ms = station.which.clock.now().map_or(0, |now| now.timestamp().as_millisecond());
    next.map_or(LOOK, |at| Duration::from_millis(u64::try_from(at - now_ms).unwrap_or(0)).min(LOOK))
}

/// Looks whenever something was written and whenever something falls due, until the program ends.
pub(crate) async fn keep_watch(station: Arc<Station>) {
    let mut news = station.listen();
    loop {
        let of = Arc::clone(&station);
        let began = Instant::now();
        let wait = tokio::task::spawn_blocking(move || look(&of)).await.unwrap_or(LOOK);
        // However much is written, it looks for a part of the time.
        tokio::time::sleep(TOGETHER.max(3 * began.elapsed())).await;
        // Whether anything was written meanwhile.
        let mut again = false;
        loop {
            match news.try_recv() {
                Ok(News::End) | Err(TryRecvError::Closed) => return,
                Ok(News::Entry) | Err(TryRecvError::Lagged(_)) => again = true,
                Ok(_) => {}
                Err(TryRecvError::Empty) => break,
            }
        }
        if again {
            continue;
        }
        let until = tokio::time::sleep(wait);
        tokio::pin!(until);
        loop {
            tokio::select! {
                () = &mut until => break,
                heard = news.recv() => match heard {
                    Ok(News::End) | Err(RecvError::Closed) => return,
                    Ok(News::Entry) | Err(RecvError::Lagged(_)) => break,
                    Ok(_) => {}
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alert(id: &str) -> Alert {
        let (words, job, address) = ("w".to_owned(), "j".to_owned(), "/".to_owned());
        Alert { id: id.to_owned(), topic: Topic::Due, words, job, address }
    }

    #[test]
    fn one_that_is_put_away_stays_away_on_that_device_until_it_is_another() {
        let alerts = Alerts::default();
        assert!(alerts.set(vec![alert("a"), alert("b")]));
        assert!(!alerts.set(vec![alert("a"), alert("b")]), "nothing new");
        alerts.put_away(1, "a");
        alerts.put_away(1, "never there");
        let ids = |device| alerts.of(device).into_iter().map(|a| a.id).collect::<Vec<_>>();
        assert_eq!((ids(1), ids(2)), (vec!["b".to_owned()], vec!["a".to_owned(), "b".to_owned()]));
        assert!(alerts.set(vec![alert("b")]));
        // Gone and come again, it is another one.
        assert!(alerts.set(vec![alert("a"), alert("b")]));
        assert_eq!(ids(1).len(), 2);
        assert!(alerts.away.lock().unwrap().is_empty(), "nothing is kept of what is gone");
    }
}
