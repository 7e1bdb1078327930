//! Vacuum readings of each cup: leak, time left, which cup leaks more than its peers, when to walk round next.

use crate::past::Past;
use mechanics::air::atmosphere::Air;
use mechanics::leak::{self, Ambient, Estimate, Fit, Leak, LeakError, Reading, TimeLeft};
use quantity::{Kind, parse_kind};
use record::Value;
use rig::Rig;
use std::collections::BTreeMap;

/// A reading in SI, and where it stands in the record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Read {
    /// Number of the entry.
    pub number: u32,
    /// When, ms since 1970 UTC.
    pub at_ms: i64,
    /// The cup was pumped just before it.
    pub pumped: bool,
    /// In SI; its time is in s since 1970.
    pub reading: Reading,
}

/// What the readings of one cup say.
#[derive(Clone, Debug)]
pub struct CupRounds {
    /// Place of the cup in the rig.
    pub cup: usize,
    /// All of its readings that can be read.
    pub reads: Vec<Read>,
    /// Entries whose value cannot be read, with why.
    pub unread: Vec<(u32, String)>,
    /// The leak since it was last pumped, or why there is none to tell.
    pub leak: Result<Leak, LeakError>,
    /// The least vacuum at which it does what the plan asks of it; none where that is not known or no vacuum is enough.
    pub limit_pa: Option<f64>,
    /// Time to that limit from the last reading.
    pub left: Option<TimeLeft>,
    /// What its last reading counts for at the site in the air of now, Pa: never more than the gauge showed.
    pub counted_pa: Option<f64>,
    /// It leaks more than the others.
    pub leaks_more: bool,
}

impl CupRounds {
    /// The last reading.
    pub fn last(&self) -> Option<&Read> {
        self.reads.last()
    }

    /// Whether it is under its limit, as far as that is known.
    pub fn is_under(&self) -> bool {
        self.counted_pa.zip(self.limit_pa).is_some_and(|(counted, limit)| counted < limit)
    }

    /// Seconds since the last reading.
    pub fn age_s(&self, now_ms: i64) -> Option<f64> {
        self.last().map(|r| seconds(now_ms - r.at_ms))
    }

    /// What may be lost from the last reading until the next, s after it, Pa: under either law, from the lower end of its vacuum and with the
    /// upper end of its leak.
    pub fn loss_pa(&self, until_next_s: f64) -> Option<f64> {
        let (leak, last) = (self.leak.as_ref().ok()?, self.last()?);
        let outside = leak.ambient.pressure_pa;
        let left = |fit: &Fit| {
            let low = fit.vacuum_pa.low.clamp(0.0, outside);
            fit.law.vacuum_after_pa(fit.rate_per_s.high, outside, low, until_next_s).ok()
        };
        let left = left(&leak.orifice)?.min(left(&leak.exponential)?);
        Some((last.reading.vacuum_pa - left).max(0.0))
    }
}

#[allow(clippy::cast_precision_loss, reason = "milliseconds of a few years are exact")]
fn seconds(ms: i64) -> f64 {
    ms as f64 / 1000.0
}

/// The temperatures that were logged, K, each with the number of its entry, in their order.
fn logged(past: &Past) -> Vec<(u32, f64)> {
    let of = |e: &record::Entry| match &e.value {
        Value::Weather(w) => Some((e.number, parse_kind(w.temperature.as_ref()?, Kind::Temperature).ok()?)),
        _ => None,
    };
    past.entries().iter().filter_map(|e| of(e)).collect()
}

/// The newest temperature that was logged before an entry, K; the site's where there is none.
fn temperature_k(logged: &[(u32, f64)], rig: &Rig, before: u32) -> f64 {
    let newest = logged.iter().rev().find(|(number, _)| *number < before);
    newest.map_or(rig.site.temperature.value, |(_, t)| *t)
}

/// The air of a reading: as written with it, else as it was logged before, else as the site has it.
fn ambient(
    warmth: &[(u32, f64)],
    rig: &Rig,
    (number, r): (u32, &record::Reading),
) -> Result<Ambient, String> {
    let value = |text: &Option<String>, kind: Kind| match text {
        Some(text) => parse_kind(text, kind).map(Some).map_err(|f| f.to_string()),
        None => Ok(None),
    };
    let own = value(&r.temperature, Kind::Temperature)?;
    let temperature_k = own.unwrap_or_else(|| temperature_k(warmth, rig, number));
    if let Some(pressure_pa) = value(&r.pressure, Kind::Pressure)? {
        return Ok(Ambient { pressure_pa, temperature_k });
    }
    let altitude = value(&r.altitude, Kind::Length)?.unwrap_or(rig.site.altitude.value);
    let air = Air::with_temperature(altitude, temperature_k).map_err(|e| e.to_string())?;
    Ok(Ambient { pressure_pa: air.pressure_pa(), temperature_k })
}

fn read(
    warmth: &[(u32, f64)],
    rig: &Rig,
    r: &record::Reading,
    (number, at_ms): (u32, i64),
) -> Result<Reading, String> {
    let vacuum_pa = parse_kind(&r.vacuum, Kind::Pressure).map_err(|f| f.to_string())?;
    let air = ambient(warmth, rig, (number, r))?;
    Ok(Reading {
        time_s: seconds(at_ms),
        vacuum_pa,
        ambient_pa: air.pressure_pa,
        temperature_k: air.temperature_k,
    })
}

/// The site as it is now: its height, the air as it was logged last.
fn here(warmth: &[(u32, f64)], rig: &Rig) -> Option<Ambient> {
    let temperature_k = temperature_k(warmth, rig, u32::MAX);
    let air = Air::with_temperature(rig.site.altitude.value, temperature_k).ok()?;
    Some(Ambient { pressure_pa: air.pressure_pa(), temperature_k })
}

/// The highest and warmest of the route and of now: the air that is ahead.
fn ahead(warmth: &[(u32, f64)], rig: &Rig, then: Ambient) -> Ambient {
    let site = &rig.site;
    let height = site.highest.as_ref().map_or(site.altitude.value, |f| f.value.max(site.altitude.value));
    let pressure =
        Air::with_temperature(height, site.temperature.value).map_or(then.pressure_pa, |a| a.pressure_pa());
    let now = temperature_k(warmth, rig, u32::MAX).max(then.temperature_k);
    let hottest = site.hottest.as_ref().map_or(now, |f| f.value.max(now));
    Ambient { pressure_pa: pressure.min(then.pressure_pa), temperature_k: hottest }
}

/// What all readings say. `rig` is the rig as built, its site as planned: what was logged of the weather is read from the record. `limits_pa` has the least vacuum of each cup, in the rig's order; short or empty where it is not known.
pub fn of(past: &Past, rig: &Rig, limits_pa: &[Option<f64>]) -> Vec<CupRounds> {
    of_again(past, rig, limits_pa, &mut Worked::default())
}

/// Readings in SI that were worked out before. For one rig: for another begin with an empty one.
#[derive(Clone, Debug, Default)]
pub struct Worked {
    /// By number of the entry; an entry never changes.
    readings: BTreeMap<u32, Result<Reading, String>>,
    /// What was logged of the air: they hang on it.
    warmth: Vec<(u32, f64)>,
}

/// As [`of`], where the same job is looked at again and again: only new readings are worked out.
pub fn of_again(past: &Past, rig: &Rig, limits_pa: &[Option<f64>], worked: &mut Worked) -> Vec<CupRounds> {
    let warmth = logged(past);
    if worked.warmth != warmth {
        *worked = Worked { readings: BTreeMap::new(), warmth };
    }
    let mut out: Vec<CupRounds> = rig
        .cups
        .iter()
        .enumerate()
        .map(|(i, cup)| one(past, rig, (i, &cup.tag, limits_pa.get(i).copied().flatten()), worked))
        .collect();
    let rates: Vec<(usize, Estimate)> = out
        .iter()
        .enumerate()
        .filter_map(|(i, c)| {
            let leak = c.leak.as_ref().ok()?;
            let here = leak.ambient;
            // At one vacuum, so that cups read at different ones can be compared.
            let same = 0.5 * here.pressure_pa;
            Some((i, leak.fall_at_pa_per_s(same, here).ok()?))
        })
        .collect();
    let estimates: Vec<Estimate> = rates.iter().map(|(_, e)| *e).collect();
    if let Ok(peers) = leak::peers(&estimates) {
        for more in peers.more {
            if let Some((cup, _)) = rates.get(more) {
                out[*cup].leaks_more = true;
            }
        }
    }
    out
}

fn one(
    past: &Past,
    rig: &Rig,
    (cup, tag, limit_pa): (usize, &str, Option<f64>),
    worked: &mut Worked,
) -> CupRounds {
    let (mut reads, mut unread) = (Vec::new(), Vec::new());
    let Worked { readings, warmth } = worked;
    for entry in past.entries().iter().filter(|e| e.about == tag) {
        let Value::Reading(r) = &entry.value else { continue };
        let reading =
            readings.entry(entry.number).or_insert_with(|| read(warmth, rig, r, (entry.number, entry.at_ms)));
        match reading {
            Ok(reading) => {
                let reading = *reading;
                reads.push(Read { number: entry.number, at_ms: entry.at_ms, pumped: r.pumped, reading });
            }
            Err(why) => unread.push((entry.number, why.clone())),
        }
    }
    // By the time of the reading: one that was entered late belongs where it was taken.
    reads.sort_by_key(|r| (r.at_ms, r.number));
    let start = reads.iter().rposition(|r| r.pumped).unwrap_or(0);
    let since: Vec<Reading> = reads[start..].iter().map(|r| r.reading).collect();
    let leak = leak::fit(&since, rig.policy.gauge_pa);
    let left = leak
        .as_ref()
        .ok()
        .zip(limit_pa)
        .and_then(|(leak, limit)| leak.time_to(limit, ahead(warmth, rig, leak.ambient)).ok());
    // The air in the cup is what it was; outside it may be thinner now, or warmer. What would be more than the gauge showed is not counted.
    let counted_pa = reads.last().map(|last| {
        let now = here(warmth, rig).and_then(|here| last.reading.vacuum_at_pa(here).ok());
        now.unwrap_or(0.0).clamp(0.0, last.reading.vacuum_pa.max(0.0))
    });
    CupRounds { cup, reads, unread, leak, limit_pa, left, counted_pa, leaks_more: false }
}

/// When the next round is due, ms since 1970: half the earliest time to a limit of any cup, and never later than the longest time between
/// two readings. Half is common practice, no source: what is found then can still be put right.
pub fn due_ms(rig: &Rig, rounds: &[CupRounds]) -> Option<i64> {
    rounds
        .iter()
        .map(|c| {
            let last = c.last()?;
            let most = rig.policy.rounds_s;
            let s = c.left.map_or(most, |l| most.min(0.5 * l.earliest_s));
            #[allow(clippy::cast_possible_truncation, reason = "a day at most")]
            Some(last.at_ms.saturating_add((s.clamp(0.0, 86_400.0) * 1000.0) as i64))
        })
        .collect::<Option<Vec<i64>>>()?
        .into_iter()
        .min()
}
