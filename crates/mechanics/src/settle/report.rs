//! What a release test tells.

use super::attempt::Attempt;
use super::checks::{Check, beside, by_envelope, by_tops};
use super::decrement::{Between, overshoot};
use super::noise::student;
use super::shapes::{Both, Viscous};
use super::solve::Square;
use std::f64::consts::PI;

/// The part of the record that was used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Where the free swing is taken from, s from the first sample.
    pub start_s: f64,
    /// Where it drowns, or is disturbed, or the record ends, s.
    pub end_s: f64,
    /// Samples between the two (in groups, where there are very many).
    pub samples: usize,
    /// Swings to either side in it that stand out.
    pub swings: usize,
    /// When it moves again afterwards, s.
    pub again_s: Option<f64>,
}

/// What takes the swing away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Damping {
    /// The same share in each cycle: a damper.
    Viscous,
    /// The same length in each cycle: rubbing.
    Dry,
    /// Both, to an extent that shows; `dry_share` of what the swing lost in the window went by rubbing.
    Both,
    /// Too few swings to tell.
    NotKnown,
}

/// How long until the swing stays within a share of the first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToRest {
    /// The share.
    pub share: f64,
    /// Seconds from the start of the window.
    pub seconds: f64,
    /// Cycles in that time.
    pub cycles: f64,
}

/// How well the fit holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quality {
    /// Share of the movement that the fit explains.
    pub explained: f64,
    /// What it leaves, root mean square, SI.
    pub left: f64,
    /// The same over the first swing.
    pub left_share: f64,
    /// Samples that share one error; the independent ones are fewer by this.
    pub shared: f64,
}

/// A payload that swings.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// What was used.
    pub window: Window,
    /// Size of the swing at the start of the window, SI.
    pub first_swing: f64,
    /// Rest level at the window's start, SI: gravity, and how the phone lies.
    pub level: f64,
    /// Drift of the level, SI a second.
    pub drift_per_s: f64,
    /// Damping ratio of the viscous part with its 95 % interval; none where rubbing dominates.
    pub ratio: Option<Between>,
    /// Deviation of the ratio (one standard error).
    pub ratio_deviation: f64,
    /// Damped frequency, Hz, 95 %.
    pub damped_hz: Between,
    /// Natural frequency, Hz, 95 %.
    pub natural_hz: Between,
    /// First swing past rest over the push, 95 %; none where rubbing dominates.
    pub overshoot: Option<Between>,
    /// What kind of damping.
    pub damping: Damping,
    /// Length that rubbing takes off the swing in each cycle, SI, 95 %; for a friction force `F` on a spring `k` it is `4 F / k`.
    pub dry_per_cycle: Option<Between>,
    /// Share of what the swing lost in the window that went by rubbing.
    pub dry_share: f64,
    /// To 5 % and to 2 %.
    pub to_rest: [ToRest; 2],
    /// By successive tops.
    pub by_tops: Option<Check>,
    /// By the envelope.
    pub by_envelope: Option<Check>,
    /// How well it holds.
    pub quality: Quality,
    /// Time, fit, and half the width of the envelope about the level: for a chart.
    pub drawn: Vec<Drawn>,
}

/// A point of the fitted curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// Time, s from the first sample.
    pub t_s: f64,
    /// Fit, SI.
    pub fit: f64,
    /// Rest level, SI.
    pub level: f64,
    /// Size of the swing, SI.
    pub size: f64,
}

/// A payload that creeps back without a swing that can be seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Creeping {
    /// Where it was let go, s.
    pub start_s: f64,
    /// The damping ratio is at least this.
    pub ratio_at_least: f64,
    /// Seconds until it stays within 5 % of the push.
    pub to_five_percent_s: f64,
}

/// What a release test tells.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// It swings.
    Swings(Box<Settling>),
    /// It does not.
    Creeps(Creeping),
}

/// A fitted number and its deviation.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub(super) value: f64,
    pub(super) deviation: f64,
}

impl Found {
    pub(super) fn between(self, width: f64) -> Between {
        let off = width * self.deviation;
        Between { value: self.value, low: self.value - off, high: self.value + off }
    }
}

/// Ratio, damped and natural angular frequency from a fit, each with its deviation.
#[derive(Debug, Clone, Copy)]
pub(super) struct Numbers {
    pub(super) ratio: Found,
    pub(super) damped: Found,
    pub(super) natural: Found,
    /// Student's point for 95 %.
    pub(super) width: f64,
}

/// Deviation of a number whose slopes by two of the unknowns are given.
fn deviation(spread: &Square, at: [usize; 2], slopes: [f64; 2], variance: f64) -> f64 {
    let mut sum = 0.0;
    for (i, di) in at.into_iter().zip(slopes) {
        for (k, dk) in at.into_iter().zip(slopes) {
            sum += di * dk * spread.a[i][k];
        }
    }
    (sum.max(0.0) * variance).sqrt()
}

/// From the viscous fit.
///
/// ```text
/// w_n = sqrt(s² + q)    zeta = s / w_n    w_d = sqrt(q)
/// var = slopesᵀ (JᵀJ)⁻¹ slopes · SS / (n - 6) · f        nu = n / f - 6
/// ```
///
/// `docs/mechanics.md` §15.4 and §15.5. Checked by `the_stated_interval_holds_as_often_as_it_says` in `tests/settle_coverage.rs`
/// and `a_fit_agrees_with_another_program` in `tests/settle_reference.rs`.
pub(super) fn viscous_numbers(a: &Attempt, shared: f64) -> Option<Numbers> {
    let ([s, q], spread) = (a.viscous.p, a.viscous.spread?);
    let n = a.t.len() as f64;
    let n2 = s * s + q;
    if n2.is_nan() || n2 <= 0.0 || n < 12.0 {
        return None;
    }
    let (wn, variance) = (n2.sqrt(), a.viscous.sum_squares / (n - 6.0) * shared);
    let wd = q.max(0.0).sqrt();
    let of = |slopes| deviation(&spread, [4, 5], slopes, variance);
    Some(Numbers {
        ratio: Found { value: s / wn, deviation: of([q / wn.powi(3), -0.5 * s / wn.powi(3)]) },
        damped: Found { value: wd * a.w, deviation: a.w * of([0.0, 0.5 / wd.max(1e-3)]) },
        natural: Found { value: wn * a.w, deviation: a.w * of([s / wn, 0.5 / wn]) },
        width: student(n / shared - 6.0),
    })
}

/// From the fit with both kinds of damping; the fourth is what rubbing takes per radian, as a share of the first swing.
fn both_numbers(a: &Attempt, shared: f64) -> Option<(Numbers, Found)> {
    let both = a.both.as_ref()?;
    let ([s, w, k], spread) = (both.p, both.spread?);
    let n = a.t.len() as f64;
    let (wn, variance) = (s.hypot(w), both.sum_squares / (n - 7.0).max(1.0) * shared);
    let of = |at, slopes| deviation(&spread, at, slopes, variance);
    let n3 = wn.powi(3);
    let numbers = Numbers {
        ratio: Found { value: s / wn, deviation: of([4, 5], [w * w / n3, -s * w / n3]) },
        damped: Found { value: w * a.w, deviation: a.w * of([4, 5], [0.0, 1.0]) },
        natural: Found { value: wn * a.w, deviation: a.w * of([4, 5], [s / wn, w / wn]) },
        width: student(n / shared - 7.0),
    };
    Some((numbers, Found { value: k, deviation: of([6, 6], [0.5, 0.5]) }))
}

/// What kind of damping, by whether the fit with both leaves significantly less than each alone.
///
/// ```text
/// F = (SS_one - SS_both) / (SS_both / (n / f - 7))  against the 0.1 % point of F(1, many), 10.8
/// ```
///
/// Source: the extra sum of squares, e.g. Bates and Watts, *Nonlinear Regression Analysis*, 3.10 [from memory]; the level is ours: a trace is told
/// as rubbing once in a thousand by chance. `docs/mechanics.md` §15.6. Checked by `an_exact_dry_friction_swing_is_told_as_one`.
pub(super) fn kind(a: &Attempt, shared: f64) -> (Damping, f64) {
    const POINT: f64 = 10.8;
    let (Some(both), Some(dry)) = (&a.both, &a.dry) else { return (Damping::NotKnown, 0.0) };
    let freedom = (a.t.len() as f64 / shared - 7.0).max(3.0);
    let gain = |one: f64| (one - both.sum_squares) / (both.sum_squares / freedom).max(f64::MIN_POSITIVE);
    // Noise-free samples make every difference significant: a thousandth of the movement is looked past.
    let shows = |one: f64| gain(one) > POINT && one > 1e-6 * a.energy();
    let [s, _, k] = both.p;
    let share = dry_share(a.t.last().copied().unwrap_or(0.0), s, k);
    match (shows(a.viscous.sum_squares) && k > 0.0, shows(dry.sum_squares) && s > 0.0) {
        (false, _) => (Damping::Viscous, 0.0),
        (true, _) if share >= 0.5 => (Damping::Dry, share),
        (true, false) => (Damping::Dry, share),
        (true, true) => (Damping::Both, share),
    }
}

/// Share of the swing lost by rubbing until the window's end, by `A' = -s A - k`.
///
/// `k T / (1 - height(T))`: rubbing takes `k` off in each unit of time, up to the window's end or rest, and all that is lost
/// is what the envelope fell by.
fn dry_share(end: f64, s: f64, k: f64) -> f64 {
    let (s, k) = (s.max(0.0), k.max(0.0));
    if k <= 0.0 {
        return 0.0;
    }
    let end = end.min(time_to(0.0, s, k));
    let lost = 1.0 - Both::height(s, k, end);
    if lost > 0.0 { (k * end / lost).min(1.0) } else { 0.0 }
}

/// Scaled time until the envelope is down to a share.
fn time_to(share: f64, s: f64, k: f64) -> f64 {
    if s.abs() < 1e-9 {
        return (1.0 - share) / k.max(1e-12);
    }
    let r = k / s;
    ((1.0 + r) / (share + r)).ln() / s
}

/// All numbers of a swing that passed its checks.
pub(super) fn settling(a: &Attempt, swings: usize) -> Option<Settling> {
    let shared = a.inflation();
    let (damping, dry_share) = kind(a, shared);
    let alone = viscous_numbers(a, shared)?;
    let rubbing = both_numbers(a, shared).filter(|_| matches!(damping, Damping::Dry | Damping::Both));
    let both = rubbing.and(a.both.as_ref());
    let numbers = rubbing.map_or(alone, |(n, _)| n);
    let width = numbers.width;
    let (s, k) = both.map_or((a.viscous.p[0], 0.0), |b| (b.p[0], b.p[2]));
    let linear = both.map_or(a.viscous.linear, |b| b.linear);
    let size = both.map_or(a.size(), |b| b.linear[2].hypot(b.linear[3]));
    let hz =
        |f: Found| Found { value: f.value / (2.0 * PI), deviation: f.deviation / (2.0 * PI) }.between(width);
    let ratio = (damping != Damping::Dry).then(|| numbers.ratio.between(width));
    let share = |z: f64| overshoot(z.max(0.0)).unwrap_or(f64::NAN);
    let cycle = 2.0 * PI / (numbers.damped.value / a.w);
    let noise = (both.map_or(a.viscous.sum_squares, |b| b.sum_squares) / a.t.len() as f64).sqrt();
    let sum_squares = noise * noise * a.t.len() as f64;
    let check = |found| {
        if damping == Damping::Viscous || damping == Damping::NotKnown {
            beside(found, alone.ratio.value, alone.ratio.deviation)
        } else {
            None
        }
    };
    let spread = a.noise() * shared.sqrt();
    Some(Settling {
        window: Window {
            start_s: a.start.at_s,
            end_s: a.end_s,
            samples: a.t.len(),
            swings,
            again_s: a.start.again_s,
        },
        first_swing: size,
        level: linear[0],
        drift_per_s: linear[1] * a.w,
        ratio,
        ratio_deviation: numbers.ratio.deviation,
        damped_hz: hz(numbers.damped),
        natural_hz: hz(numbers.natural),
        overshoot: ratio.map(|r| Between { value: share(r.value), low: share(r.high), high: share(r.low) }),
        damping,
        dry_per_cycle: rubbing.map(|(_, k)| {
            Found { value: k.value * size * cycle, deviation: k.deviation * size * cycle }.between(width)
        }),
        dry_share,
        to_rest: [0.05, 0.02].map(|share| {
            let t = time_to(share, s, k);
            ToRest { share, seconds: t / a.w, cycles: t / cycle }
        }),
        by_tops: check(by_tops(a, spread)),
        by_envelope: check(by_envelope(a, spread)),
        quality: Quality {
            explained: 1.0 - sum_squares / a.energy(),
            left: noise,
            left_share: noise / size,
            shared,
        },
        drawn: drawn(a, s, k),
    })
}

/// The fit at 400 times.
fn drawn(a: &Attempt, s: f64, k: f64) -> Vec<Drawn> {
    const POINTS: u32 = 400;
    let end = a.t.last().copied().unwrap_or(0.0);
    let both = a.both.as_ref().filter(|_| k > 0.0);
    let size = both.map_or(a.size(), |b| b.linear[2].hypot(b.linear[3]));
    let [b, d, ..] = both.map_or(a.viscous.linear, |b| b.linear);
    let at = |i: u32| {
        let t = end * f64::from(i) / f64::from(POINTS);
        let fit = both.map_or_else(|| a.viscous.value(&Viscous, t), |m| m.value(&Both, t));
        Drawn { t_s: a.start.at_s + t / a.w, fit, level: b + d * t, size: size * Both::height(s, k, t) }
    };
    (0..=POINTS).map(at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the sum over small steps of what either takes.
    #[test]
    fn rubbing_and_damper_share_what_is_lost() {
        for (end, s, k) in
            [(30.0, 0.05, 0.01), (5.0, 0.2, 0.02), (80.0, 0.02, 0.05), (20.0, 0.0, 0.03), (20.0, 0.1, 0.0)]
        {
            let (mut rubbed, mut lost) = (0.0, 0.0);
            for i in 0..100_000 {
                let height = Both::height(s, k, end * (f64::from(i) + 0.5) / 1e5);
                if height > 0.0 {
                    rubbed += k;
                    lost += s * height + k;
                }
            }
            let share = dry_share(end, s, k);
            assert!((share - rubbed / lost).abs() < 1e-4, "{end} {s} {k}: {share} {}", rubbed / lost);
        }
        assert!(dry_share(10.0, -0.1, 0.02) > 0.999, "what grows is no damper");
    }
}
