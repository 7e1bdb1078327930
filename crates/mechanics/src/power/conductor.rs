//! Resistance of copper conductors.

use super::{PowerError, not_negative, positive};

/// Resistivity of annealed copper at 20 °C, ohm·m (IEC 60028: 1.7241e-8).
pub const COPPER_OHM_M: f64 = 1.7241e-8;
/// 20 °C, K.
const TWENTY_K: f64 = 293.15;
/// Where copper's resistance would vanish if it went on as a straight line, K: -234.5 °C (IEC 60228, annex on temperature).
const VANISHES_K: f64 = 273.15 - 234.5;

/// How a conductor is made up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strands {
    /// Many thin wires: flexible, class 5.
    Fine,
    /// A few thick wires, class 2.
    Coarse,
    /// One wire, class 1 (the same values as class 2 up to 35 mm²).
    Solid,
}

/// A conductor's size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// Nominal cross-section of the metric row, m²: what counts is the resistance that the standard allows.
    Nominal {
        /// m².
        area_m2: f64,
    },
    /// A wire gauge by the area of its solid wire, m².
    Gauge {
        /// m².
        area_m2: f64,
    },
}

impl Size {
    /// m².
    pub fn area_m2(self) -> f64 {
        match self {
            Self::Nominal { area_m2 } | Self::Gauge { area_m2 } => area_m2,
        }
    }
}

/// IEC 60228 tables 1 to 3, plain copper at 20 °C: mm², class 5 and class 2 in ohm/km. Class 5 from 1 to 35 mm² and class 2 from 1.5
/// to 16 mm² looked up in copies; the rest [from memory].
const TABLE: &[(f64, f64, f64)] = &[
    (0.5, 39.0, 36.0),
    (0.75, 26.0, 24.5),
    (1.0, 19.5, 18.1),
    (1.5, 13.3, 12.1),
    (2.5, 7.98, 7.41),
    (4.0, 4.95, 4.61),
    (6.0, 3.30, 3.08),
    (10.0, 1.91, 1.83),
    (16.0, 1.21, 1.15),
    (25.0, 0.780, 0.727),
    (35.0, 0.554, 0.524),
    (50.0, 0.386, 0.387),
    (70.0, 0.272, 0.268),
    (95.0, 0.206, 0.193),
    (120.0, 0.161, 0.153),
];

/// Sizes of the metric row, mm².
pub fn sizes_mm2() -> impl Iterator<Item = f64> {
    TABLE.iter().map(|row| row.0)
}

/// Resistance of one conductor at 20 °C, ohm/m.
///
/// ```text
/// metric row: the greatest value that IEC 60228 allows
/// wire gauge: r = f rho / A,   f = 1 solid, 1.02 coarse, 1.04 fine
/// ```
///
/// # Assumes
///
/// Plain annealed copper. `f` is the way that the wires go round: ASTM B8 and B172 allow 2 to 5 % [from memory].
///
/// # Source
///
/// IEC 60228; ASTM B258. `docs/mechanics.md` §16.1.
///
/// # Errors
///
/// [`PowerError`] for a size that the metric row does not have, or an area that is not positive.
///
/// # Examples
///
/// ```
/// # use mechanics::power::conductor::{Size, Strands, ohm_per_m};
/// let r = ohm_per_m(Size::Nominal { area_m2: 10e-6 }, Strands::Fine)?;
/// assert!((r - 1.91e-3).abs() < 1e-12);
/// # Ok::<(), mechanics::power::PowerError>(())
/// ```
pub fn ohm_per_m(size: Size, strands: Strands) -> Result<f64, PowerError> {
    match size {
        Size::Nominal { area_m2 } => {
            let area_mm2 = positive("conductor size", area_m2)? * 1e6;
            let row = TABLE.iter().find(|row| (row.0 - area_mm2).abs() < 1e-6 * row.0);
            let (_, class_5, class_2) = row.ok_or(PowerError::NoSuchSize { area_mm2 })?;
            Ok(1e-3 * if strands == Strands::Fine { *class_5 } else { *class_2 })
        }
        Size::Gauge { area_m2 } => {
            let lay = match strands {
                Strands::Fine => 1.04,
                Strands::Coarse => 1.02,
                Strands::Solid => 1.0,
            };
            Ok(lay * COPPER_OHM_M / positive("conductor size", area_m2)?)
        }
    }
}

/// Resistance at a temperature over that at 20 °C.
///
/// ```text
/// R(T) / R20 = (234.5 + T) / 254.5 = 1 + 0.00393 (T - 20)          T in °C
/// ```
///
/// # Source
///
/// IEC 60228, IEC 60028. `docs/mechanics.md` §16.1.
///
/// # Errors
///
/// [`PowerError`] below the temperature at which the straight line would vanish.
pub fn temperature_factor(temperature_k: f64) -> Result<f64, PowerError> {
    positive("conductor temperature over -234.5 °C", temperature_k - VANISHES_K)
        .map(|t| t / (TWENTY_K - VANISHES_K))
}

/// Resistance of a cable's loop, out and back, with its contacts, ohm.
///
/// ```text
/// R = 2 L r + 2 n Rc
/// ```
///
/// `L` one way, `r` of one conductor at its temperature, `n` connectors of two poles, `Rc` a pole's contact.
///
/// # Source
///
/// Definition; `docs/mechanics.md` §16.2.
///
/// # Errors
///
/// [`PowerError`] for a value that is negative or lost.
pub fn loop_ohm(length_m: f64, ohm_per_m: f64, connectors: f64, contact_ohm: f64) -> Result<f64, PowerError> {
    let wire =
        2.0 * not_negative("cable length", length_m)? * not_negative("resistance per length", ohm_per_m)?;
    let contacts = 2.0
        * not_negative("number of connectors", connectors)?
        * not_negative("contact resistance", contact_ohm)?;
    Ok(wire + contacts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_writings_of_the_temperature_rule_agree() {
        for c in [-20.0, 0.0, 20.0, 70.0] {
            // alpha is rounded to three digits.
            let line = 1.0 + 0.003_93 * (c - 20.0);
            assert!((temperature_factor(c + 273.15).unwrap() - line).abs() < 1e-4, "{c}");
        }
        assert!(temperature_factor(38.0).is_err() && temperature_factor(f64::NAN).is_err());
    }

    #[test]
    fn sizes_off_the_row_are_refused_and_thicker_is_never_more() {
        assert!(ohm_per_m(Size::Nominal { area_m2: 3e-6 }, Strands::Fine).is_err());
        assert!(ohm_per_m(Size::Gauge { area_m2: 0.0 }, Strands::Fine).is_err());
        for strands in [Strands::Fine, Strands::Coarse, Strands::Solid] {
            let all: Vec<f64> = sizes_mm2()
                .map(|a| ohm_per_m(Size::Nominal { area_m2: a * 1e-6 }, strands).unwrap())
                .collect();
            assert!(all.windows(2).all(|w| w[1] < w[0]), "{strands:?}");
            // The nominal size is near what the resistance says: within a quarter.
            for (a, r) in sizes_mm2().zip(&all) {
                assert!((COPPER_OHM_M / (a * 1e-6) / r - 1.0).abs() < 0.25, "{a}");
            }
        }
    }

    #[test]
    fn a_loop_is_out_and_back_and_every_pole() {
        assert!((loop_ohm(10.0, 2e-3, 2.0, 1e-3).unwrap() - 0.044).abs() < 1e-15);
        assert!(loop_ohm(-1.0, 2e-3, 2.0, 1e-3).is_err());
        assert!(loop_ohm(1.0, 2e-3, 2.0, f64::NAN).is_err());
    }
}
