//! The standard atmosphere up to 11 km, and the air of a real day on top of it.

use super::AirError;
use crate::STANDARD_GRAVITY;
use crate::range::Range;

/// Sea-level temperature of the standard atmosphere, K.
pub const SEA_LEVEL_TEMPERATURE_K: f64 = 288.15;
/// Sea-level pressure of the standard atmosphere, Pa.
pub const SEA_LEVEL_PRESSURE_PA: f64 = 101_325.0;
/// Fall of temperature with geopotential height in the lowest layer, K/m.
pub const LAPSE_RATE_K_M: f64 = 0.0065;
/// Earth radius that the standard uses between geometric and geopotential height, m.
pub const EARTH_RADIUS_M: f64 = 6_356_766.0;
/// Gas constant of dry air, J/(kg K): `R* / M` with `R* = 8.314 32`, `M = 0.028 964 4` kg/mol (the 1976 values).
pub const GAS_CONSTANT_DRY_AIR: f64 = 8.314_32 / 0.028_964_4;
/// Pascal in one inch of mercury at 0 °C (NIST SP 811, table of conversion factors) [from memory].
pub const PASCAL_PER_INHG: f64 = 3_386.389;

const ALTITUDE: Range = Range { what: "altitude", low: -500.0, high: 11_000.0, unit: "m" };
const TEMPERATURE: Range = Range { what: "air temperature", low: 200.0, high: 340.0, unit: "K" };
const PRESSURE: Range = Range { what: "air pressure", low: 20_000.0, high: 110_000.0, unit: "Pa" };

/// Still, dry air at one place: temperature, pressure, and what follows from them.
///
/// # Symbols
///
/// | here            | in the source | unit  | meaning                      |
/// |-----------------|---------------|-------|------------------------------|
/// | `temperature_k` | `T`           | K     | 200 to 340                   |
/// | `pressure_pa`   | `P`           | Pa    | absolute, 20 000 to 110 000  |
/// | `density_kg_m3` | `ρ`           | kg/m³ | `P / (R T)`                  |
///
/// # Assumes
///
/// Dry air. Moist air is lighter (by about 1 % at 30 °C, saturated), so dry air never understates drag.
///
/// # Source
///
/// *U.S. Standard Atmosphere, 1976*, NOAA/NASA/USAF, §1.2 and §1.3 (equations 18, 23, 33a, 42, 51; numbers [from memory]); same as ISO 2533
/// below 32 km. `docs/mechanics.md` §3.5.1. Checked by `tests/sources/us-standard-atmosphere-1976`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    temperature_k: f64,
    pressure_pa: f64,
}

/// Geopotential height of a geometric altitude, m: `H = r₀ Z / (r₀ + Z)`.
///
/// The height at which constant gravity `g₀` would give the same potential; 1.7 m less than 3300 m.
///
/// # Source
///
/// *U.S. Standard Atmosphere, 1976*, eq. 18 [from memory]. `docs/mechanics.md` §3.5.1.
///
/// # Errors
///
/// [`AirError::OutOfRange`] outside -500 to 11 000 m.
pub fn geopotential_height(altitude_m: f64) -> Result<f64, AirError> {
    let z = ALTITUDE.check(altitude_m)?;
    Ok(EARTH_RADIUS_M * z / (EARTH_RADIUS_M + z))
}

impl Air {
    /// The standard day at a geometric altitude: `T = T₀ - L H`, `P = P₀ (T / T₀)^(g₀ M / R* L)`.
    ///
    /// # Errors
    ///
    /// [`AirError::OutOfRange`] outside -500 to 11 000 m.
    ///
    /// # Examples
    ///
    /// ```
    /// # use mechanics::air::atmosphere::Air;
    /// let air = Air::standard(2000.0)?;
    /// // A gauge cannot read 25 inHg here: there are only 23.5 inHg of air.
    /// assert!((air.pressure_inhg() - 23.477).abs() < 0.005);
    /// # Ok::<(), mechanics::air::AirError>(())
    /// ```
    pub fn standard(altitude_m: f64) -> Result<Self, AirError> {
        let height_m = geopotential_height(altitude_m)?;
        let temperature_k = SEA_LEVEL_TEMPERATURE_K - LAPSE_RATE_K_M * height_m;
        let exponent = STANDARD_GRAVITY / (GAS_CONSTANT_DRY_AIR * LAPSE_RATE_K_M);
        let pressure_pa = SEA_LEVEL_PRESSURE_PA * (temperature_k / SEA_LEVEL_TEMPERATURE_K).powf(exponent);
        Ok(Self { temperature_k, pressure_pa })
    }

    /// Standard pressure of the altitude with the air warmer (+) or colder (-) than standard by `offset_k`.
    ///
    /// The pressure stays the standard one: weather moves it by about ± 3 % and is met by [`Air::measured`].
    ///
    /// # Errors
    ///
    /// [`AirError::OutOfRange`] for the altitude, or when the temperature leaves 200 to 340 K.
    pub fn with_offset(altitude_m: f64, offset_k: f64) -> Result<Self, AirError> {
        let standard = Self::standard(altitude_m)?;
        Self::with_temperature(altitude_m, standard.temperature_k + offset_k)
    }

    /// Standard pressure of the altitude at the temperature that the thermometer shows.
    ///
    /// # Errors
    ///
    /// [`AirError::OutOfRange`] for the altitude, or a temperature outside 200 to 340 K.
    pub fn with_temperature(altitude_m: f64, temperature_k: f64) -> Result<Self, AirError> {
        let standard = Self::standard(altitude_m)?;
        Self::measured(standard.pressure_pa, temperature_k)
    }

    /// Air from a barometer (station pressure, not reduced to sea level) and a thermometer.
    ///
    /// # Errors
    ///
    /// [`AirError::OutOfRange`] outside 20 to 110 kPa or 200 to 340 K.
    pub fn measured(pressure_pa: f64, temperature_k: f64) -> Result<Self, AirError> {
        Ok(Self {
            temperature_k: TEMPERATURE.check(temperature_k)?,
            pressure_pa: PRESSURE.check(pressure_pa)?,
        })
    }

    /// Temperature, K.
    pub fn temperature_k(&self) -> f64 {
        self.temperature_k
    }

    /// Absolute pressure, Pa.
    pub fn pressure_pa(&self) -> f64 {
        self.pressure_pa
    }

    /// Absolute pressure, inches of mercury at 0 °C.
    pub fn pressure_inhg(&self) -> f64 {
        self.pressure_pa / PASCAL_PER_INHG
    }

    /// Density by the gas law, kg/m³.
    pub fn density_kg_m3(&self) -> f64 {
        self.pressure_pa / (GAS_CONSTANT_DRY_AIR * self.temperature_k)
    }

    /// Kinematic viscosity, m²/s: Sutherland's `μ = 1.458·10⁻⁶ T^1.5 / (T + 110.4)` over the density (eq. 51, 52 [from memory]).
    pub fn kinematic_viscosity_m2_s(&self) -> f64 {
        let t = self.temperature_k;
        1.458e-6 * t.powf(1.5) / (t + 110.4) / self.density_kg_m3()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refuses_what_the_layer_does_not_cover() {
        for altitude in [-500.1, 11_000.1, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(Air::standard(altitude).is_err(), "{altitude} m was accepted");
        }
        assert!(Air::standard(-500.0).is_ok());
        assert!(Air::standard(11_000.0).is_ok());
        assert!(Air::with_offset(0.0, f64::NAN).is_err());
        assert!(Air::with_temperature(0.0, 199.9).is_err());
        assert!(Air::measured(110_000.1, 300.0).is_err());
        let told = Air::standard(12_000.0).unwrap_err().to_string();
        assert_eq!(told, "altitude is 12000 m; it must lie from -500 to 11000 m");
    }

    #[test]
    fn hot_air_is_thinner_in_proportion() {
        let standard = Air::standard(1500.0).unwrap();
        let hot = Air::with_offset(1500.0, 20.0).unwrap();
        let ratio = standard.temperature_k() / (standard.temperature_k() + 20.0);
        // Gas law at equal pressure; 1e-12 is rounding.
        assert!((hot.density_kg_m3() / standard.density_kg_m3() - ratio).abs() < 1e-12);
        assert!((hot.pressure_pa() - standard.pressure_pa()).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn density_and_pressure_fall_with_altitude(low in -500.0..10_990.0f64, rise in 1.0..500.0f64) {
            let high = (low + rise).min(11_000.0);
            let (a, b) = (Air::standard(low).unwrap(), Air::standard(high).unwrap());
            prop_assert!(b.density_kg_m3() < a.density_kg_m3());
            prop_assert!(b.pressure_pa() < a.pressure_pa());
            prop_assert!(b.temperature_k() < a.temperature_k());
        }

        #[test]
        fn pressure_gradient_carries_the_air_above(altitude in -400.0..10_900.0f64) {
            // Hydrostatics, dP/dZ = -ρ g(Z), by central difference over 2 m. Truncation and the 1976 values'
            // own rounding stay under 1e-6.
            let p = |z: f64| Air::standard(z).unwrap().pressure_pa();
            let slope = (p(altitude + 1.0) - p(altitude - 1.0)) / 2.0;
            let g = STANDARD_GRAVITY * (EARTH_RADIUS_M / (EARTH_RADIUS_M + altitude)).powi(2);
            let weight = Air::standard(altitude).unwrap().density_kg_m3() * g;
            prop_assert!((slope / -weight - 1.0).abs() < 1e-6);
        }
    }
}
