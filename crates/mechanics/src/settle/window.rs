//! Where the release is: from the raw record to places at which a fit may begin.

use super::error::Refusal;
use super::lobes::{Lobe, half_period_s, lobes};
use super::noise::{jumpiness, median};
use super::record::Record;

/// Samples a second that are enough to find swings in.
const COARSE_HZ: f64 = 60.0;
/// Samples a second below which a quick swing may pass for a slow one: isolators swing at up to some 4 Hz (common
/// practice, no source), and five samples for each of two cycles are the least that shows it.
pub(super) const SLOWEST_HZ: f64 = 10.0;
/// Past the top of a swing by this much: the payload is surely let go.
const LET_GO: [f64; 2] = [0.9, 0.7];

/// A place where the free swing may begin.
#[derive(Debug, Clone)]
pub(super) struct Start {
    /// Time, s.
    pub(super) at_s: f64,
    /// Half a period as first seen, s.
    pub(super) half_s: f64,
    /// End of the swings that follow without a break, s.
    pub(super) last_s: f64,
    /// Size at the start.
    pub(super) size: f64,
    /// Size of the last of these swings.
    pub(super) last_size: f64,
    /// Half periods from start to last.
    pub(super) halves: f64,
    /// When it moves again after that, if it does, s.
    pub(super) again_s: Option<f64>,
    /// Where the first of all starts lies: what comes after it was free to swing.
    pub(super) first_s: f64,
}

/// What the first look found.
#[derive(Debug)]
pub(super) struct Look {
    pub(super) starts: Vec<Start>,
}

/// Finds swings about a level (a line `level + slope t`), or about the median of the last part when none is known yet.
///
/// `docs/mechanics.md` §15.3. Checked by `the_release_is_found_behind_press_and_hold` in `tests/settle.rs`.
pub(super) fn look(record: &Record, line: Option<(f64, f64)>) -> Result<Look, Refusal> {
    if record.rate_hz() < SLOWEST_HZ {
        return Err(Refusal::TooSlow { rate_hz: record.rate_hz(), per_cycle: None });
    }
    let series = record.coarse(COARSE_HZ);
    let tail = |share: f64| -> Vec<f64> {
        let from = record.seconds() * (1.0 - share);
        series.iter().filter(|(t, _)| *t >= from).map(|(_, y)| *y).collect()
    };
    let middle = median(&tail(0.4));
    let level = |t: f64| line.map_or(middle, |(b, d)| b + d * t);
    let values: Vec<f64> = series.iter().map(|(t, y)| y - level(*t)).collect();
    let rest = tail(0.15);
    let rest_middle = median(&rest);
    let rest_noise = median(&rest.iter().map(|y| (y - rest_middle).abs()).collect::<Vec<f64>>()) / 0.6745;
    // Both are too high when the swing itself is quick, or still there: the lower is the better guess.
    let noise = jumpiness(&values).min(rest_noise);
    let peak = values.iter().map(|v| v.abs()).fold(0.0, f64::max);
    let spread = series.iter().map(|(_, y)| y.abs()).fold(0.0, f64::max);
    if peak.is_nan() || peak <= 6.0 * noise || peak <= 1e-9 * spread {
        return Err(Refusal::NoiseOnly);
    }
    if peak > record.signal.most() {
        return Err(Refusal::WrongUnit { swing: peak, most: record.signal.most() });
    }
    let threshold = (4.0 * noise).max(0.03 * peak);
    let found = lobes(&series, level, threshold);
    if let Some(times) = growth(&found) {
        return Err(Refusal::Growing { times });
    }
    let starts = starts(&series, level, &found, threshold);
    if starts.is_empty() {
        return Err(Refusal::TooShort { samples: record.t.len(), seconds: record.seconds() });
    }
    Ok(Look { starts })
}

/// Last swing over first, if the last five grow one after the other.
fn growth(found: &[Lobe]) -> Option<f64> {
    const LOOKED_AT: usize = 5;
    let last = found.get(found.len().checked_sub(LOOKED_AT)?..)?;
    let rises = last.windows(2).all(|w| matches!(w, [a, b] if b.size() >= 0.97 * a.size()));
    let times = last.last()?.size() / last.first()?.size();
    // The very last may be cut off by the end of the trace.
    let top = last.iter().map(Lobe::size).fold(0.0, f64::max) / last.first()?.size();
    let but_last = last.windows(2).take(LOOKED_AT - 2).all(|w| matches!(w, [a, b] if b.size() > a.size()));
    (but_last && (rises || times < 1.0) && top > 1.15).then_some(top)
}

/// Swings that follow one another; a rest between parts them.
///
/// A rest is longer than 1.2 times the usual time from one swing to the next; before a large swing also one longer than twice
/// either swing beside it.
fn movements(found: &[Lobe]) -> Vec<&[Lobe]> {
    let gaps: Vec<f64> = found
        .windows(2)
        .filter_map(|w| if let [a, b] = w { Some(b.from_s - a.from_s) } else { None })
        .collect();
    let usual = median(&gaps);
    let largest = found.iter().map(Lobe::size).fold(0.0, f64::max);
    let wide = |l: &Lobe| l.to_s - l.from_s;
    found
        .chunk_by(|a, b| {
            let rest = b.from_s - a.to_s;
            !(rest > 1.2 * usual || (b.size() > 0.3 * largest && rest > 2.0 * wide(a).max(wide(b))))
        })
        .collect()
}

/// Starts in the movement with most swings, the later of two alike: pressing makes fewer than letting go, and comes before it.
///
/// In it, starts at the first large swing, then at those after it: the first may still be the hand.
fn starts(series: &[(f64, f64)], level: impl Fn(f64) -> f64, found: &[Lobe], threshold: f64) -> Vec<Start> {
    let size = |m: &[Lobe]| m.iter().map(Lobe::size).fold(0.0, f64::max);
    let largest = size(found);
    let all = movements(found);
    let large = all.iter().filter(|m| size(m) >= 0.3 * largest);
    let Some(&own) = large.max_by_key(|m| m.len()) else { return Vec::new() };
    let top = size(own);
    // What is smaller than a tenth of it, or hardly stands out, is the end of the swing or noise.
    let counts = (0.1 * top).max(1.6 * threshold);
    let after = all.iter().skip_while(|m| m.first() != own.first()).skip(1).find(|m| size(m) > counts);
    let again_s = after.and_then(|m| m.first()).map(|l| l.from_s);
    let first = own.iter().position(|l| l.size() >= 0.85 * top).unwrap_or(0);
    let mut out = Vec::new();
    for (k, lobe) in own.iter().enumerate().skip(first).take(5) {
        let levels: &[f64] = if k == first { &LET_GO } else { &LET_GO[..1] };
        for &share in levels {
            let mut inside = series.iter().filter(|(t, _)| (lobe.from_s..=lobe.to_s).contains(t));
            let last = inside.rfind(|(t, y)| (y - level(*t)) * lobe.top.signum() >= share * lobe.size());
            let Some(&(at_s, _)) = last else { continue };
            let mut run: Vec<Lobe> = own.iter().skip(k).copied().collect();
            if let Some(first) = run.first_mut() {
                first.top_s = at_s;
            }
            out.extend(start(series, &level, &run, again_s));
        }
    }
    let first_s = out.iter().map(|s| s.at_s).fold(f64::INFINITY, f64::min);
    for s in &mut out {
        s.first_s = first_s;
    }
    out
}

/// One start, with what follows it.
fn start(
    series: &[(f64, f64)],
    level: impl Fn(f64) -> f64,
    run: &[Lobe],
    again_s: Option<f64>,
) -> Option<Start> {
    let (own, last) = (run.first()?, run.last()?);
    let half_s = match half_period_s(run.get(..run.len().min(7))?) {
        Some(half) => half,
        // One side only: from the top to a tenth of it is a good quarter of a cycle.
        None => {
            2.0 * (series.iter().find(|(t, y)| *t > own.top_s && (y - level(*t)).abs() < 0.1 * own.size())?.0
                - own.top_s)
        }
    };
    let end = series.last()?.0;
    (half_s > 0.0 && own.top_s + 0.5 * half_s < end).then_some(Start {
        at_s: own.top_s,
        half_s,
        last_s: last.top_s,
        size: own.size(),
        last_size: last.size(),
        halves: (run.len() - 1) as f64,
        again_s,
        first_s: own.top_s,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settle::record::Signal;

    #[test]
    fn a_second_movement_ends_the_first() {
        // A swing of 1 s period from 2 s on, dead after 6 s, and a knock at 12 s.
        let y = |t: f64| match t {
            t if t < 2.0 => -1.0,
            t if t < 12.0 => -(2.0 - t).exp() * (std::f64::consts::TAU * (t - 2.0)).cos(),
            t => 0.6 * (-2.0 * (t - 12.0)).exp() * (std::f64::consts::TAU * (t - 12.0)).sin(),
        };
        let samples: Vec<(f64, f64)> = (0..1500).map(|i| f64::from(i) * 0.01).map(|t| (t, y(t))).collect();
        let found = look(&Record::new(&samples, Signal::Angle).unwrap(), None).unwrap();
        let s = &found.starts[0];
        // 0.9 of the first top is passed 0.07 s after the release; tops lie half a second apart.
        assert!((s.at_s - 2.05).abs() < 0.05, "{s:?}");
        assert!((s.half_s - 0.5).abs() < 0.05, "{s:?}");
        assert!(s.again_s.is_some_and(|t| (12.0..12.2).contains(&t)), "{s:?}");
        assert!(found.starts[1].at_s > s.at_s);
    }
}
