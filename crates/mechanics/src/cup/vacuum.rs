//! What a vacuum holds, and how much of it is left: pump, altitude, heat, leak.

use super::{CupError, finite, not_negative, positive};
use core::f64::consts::PI;

/// How the pump's vacuum depends on the ambient pressure.
///
/// A gauge reading taken at sea level does not carry over to a pass. The two laws differ by 3 to 10 %
/// up to 4000 m; [`PumpLaw::UltimateAbsolute`] gives the smaller vacuum at altitude when both are fitted at sea level
/// and is the safe one.
///
/// # Source
///
/// Definition of gauge vacuum; `docs/mechanics.md` §5.1. Checked by VC-2 and VC-3 in
/// `tests/sources/cup_bolt`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PumpLaw {
    /// The pump removes a fixed share of the ambient pressure: `dp = f p_amb`.
    FractionOfAmbient {
        /// `f`, from 0 to 1.
        fraction: f64,
    },
    /// The pump stops at a fixed absolute pressure inside: `dp = p_amb - p_abs`.
    UltimateAbsolute {
        /// `p_abs`, Pa, 0 or more.
        absolute_pa: f64,
    },
}

impl PumpLaw {
    /// Vacuum the pump reaches at an ambient pressure, Pa; 0 where the pump cannot pull below ambient.
    ///
    /// # Errors
    ///
    /// [`CupError`] if the ambient pressure is not positive, the fraction not in 0 to 1 or the absolute
    /// pressure negative.
    pub fn vacuum_pa(self, ambient_pa: f64) -> Result<f64, CupError> {
        let ambient_pa = positive("ambient pressure", ambient_pa)?;
        match self {
            Self::FractionOfAmbient { fraction } => {
                if not_negative("pump fraction", fraction)? > 1.0 {
                    return Err(CupError::OutOfRange {
                        what: "pump fraction",
                        value: fraction,
                        needs: "0 to 1",
                    });
                }
                Ok(fraction * ambient_pa)
            }
            Self::UltimateAbsolute { absolute_pa } => {
                Ok((ambient_pa - not_negative("ultimate pressure", absolute_pa)?).max(0.0))
            }
        }
    }
}

/// Area within a circle, m²: `A = pi r²`. For a cup the radius is that of the **sealed** area, the inner
/// edge of the contact, not the outside of the lip.
///
/// # Errors
///
/// [`CupError`] if the radius is not positive.
pub fn sealed_area_m2(radius_m: f64) -> Result<f64, CupError> {
    Ok(PI * positive("seal radius", radius_m)?.powi(2))
}

/// Force with which the vacuum presses the cup on the panel.
///
/// ```text
/// N0 = dp A
/// ```
///
/// # Assumes
///
/// The whole sealed area sees the vacuum; a flat or gently crowned panel (the projected area counts).
///
/// # Source
///
/// Definition of pressure; `docs/mechanics.md` §5.1. Checked by VC-1 to VC-4 in `tests/sources/cup_bolt`.
///
/// # Errors
///
/// [`CupError`] if the vacuum is negative or the area not positive.
///
/// # Examples
///
/// ```
/// # use mechanics::cup::vacuum::{holding_force_n, sealed_area_m2};
/// // 80 kPa on a seal of 220 mm diameter: about 310 kgf.
/// let n0 = holding_force_n(80e3, sealed_area_m2(0.110)?)?;
/// assert!((n0 - 3041.06).abs() < 0.01);
/// # Ok::<(), mechanics::cup::CupError>(())
/// ```
pub fn holding_force_n(vacuum_pa: f64, area_m2: f64) -> Result<f64, CupError> {
    Ok(not_negative("vacuum", vacuum_pa)? * positive("sealed area", area_m2)?)
}

/// Whether a gauge reading can be true.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// It can; the absolute pressure left inside, Pa.
    Possible {
        /// `p_amb - dp`, Pa.
        absolute_pa: f64,
    },
    /// It asks for less than nothing inside: the gauge is wrong or set for another altitude.
    Impossible {
        /// By how much the reading exceeds the ambient pressure, Pa.
        excess_pa: f64,
    },
}

/// Compares a gauge reading with the ambient pressure: no gauge can show more vacuum than there is air.
/// 25 inHg (84.7 kPa) is ordinary at sea level and impossible at 2000 m, where 79.5 kPa is all there is.
///
/// # Errors
///
/// [`CupError`] if the reading is negative or the ambient pressure not positive.
pub fn reading(vacuum_pa: f64, ambient_pa: f64) -> Result<Reading, CupError> {
    let left = positive("ambient pressure", ambient_pa)? - not_negative("vacuum reading", vacuum_pa)?;
    Ok(if left >= 0.0 {
        Reading::Possible { absolute_pa: left }
    } else {
        Reading::Impossible { excess_pa: -left }
    })
}

/// Air trapped in a closed cup.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrappedAir {
    absolute_pa: f64,
    temperature_k: f64,
}

impl TrappedAir {
    /// From a gauge reading, the ambient pressure and the temperature at that moment.
    ///
    /// # Errors
    ///
    /// [`CupError`] if a value is out of range or the reading is impossible at that ambient pressure.
    pub fn from_reading(vacuum_pa: f64, ambient_pa: f64, temperature_k: f64) -> Result<Self, CupError> {
        let temperature_k = positive("temperature", temperature_k)?;
        match reading(vacuum_pa, ambient_pa)? {
            Reading::Possible { absolute_pa } => Ok(Self { absolute_pa, temperature_k }),
            Reading::Impossible { .. } => Err(CupError::OutOfRange {
                what: "vacuum reading",
                value: vacuum_pa,
                needs: "no more than the ambient pressure",
            }),
        }
    }

    /// Absolute pressure inside at another temperature, Pa.
    ///
    /// ```text
    /// p2 = p1 T2 / T1
    /// ```
    ///
    /// # Assumes
    ///
    /// Ideal gas, constant mass and volume. Heated air pushes the lip out and gains room, so the pressure is
    /// never underestimated on heating.
    ///
    /// # Source
    ///
    /// Gay-Lussac's law; `docs/mechanics.md` §5.2. Checked by GAS-* in `tests/sources/cup_bolt`.
    ///
    /// # Errors
    ///
    /// [`CupError`] if the temperature is not positive.
    pub fn absolute_pa(self, temperature_k: f64) -> Result<f64, CupError> {
        Ok(self.absolute_pa * positive("temperature", temperature_k)? / self.temperature_k)
    }

    /// Vacuum under other conditions, with the leak until the next round taken off; never below 0.
    ///
    /// ```text
    /// dp = p_amb - p1 T2/T1 - rate * time
    /// ```
    ///
    /// # Assumes
    ///
    /// The leak rate stays what it was at its fastest: a choked leak is linear, below that it slows down,
    /// so a straight line through the steepest part is safe (`docs/mechanics.md` §5.2).
    ///
    /// # Errors
    ///
    /// [`CupError`] if a condition is out of range.
    pub fn vacuum_pa(self, at: Conditions) -> Result<f64, CupError> {
        let inside = self.absolute_pa(at.temperature_k)?;
        let before = (positive("ambient pressure", at.ambient_pa)? - inside).max(0.0);
        vacuum_after_leak_pa(before, at.leak_pa_per_s, at.until_next_round_s)
    }
}

/// Where and how long the cup must hold: the lowest ambient pressure, the highest temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Ambient pressure, Pa.
    pub ambient_pa: f64,
    /// Temperature of the trapped air, K.
    pub temperature_k: f64,
    /// Rise of the pressure inside, Pa/s, 0 or more.
    pub leak_pa_per_s: f64,
    /// Time until somebody reads the gauge again, s, 0 or more.
    pub until_next_round_s: f64,
}

/// Vacuum left after a leak at a constant rate: `dp - rate * time`, never below 0.
///
/// # Errors
///
/// [`CupError`] if a value is negative or not finite.
pub fn vacuum_after_leak_pa(vacuum_pa: f64, leak_pa_per_s: f64, time_s: f64) -> Result<f64, CupError> {
    let lost = finite(
        "leak until the next round",
        not_negative("leak rate", leak_pa_per_s)? * not_negative("time until the next round", time_s)?,
    )?;
    Ok((not_negative("vacuum", vacuum_pa)? - lost).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a few operations on pressures of 1e5 Pa.
    const PRESSURE_ERR_PA: f64 = 1e-6;

    #[test]
    fn fixed_ultimate_pressure_loses_more_with_altitude_than_a_fraction() {
        let p0 = 101_325.0;
        let fraction = PumpLaw::FractionOfAmbient { fraction: 1.0 - 20e3 / p0 };
        let absolute = PumpLaw::UltimateAbsolute { absolute_pa: 20e3 };
        let at = |l: PumpLaw, p: f64| l.vacuum_pa(p).unwrap();
        assert!((at(fraction, p0) - at(absolute, p0)).abs() < PRESSURE_ERR_PA);
        for p in [90e3, 80e3, 70e3, 61e3] {
            assert!(at(absolute, p) < at(fraction, p));
        }
        assert!(at(absolute, 15e3) <= 0.0);
    }

    #[test]
    fn a_reading_above_ambient_is_impossible() {
        let inhg_25 = 25.0 * 3_386.389;
        assert!(matches!(reading(inhg_25, 101_325.0).unwrap(), Reading::Possible { .. }));
        let Reading::Impossible { excess_pa } = reading(inhg_25, 79_495.2).unwrap() else {
            panic!("25 inHg at 2000 m must be impossible");
        };
        assert!((excess_pa - 5_164.5).abs() < 0.1);
        assert!(TrappedAir::from_reading(inhg_25, 79_495.2, 290.0).is_err());
    }

    #[test]
    fn conditions_add_up() {
        let air = TrappedAir::from_reading(80e3, 100e3, 300.0).unwrap();
        let at = Conditions {
            ambient_pa: 90e3,
            temperature_k: 330.0,
            leak_pa_per_s: 2.0,
            until_next_round_s: 1_000.0,
        };
        // 90 - 20 * 1.1 - 2 = 66 kPa.
        assert!((air.vacuum_pa(at).unwrap() - 66e3).abs() < PRESSURE_ERR_PA);
        // Heated until the air inside pushes as hard as the air outside: nothing holds, and that is no error.
        let hot = Conditions { temperature_k: 1_500.0, ..at };
        assert!(air.vacuum_pa(hot).unwrap().abs() < PRESSURE_ERR_PA);
        let gone = Conditions { until_next_round_s: 1e6, ..at };
        assert!(air.vacuum_pa(gone).unwrap() <= 0.0);
    }

    #[test]
    fn a_straight_leak_is_safer_than_a_slowing_one() {
        // 85 to 80 kPa in the first hour, then exponentially: 60 kPa after 5.745 h more.
        let rate = 5e3 / 3_600.0;
        let straight = vacuum_after_leak_pa(85e3, rate, (1.0 + 5.0) * 3_600.0).unwrap();
        let slowing = 85e3 * (80.0_f64 / 85.0).powi(6);
        assert!((straight - 55e3).abs() < PRESSURE_ERR_PA && straight < slowing);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert!(PumpLaw::FractionOfAmbient { fraction: 1.2 }.vacuum_pa(1e5).is_err());
        assert!(PumpLaw::UltimateAbsolute { absolute_pa: -1.0 }.vacuum_pa(1e5).is_err());
        assert!(PumpLaw::UltimateAbsolute { absolute_pa: 1.0 }.vacuum_pa(f64::NAN).is_err());
        assert!(holding_force_n(-1.0, 1.0).is_err());
        assert!(sealed_area_m2(0.0).is_err());
        assert!(vacuum_after_leak_pa(1.0, f64::MAX, f64::MAX).is_err());
        assert!(vacuum_after_leak_pa(1.0, -1.0, 1.0).is_err());
    }
}
