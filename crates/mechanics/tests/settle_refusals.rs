//! Every refusal has a trace, and says its own word.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "tests")]
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small counts")]
#[path = "common/swing.rs"]
#[allow(
    dead_code,
    missing_docs,
    unreachable_pub,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "shared by several test programs"
)]
mod swing;

use mechanics::settle::{Record, Refusal, Signal, analyse};
use swing::{Dice, Made};

fn refusal(samples: &[(f64, f64)], signal: Signal) -> Refusal {
    match Record::new(samples, signal).and_then(|r| analyse(&r)) {
        Err(refusal) => refusal,
        Ok(mechanics::settle::Outcome::Swings(s)) => panic!("{:?} {:?}", s.ratio, s.window),
        Ok(mechanics::settle::Outcome::Creeps(c)) => panic!("{c:?}"),
    }
}

/// A trace and the word it must be refused with.
fn must(word: &str, samples: &[(f64, f64)]) {
    let got = refusal(samples, Signal::Angle);
    assert_eq!(got.word(), word, "{got}");
    assert!(!got.to_string().is_empty() && !got.mend().is_empty());
}

fn growing(made: &Made) -> Vec<(f64, f64)> {
    made.samples_of(|t| 0.01 * (0.2 * t.max(0.0)).exp() * (made.wn() * t).sin())
}

#[test]
fn every_refusal_has_its_trace() {
    let plain = Made::plain(0.1);
    let samples = plain.samples();
    must("too-short", &samples[..20]);
    // Let go, and the trace ends before it is back.
    must("not-level", &samples[..160]);
    let mut wrong = samples.clone();
    wrong[40].1 = f64::NAN;
    must("not-numbers", &wrong);
    let mut back = samples.clone();
    back[40].0 = back[30].0;
    must("not-numbers", &back);
    // Degrees read as radians.
    let degrees: Vec<(f64, f64)> = samples.iter().map(|(t, y)| (*t, y * 57.3)).collect();
    must("wrong-unit", &degrees);
    must("too-few-swings", &Made { after_s: 0.75, ..Made::plain(0.05) }.samples());
    must("no-decay", &Made { before_s: 0.0, ..Made::plain(0.0) }.samples());
    must("growing", &growing(&plain));
    must(
        "clipped",
        &plain
            .samples_of(|t| Made { push: 0.2, noise: 0.0, ..plain }.exact(t).clamp(-0.06, 0.06))
            .iter()
            .map(clip)
            .collect::<Vec<_>>(),
    );
    // Two swings of like size: beats, and far apart.
    for other in [1.25, 2.9] {
        let second = Made { hz: 1.6 * other, push: 0.06, ..Made::plain(0.03) };
        let first = Made::plain(0.03);
        must(
            "two-modes",
            &first.samples_of(|t| first.exact(t) + if t < 0.0 { 0.0 } else { second.exact(t) }),
        );
    }
    // Seven swings a second, eight samples a second; and six samples a cycle.
    must("too-slow", &Made { hz: 7.0, rate_hz: 8.0, ..plain }.samples());
    must("too-slow", &Made { hz: 3.0, rate_hz: 18.0, ..Made::plain(0.05) }.samples());
    let mut dice = Dice(5);
    let noise: Vec<(f64, f64)> = (0..2000).map(|i| (f64::from(i) * 0.01, 0.01 * dice.normal())).collect();
    must("noise-only", &noise);
    let still: Vec<(f64, f64)> = noise.iter().map(|(t, _)| (*t, 0.3)).collect();
    must("noise-only", &still);
    // Picked up after ten seconds and laid down at another angle.
    must("not-level", &plain.samples_of(|t| plain.exact(t) + 0.08 * ((t - 6.0) / 2.0).clamp(0.0, 1.0)));
    // A walk is no swing.
    let mut at = 0.0;
    let walk: Vec<(f64, f64)> = (0..3000)
        .map(|i| {
            at += 0.004 * dice.normal();
            (f64::from(i) * 0.01, at)
        })
        .collect();
    let got = refusal(&walk, Signal::Angle);
    assert!(
        ["not-one-swing", "not-level", "two-modes", "noise-only", "too-few-swings"].contains(&got.word()),
        "{got}"
    );
}

/// The logger's own limit, after the noise.
fn clip((t, y): &(f64, f64)) -> (f64, f64) {
    (*t, y.clamp(0.4 - 0.055, 0.4 + 0.055))
}

/// Whatever the numbers, there is an answer or a refusal, and no answer that is not a number.
#[test]
fn no_numbers_stop_it() {
    let mut dice = Dice(11);
    for round in 0..400_u32 {
        let count = 30 + (dice.even() * 300.0) as u32;
        let mut t = 0.0;
        let samples: Vec<(f64, f64)> = (0..count)
            .map(|i| {
                t += 1e-4 + 0.05 * dice.even().powi(3);
                let y = match round % 5 {
                    0 => dice.normal(),
                    1 => f64::from(i % 7) * 1e-12,
                    2 => f64::from(u8::from(i > count / 2)),
                    3 => (f64::from(i) * dice.even()).exp().min(1e11),
                    _ => {
                        (-0.02 * f64::from(i)).exp()
                            * (f64::from(i) * 0.3).sin()
                            * 10_f64.powi((round % 11).cast_signed() - 5)
                    }
                };
                (t, y)
            })
            .collect();
        if let Ok(mechanics::settle::Outcome::Swings(s)) =
            Record::new(&samples, Signal::Acceleration).and_then(|r| analyse(&r))
        {
            assert!(
                s.natural_hz.value.is_finite()
                    && s.damped_hz.value.is_finite()
                    && s.quality.explained.is_finite()
            );
            assert!(s.ratio.is_none_or(|r| r.low.is_finite() && r.high.is_finite()));
        }
    }
}
