//! Logarithmic decrement, damping ratio, overshoot: the closed forms of one damped swing.

use super::error::{SettleError, in_range};
use std::f64::consts::PI;

/// Damping ratio of a swing that shrinks by the logarithmic decrement `delta` each cycle.
///
/// ```text
/// delta = ln(x_1 / x_2) = 2 pi zeta / sqrt(1 - zeta²)      zeta = delta / sqrt(4 pi² + delta²)
/// ```
///
/// # Assumes
///
/// One mode, viscous damping, no drift of the rest level.
///
/// # Source
///
/// S. S. Rao, *Mechanical Vibrations*, section 2.6 [from memory]. `docs/mechanics.md` §15.1. Checked by
/// `tests/sources/rao-mechanical-vibrations`.
///
/// # Errors
///
/// [`SettleError`] unless `0 <= delta <= 1000`.
pub fn ratio_of_decrement(delta: f64) -> Result<f64, SettleError> {
    let delta = in_range("logarithmic decrement", delta, 0.0, 1000.0)?;
    Ok(delta / (4.0 * PI * PI + delta * delta).sqrt())
}

/// First swing past the rest level as a share of the push, `exp(-pi zeta / sqrt(1 - zeta²))`; 0 from `zeta = 1` on.
///
/// # Source
///
/// K. Ogata, *Modern Control Engineering*, transient response of second-order systems [from memory].
/// `docs/mechanics.md` §15.1. Checked by `tests/sources/rao-mechanical-vibrations` (OVERSHOOT).
///
/// # Errors
///
/// [`SettleError`] when `zeta` is negative or not a number.
pub fn overshoot(zeta: f64) -> Result<f64, SettleError> {
    let zeta = in_range("damping ratio", zeta, 0.0, 1e6)?;
    Ok(if zeta >= 1.0 { 0.0 } else { (-PI * zeta / (1.0 - zeta * zeta).sqrt()).exp() })
}

/// The damping ratio that has this overshoot (`0 < share <= 1`): [`overshoot`] turned round.
///
/// `docs/mechanics.md` §15.1. Checked by `overshoot_and_ratio_undo_each_other`.
///
/// # Errors
///
/// [`SettleError`] outside that range.
pub fn ratio_of_overshoot(share: f64) -> Result<f64, SettleError> {
    let l = -in_range("overshoot", share, 1e-300, 1.0)?.ln();
    Ok(l / (PI * PI + l * l).sqrt())
}

/// Swings counted by eye.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted {
    /// Size of the first swing, any unit.
    pub first: f64,
    /// Size of the last swing counted, same side, same unit.
    pub last: f64,
    /// Whole or half cycles between the two.
    pub cycles: f64,
    /// How far either size may be misread, same unit.
    pub reading: f64,
    /// How long these cycles took, s, and how far that may be off.
    pub took_s: Option<(f64, f64)>,
}

/// A value and the ends that it may have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Between {
    /// The value.
    pub value: f64,
    /// Lowest.
    pub low: f64,
    /// Highest.
    pub high: f64,
}

impl Between {
    /// Half the width.
    pub fn half_width(&self) -> f64 {
        0.5 * (self.high - self.low)
    }
}

/// What counted swings tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FromCount {
    /// Logarithmic decrement per cycle.
    pub decrement: Between,
    /// Damping ratio.
    pub ratio: Between,
    /// Damped frequency, Hz, when a time was given.
    pub damped_hz: Option<Between>,
    /// Natural frequency, Hz, when a time was given.
    pub natural_hz: Option<Between>,
}

/// Damping from the sizes of two swings and the cycles between them.
///
/// ```text
/// delta = ln(x_1 / x_n+1) / n       ends: ln((x_1 -+ e) / (x_n+1 +- e)) / n
/// f_d = n / t                       f_n = f_d / sqrt(1 - zeta²)
/// ```
///
/// The ends are limits, both readings wrong the worst way round, not a probability.
///
/// # Assumes
///
/// Viscous damping: two sizes cannot tell dry friction from viscous damping. Sizes count from the rest level.
///
/// # Source
///
/// Rao, *Mechanical Vibrations*, section 2.6 [from memory]. `docs/mechanics.md` §15.2. Checked by
/// `tests/sources/rao-mechanical-vibrations` and `the_ends_are_the_worst_readings`.
///
/// # Errors
///
/// [`SettleError`] when a number is out of range, or when within the reading error the swing need not have shrunk.
pub fn from_count(c: &Counted) -> Result<FromCount, SettleError> {
    let first = in_range("size of the first swing", c.first, 1e-9, 1e9)?;
    let last = in_range("size of the last swing", c.last, 1e-9, 1e9)?;
    let n = in_range("number of cycles", c.cycles, 0.5, 1e5)?;
    let e = in_range("reading error", c.reading, 0.0, 1e9)?;
    if last >= first {
        return Err(SettleError::DoesNotShrink { first, last });
    }
    if last <= e || last + e >= first - e {
        return Err(SettleError::LostInReading { first, last, reading: e });
    }
    let decrement = Between {
        value: (first / last).ln() / n,
        low: ((first - e) / (last + e)).ln() / n,
        high: ((first + e) / (last - e)).ln() / n,
    };
    let [value, low, high] = [decrement.value, decrement.low, decrement.high].map(ratio_of_decrement);
    let ratio = Between { value: value?, low: low?, high: high? };
    let damped_hz = c.took_s.map(|(t, off)| {
        let t = in_range("time of the swings", t, 1e-3, 1e6)?;
        let off = in_range("error of the time", off, 0.0, 0.9 * t)?;
        Ok(Between { value: n / t, low: n / (t + off), high: n / (t - off) })
    });
    let damped_hz = damped_hz.transpose()?;
    let undamped = |f: f64, z: f64| f / (1.0 - z * z).max(1e-12).sqrt();
    let natural_hz = damped_hz.map(|f| Between {
        value: undamped(f.value, ratio.value),
        low: undamped(f.low, ratio.low),
        high: undamped(f.high, ratio.high),
    });
    Ok(FromCount { decrement, ratio, damped_hz, natural_hz })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a handful of operations.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn overshoot_and_ratio_undo_each_other() {
        for z in [0.01, 0.1, 0.3, 0.6, 0.9] {
            let back = ratio_of_overshoot(overshoot(z).unwrap()).unwrap();
            assert!((back - z).abs() < ROUNDING, "{z} {back}");
        }
        assert!(overshoot(1.0).unwrap().abs() < ROUNDING);
        // Half a cycle has half the decrement, and shrinks the swing by the overshoot.
        let z = 0.2;
        let c = Counted { first: 1.0, last: overshoot(z).unwrap(), cycles: 0.5, reading: 0.0, took_s: None };
        assert!((from_count(&c).unwrap().ratio.value - z).abs() < ROUNDING);
    }

    #[test]
    fn the_ends_are_the_worst_readings() {
        let c = Counted { first: 10.0, last: 1.0, cycles: 5.0, reading: 0.2, took_s: Some((6.0, 0.3)) };
        let got = from_count(&c).unwrap();
        let mut worst = (f64::INFINITY, 0.0_f64);
        for a in [-0.2, 0.0, 0.2] {
            for b in [-0.2, 0.0, 0.2] {
                let delta = ((10.0_f64 + a) / (1.0 + b)).ln() / 5.0;
                let z = ratio_of_decrement(delta).unwrap();
                worst = (worst.0.min(z), worst.1.max(z));
            }
        }
        assert!((got.ratio.low - worst.0).abs() < ROUNDING && (got.ratio.high - worst.1).abs() < ROUNDING);
        let f = got.damped_hz.unwrap();
        assert!((f.value - 5.0 / 6.0).abs() < ROUNDING && (f.high - 5.0 / 5.7).abs() < ROUNDING);
        assert!(got.natural_hz.unwrap().value > f.value);
    }

    #[test]
    fn what_cannot_be_told_from_a_count_is_refused() {
        let c = Counted { first: 10.0, last: 1.0, cycles: 5.0, reading: 0.2, took_s: None };
        for (bad, word) in [
            (Counted { last: 10.0, ..c }, "does not shrink"),
            (Counted { last: 0.1, ..c }, "reading error"),
            (Counted { first: 1.3, ..c }, "reading error"),
            (Counted { cycles: 0.0, ..c }, "number of cycles"),
            (Counted { first: f64::NAN, ..c }, "first swing"),
            (Counted { took_s: Some((0.0, 0.0)), ..c }, "time of the swings"),
        ] {
            let said = from_count(&bad).unwrap_err().to_string();
            assert!(said.contains(word), "{said}");
        }
        assert!(
            ratio_of_decrement(-0.1).is_err()
                && overshoot(f64::NAN).is_err()
                && ratio_of_overshoot(0.0).is_err()
        );
    }
}
