//! Which of several cups leaks more than the others.

use super::LeakError;
use super::fit::Estimate;
use crate::settle::noise::median;

/// Deviations over the median from which a cup stands out; its false alarms are counted in `tests/leak_coverage.rs`.
const STANDS_OUT: f64 = 5.0;
/// Scale from the median of the deviations to a standard deviation, normal distribution.
const MAD_SCALE: f64 = 1.4826;
/// Fewest cups of which a median and its deviations tell something.
const FEWEST: usize = 4;
/// With fewer cups: how many times the others' leak a cup's must be (judgement, no source).
const FACTOR: f64 = 2.0;
/// 97.5 % point of the normal distribution.
const NORMAL: f64 = 1.959_964;

/// How the cups were compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PeerRule {
    /// Four cups and more: over `bound`, and the whole interval over the median.
    Median {
        /// Median of the rates.
        median: f64,
        /// Deviation of a cup like the others: from the median of the deviations, and not less than the readings' own.
        spread: f64,
        /// `median + 5 spread`.
        bound: f64,
    },
    /// Two or three cups: the lower end over `times` the upper end of every other one. A weak comparison: two bad cups of three hide each other.
    Factor {
        /// How many times.
        times: f64,
    },
}

/// Which cups leak more than the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Peers {
    /// How they were compared.
    pub rule: PeerRule,
    /// Numbers of those that leak more, from 0, in order.
    pub more: Vec<usize>,
}

/// Compares leak rates of one unit, at one vacuum and in one air ([`super::Leak::fall_at_pa_per_s`]).
///
/// ```text
/// spread = max(1.4826 median|v_i - m|, median of the readings' deviations),   cup i leaks more if v_i > m + 5 spread and low_i > m
/// ```
///
/// # Source
///
/// Median and MAD: Hampel, *J. Am. Statist. Assoc.* 69 (1974) \[from memory\]; the bound is ours. `docs/mechanics.md` §17.8. Checked by
/// `cups_alike_are_seldom_told_apart`.
///
/// # Errors
///
/// [`LeakError`] with fewer than two cups, or if an interval is not one.
pub fn peers(rates: &[Estimate]) -> Result<Peers, LeakError> {
    if rates.len() < 2 {
        return Err(LeakError::TooFewCups { cups: rates.len() });
    }
    for r in rates {
        if !(r.low <= r.value && r.value <= r.high && r.low.is_finite() && r.high.is_finite()) {
            return Err(LeakError::OutOfRange {
                what: "leak rate",
                value: r.value,
                needs: "a number within its interval",
            });
        }
    }
    let which = |more: &dyn Fn(usize, &Estimate) -> bool| {
        rates.iter().enumerate().filter(|(i, r)| more(*i, r)).map(|(i, _)| i).collect::<Vec<usize>>()
    };
    if rates.len() < FEWEST {
        let others = |i: usize| {
            rates.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, r)| r.high).fold(0.0, f64::max)
        };
        let more = which(&|i, r| r.low > FACTOR * others(i));
        return Ok(Peers { rule: PeerRule::Factor { times: FACTOR }, more });
    }
    let values: Vec<f64> = rates.iter().map(|r| r.value).collect();
    let middle = median(&values);
    let off: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
    let own: Vec<f64> = rates.iter().map(|r| (r.high - r.value) / NORMAL).collect();
    let spread = (MAD_SCALE * median(&off)).max(median(&own));
    let bound = middle + STANDS_OUT * spread;
    let more = which(&|_, r| r.value > bound && r.low > middle);
    Ok(Peers { rule: PeerRule::Median { median: middle, spread, bound }, more })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn about(value: f64) -> Estimate {
        Estimate { value, low: 0.8 * value, high: 1.2 * value }
    }

    #[test]
    fn one_bad_cup_of_six_is_named() {
        let rates: Vec<Estimate> = [1.0, 1.1, 0.9, 4.0, 1.05, 0.95].map(about).to_vec();
        let p = peers(&rates).unwrap();
        assert_eq!(p.more, [3]);
        assert!(matches!(p.rule, PeerRule::Median { median, .. } if (median - 1.025).abs() < 1e-12));
        // Read so badly that its interval reaches the others it is not told.
        let mut vague = rates;
        if let Some(r) = vague.get_mut(3) {
            r.low = 0.5;
        }
        assert!(peers(&vague).unwrap().more.is_empty());
    }

    #[test]
    fn two_and_three_are_compared_by_factor() {
        assert_eq!(peers(&[about(1.0), about(4.0)]).unwrap().more, [1]);
        assert!(peers(&[about(1.0), about(2.5)]).unwrap().more.is_empty());
        let three = peers(&[about(1.0), about(4.0), about(1.0)]).unwrap();
        assert!(three.more == [1] && matches!(three.rule, PeerRule::Factor { .. }));
        assert!(peers(&[about(1.0), about(9.0), about(9.0)]).unwrap().more.is_empty());
    }

    #[test]
    fn one_cup_and_no_number_are_refused() {
        assert_eq!(peers(&[about(1.0)]), Err(LeakError::TooFewCups { cups: 1 }));
        assert!(peers(&[about(1.0), about(f64::NAN)]).is_err());
    }
}
