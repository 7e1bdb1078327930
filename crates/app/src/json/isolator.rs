//! What `isolator --json` prints.

use rig::Rig;
use serde::Serialize;
use verdict::isolator::axis::{By, Spread};
use verdict::isolator::setting::Setting;
use verdict::isolator::{self as unit};

/// The isolator.
#[derive(Debug, Serialize)]
pub(crate) struct Isolator {
    rig: String,
    /// `FITS`, `HOLD` or `DOES NOT FIT`.
    answer: &'static str,
    exit_status: u8,
    payload_kg: f64,
    made_for_kg: Option<[f64; 2]>,
    axes: Vec<Axis>,
    air: Option<Air>,
    coil: Option<Coil>,
    sag_m: Option<f64>,
    travel_up_m: Option<f64>,
    travel_down_m: Option<f64>,
    pushes: Vec<Push>,
    transmissibility: Vec<Passed>,
    wrong: Vec<String>,
    doubts: Vec<String>,
    missing: Vec<super::picture::Missing>,
}

/// A value and its range.
#[derive(Debug, Serialize)]
struct Range {
    low: f64,
    value: f64,
    high: f64,
}

impl From<Spread> for Range {
    fn from(s: Spread) -> Self {
        Self { low: s.low, value: s.value, high: s.high }
    }
}

#[derive(Debug, Serialize)]
struct Axis {
    name: &'static str,
    frequency_hz: Option<Range>,
    /// `measured`, `spring`, `swing` or `unknown`.
    by: &'static str,
    damping_ratio: Range,
    damping_known: bool,
}

#[derive(Debug, Serialize)]
struct Air {
    load_on_each_n: f64,
    gauge_pa: f64,
    outside_pa: f64,
    more_for_each_kg_pa: f64,
    change_for_10_k_pa: f64,
    rate_slow_n_m: f64,
    rate_quick_n_m: f64,
    reads_now_pa: Option<f64>,
    floats_now_kg: Option<f64>,
    greatest_pa: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Coil {
    load_on_each_n: f64,
    gives_m: f64,
    length_m: Option<f64>,
    rate_at_payload_n_m: f64,
    to_solid_m: Option<f64>,
    set_length_m: Option<f64>,
    floats_now_kg: Option<f64>,
    seats_closer_m: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Push {
    manoeuvre: String,
    car_up_m_s2: f64,
    car_down_m_s2: f64,
    payload_down_m: f64,
    payload_up_m: f64,
    left_down_m: Option<f64>,
    left_up_m: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Passed {
    what: String,
    at_hz: f64,
    up_down: Range,
}

impl Isolator {
    pub(crate) fn of(rig: &Rig, i: &unit::Isolator, exit_status: u8) -> Self {
        let axes = i.axes.iter().map(|a| Axis {
            name: a.name,
            frequency_hz: a.frequency.map(Range::from),
            by: match a.by {
                By::Stated => "measured",
                By::Spring => "spring",
                By::Swing => "swing",
                By::Unknown => "unknown",
            },
            damping_ratio: a.damping.into(),
            damping_known: a.damping_known,
        });
        let (mut air, mut coil) = (None, None);
        match &i.setting {
            Some(Setting::Air(a)) => {
                air = Some(Air {
                    load_on_each_n: a.load_n,
                    gauge_pa: a.gauge_pa,
                    outside_pa: a.outside_pa,
                    more_for_each_kg_pa: a.per_kg_pa,
                    change_for_10_k_pa: a.per_10_k_pa,
                    rate_slow_n_m: a.rate_at_payload_n_m.0,
                    rate_quick_n_m: a.rate_at_payload_n_m.1,
                    reads_now_pa: a.now.map(|n| n.0),
                    floats_now_kg: a.now.map(|n| n.1),
                    greatest_pa: a.greatest.map(|n| n.0),
                });
            }
            Some(Setting::Coil(c)) => {
                coil = Some(Coil {
                    load_on_each_n: c.load_n,
                    gives_m: c.gives_m,
                    length_m: c.length_m,
                    rate_at_payload_n_m: c.rate_at_payload_n_m,
                    to_solid_m: c.to_solid_m,
                    set_length_m: c.set.map(|s| s.length_m),
                    floats_now_kg: c.set.map(|s| s.carries_kg),
                    seats_closer_m: c.set.map(|s| s.closer_m),
                });
            }
            None => {}
        }
        let pushes = i.pushes.iter().map(|p| Push {
            manoeuvre: p.manoeuvre.clone(),
            car_up_m_s2: p.up_m_s2,
            car_down_m_s2: p.down_m_s2,
            payload_down_m: p.goes_m.0,
            payload_up_m: p.goes_m.1,
            left_down_m: p.left_m.map(|l| l.0),
            left_up_m: p.left_m.map(|l| l.1),
        });
        let passed = i.passed.iter().map(|p| Passed {
            what: p.what.clone(),
            at_hz: p.at_hz,
            up_down: p.up_down.into(),
        });
        Self {
            rig: rig.name.clone(),
            answer: i.fits().word(),
            exit_status,
            payload_kg: i.payload_kg,
            made_for_kg: i.made_for.map(|(a, b)| [a, b]),
            axes: axes.collect(),
            air,
            coil,
            sag_m: i.sag_m,
            travel_up_m: i.travel_m.map(|t| t.0),
            travel_down_m: i.travel_m.map(|t| t.1),
            pushes: pushes.collect(),
            transmissibility: passed.collect(),
            wrong: i.wrong.clone(),
            doubts: i.doubts.clone(),
            missing: i.needs.iter().map(super::picture::Missing::of).collect(),
        }
    }
}
