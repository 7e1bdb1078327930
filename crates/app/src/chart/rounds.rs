//! The gauges over time, and where their leaks may take them until the next round.

use draw::chart::{Along, Axis, Band, Limit, Line, Scale, Trend};
use rig::Rig;
use watch::rounds::CupRounds;

/// Readings since each cup was last pumped; none before there are any.
pub(crate) fn of(rig: &Rig, rounds: &[CupRounds]) -> Option<Trend> {
    let first = rounds.iter().flat_map(|c| &c.reads).map(|r| r.reading.time_s).reduce(f64::min)?;
    let mut series = Vec::new();
    let mut bands = Vec::new();
    for c in rounds {
        let tag = rig.cups.get(c.cup).map_or("?", |c| c.tag.as_str());
        if c.reads.is_empty() {
            continue;
        }
        let points = c.reads.iter().map(|r| (r.reading.time_s - first, r.reading.vacuum_pa)).collect();
        series.push(Line { label: format!("cup {tag}"), points, dots: false });
        let Some(leak) = c.leak.as_ref().ok().filter(|l| l.seen) else { continue };
        let fit = leak.likely_fit();
        let after = |rate: f64, from: f64, t: f64| {
            fit.law.vacuum_after_pa(rate, leak.ambient.pressure_pa, from, t).unwrap_or(f64::NAN)
        };
        let at = |t: f64| {
            let low = after(fit.rate_per_s.high, fit.vacuum_pa.low, t);
            let high = after(fit.rate_per_s.low.max(0.0), fit.vacuum_pa.high, t);
            (leak.last_s - first + t, low, high)
        };
        let ahead = rig.policy.rounds_s;
        let points = (0..=8).map(|k| at(ahead * f64::from(k) / 8.0)).collect();
        bands.push(Band { label: format!("cup {tag} ahead"), points });
    }
    let most = rounds.iter().filter_map(|c| c.limit_pa).reduce(f64::max);
    let limits = most.map(|at| Limit { label: "the most that a cup needs".to_owned(), at, along: Along::Y });
    Some(Trend {
        title: format!("{}: vacuum of each cup, round by round", rig.name),
        since: "time from the first reading".to_owned(),
        y: Axis::new("below the air outside", Scale::Linear).unit("kPa", 1000.0).other("inHg", 3386.389),
        series,
        bands,
        limits: limits.into_iter().collect(),
        notes: vec![
            "Band ahead of a cup that leaks: where its vacuum may be until the next round, 95 of 100, by its readings since it was last pumped.".to_owned(),
        ],
    })
}
