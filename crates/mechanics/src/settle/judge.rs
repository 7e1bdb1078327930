//! From a record to an answer or a refusal.

use super::attempt::{Attempt, attempt};
use super::decrement::ratio_of_overshoot;
use super::error::Refusal;
use super::lobes::lobes;
use super::noise::median;
use super::record::Record;
use super::report::{Creeping, Outcome, settling, viscous_numbers};
use super::spectrum::strongest;
use super::window::look;
use std::f64::consts::PI;

/// Samples that a cycle needs.
const PER_CYCLE: f64 = 8.0;
/// From this ratio on the overshoot is under 1.5 % and no swing is seen.
const NO_SWING: f64 = 0.8;

/// Damping ratio, frequency and the rest from a release test.
///
/// The release is looked for in the record, each possible start is fitted, and the first whose first half cycle fits as well as what
/// follows is taken. Then come the reasons to refuse, the plainest first.
///
/// # Assumes
///
/// One mode; level and drift are a straight line over the swing; the phone or instrument moves with the payload and has no lag that changes with
/// the size of the swing.
///
/// # Source
///
/// `docs/mechanics.md` §15.3 to §15.7. Checked by `tests/settle.rs`, `tests/settle_coverage.rs`, `tests/settle_refusals.rs`.
///
/// # Errors
///
/// A [`Refusal`] when the trace does not tell it.
pub fn analyse(record: &Record) -> Result<Outcome, Refusal> {
    let first = choose(record, None)?;
    // A drift that the first look knew nothing of moves the early swings: look again about the line found.
    let [b, d, ..] = first.viscous.linear;
    let line = (b - d * first.start.at_s * first.w, d * first.w);
    let small = (line.1 * record.seconds()).abs() < 0.03 * first.size();
    let found = if small { first } else { choose(record, Some(line)).unwrap_or(first) };
    judge(record, &found)
}

/// The first start that fits from its beginning, else the one that fits best there.
fn choose(record: &Record, line: Option<(f64, f64)>) -> Result<Attempt, Refusal> {
    let looked = look(record, line)?;
    let mut kept: Option<(f64, Attempt)> = None;
    for start in &looked.starts {
        let per_cycle = 2.0 * start.half_s * record.rate_hz();
        if per_cycle < PER_CYCLE {
            return Err(Refusal::TooSlow { rate_hz: record.rate_hz(), per_cycle: Some(per_cycle) });
        }
        let Some(a) = attempt(record, start) else { continue };
        let misfit = a.start_misfit();
        if misfit <= 1.0 {
            return Ok(a);
        }
        if kept.as_ref().is_none_or(|(m, _)| misfit < 0.7 * m) {
            kept = Some((misfit, a));
        }
    }
    match kept {
        Some((_, a)) => Ok(a),
        None => Err(Refusal::TooShort { samples: record.t.len(), seconds: record.seconds() }),
    }
}

fn judge(record: &Record, a: &Attempt) -> Result<Outcome, Refusal> {
    clipped(record, a)?;
    let rest = a.rest();
    let (energy, left) = (a.energy(), rest.iter().map(|r| r * r).sum::<f64>());
    let explained = 1.0 - left / energy;
    let shared = a.inflation();
    let noise = a.noise();
    let [b, d, ..] = a.viscous.linear;
    let about: Vec<(f64, f64)> = a.t.iter().zip(&a.y).map(|(t, y)| (*t, y - b - d * t)).collect();
    let swings = lobes(&about, |_| 0.0, (4.0 * noise).max(0.03 * a.size())).len();
    let numbers = viscous_numbers(a, shared);
    let [fall, q] = a.viscous.p;
    let swinging = q > 0.04 && fall < NO_SWING * (fall * fall + q).sqrt();
    let cycles = (a.end_s - a.start.at_s) / a.period_s();
    // In fewer cycles a second swing, a drift and a wrong level look alike.
    if swinging && cycles >= 3.0 {
        two_modes(record, a, &rest, energy)?;
    }
    if explained < 0.5 && shared <= 6.0 {
        return Err(Refusal::NoiseOnly);
    }
    if explained < 0.9 && shared > 6.0 {
        let seen = (record.seconds() - a.start.at_s) / (2.0 * a.start.half_s);
        return Err(if seen < 2.0 {
            Refusal::TooFewSwings { swings }
        } else {
            Refusal::NotOneSwing { explained }
        });
    }
    let lower = numbers.map_or(0.0, |n| n.ratio.value - n.width * n.ratio.deviation);
    if !swinging && swings <= 2 && fall > 0.0 && explained > 0.9 {
        return creeping(record, a, lower).map(Outcome::Creeps);
    }
    let numbers = numbers.ok_or(Refusal::TooFewSwings { swings })?;
    let off = numbers.width * numbers.ratio.deviation;
    let zeta = numbers.ratio.value;
    if zeta + off < 0.0 {
        let end = a.t.last().copied().unwrap_or(0.0);
        return Err(Refusal::Growing { times: (-a.viscous.p[0] * end).exp() });
    }
    if zeta - off <= 0.0 {
        return Err(if swings >= 5 { Refusal::NoDecay { swings } } else { Refusal::TooFewSwings { swings } });
    }
    level(record, a)?;
    if !swinging || zeta + off >= 1.0 {
        return creeping(record, a, lower).map(Outcome::Creeps);
    }
    let still = (-a.viscous.p[0] * a.t.last().copied().unwrap_or(0.0)).exp();
    if swings < 2 || (off > 0.5 * zeta && off > 0.02) || (still > 0.5 && cycles < 2.0) || cycles < 0.9 {
        return Err(Refusal::TooFewSwings { swings });
    }
    settling(a, swings).map(|s| Outcome::Swings(Box::new(s))).ok_or(Refusal::TooFewSwings { swings })
}

/// Flat tops: the same value for longer than the top of a sine looks flat, well away from the level.
///
/// Within a thousandth of its top a sine stays for 1.4 % of its period, a coarse reading (a hundredth) for 5 %; 7 % and four samples are asked.
fn clipped(record: &Record, a: &Attempt) -> Result<(), Refusal> {
    let inside = record.samples().filter(|(t, _)| (a.start.first_s..=a.end_s).contains(t));
    let far = 0.25 * a.start.size;
    let (mut since, mut value, mut count) = (f64::NAN, f64::NAN, 0_u32);
    for (t, y) in inside {
        if (y - value).abs() <= 1e-9 * (y.abs() + a.start.size) {
            count += 1;
        } else {
            (since, value, count) = (t, y, 1);
        }
        if count >= 4 && t - since > 0.07 * a.period_s() && (y - a.level(t)).abs() > far {
            return Err(Refusal::Clipped { at: value, time_s: since });
        }
    }
    Ok(())
}

/// A second line in what is left: a third of it, and worth a percent of the movement; a fifth where much is left.
fn two_modes(record: &Record, a: &Attempt, rest: &[f64], energy: f64) -> Result<(), Refusal> {
    let left: f64 = rest.iter().map(|r| r * r).sum();
    if left < 0.01 * energy {
        return Ok(());
    }
    // In scaled time the swing fitted has about 1 / (2 pi) cycles a unit.
    let own = a.viscous.p[1].sqrt() / (2.0 * PI);
    let scaled_rate = record.rate_hz() / a.w;
    let to = (6.0 * own).min(0.4 * scaled_rate);
    match strongest(&a.t, rest, 0.3 * own, to) {
        Some(line) if line.share > if left > 0.08 * energy { 0.2 } else { 0.35 } => {
            Err(Refusal::TwoModes { first_hz: own * a.w, second_hz: line.hz * a.w })
        }
        _ => Ok(()),
    }
}

/// The level does not run away in the window, nor jump after it.
fn level(record: &Record, a: &Attempt) -> Result<(), Refusal> {
    const MOST: f64 = 0.3;
    let end = a.t.last().copied().unwrap_or(0.0);
    let drift = (a.viscous.linear[1] * end / a.size()).abs();
    let limit = record.seconds();
    let half = 0.5 * a.period_s();
    let at_end = a.level(a.end_s.min(limit));
    let after: Vec<f64> = record.samples().filter(|(t, _)| *t > a.end_s).map(|(_, y)| y - at_end).collect();
    let jump = if limit - a.end_s > half { (median(&after) / a.size()).abs() } else { 0.0 };
    let share = drift.max(jump);
    if share > MOST { Err(Refusal::NotLevel { share }) } else { Ok(()) }
}

/// What can be told without a swing: how long it takes, and a lower end of the ratio.
///
/// The ratio is at least the lower end of its interval, and at least the one whose overshoot would just have been seen in a
/// displacement. Source: as [`super::ratio_of_overshoot`]. `docs/mechanics.md` §15.7. Checked by `one_that_creeps_is_told_in_words`.
fn creeping(record: &Record, a: &Attempt, lower: f64) -> Result<Creeping, Refusal> {
    let end = a.start.again_s.unwrap_or(record.seconds()).min(record.seconds());
    let long = end - a.start.at_s;
    let part = |from: f64, to: f64| {
        let at = |share: f64| a.start.at_s + share * long;
        record
            .samples()
            .filter(|(t, _)| (at(from)..=at(to)).contains(t))
            .map(|(_, y)| y)
            .collect::<Vec<f64>>()
    };
    // Slow creep and a drift of the level look alike to a fit: the level is what it ends at, and it must have ended.
    let (last, before) = (median(&part(0.85, 1.0)), median(&part(0.7, 0.85)));
    let still_moves = ((last - before) / a.start.size).abs();
    let near = 0.05 * a.start.size + 2.0 * a.noise();
    // To the very end: a hold before the release would else pass for rest.
    let off = (median(&part(0.98, 1.0)) - last).abs();
    if !(still_moves < 0.05 && off < near) {
        return Err(Refusal::NotLevel { share: still_moves.max(off / a.start.size) });
    }
    let late = record.samples().filter(|(t, _)| (a.start.at_s..=end).contains(t));
    let away = late.filter(|(_, y)| (y - last).abs() > near).last();
    let to = away.map_or(0.0, |(t, _)| t - a.start.at_s);
    let unseen = (4.0 * a.noise() / a.start.size).clamp(1e-6, 0.5);
    let by_overshoot =
        if a.start.halves < 1.0 { ratio_of_overshoot(unseen).unwrap_or(0.0).min(NO_SWING) } else { 0.0 };
    Ok(Creeping {
        start_s: a.start.at_s,
        ratio_at_least: lower.max(by_overshoot).clamp(0.0, 1.0),
        to_five_percent_s: to,
    })
}
