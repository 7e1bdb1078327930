//! The fit beside another program's, on two made-up traces that both programs make from the same recipe.
//!
//! `tests/reference_program/settle_reference.py` (scipy) made the stored figures; it says how, and which window it was given.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, clippy::cast_precision_loss, reason = "tests")]

use mechanics::settle::{Outcome, Record, Signal, analyse};

/// A trace by recipe: noise from whole numbers alone, so that any program makes the same.
struct Recipe {
    zeta: f64,
    hz: f64,
    size: f64,
    level: f64,
    drift: f64,
    step_s: f64,
    count: u64,
    noise: f64,
}

/// What scipy's `curve_fit` found in the window of ours: ratio and damped frequency with their deviations.
struct Theirs {
    ratio: f64,
    ratio_deviation: f64,
    damped_hz: f64,
    damped_deviation: f64,
}

const CASES: [(Recipe, Theirs); 2] = [
    (
        Recipe {
            zeta: 0.08,
            hz: 1.4,
            size: 0.09,
            level: 0.3,
            drift: 0.0008,
            step_s: 0.02,
            count: 500,
            noise: 0.004,
        },
        Theirs {
            ratio: 0.079_729_450_7,
            ratio_deviation: 0.001_562_982_7,
            damped_hz: 1.396_296_977_6,
            damped_deviation: 0.002_252_712_1,
        },
    ),
    (
        Recipe {
            zeta: 0.31,
            hz: 2.1,
            size: 1.7,
            level: -9.7,
            drift: 0.01,
            step_s: 0.008,
            count: 600,
            noise: 0.03,
        },
        Theirs {
            ratio: 0.309_426_879_2,
            ratio_deviation: 0.003_611_998_9,
            damped_hz: 2.013_295_806_3,
            damped_deviation: 0.010_551_674_1,
        },
    ),
];

/// Uneven times and a noise of sums of twelve whole remainders: integers below 2^31 until the last division.
fn samples(r: &Recipe) -> Vec<(f64, f64)> {
    let mut state = 12_345_u64;
    let mut next = || {
        state = (state * 1_103_515_245 + 12_345) % 2_147_483_648;
        state as f64 / 2_147_483_648.0
    };
    let w = std::f64::consts::TAU * r.hz;
    let (s, wd) = (r.zeta * w, w * (1.0 - r.zeta * r.zeta).sqrt());
    (0..r.count)
        .map(|i| {
            let t = (i as f64 + 0.4 * next()) * r.step_s;
            let noise = (0..12).map(|_| next()).sum::<f64>() - 6.0;
            let swing = r.size * (-s * t).exp() * ((wd * t).cos() + s / wd * (wd * t).sin());
            (t, r.level + r.drift * t + swing + r.noise * noise)
        })
        .collect()
}

#[test]
fn a_fit_agrees_with_another_program() {
    for (recipe, theirs) in CASES {
        let samples = samples(&recipe);
        let Ok(Outcome::Swings(s)) = analyse(&Record::new(&samples, Signal::Acceleration).unwrap()) else {
            panic!()
        };
        let (r, f) = (s.ratio.unwrap(), s.damped_hz);
        let width = r.half_width() / s.ratio_deviation;
        // The minimum is flat: both searches stop within a millionth of the deviation or so; 1e-3 of it is no difference.
        assert!(
            (r.value - theirs.ratio).abs() < 1e-3 * theirs.ratio_deviation,
            "{} {}",
            r.value,
            theirs.ratio
        );
        assert!(
            (f.value - theirs.damped_hz).abs() < 1e-3 * theirs.damped_deviation,
            "{} {}",
            f.value,
            theirs.damped_hz
        );
        // Their covariance counts every sample as independent, ours fewer by `shared`; both use n - 6.
        let plain = s.quality.shared.sqrt();
        assert!((s.ratio_deviation / plain / theirs.ratio_deviation - 1.0).abs() < 1e-3);
        assert!((f.half_width() / width / plain / theirs.damped_deviation - 1.0).abs() < 1e-3);
    }
}
