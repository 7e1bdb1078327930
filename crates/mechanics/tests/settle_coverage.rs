//! Does the stated interval hold the truth as often as it says? Several hundred made-up release tests, seeded.

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

use mechanics::settle::{Damping, Outcome, analyse};
use swing::{Dice, Made, Of};

/// A release test at random: damping 0.01 to 0.6, any signal, rate, jitter, noise, offset and drift.
fn at_random(dice: &mut Dice, seed: u64, kept: f64) -> Made {
    let zeta = 0.01 * 60.0_f64.powf(dice.even());
    let hz = dice.between(0.7, 3.0);
    let of = [Of::Place, Of::Speed, Of::Acceleration][(dice.even() * 3.0) as usize % 3];
    // Long enough to hang still, or 25 cycles.
    let after_s = (4.0 / (zeta * std::f64::consts::TAU * hz)).clamp(4.0 / hz, 25.0 / hz) + 1.0;
    Made {
        zeta,
        hz,
        push: dice.between(0.02, 0.4),
        of,
        before_s: dice.between(0.8, 2.0),
        after_s,
        rate_hz: (20.0 * 20.0_f64.powf(dice.even())).max(14.0 * hz),
        jitter: dice.between(0.0, 0.8),
        noise: 0.002 * 15.0_f64.powf(dice.even()),
        kept,
        offset: dice.between(-10.0, 10.0),
        drift: dice.between(-0.01, 0.01),
        seed,
    }
}

struct Count {
    told: usize,
    ratio: usize,
    frequency: usize,
    asked: usize,
    told_as_rubbing: usize,
    worst: f64,
    refused: Vec<String>,
}

fn count(traces: u64, kept: f64, first_seed: u64) -> Count {
    let mut c = Count {
        told: 0,
        ratio: 0,
        frequency: 0,
        asked: 0,
        told_as_rubbing: 0,
        worst: 0.0,
        refused: Vec::new(),
    };
    for seed in first_seed..first_seed + traces {
        let mut dice = Dice(seed * 7919);
        let made = at_random(&mut dice, seed, kept);
        c.asked += 1;
        match analyse(&made.record().unwrap()) {
            Ok(Outcome::Swings(s)) => {
                c.told_as_rubbing += usize::from(matches!(s.damping, Damping::Dry | Damping::Both));
                let Some(r) = s.ratio else {
                    c.refused.push(format!("rubbing {made:?}"));
                    continue;
                };
                c.told += 1;
                let holds = (r.low..=r.high).contains(&made.zeta);
                c.ratio += usize::from(holds);
                let off = (r.value - made.zeta).abs() / r.half_width();
                if off > 1.8 {
                    c.refused.push(format!(
                        "off {off:.2} {:.4} +- {:.4} {:?} {made:?}",
                        r.value,
                        r.half_width(),
                        s.window
                    ));
                }
                c.worst = c.worst.max(off);
                c.frequency += usize::from((s.damped_hz.low..=s.damped_hz.high).contains(&made.damped_hz()));
            }
            Ok(Outcome::Creeps(creep)) => c.refused.push(format!("creeps {creep:?} {made:?}")),
            Err(e) => c.refused.push(format!("{e} {made:?}")),
        }
    }
    c
}

#[test]
fn the_stated_interval_holds_as_often_as_it_says() {
    // Independent noise, and noise of which each sample keeps 70 % of the one before.
    for (kept, traces) in [(0.0, 300), (0.7, 200)] {
        let c = count(traces, kept, 1000 * (1 + (kept * 10.0) as u64));
        let (ratio, frequency) = (c.ratio as f64 / c.told as f64, c.frequency as f64 / c.told as f64);
        // 95 % +- 3 deviations of a count of 200 is 90 to 99.6 %.
        assert!((0.91..=0.992).contains(&ratio), "ratio held in {ratio:.3}");
        assert!((0.91..=0.995).contains(&frequency), "frequency held in {frequency:.3}");
        assert!(c.told * 100 >= c.asked * 93, "told {} of {}: {:?}", c.told, c.asked, c.refused);
        // None is far off, and rubbing is told by chance only.
        assert!(c.worst < 3.0, "worst {:.2} of its half width: {:?}", c.worst, c.refused);
        assert!(c.told_as_rubbing * 50 <= c.asked, "{} told as rubbing", c.told_as_rubbing);
    }
}
