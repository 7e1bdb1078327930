//! The record of jobs as commands use it: which file, which job, who writes, and when.

use crate::io::Stop;
use crate::near::nearest;
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};
use record::{Current, Draft, Fault, Job, Store, Value, Written};
use std::path::PathBuf;
use watch::Past;

/// Which record, and which job in it.
#[derive(Clone, Debug, clap::Args)]
pub(crate) struct Which {
    /// The record's file.
    #[arg(
        long,
        value_name = "FILE",
        env = "CLINGFISH_RECORD",
        default_value = "clingfish.record",
        hide_env = true
    )]
    pub(crate) record: PathBuf,
    /// The job, by its name or the first digits of its id. Left out: the only one, else the last one started.
    #[arg(long, value_name = "JOB")]
    pub(crate) job: Option<String>,
    #[command(flatten)]
    pub(crate) clock: Clock,
}

/// What time it is.
#[derive(Clone, Debug, clap::Args)]
pub(crate) struct Clock {
    /// The time, if it is not now: "14:05", "2026-11-28 14:05", or RFC 3339.
    #[arg(long, value_name = "TIME")]
    pub(crate) at: Option<String>,
    /// The time zone of times: Europe/Berlin, UTC. Left out: this machine's.
    #[arg(long, value_name = "ZONE")]
    pub(crate) zone: Option<String>,
}

/// Who writes, and on what.
#[derive(Clone, Debug, clap::Args)]
pub(crate) struct Who {
    /// Who did it, measured it or saw it. Can stand in the environment as `CLINGFISH_BY`.
    #[arg(long, value_name = "NAME", env = "CLINGFISH_BY", hide_env = true)]
    pub(crate) by: String,
    /// The device it is written on.
    #[arg(long, value_name = "DEVICE", default_value = "command line", hide_default_value = true)]
    pub(crate) device: String,
    /// The number of an entry that this one puts right.
    #[arg(long, value_name = "NUMBER")]
    pub(crate) corrects: Option<u32>,
}

impl Clock {
    fn zone(&self) -> Result<TimeZone, Stop> {
        match &self.zone {
            None => Ok(TimeZone::system()),
            Some(name) => TimeZone::get(name).map_err(|e| {
                Stop::bad(
                    format!("--zone: {e}"),
                    "name it as the tz database does, like Europe/Berlin, or UTC",
                )
            }),
        }
    }

    /// Now, or the time that was given, in the zone.
    pub(crate) fn now(&self) -> Result<ZonedDateTime, Stop> {
        let zone = self.zone()?;
        let now = Timestamp::now().to_zoned_datetime(zone.clone());
        let Some(text) = self.at.as_deref().map(str::trim) else { return Ok(now) };
        if let Ok(t) = text.parse::<Timestamp>() {
            return Ok(t.to_zoned_datetime(zone));
        }
        let parts: Vec<&str> = text.split([' ', 'T']).filter(|p| !p.is_empty()).collect();
        let (date, time) = match parts[..] {
            [time] => (Ok(now.date()), time.parse::<Time>()),
            [date, time] => (date.parse::<Date>(), time.parse::<Time>()),
            _ => (text.parse::<Date>(), "00:00".parse::<Time>()),
        };
        let bad = || {
            Stop::bad(
                format!("--at \"{text}\" is no time"),
                "write it like \"14:05\", or \"2026-11-28 14:05\"",
            )
        };
        let (date, time) = (date.map_err(|_| bad())?, time.map_err(|_| bad())?);
        date.to_datetime(time).to_zoned_datetime(zone).map_err(|_| bad())
    }

    /// A moment of the record as it is shown: `28 Nov 14:05`.
    pub(crate) fn shown(&self, at_ms: i64) -> String {
        let zone = self.zone().unwrap_or(TimeZone::UTC);
        Timestamp::from_millisecond(at_ms).map_or_else(
            |_| "?".to_owned(),
            |t| t.to_zoned_datetime(zone).strftime("%-d %b %H:%M").to_string(),
        )
    }
}

/// A fault of the record as bad input: the rig is not to blame, the command cannot go on.
pub(crate) fn stop(fault: &Fault) -> Stop {
    let [what, why, mend] = fault.parts();
    Stop::bad(if why.is_empty() { what } else { format!("{what}: {why}") }, mend)
}

/// 32 random digits.
pub(crate) fn token() -> Result<String, Stop> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes)
        .map_err(|e| Stop::bad(format!("this machine gives no random numbers: {e}"), ""))?;
    Ok(format!("{:032x}", u128::from_be_bytes(bytes)))
}

/// An open record with one of its jobs.
pub(crate) struct Notebook {
    pub(crate) store: Store,
    pub(crate) job: Job,
    pub(crate) now: ZonedDateTime,
    pub(crate) clock: Clock,
}

impl Which {
    /// Opens a record that is there.
    pub(crate) fn store(&self) -> Result<Store, Stop> {
        if !self.record.exists() {
            return Err(Stop::bad(
                format!("there is no record {}", self.record.display()),
                "begin one with clingfish job start RIG, or name another with --record",
            ));
        }
        Store::open(&self.record).map_err(|f| stop(&f))
    }

    /// Opens a record and finds the job.
    pub(crate) fn open(&self) -> Result<Notebook, Stop> {
        let store = self.store()?;
        let jobs = store.jobs().map_err(|f| stop(&f))?;
        let job = match &self.job {
            None => jobs.into_iter().max_by_key(|j| j.at_ms),
            Some(asked) => {
                let like = |j: &&Job| {
                    j.name.eq_ignore_ascii_case(asked.trim())
                        || (asked.len() >= 4 && j.id.starts_with(&asked.to_lowercase()))
                };
                let found: Vec<&Job> = jobs.iter().filter(like).collect();
                match found[..] {
                    [one] => Some(one.clone()),
                    [] => {
                        let names: Vec<String> = jobs.iter().map(|j| j.name.clone()).collect();
                        let near = nearest(asked, &names)
                            .map_or(String::new(), |n| format!("did you mean \"{n}\"? "));
                        return Err(Stop::bad(
                            format!("no job is called \"{asked}\""),
                            format!("{near}clingfish job list names them"),
                        ));
                    }
                    _ => {
                        return Err(Stop::bad(
                            format!("more than one job is called \"{asked}\""),
                            "name it by the first digits of its id: clingfish job list",
                        ));
                    }
                }
            }
        };
        let job = job.ok_or_else(|| {
            Stop::bad("the record has no job yet", "begin one with clingfish job start RIG")
        })?;
        Ok(Notebook { store, job, now: self.clock.now()?, clock: self.clock.clone() })
    }
}

impl Notebook {
    /// Now, as the record counts.
    pub(crate) fn now_ms(&self) -> i64 {
        self.now.timestamp().as_millisecond()
    }

    /// All entries.
    pub(crate) fn entries(&self) -> Result<Vec<Current>, Stop> {
        self.store.current(&self.job.id).map_err(|f| stop(&f))
    }

    /// What stands now.
    pub(crate) fn past(&self) -> Result<Past, Stop> {
        Ok(Past::of(&self.entries()?))
    }

    /// Writes an entry.
    pub(crate) fn write(&mut self, who: &Who, about: &str, value: Value) -> Result<Written, Stop> {
        self.write_with(who, about, value, None)
    }

    /// Writes an entry with the bytes of a photo.
    pub(crate) fn write_with(
        &mut self,
        who: &Who,
        about: &str,
        value: Value,
        bytes: Option<Vec<u8>>,
    ) -> Result<Written, Stop> {
        let draft = Draft {
            at_ms: self.now_ms(),
            by: who.by.clone(),
            device: who.device.clone(),
            token: token()?,
            about: about.to_owned(),
            value,
            corrects: who.corrects,
            bytes,
        };
        self.store.write(&self.job.id, &draft).map_err(|f| stop(&f))
    }
}
