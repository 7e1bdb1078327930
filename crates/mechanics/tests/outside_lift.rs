//! Lifts by hand against the manual's examples, and what must hold for every lift.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test program: a fault stops the test"
)]

#[path = "common/cases.rs"]
#[allow(missing_docs, unreachable_pub, reason = "shared by several test programs")]
mod cases;
#[path = "common/validation.rs"]
#[allow(unreachable_pub, reason = "shared by several test programs")]
mod validation;

use cases::Computed;
use mechanics::lift::{
    Duration, End, Form, Grip, Multipliers, Place, Task, frequency_multiplier, lift, limit, load_constant_kg,
    reach_from_width_m, team_share,
};
use proptest::prelude::*;

const POUND_KG: f64 = 0.453_592_37;
const INCH_M: f64 = 0.0254;
const ROUNDING: f64 = 1e-9;

/// A place in inches and degrees.
fn inches(h: f64, v: f64, a: f64) -> Place {
    Place { reach_m: h * INCH_M, height_m: v * INCH_M, twist_rad: a.to_radians() }
}

fn centimetres(h: f64, v: f64, a: f64) -> Place {
    Place { reach_m: h / 100.0, height_m: v / 100.0, twist_rad: a.to_radians() }
}

fn task(from: Place, to: Place, per_minute: f64, grip: Grip) -> Task {
    Task { from, to, rate_hz: per_minute / 60.0, duration: Duration::UpTo1h, grip, control_at_end: true }
}

fn pounds(m: Multipliers) -> f64 {
    load_constant_kg(Form::Inches) * m.product() / POUND_KG
}

/// As on the manual's worksheet: each multiplier with two decimals.
fn worksheet(m: Multipliers, reach: Option<f64>) -> f64 {
    let two = |x: f64| (x * 100.0).round() / 100.0;
    51.0 * [reach.unwrap_or(m.reach), m.height, m.travel, m.twist, m.rate, m.grip]
        .into_iter()
        .map(two)
        .product::<f64>()
}

fn in_pounds(load_lb: f64, t: &Task, end: bool) -> Computed {
    let at = |e| Multipliers::at(t, e, Form::Inches).unwrap();
    let (a, b) = (at(End::From), at(End::To));
    let mut out = Computed::from([
        ("worksheet limit at the start", worksheet(a, None)),
        ("limit at the start", pounds(a)),
        ("limit at the start, all digits", pounds(a)),
        ("index at the start", load_lb / pounds(a)),
    ]);
    if end {
        out.extend([
            ("worksheet limit at the end", worksheet(b, None)),
            ("limit at the end", pounds(b)),
            ("limit at the end, all digits", pounds(b)),
            ("index at the end", load_lb / pounds(b)),
        ]);
    }
    out
}

fn without(mut all: Computed, names: &[&'static str]) -> Computed {
    for n in names {
        all.remove(n);
    }
    all
}

fn table_5(duration: Duration, sides: &[(&'static str, f64, f64)]) -> Computed {
    sides
        .iter()
        .map(|(name, rate, height)| (*name, frequency_multiplier(rate / 60.0, duration, *height).unwrap()))
        .collect()
}

/// Names of the table's rows as its cases write them.
fn rows() -> Vec<(&'static str, f64, f64)> {
    include_str!("sources/niosh-94-110/cases.toml")
        .lines()
        .filter_map(|l| l.strip_prefix("quantity = \"")?.strip_suffix('"'))
        .filter(|q| q.contains("/min ") && q.ends_with("75 cm"))
        .map(|q| {
            let rate = q.split('/').next().unwrap().parse().unwrap();
            (q, rate, if q.contains("below") { 0.749 } else { 0.75 })
        })
        .collect()
}

fn metric(t: &Task) -> Computed {
    let m = Multipliers::at(t, End::From, Form::Metric).unwrap();
    [("limit", 23.0 * m.product()), ("HM", m.reach), ("VM", m.height), ("DM", m.travel), ("AM", m.twist)]
        .into()
}

fn lifting(id: &str) -> Option<Computed> {
    Some(match id {
        "NL-1" => {
            let t = task(inches(10.0, 22.0, 0.0), inches(20.0, 59.0, 0.0), 3.0, Grip::Fair);
            let m = Multipliers::at(&t, End::From, Form::Inches).unwrap();
            let mut all = in_pounds(26.0, &t, true);
            all.extend([
                ("HM at the start", m.reach),
                ("VM at the start", m.height),
                ("DM at the start", m.travel),
                ("AM at the start", m.twist),
                ("FM at the start", m.rate),
                ("CM at the start", m.grip),
            ]);
            all
        }
        "NL-2" => {
            let t = task(inches(23.0, 15.0, 0.0), inches(23.0, 64.0, 0.0), 0.1, Grip::Fair);
            let at = |e| worksheet(Multipliers::at(&t, e, Form::Inches).unwrap(), Some(0.44));
            let mut all = without(
                in_pounds(44.0, &t, true),
                &["worksheet limit at the start", "worksheet limit at the end"],
            );
            all.extend([
                ("worksheet limit at the start, HM 0.44", at(End::From)),
                ("worksheet limit at the end, HM 0.44", at(End::To)),
                ("worksheet index at the start, HM 0.44", 44.0 / at(End::From)),
                ("worksheet index at the end, HM 0.44", 44.0 / at(End::To)),
            ]);
            all
        }
        "NL-3" => {
            let t = task(inches(20.0, 27.0, 0.0), inches(20.0, 10.0, 0.0), 0.1, Grip::Poor);
            without(in_pounds(35.0, &t, true), &["limit at the end, all digits"])
        }
        "NL-4" => {
            let t = task(inches(18.0, 15.0, 45.0), inches(10.0, 36.0, 0.0), 0.1, Grip::Fair);
            let mut all = in_pounds(40.0, &t, false);
            all.insert("worksheet index at the start", 40.0 / all["worksheet limit at the start"]);
            all
        }
        "NL-5" => {
            let t = task(inches(20.0, 44.0, 30.0), inches(20.0, 7.0, 30.0), 5.0, Grip::Fair);
            without(
                in_pounds(20.0, &t, true),
                &["limit at the start, all digits", "limit at the end, all digits"],
            )
        }
        "NL-6" => {
            let t = task(centimetres(40.0, 20.0, 0.0), centimetres(40.0, 120.0, 0.0), 0.1, Grip::Fair);
            without(metric(&t), &["AM"])
        }
        "NL-7" => {
            let t = task(centimetres(50.0, 30.0, 45.0), centimetres(50.0, 160.0, 45.0), 1.0, Grip::Fair);
            without(metric(&t), &["HM", "VM", "DM", "AM"])
        }
        "NL-8" => {
            let place = |v| centimetres(63.0, v, 135.0);
            let t = Task { duration: Duration::UpTo8h, ..task(place(175.0), place(0.0), 0.1, Grip::Poor) };
            metric(&t)
        }
        "NL-9" => {
            let place = centimetres(25.0, 75.0, 0.0);
            [("limit", limit(&task(place, place, 0.0, Grip::Good), Form::Metric).unwrap().kg)].into()
        }
        "FM-1h" => table_5(Duration::UpTo1h, &rows()),
        "FM-2h" => table_5(Duration::UpTo2h, &rows()),
        "FM-8h" => table_5(Duration::UpTo8h, &rows()),
        "FM-7" => {
            [("2.4/min, one hour", frequency_multiplier(2.4 / 60.0, Duration::UpTo1h, 1.0).unwrap())].into()
        }
        "CM" => {
            let at = |grip, v| {
                let place = centimetres(25.0, v, 0.0);
                Multipliers::at(&task(place, place, 0.0, grip), End::From, Form::Metric).unwrap().grip
            };
            [
                ("good below 75 cm", at(Grip::Good, 74.9)),
                ("good above 75 cm", at(Grip::Good, 75.0)),
                ("fair below 75 cm", at(Grip::Fair, 74.9)),
                ("fair above 75 cm", at(Grip::Fair, 75.0)),
                ("poor below 75 cm", at(Grip::Poor, 74.9)),
                ("poor above 75 cm", at(Grip::Poor, 75.0)),
            ]
            .into()
        }
        "REACH" => [
            ("width 50 cm, hands at 90 cm", 100.0 * reach_from_width_m(0.5, 0.9).unwrap()),
            ("width 50 cm, hands at 20 cm", 100.0 * reach_from_width_m(0.5, 0.2).unwrap()),
        ]
        .into(),
        "TEAM" => [
            ("two of 20 kg each", 2.0 * 20.0 * team_share(2).unwrap()),
            ("three of 20 kg each", 3.0 * 20.0 * team_share(3).unwrap()),
        ]
        .into(),
        _ => return None,
    })
}

#[test]
fn lifting_limits_are_those_of_the_manual() {
    cases::check("niosh-94-110", include_str!("sources/niosh-94-110/cases.toml"), lifting);
}

fn any_task() -> impl Strategy<Value = Task> {
    let place = || {
        (0.1..0.63, 0.0..1.75, 0.0..2.3).prop_map(|(reach_m, height_m, twist_rad)| Place {
            reach_m,
            height_m,
            twist_rad,
        })
    };
    (place(), place(), 0.0..0.25, 0..3_usize, 0..3_usize).prop_map(|(from, to, rate_hz, d, g)| Task {
        from,
        to,
        rate_hz,
        duration: [Duration::UpTo1h, Duration::UpTo2h, Duration::UpTo8h][d],
        grip: [Grip::Good, Grip::Fair, Grip::Poor][g],
        control_at_end: true,
    })
}

proptest! {
    /// Farther out, more twisted, more often, longer, worse to hold, with control: never more weight. Metric never more than inches.
    #[test]
    fn a_worse_lift_never_allows_more(t in any_task(), by in 0.0..0.2_f64) {
        let kg = |t: &Task| limit(t, Form::Metric).unwrap().kg;
        let here = kg(&t);
        prop_assert!((0.0..=23.0 + ROUNDING).contains(&here));
        let worse = [
            Task { from: Place { reach_m: t.from.reach_m + by, ..t.from }, ..t },
            Task { to: Place { reach_m: t.to.reach_m + by, ..t.to }, ..t },
            Task { from: Place { twist_rad: t.from.twist_rad + by, ..t.from }, ..t },
            Task { rate_hz: t.rate_hz + 0.1 * by, ..t },
            Task { duration: Duration::UpTo8h, ..t },
            Task { grip: Grip::Poor, ..t },
        ];
        for w in worse {
            prop_assert!(kg(&w) <= here + ROUNDING, "{:?}", w);
        }
        let free = Task { control_at_end: false, ..t };
        prop_assert!(kg(&free) >= here - ROUNDING);
        // Both ends farther from 75 cm on their own side, which also makes the way no shorter.
        let off = |v: f64| if v >= 0.75 { v + by } else { (v - by).max(0.0) };
        let (low, high) = (t.from.height_m.min(0.74), t.to.height_m.max(0.75));
        let span = |a: f64, b: f64| Task {
            from: Place { height_m: a, ..t.from }, to: Place { height_m: b, ..t.to }, ..t
        };
        prop_assert!(kg(&span(off(low), off(high))) <= kg(&span(low, high)) + ROUNDING);
    }

    /// Heavier is never easier, and an index is a share: twice the load, twice the index.
    #[test]
    fn an_index_goes_with_the_load(t in any_task(), load in 0.1..80.0_f64) {
        let (a, b) = (lift(load, &t, 2).unwrap(), lift(2.0 * load, &t, 2).unwrap());
        if let (Some(x), Some(y)) = (a.asked, b.asked) {
            prop_assert!((y / x - 2.0).abs() < ROUNDING);
        }
        let people = |n: Option<usize>| n.unwrap_or(usize::MAX);
        prop_assert!(people(a.least) <= people(b.least));
        for pair in a.index.windows(2) {
            if let (Some(x), Some(y)) = (pair[0], pair[1]) {
                prop_assert!(y < x);
            }
        }
    }
}
