//! Release tests made up: what is recovered from them.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "tests")]
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

use mechanics::settle::{Damping, Outcome, Record, Settling, Signal, analyse, overshoot};
use swing::{Made, Of, rubbing};

fn swings(record: &Record) -> Box<Settling> {
    match analyse(record).unwrap() {
        Outcome::Swings(s) => s,
        Outcome::Creeps(c) => panic!("{c:?}"),
    }
}

#[test]
fn a_quiet_trace_gives_the_ratio_to_many_digits() {
    for of in [Of::Place, Of::Speed, Of::Acceleration] {
        for zeta in [0.01, 0.05, 0.2, 0.4, 0.6] {
            let made = Made { noise: 0.0, drift: 0.002, of, after_s: 20.0, ..Made::plain(zeta) };
            let s = swings(&made.record().unwrap());
            let r = s.ratio.unwrap();
            // No noise: what is left is rounding and where the search stops.
            assert!((r.value - zeta).abs() < 1e-6, "{of:?} {zeta}: {r:?}");
            assert!((s.damped_hz.value - made.damped_hz()).abs() < 1e-5, "{of:?} {zeta}");
            assert!((s.natural_hz.value - made.hz).abs() < 1e-5);
            assert!((s.overshoot.unwrap().value - overshoot(zeta).unwrap()).abs() < 1e-4);
            assert!((s.drift_per_s - 0.002 * made.size()).abs() < 1e-4 * made.size());
            assert!(matches!(s.damping, Damping::Viscous | Damping::NotKnown), "{of:?} {zeta}");
            // The envelope e^(-zeta w t) is at 5 % after ln(20) / (zeta w).
            let five = 20.0_f64.ln() / (zeta * made.wn());
            assert!((s.to_rest[0].seconds - five).abs() < 1e-3 * five, "{:?}", s.to_rest);
        }
    }
}

#[test]
fn the_release_is_found_behind_press_and_hold() {
    for before_s in [0.0, 0.7, 3.0] {
        let made = Made { before_s, ..Made::plain(0.12) };
        let s = swings(&made.record().unwrap());
        // At 0.9 of the push the mass has gone for 0.45 rad of its cycle: 0.045 s at 1.6 Hz; noise moves it by samples.
        assert!((s.window.start_s - before_s - 0.045).abs() < 0.05, "{before_s}: {:?}", s.window);
        assert!((s.ratio.unwrap().value - 0.12).abs() < 0.005);
    }
}

#[test]
fn units_offset_and_size_do_not_move_the_ratio() {
    let made = Made::plain(0.15);
    let of = |factor: f64, offset: f64, signal| {
        let scaled: Vec<(f64, f64)> = made.samples().iter().map(|(t, y)| (*t, y * factor + offset)).collect();
        swings(&Record::new(&scaled, signal).unwrap()).ratio.unwrap().value
    };
    let plain = of(1.0, 0.0, Signal::Angle);
    for (factor, offset, signal) in
        [(10.0, 9.81, Signal::Acceleration), (-1.0, 0.0, Signal::Angle), (0.1, -3.0, Signal::Displacement)]
    {
        // Only rounding may change: 1e-12 of an offset a hundred times the swing, grown by the condition of the fit.
        assert!((of(factor, offset, signal) - plain).abs() < 1e-7);
    }
}

#[test]
fn three_ways_to_one_ratio() {
    for zeta in [0.02, 0.06, 0.15] {
        for of in [Of::Place, Of::Speed, Of::Acceleration] {
            let s = swings(&Made { of, after_s: 15.0, ..Made::plain(zeta) }.record().unwrap());
            for check in [s.by_tops.unwrap(), s.by_envelope.unwrap()] {
                assert!(check.agrees && check.points >= 3, "{of:?} {zeta} {check:?}");
                // Within a tenth: each uses less of the trace than the fit.
                assert!((check.ratio - zeta).abs() < 0.1 * zeta + 0.002, "{of:?} {zeta} {check:?}");
                assert!(check.half_width > 0.0 && check.half_width < 0.3 * zeta, "{check:?}");
            }
        }
    }
}

#[test]
fn an_exact_dry_friction_swing_is_told_as_one() {
    // Rubbing takes 4 x 0.004 off the swing in each cycle: 0.1 is gone after six.
    let made = Made { noise: 0.003, ..Made::plain(0.0) };
    let (push, rub, w) = (0.1, 0.004, made.wn());
    let samples = made.samples_of(|t| rubbing(0.0, w, push, rub, t));
    let s = swings(&Record::new(&samples, Signal::Angle).unwrap());
    assert_eq!(s.damping, Damping::Dry, "{:?}", s.ratio);
    assert!(s.ratio.is_none() && s.overshoot.is_none(), "rubbing has no ratio");
    // The envelope of the model is the mean over a cycle: to a tenth.
    let lost = s.dry_per_cycle.unwrap();
    assert!((lost.value - 4.0 * rub).abs() < 0.4 * rub, "{lost:?}");
    // A straight line from 0.1: 5 % of it is left after 0.095 / 0.016 cycles.
    assert!((s.to_rest[0].cycles - 0.095 / 0.016).abs() < 0.5, "{:?}", s.to_rest);
    // The same damping by a damper is told as that.
    assert_eq!(
        swings(&Made { noise: 0.003, ..Made::plain(0.06) }.record().unwrap()).damping,
        Damping::Viscous
    );
}

#[test]
fn damper_and_rubbing_together_are_told_apart() {
    let made = Made { noise: 0.002, after_s: 10.0, ..Made::plain(0.0) };
    let (zeta, rub) = (0.05, 0.001);
    let samples = made.samples_of(|t| rubbing(zeta, made.wn(), 0.1, rub, t));
    let s = swings(&Record::new(&samples, Signal::Angle).unwrap());
    assert_eq!(s.damping, Damping::Both, "{:?}", s.ratio);
    assert!((s.ratio.unwrap().value - zeta).abs() < 0.1 * zeta, "{:?}", s.ratio);
    assert!((s.dry_per_cycle.unwrap().value - 4.0 * rub).abs() < 0.8 * rub, "{:?}", s.dry_per_cycle);
}

#[test]
fn one_that_creeps_is_told_in_words() {
    for (zeta, most) in [(1.0, 1.0), (1.6, 1.0), (3.0, 1.0)] {
        let made = Made { after_s: 8.0, ..Made::plain(zeta) };
        let Outcome::Creeps(c) =
            analyse(&made.record().unwrap()).map_err(|e| format!("{zeta}: {e}")).unwrap()
        else {
            panic!("{zeta} swings")
        };
        assert!(c.ratio_at_least > 0.6 && c.ratio_at_least <= most, "{zeta} {c:?}");
        // Over-damped: the slow root sets the time. w (zeta - sqrt(zeta² - 1)) t = ln 20 and somewhat more.
        let slow = made.wn() * (zeta - (zeta * zeta - 1.0).max(0.0).sqrt());
        let five = 20.0_f64.ln() / slow;
        assert!(c.to_five_percent_s > 0.6 * five && c.to_five_percent_s < 1.7 * five, "{zeta} {c:?} {five}");
    }
}

#[test]
fn gaps_and_a_later_knock_do_no_harm() {
    let made = Made { after_s: 14.0, ..Made::plain(0.1) };
    let knocked =
        made.samples_of(|t| made.exact(t) + if t > 11.0 { 0.03 * ((t - 11.0) * 9.0).sin() } else { 0.0 });
    // Samples missing for 0.4 s in the second cycle.
    let kept: Vec<(f64, f64)> = knocked.into_iter().filter(|(t, _)| !(100.9..101.3).contains(t)).collect();
    let s = swings(&Record::new(&kept, Signal::Angle).unwrap());
    assert!((s.ratio.unwrap().value - 0.1).abs() < 0.005, "{:?}", s.ratio);
    // 1.5 s before the release, 11 s after it.
    assert!(s.window.again_s.is_some_and(|t| (12.4..12.8).contains(&t)), "{:?}", s.window);
}
