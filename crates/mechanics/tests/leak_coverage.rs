//! Does a leak's interval hold the truth as often as it says, and is its earliest time ever late? Made-up cups, seeded.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "tests")]
#![allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small counts"
)]
#[path = "common/swing.rs"]
#[allow(dead_code, missing_docs, unreachable_pub, reason = "shared by several test programs")]
mod swing;

use mechanics::leak::{
    Ambient, Estimate, Law, Leak, LeakError, PeerRule, Reading, Regime, fit, peers, rate_of_hole_per_s,
};
use proptest::prelude::*;
use swing::Dice;

const AIR: Ambient = Ambient { pressure_pa: 101_325.0, temperature_k: 293.15 };

/// A cup that leaks by one law.
#[derive(Clone, Copy, Debug)]
struct Cup {
    law: Law,
    rate: f64,
    start: f64,
}

impl Cup {
    fn vacuum(self, t: f64) -> f64 {
        self.law.vacuum_after_pa(self.rate, AIR.pressure_pa, self.start, t).unwrap()
    }

    /// Its gauge at even times, each reading off by what `error` throws.
    fn read(self, count: usize, span: f64, mut error: impl FnMut() -> f64) -> Vec<Reading> {
        (0..count)
            .map(|i| {
                let time_s = span * i as f64 / (count - 1) as f64;
                Reading {
                    time_s,
                    vacuum_pa: self.vacuum(time_s) + error(),
                    ambient_pa: AIR.pressure_pa,
                    temperature_k: AIR.temperature_k,
                }
            })
            .collect()
    }
}

#[derive(Default, Debug)]
struct Count {
    told: usize,
    rate: usize,
    vacuum: usize,
    late: usize,
    refused: usize,
}

fn count(law: Law, from: (f64, f64), readings: (usize, usize), extra: f64, seed: u64) -> Count {
    let mut c = Count::default();
    let mut dice = Dice(seed);
    for _ in 0..1500 {
        let resolution = dice.between(100.0, 1_000.0);
        let start = dice.between(from.0, from.1);
        let span = dice.between(600.0, 7_200.0);
        let fall = dice.between(8.0, 25.0) * resolution;
        let rate = law.time_s(1.0, AIR.pressure_pa, start, (start - fall).max(0.3 * start)).unwrap() / span;
        let cup = Cup { law, rate, start };
        let n = readings.0 + (dice.even() * (readings.1 - readings.0 + 1) as f64) as usize;
        let made =
            cup.read(n, span, || dice.between(-resolution, resolution) + extra * resolution * dice.normal());
        let Ok(leak) = fit(&made, resolution) else {
            c.refused += 1;
            continue;
        };
        c.told += 1;
        let fitted = if law == Law::Orifice { leak.orifice } else { leak.exponential };
        let holds = |e: Estimate, truth: f64| (e.low..=e.high).contains(&truth);
        c.rate += usize::from(holds(fitted.rate_per_s, rate));
        c.vacuum += usize::from(holds(fitted.vacuum_pa, cup.vacuum(span)));
        let limit = dice.between(0.2, 0.9) * cup.vacuum(span);
        let truth = law.time_s(rate, AIR.pressure_pa, cup.vacuum(span), limit).unwrap();
        c.late += usize::from(leak.time_to(limit, AIR).unwrap().earliest_s > truth);
    }
    c
}

#[test]
fn the_interval_holds_as_often_as_it_says() {
    let (choked, both, soft) = ((75e3, 95e3), (52e3, 70e3), (25e3, 45e3));
    // Law, vacua, readings, scatter beyond the gauge as a share of its resolution.
    let kinds = [
        (Law::Orifice, choked, (2, 2), 0.0),
        (Law::Orifice, choked, (3, 5), 0.0),
        (Law::Orifice, choked, (6, 15), 0.0),
        (Law::Orifice, both, (3, 12), 0.0),
        (Law::Exponential, soft, (2, 2), 0.0),
        (Law::Exponential, soft, (3, 12), 0.0),
        (Law::Orifice, choked, (4, 6), 0.7),
        (Law::Orifice, choked, (7, 15), 0.7),
    ];
    let (mut told, mut held) = (0, 0);
    for (seed, (law, from, readings, extra)) in kinds.into_iter().enumerate() {
        let c = count(law, from, readings, extra, 4_711 + 97 * seed as u64);
        let share = |n: usize| n as f64 / c.told as f64;
        let name = format!("{law:?} {from:?} {readings:?} {extra}: {c:?}");
        assert!(c.refused * 12 <= c.told, "{name}");
        // Bounded errors and few readings: wide rather than narrow.
        assert!((0.92..=0.995).contains(&share(c.rate)), "{name} {:.4}", share(c.rate));
        // An even error of two readings lies within the interval always; the vacuum has no upper bound here.
        assert!(share(c.vacuum) >= 0.92, "{name} {:.4}", share(c.vacuum));
        // Both ends at their worst at once: late less often than one end of the interval misses. A gauge that scatters past its word is later.
        assert!(share(c.late) < if extra > 0.0 { 0.05 } else { 0.02 }, "{name}");
        (told, held) = (told + c.told, held + c.rate);
    }
    let all = held as f64 / told as f64;
    assert!((0.92..=0.99).contains(&all), "{all:.4}");
}

/// A leak between the two laws: a long narrow gap in which air expands, `dr/dt = k (1 - r²) / 2`.
#[test]
fn the_earliest_time_is_never_late_for_a_leak_between_the_laws() {
    let mut dice = Dice(99);
    let mut late = 0;
    for _ in 0..1000 {
        // r = tanh(k t / 2 + c).
        let (r0, k) = (dice.between(0.05, 0.6), dice.between(1e-5, 2e-4));
        let c = 0.5 * ((1.0 + r0) / (1.0 - r0)).ln();
        let r = |t: f64| (0.5 * k * t + c).tanh();
        let span = 0.12 / k;
        let readings: Vec<Reading> = (0..5)
            .map(|i| {
                let time_s = span * f64::from(i) / 4.0;
                Reading {
                    time_s,
                    vacuum_pa: AIR.pressure_pa * (1.0 - r(time_s)) + dice.between(-250.0, 250.0),
                    ambient_pa: AIR.pressure_pa,
                    temperature_k: AIR.temperature_k,
                }
            })
            .collect();
        let leak = fit(&readings, 250.0).unwrap();
        let limit = AIR.pressure_pa * dice.between(0.1, 0.9) * (1.0 - r(span));
        let at_limit = 1.0 - limit / AIR.pressure_pa;
        let truth = (0.5 * ((1.0 + at_limit) / (1.0 - at_limit)).ln() - c) / (0.5 * k) - span;
        let left = leak.time_to(limit, AIR).unwrap();
        assert!(left.likely_s.is_none_or(|l| left.earliest_s <= l));
        late += usize::from(left.earliest_s > truth);
    }
    assert!(late <= 10, "{late} of 1000 late");
}

#[test]
fn the_earliest_time_is_never_late() {
    // Air that gets thinner and warmer on the way, in small steps of the flow itself; readings without error.
    let mut dice = Dice(5);
    for _ in 0..300 {
        let law = if dice.even() < 0.5 { Law::Orifice } else { Law::Exponential };
        let cup = Cup { law, rate: dice.between(1e-5, 1e-4), start: dice.between(60e3, 95e3) };
        let leak = fit(&cup.read(4, 1_200.0, || 0.0), 100.0).unwrap();
        let then =
            Ambient { pressure_pa: dice.between(80e3, 103e3), temperature_k: dice.between(273.0, 320.0) };
        let limit = dice.between(15e3, 45e3);
        let (when, over) = (dice.between(0.0, 2e4), dice.between(1.0, 2e4));
        let mut air = (AIR.pressure_pa - cup.vacuum(1_200.0)) / AIR.temperature_k;
        let (mut t, h) = (0.0, 5.0);
        let truth = loop {
            let share = ((t - when) / over).clamp(0.0, 1.0);
            let p = AIR.pressure_pa + share * (then.pressure_pa - AIR.pressure_pa);
            let warm = AIR.temperature_k + share * (then.temperature_k - AIR.temperature_k);
            let vacuum = p - air * warm;
            if vacuum <= limit || t > 1e6 {
                break t;
            }
            let heat = if law == Law::Orifice { (warm / AIR.temperature_k).sqrt() } else { 1.0 };
            air += h * law.fall_pa_per_s(cup.rate * heat, p, vacuum.min(p)).unwrap() / warm;
            t += h;
        };
        let left = leak.time_to(limit, then).unwrap();
        assert!(left.earliest_s <= truth + h, "{left:?} {truth} {cup:?} {then:?}");
        assert!(left.likely_s.is_none_or(|l| l >= left.earliest_s), "{left:?}");
    }
}

#[test]
fn in_the_same_air_the_likely_time_is_the_closed_form() {
    for (law, start) in [(Law::Orifice, 80e3), (Law::Exponential, 40e3)] {
        let cup = Cup { law, rate: 3e-5, start };
        let leak = fit(&cup.read(5, 1_800.0, || 0.0), 50.0).unwrap();
        let truth = law.time_s(cup.rate, AIR.pressure_pa, cup.vacuum(1_800.0), 0.5 * start).unwrap();
        let left = leak.time_to(0.5 * start, AIR).unwrap();
        assert!((left.likely_s.unwrap() / truth - 1.0).abs() < 1e-6, "{law:?} {left:?} {truth}");
        assert_eq!(leak.likely, law);
        // The climb alone: 10 kPa less outside, 10 kPa less vacuum.
        let thin = Ambient { pressure_pa: AIR.pressure_pa - 10e3, ..AIR };
        let then = leak.time_to(0.5 * start, thin).unwrap().then_pa;
        assert!((leak.likely_fit().vacuum_pa.value - then.value - 10e3).abs() < 1e-6);
        assert!(leak.time_to(start - 5e3, thin).unwrap().earliest_s.abs() < 1e-12);
    }
}

/// The same hole in warmer and thinner air, and at another vacuum: the rate of the hole itself says what must come out.
#[test]
fn a_leak_is_carried_over_to_other_air() {
    let rate = |kelvin: f64| rate_of_hole_per_s(2e-9, 0.8, 5e-3, kelvin).unwrap();
    let there = Ambient { pressure_pa: 80e3, temperature_k: 320.0 };
    let hole = Cup { law: Law::Orifice, rate: rate(AIR.temperature_k), start: 80e3 };
    let leak = fit(&hole.read(4, 3_600.0, || 0.0), 50.0).unwrap();
    let fall = leak.fall_at_pa_per_s(20e3, there).unwrap();
    let truth = Law::Orifice.fall_pa_per_s(rate(320.0), 80e3, 20e3).unwrap();
    assert!(
        (fall.value / truth - 1.0).abs() < 1e-6 && fall.low < truth && fall.high > truth,
        "{fall:?} {truth}"
    );
    // A conductance does not change with the heat.
    let gap = Cup { law: Law::Exponential, rate: 1e-5, start: 40e3 };
    let leak = fit(&gap.read(4, 3_600.0, || 0.0), 50.0).unwrap();
    let fall = leak.fall_at_pa_per_s(20e3, there).unwrap();
    assert!((fall.value / (1e-5 * 20e3) - 1.0).abs() < 1e-6, "{fall:?}");
    assert!(leak.fall_at_pa_per_s(90e3, there).is_err());
    assert!(leak.fall_at_pa_per_s(20e3, Ambient { temperature_k: 0.0, ..there }).is_err());
    // Readings of one cup in air that gets warmer and thicker by the minute are those of a cup in still air.
    let moved: Vec<Reading> = gap
        .read(4, 3_600.0, || 0.0)
        .into_iter()
        .enumerate()
        .map(|(i, r)| {
            let air = Ambient {
                pressure_pa: AIR.pressure_pa - 1e3 * (3 - i) as f64,
                temperature_k: AIR.temperature_k - 2.0 * (3 - i) as f64,
            };
            Reading {
                vacuum_pa: r.vacuum_at_pa(air).unwrap(),
                ambient_pa: air.pressure_pa,
                temperature_k: air.temperature_k,
                ..r
            }
        })
        .collect();
    let same_leak = fit(&moved, 50.0).unwrap();
    assert!((same_leak.exponential.rate_per_s.value / 1e-5 - 1.0).abs() < 1e-6);
}

#[test]
fn each_refusal_is_its_own_word() {
    let at = |time_s: f64, vacuum_pa: f64| Reading {
        time_s,
        vacuum_pa,
        ambient_pa: 101_325.0,
        temperature_k: 293.15,
    };
    let word = |readings: &[Reading], resolution: f64| fit(readings, resolution).unwrap_err().word();
    assert_eq!(word(&[], 100.0), "too-few-readings");
    assert_eq!(word(&[at(0.0, 80e3)], 100.0), "too-few-readings");
    assert_eq!(word(&[at(0.0, 80e3), at(0.0, 79e3)], 100.0), "time-not-increasing");
    assert_eq!(word(&[at(0.0, 80e3), at(f64::NAN, 79e3)], 100.0), "time-not-increasing");
    assert_eq!(word(&[at(0.0, 80e3), at(f64::INFINITY, 79e3)], 100.0), "out-of-range");
    assert_eq!(word(&[at(0.0, 80e3), at(60.0, 102e3)], 100.0), "impossible-reading");
    assert_eq!(word(&[at(0.0, 80e3), at(60.0, 90.0)], 100.0), "no-vacuum");
    assert_eq!(word(&[at(0.0, 80e3), at(60.0, 81e3)], 100.0), "vacuum-rises");
    // One that got better on the way down, by 500 Pa less both errors.
    let better = [at(0.0, 80e3), at(60.0, 79e3), at(120.0, 79.5e3), at(180.0, 78e3)];
    assert!(matches!(
        fit(&better, 100.0),
        Err(LeakError::Rises { reading: 2, by_pa }) if (by_pa - 300.0).abs() < 1e-6
    ));
    assert_eq!(word(&[at(0.0, 80e3), at(60.0, 79e3)], 0.0), "out-of-range");
    assert_eq!(word(&[at(0.0, f64::NAN), at(60.0, 79e3)], 100.0), "out-of-range");
    let high = Reading { ambient_pa: 85e3, ..at(60.0, 60e3) };
    assert_eq!(word(&[at(0.0, 80e3), high], 100.0), "ambient-changed");
    // A knock between the third and the fourth reading.
    let knock = [at(0.0, 80e3), at(60.0, 79.9e3), at(120.0, 79.8e3), at(180.0, 70e3), at(240.0, 69.9e3)];
    assert_eq!(word(&knock, 100.0), "scatter");
    let all = [
        LeakError::TooFew { readings: 1 },
        LeakError::Rises { reading: 1, by_pa: 1e3 },
        LeakError::Scatter { times: 9.0 },
        LeakError::TooFewCups { cups: 1 },
    ];
    assert!(all.iter().all(|e| e.to_string().len() > 20 && e.mend().len() > 10));
    // No change that the gauge can tell: at most so much, and never nothing.
    let still = fit(&[at(0.0, 80e3), at(600.0, 79.95e3)], 100.0).unwrap();
    let fall = still.fall_pa_per_s();
    assert!(!still.seen && fall.low.abs() < 1e-15 && fall.high > 0.2, "{fall:?}");
    let left = still.time_to(60e3, AIR).unwrap();
    assert!(left.likely_s.is_none() && left.earliest_s.is_finite() && left.earliest_s > 0.0);
    assert!(still.time_to(0.0, AIR).is_err());
    assert!(still.time_to(60e3, Ambient { pressure_pa: f64::NAN, ..AIR }).is_err());
}

/// Cups alike: what differs is the reading error alone, or also the cups by a tenth or a third.
#[test]
fn cups_alike_are_seldom_told_apart() {
    let mut dice = Dice(31);
    let mut worst: f64 = 0.0;
    for (of_cups, of_readings) in [(0.0, 0.1), (0.1, 0.1), (0.3, 0.05)] {
        for cups in [4_usize, 6, 8, 12] {
            let mut alarms = 0;
            for _ in 0..2000 {
                let rates: Vec<Estimate> = (0..cups)
                    .map(|_| {
                        let value = (1.0 + of_cups * dice.normal() + of_readings * dice.normal()).max(0.01);
                        let half = 1.96 * of_readings;
                        Estimate { value, low: (value - half).max(0.0), high: value + half }
                    })
                    .collect();
                alarms += usize::from(!peers(&rates).unwrap().more.is_empty());
            }
            let share = alarms as f64 / 2000.0;
            // Read noise alone is almost never taken for a leak.
            assert!(of_cups > 0.0 || share < 0.002, "{cups} {share}");
            assert!(of_cups > 0.15 || share < 0.004, "{cups} {share}");
            assert!(cups < 12 || share < 0.03, "{cups} {share}");
            worst = worst.max(share);
        }
    }
    assert!(worst < 0.06, "{worst}");
    // And one that leaks five times as much is found nearly always.
    let mut found = 0;
    for _ in 0..1000 {
        let mut rates: Vec<Estimate> = (0..6)
            .map(|_| {
                let value = (1.0 + 0.2 * dice.normal()).max(0.01);
                Estimate { value, low: 0.7 * value, high: 1.3 * value }
            })
            .collect();
        if let Some(r) = rates.get_mut(4) {
            *r = Estimate { value: 5.0, low: 3.5, high: 6.5 };
        }
        let p = peers(&rates).unwrap();
        assert!(matches!(p.rule, PeerRule::Median { .. }));
        found += usize::from(p.more.contains(&4));
    }
    assert!(found > 980, "{found}");
}

fn readings() -> impl Strategy<Value = Vec<Reading>> {
    (2_usize..8, 30e3..95e3, 0.02..0.3, 300.0..9_000.0, prop::collection::vec(-0.9..0.9, 8)).prop_map(
        |(n, start, share, span, off)| {
            (0..n)
                .map(|i| {
                    let part = i as f64 / (n - 1) as f64;
                    Reading {
                        time_s: span * part,
                        vacuum_pa: start * (1.0 - share * part) + 200.0 * off.get(i).copied().unwrap_or(0.0),
                        ambient_pa: 101_325.0,
                        temperature_k: 293.15,
                    }
                })
                .collect()
        },
    )
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()) || (a.is_infinite() && b.is_infinite())
}

proptest! {
    /// A higher limit, thinner or warmer air ahead, a coarser gauge: never a later earliest time; and it is never after the likely one.
    #[test]
    fn what_is_worse_never_gives_more_time(
        made in readings(), limit in 5e3..25e3_f64, p in 70e3..105e3_f64, t in 260.0..330.0_f64, by in 0.0..0.1_f64
    ) {
        let Ok(leak) = fit(&made, 200.0) else { return Ok(()) };
        let then = Ambient { pressure_pa: p, temperature_k: t };
        let left = leak.time_to(limit, then).unwrap();
        prop_assert!(left.earliest_s >= 0.0);
        prop_assert!(left.likely_s.is_none_or(|l| left.earliest_s <= l));
        let earliest = |l: &Leak, limit: f64, then: Ambient| l.time_to(limit, then).unwrap().earliest_s;
        let still = left.earliest_s * (1.0 + 1e-9) + 1e-9;
        prop_assert!(earliest(&leak, limit * (1.0 + by), then) <= still);
        if p * (1.0 - by) < AIR.pressure_pa && p < AIR.pressure_pa {
            let thinner = earliest(&leak, limit, Ambient { pressure_pa: p * (1.0 - by), ..then });
            prop_assert!(thinner <= still);
        }
        if t > AIR.temperature_k {
            let warmer = earliest(&leak, limit, Ambient { temperature_k: t * (1.0 + by), ..then });
            prop_assert!(warmer <= still);
        }
        prop_assert!(left.earliest_s <= earliest(&leak, limit, AIR) * (1.0 + 1e-9));
        if made.len() == 2 && let Ok(coarse) = fit(&made, 200.0 * (1.0 + by)) {
            prop_assert!(earliest(&coarse, limit, then) <= still);
        }
    }

    /// Time in other units, pressure in other units, another zero of the clock: the same leak.
    #[test]
    fn units_do_not_matter(made in readings(), times in 0.01..100.0_f64, zero in -1e4..1e4_f64, presses in 0.5..2.0_f64) {
        let Ok(a) = fit(&made, 200.0) else { return Ok(()) };
        let other: Vec<Reading> = made.iter().map(|r| Reading {
            time_s: r.time_s * times, vacuum_pa: r.vacuum_pa * presses, ambient_pa: r.ambient_pa * presses, ..*r
        }).collect();
        let b = fit(&other, 200.0 * presses).unwrap();
        prop_assert_eq!((a.regime, a.likely, a.seen), (b.regime, b.likely, b.seen));
        prop_assert!(matches!(a.regime, Regime::Choked | Regime::Subsonic | Regime::Across));
        for (x, y) in [(a.orifice, b.orifice), (a.exponential, b.exponential)] {
            prop_assert!(same(x.rate_per_s.high, y.rate_per_s.high * times));
            prop_assert!(same(x.vacuum_pa.low * presses, y.vacuum_pa.low));
        }
        let later: Vec<Reading> = made.iter().map(|r| Reading { time_s: r.time_s + zero, ..*r }).collect();
        let c = fit(&later, 200.0).unwrap();
        prop_assert!((c.orifice.rate_per_s.high / a.orifice.rate_per_s.high - 1.0).abs() < 1e-6);
    }
}
