//! What `balance --json` prints.

use super::finding::Found;
use rig::Rig;
use serde::Serialize;
use verdict::balance::{Balance, Drive, Left, Plan, Plans};

/// The boom's balance. Moments: nose-heavy is positive.
#[derive(Debug, Serialize)]
pub(crate) struct Shape {
    rig: String,
    exit_status: u8,
    /// What nobody has weighed; with it, no plan and no drive is given.
    not_weighed: Option<NotWeighed>,
    plans: Option<Ways>,
    with_elevation: Option<Spread>,
    elevations: Vec<Row>,
    tilt_drive: Option<One>,
    pan_drive: Option<One>,
    tilt_drive_when_balanced: Option<Found>,
    slope: Option<Slope>,
    payloads: Vec<Other>,
    lens_changes: Vec<Lens>,
    before_you_touch_it: &'static [&'static str],
    left_out: &'static str,
}

#[derive(Debug, Serialize)]
struct NotWeighed {
    facts: Vec<Fact>,
    level_n_m: [f64; 2],
    counterweight_kg: [Option<f64>; 2],
}

#[derive(Debug, Serialize)]
struct Fact {
    key: String,
    low: f64,
    high: f64,
    settle: String,
}

#[derive(Debug, Serialize)]
struct Ways {
    now: Rest,
    /// Counterweight that balances at its present place; `null` where none does.
    exact_counterweight_kg: Option<f64>,
    /// Place behind the pivot where the present counterweight balances, within reach or not.
    exact_behind_m: Option<f64>,
    advised: Option<Step>,
    plates: Option<Step>,
    slide: Option<Step>,
    plates_and_slide: Option<Step>,
}

#[derive(Debug, Serialize)]
struct Rest {
    level_n_m: f64,
    worst_n_m: f64,
    worst_at_rad: f64,
}

#[derive(Debug, Serialize)]
struct Step {
    put_on_kg: Vec<f64>,
    take_off_kg: Vec<f64>,
    counterweight_kg: f64,
    behind_m: f64,
    slides_m: f64,
    left: Rest,
}

#[allow(clippy::struct_field_names, reason = "each key ends in its unit")]
#[derive(Debug, Serialize)]
struct Spread {
    least_n_m: f64,
    most_n_m: f64,
    counterweight_under_m: f64,
    neutral_under_m: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Row {
    elevation_rad: f64,
    hold_n_m: f64,
    start_and_stop_n_m: f64,
    /// `null` where every manoeuvre keeps the arm parked.
    in_the_plan_n_m: Option<f64>,
}

#[derive(Debug, Serialize)]
struct One {
    check: Found,
    power: Option<Power>,
    full_torque_at_full_rate_w: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Power {
    w: f64,
    torque_n_m: f64,
    rate_rad_s: f64,
    when: String,
}

#[derive(Debug, Serialize)]
struct Slope {
    turning_kg: f64,
    off_axis_m: f64,
    per_degree_n_m: f64,
    steepest_rad: f64,
    steepest_n_m: f64,
}

#[derive(Debug, Serialize)]
struct Other {
    payload_kg: f64,
    in_the_file: bool,
    plans: Ways,
}

#[derive(Debug, Serialize)]
struct Lens {
    heavier_by_kg: f64,
    /// From the boom in balance.
    plans: Ways,
}

impl Rest {
    fn of(l: &Left) -> Self {
        Self { level_n_m: l.level_nm, worst_n_m: l.worst_nm, worst_at_rad: l.at_rad }
    }
}

impl Step {
    fn of(p: &Plan) -> Self {
        Self {
            put_on_kg: p.plates.on.clone(),
            take_off_kg: p.plates.off.clone(),
            counterweight_kg: p.weight_kg,
            behind_m: p.behind_m,
            slides_m: p.slides_m,
            left: Rest::of(&p.left),
        }
    }
}

impl Ways {
    fn of(p: &Plans) -> Self {
        Self {
            now: Rest::of(&p.now),
            exact_counterweight_kg: p.weight_kg,
            exact_behind_m: p.place_m,
            advised: p.advice().map(Step::of),
            plates: p.plates.as_ref().map(Step::of),
            slide: p.slide.as_ref().map(Step::of),
            plates_and_slide: p.both.as_ref().map(Step::of),
        }
    }
}

impl One {
    fn of(rig: &Rig, d: &Drive) -> Self {
        Self {
            check: Found::of(rig, &d.check),
            power: d.power.as_ref().map(|p| Power {
                w: p.w,
                torque_n_m: p.torque_nm,
                rate_rad_s: p.rate_rps,
                when: p.when.clone(),
            }),
            full_torque_at_full_rate_w: d.can_w,
        }
    }
}

impl Shape {
    pub(crate) fn of(rig: &Rig, b: &Balance, exit_status: u8) -> Self {
        let payload = rig.arm.as_ref().map_or(0.0, |a| a.payload.mass.value);
        let known = b.unweighed.is_none();
        let table = b.unweighed.as_ref().is_none_or(|u| u.payload_alone);
        let drive = |k: usize| b.drives.get(k).filter(|_| known).map(|d| One::of(rig, d));
        let rows = b.rows.iter().filter(|_| known).map(|r| Row {
            elevation_rad: r.elevation_rad,
            hold_n_m: r.hold_nm,
            start_and_stop_n_m: r.start_nm,
            in_the_plan_n_m: r.tilt_nm,
        });
        let payloads = b.payloads.iter().filter(|_| table).map(|o| Other {
            payload_kg: o.payload_kg,
            in_the_file: (o.payload_kg - payload).abs() < 1e-6,
            plans: Ways::of(&o.plans),
        });
        let lenses = b.lenses.iter().filter(|_| known);
        Self {
            rig: rig.name.clone(),
            exit_status,
            not_weighed: b.unweighed.as_ref().map(|u| NotWeighed {
                facts: u
                    .facts
                    .iter()
                    .map(|f| Fact { key: f.key.clone(), low: f.low, high: f.high, settle: f.settle.clone() })
                    .collect(),
                level_n_m: [u.level_nm.0, u.level_nm.1],
                counterweight_kg: [u.weight_kg.0, u.weight_kg.1],
            }),
            plans: known.then(|| Ways::of(&b.plans)),
            with_elevation: known.then_some(Spread {
                least_n_m: b.spread.nm.0,
                most_n_m: b.spread.nm.1,
                counterweight_under_m: b.spread.under_m,
                neutral_under_m: b.spread.neutral_under_m,
            }),
            elevations: rows.collect(),
            tilt_drive: drive(0),
            pan_drive: drive(1),
            tilt_drive_when_balanced: b.mended.as_ref().filter(|_| known).map(|f| Found::of(rig, f)),
            slope: b.slope.filter(|_| known).map(|s| Slope {
                turning_kg: s.turning_kg,
                off_axis_m: s.off_axis_m,
                per_degree_n_m: s.per_degree_nm,
                steepest_rad: s.steepest_rad,
                steepest_n_m: s.steepest_nm,
            }),
            payloads: payloads.collect(),
            lens_changes: lenses.map(|(kg, p)| Lens { heavier_by_kg: *kg, plans: Ways::of(p) }).collect(),
            before_you_touch_it: crate::print::balance::KEEP,
            left_out: crate::print::balance::LEFT_OUT,
        }
    }
}
