//! One mass on a spring and a damper whose foot is shaken.

use super::{ShakingError, c64};
use crate::STANDARD_GRAVITY;
use crate::range::Range;
use std::f64::consts::{PI, TAU};

const FREQUENCY: Range = Range { what: "natural frequency", low: 1e-3, high: 1e5, unit: "Hz" };
const DAMPING: Range = Range { what: "damping ratio", low: 0.0, high: 2.0, unit: "" };
const MASS: Range = Range { what: "mass on the spring", low: 1e-3, high: 1e6, unit: "kg" };
const RATE: Range = Range { what: "spring rate", low: 1e-3, high: 1e12, unit: "N/m" };

/// A mass on a spring and a damper in parallel, both on a foot that moves.
///
/// ```text
///   m  payload  z        m z'' = -k (z - u) - c (z' - u')
///   k c                  ω_n = √(k/m),  ζ = c / (2 √(k m)),  r = f / f_n
///  ~~~  foot    u        z/u = (1 + 2iζr) / (1 - r² + 2iζr)
///                        (z - u)/u = r² / (1 - r² + 2iζr)
/// ```
///
/// # Assumes
///
/// Linear spring and damper, the foot not moved by the mass, no stops.
///
/// # Source
///
/// S. S. Rao, *Mechanical Vibrations*, §3.6; J. P. Den Hartog, *Mechanical Vibrations*, §2.12 [from memory].
/// `docs/mechanics.md` §14.1. Checked by `tests/sources/rao-damped`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oscillator {
    frequency_hz: f64,
    damping: f64,
}

impl Oscillator {
    /// One of natural frequency `f_n` and damping ratio `ζ`.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`] outside 1 mHz to 100 kHz, or for a damping ratio outside 0 to 2.
    pub fn new(frequency_hz: f64, damping: f64) -> Result<Self, ShakingError> {
        Ok(Self { frequency_hz: FREQUENCY.check(frequency_hz)?, damping: DAMPING.check(damping)? })
    }

    /// Natural frequency of a rate and a mass: `f = √(k/m) / 2π`.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`] where one is not positive or far from any payload.
    pub fn natural_hz(rate_n_m: f64, mass_kg: f64) -> Result<f64, ShakingError> {
        Ok((RATE.check(rate_n_m)? / MASS.check(mass_kg)?).sqrt() / TAU)
    }

    /// Natural frequency, Hz.
    pub fn frequency_hz(&self) -> f64 {
        self.frequency_hz
    }

    /// Damping ratio.
    pub fn damping(&self) -> f64 {
        self.damping
    }

    fn below(&self, r: f64) -> c64 {
        c64::new(1.0 - r * r, 2.0 * self.damping * r)
    }

    /// What comes through, `z/u`, size and phase. Infinite at resonance without damping.
    pub fn through(&self, at_hz: f64) -> c64 {
        let r = at_hz / self.frequency_hz;
        c64::new(1.0, 2.0 * self.damping * r) / self.below(r)
    }

    /// Movement of the mass against its foot, `(z - u)/u`.
    pub fn against_foot(&self, at_hz: f64) -> c64 {
        let r = at_hz / self.frequency_hz;
        c64::new(r * r, 0.0) / self.below(r)
    }

    /// Transmissibility, `|z/u| = √((1 + (2ζr)²) / ((1 - r²)² + (2ζr)²))`.
    pub fn transmissibility(&self, at_hz: f64) -> f64 {
        self.through(at_hz).norm()
    }

    /// Sag under its own weight, `g / ω_n²`: how far the spring has gone from no load where its rate is the same all the way.
    pub fn sag_m(&self) -> f64 {
        STANDARD_GRAVITY / (TAU * self.frequency_hz).powi(2)
    }

    /// Give under a held acceleration of the foot, `a / ω_n²`.
    pub fn held_m(&self, acceleration_m_s2: f64) -> f64 {
        acceleration_m_s2 / (TAU * self.frequency_hz).powi(2)
    }

    /// Overshoot after a sudden step that stays, as a share of it: `exp(-πζ/√(1 - ζ²))`; 0 from critical damping on.
    ///
    /// The peak give is `1 + overshoot` times the held one, at most twice.
    pub fn overshoot(&self) -> f64 {
        let z = self.damping;
        if z >= 1.0 { 0.0 } else { (-PI * z / (1.0 - z * z).sqrt()).exp() }
    }

    /// Frequency over which less comes through than goes in, `√2 f_n`, whatever the damping.
    pub fn isolates_over_hz(&self) -> f64 {
        std::f64::consts::SQRT_2 * self.frequency_hz
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refuses_what_is_no_isolator() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(Oscillator::new(bad, 0.1).is_err());
            assert!(Oscillator::natural_hz(bad, 1.0).is_err());
            assert!(Oscillator::natural_hz(1.0, bad).is_err());
        }
        assert!(Oscillator::new(1.0, -0.1).is_err() && Oscillator::new(1.0, f64::NAN).is_err());
    }

    proptest! {
        #[test]
        fn what_comes_through_is_the_foot_and_the_movement_against_it(
            f in 0.2..50.0f64, z in 0.01..1.5f64, at in 0.05..200.0f64
        ) {
            let o = Oscillator::new(f, z).unwrap();
            // z/u = 1 + (z - u)/u: rounding of numbers up to 1/2ζ.
            prop_assert!((o.through(at) - c64::new(1.0, 0.0) - o.against_foot(at)).norm() < 1e-9);
            // The crossing at √2 f_n is the same for every damping.
            prop_assert!((o.transmissibility(o.isolates_over_hz()) - 1.0).abs() < 1e-9);
            // Held and sag are one formula.
            prop_assert!((o.held_m(STANDARD_GRAVITY) - o.sag_m()).abs() < 1e-12 * o.sag_m());
        }
    }
}
