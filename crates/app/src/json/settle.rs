//! What `settle --json` prints.

use crate::command::settle::{Answer, Log, Told};
use mechanics::settle::{Between, Check, Damping, Outcome, Setting, Settling, ToRest};
use serde::Serialize;

/// A release test.
#[derive(Debug, Serialize)]
pub(crate) struct Settle {
    exit_status: u8,
    units: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    trace: Option<Trace>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pair: Option<Pair>,
    #[serde(skip_serializing_if = "Option::is_none")]
    counted: Option<Counted>,
    #[serde(skip_serializing_if = "Option::is_none")]
    clicks: Option<Clicks>,
}

#[derive(Debug, Serialize)]
struct Column {
    number: usize,
    name: String,
    unit: String,
}

#[derive(Debug, Serialize)]
struct Trace {
    file: String,
    time: Column,
    signal: Column,
    kind: &'static str,
    samples: usize,
    notes: Vec<String>,
    #[serde(flatten)]
    outcome: Ends,
}

/// One of the three ends, under its own key.
#[derive(Debug, Serialize)]
#[serde(rename_all = "snake_case")]
enum Ends {
    Swings(Box<Swings>),
    Creeps { start_s: f64, ratio_at_least: f64, to_five_percent_s: f64 },
    Refused { word: &'static str, why: String, mend: &'static str },
}

#[derive(Debug, Serialize)]
struct Range {
    value: f64,
    low: f64,
    high: f64,
}

#[derive(Debug, Serialize)]
struct Swings {
    ratio: Option<Range>,
    damped_hz: Range,
    natural_hz: Range,
    overshoot: Option<Range>,
    damping: &'static str,
    dry_per_cycle: Option<Range>,
    dry_share: f64,
    first_swing: f64,
    level: f64,
    drift_per_s: f64,
    to_rest: Vec<Rest>,
    start_s: f64,
    end_s: f64,
    samples_used: usize,
    tops_used: usize,
    moves_again_s: Option<f64>,
    explained: f64,
    left_rms: f64,
    samples_sharing_one_error: f64,
    by_tops: Option<Beside>,
    by_envelope: Option<Beside>,
}

#[derive(Debug, Serialize)]
struct Rest {
    share: f64,
    seconds: f64,
    cycles: f64,
}

#[derive(Debug, Serialize)]
struct Beside {
    ratio: f64,
    half_width: f64,
    points: usize,
    agrees: bool,
}

#[derive(Debug, Serialize)]
struct Pair {
    #[serde(flatten)]
    trace: Trace,
    difference_over_its_half_width: Option<f64>,
    differ: Option<bool>,
}

#[derive(Debug, Serialize)]
struct Counted {
    decrement: Range,
    ratio: Range,
    damped_hz: Option<Range>,
    natural_hz: Option<Range>,
    reading: f64,
}

#[derive(Debug, Serialize)]
struct Test {
    clicks: f64,
    ratio: f64,
    half_width: f64,
}

#[derive(Debug, Serialize)]
struct Clicks {
    tests: Vec<Test>,
    now: Option<f64>,
    want: Option<f64>,
    /// None where no tested setting reaches it.
    at: Option<f64>,
    plus_minus: Option<f64>,
    turn: Option<f64>,
}

impl From<&Between> for Range {
    fn from(b: &Between) -> Self {
        Self { value: b.value, low: b.low, high: b.high }
    }
}

impl From<&ToRest> for Rest {
    fn from(r: &ToRest) -> Self {
        Self { share: r.share, seconds: r.seconds, cycles: r.cycles }
    }
}

impl From<&Check> for Beside {
    fn from(c: &Check) -> Self {
        Self { ratio: c.ratio, half_width: c.half_width, points: c.points, agrees: c.agrees }
    }
}

impl Settle {
    pub(crate) fn of(a: &Answer, exit_status: u8) -> Self {
        Self {
            exit_status,
            units: "SI: rad, rad/s, m/s2, m, s, Hz; ranges are 95 % intervals, those counted by eye the worst readings",
            trace: a.told.as_ref().map(Trace::of),
            pair: a.pair.as_ref().map(|p| Pair {
                trace: Trace::of(&p.told),
                difference_over_its_half_width: p.apart,
                differ: p.apart.map(|x| x > 1.0),
            }),
            counted: a.swings.as_ref().map(|s| Counted {
                decrement: (&s.told.decrement).into(),
                ratio: (&s.told.ratio).into(),
                damped_hz: s.told.damped_hz.as_ref().map(Range::from),
                natural_hz: s.told.natural_hz.as_ref().map(Range::from),
                reading: s.counted.reading,
            }),
            clicks: a.turn.as_ref().map(|t| {
                let at = match &t.want {
                    Some((_, Setting::At { clicks, off, .. })) => Some((*clicks, *off)),
                    _ => None,
                };
                Clicks {
                    tests: t
                        .tests
                        .iter()
                        .map(|t| Test { clicks: t.clicks, ratio: t.ratio, half_width: t.half_width })
                        .collect(),
                    now: t.now.map(|n| n.0),
                    want: t.want.as_ref().map(|w| w.0),
                    at: at.map(|a| a.0),
                    plus_minus: at.map(|a| a.1),
                    turn: at.zip(t.now).map(|(a, n)| a.0 - n.0),
                }
            }),
        }
    }
}

impl Trace {
    fn of(told: &Told) -> Self {
        let Log { name, trace } = &told.log;
        let column =
            |c: &trace::Column| Column { number: c.number, name: c.name.clone(), unit: c.unit.clone() };
        let outcome = match &told.outcome {
            Ok(Outcome::Swings(s)) => Ends::Swings(Box::new(Swings::of(s))),
            Ok(Outcome::Creeps(c)) => Ends::Creeps {
                start_s: c.start_s,
                ratio_at_least: c.ratio_at_least,
                to_five_percent_s: c.to_five_percent_s,
            },
            Err(r) => Ends::Refused { word: r.word(), why: r.to_string(), mend: r.mend() },
        };
        Self {
            file: name.clone(),
            time: column(&trace.time),
            signal: column(&trace.signal),
            kind: trace.kind.name(),
            samples: trace.samples.len(),
            notes: trace.notes.clone(),
            outcome,
        }
    }
}

impl Swings {
    fn of(s: &Settling) -> Self {
        Self {
            ratio: s.ratio.as_ref().map(Range::from),
            damped_hz: (&s.damped_hz).into(),
            natural_hz: (&s.natural_hz).into(),
            overshoot: s.overshoot.as_ref().map(Range::from),
            damping: match s.damping {
                Damping::Viscous => "viscous",
                Damping::Dry => "dry",
                Damping::Both => "both",
                Damping::NotKnown => "not known",
            },
            dry_per_cycle: s.dry_per_cycle.as_ref().map(Range::from),
            dry_share: s.dry_share,
            first_swing: s.first_swing,
            level: s.level,
            drift_per_s: s.drift_per_s,
            to_rest: s.to_rest.iter().map(Rest::from).collect(),
            start_s: s.window.start_s,
            end_s: s.window.end_s,
            samples_used: s.window.samples,
            tops_used: s.window.swings,
            moves_again_s: s.window.again_s,
            explained: s.quality.explained,
            left_rms: s.quality.left,
            samples_sharing_one_error: s.quality.shared,
            by_tops: s.by_tops.as_ref().map(Beside::from),
            by_envelope: s.by_envelope.as_ref().map(Beside::from),
        }
    }
}
