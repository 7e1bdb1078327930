//! Coil and air springs under a payload, and the lever they may act through.

use super::ShakingError;
use crate::range::Range;

const AREA: Range = Range { what: "effective area of the air spring", low: 1e-7, high: 10.0, unit: "m²" };
const VOLUME: Range = Range { what: "air volume of the air spring", low: 1e-9, high: 100.0, unit: "m³" };
const PRESSURE: Range =
    Range { what: "air pressure in the spring, from vacuum", low: 1.0, high: 1e8, unit: "Pa" };
const POLYTROPIC: Range = Range { what: "polytropic exponent", low: 1.0, high: 1.67, unit: "" };
const ARM: Range = Range { what: "arm of the spring's lever", low: 1e-4, high: 100.0, unit: "m" };
const COUNT: Range = Range { what: "number of springs", low: 1.0, high: 1000.0, unit: "" };

/// Exponent of air that keeps its temperature: slow changes, a payload put on and waited for.
pub const SLOW: f64 = 1.0;
/// Exponent of air that keeps its heat: shaking.
pub const QUICK: f64 = 1.4;

/// Like springs that share a payload, each through the same lever.
///
/// ```text
///   pivot o-----a------[spring]          F = W b / (N a)      load on each spring
///         o---------b---------[payload]  k = N k₁ (a/b)²      rate that the payload meets
/// ```
///
/// Moments about the pivot give the load; the spring goes `a/b` of the payload's way, and its force counts `a/b` at the payload, so
/// the rate has the square. `a = b` is no lever.
///
/// # Source
///
/// Moments and equal work; S. S. Rao, *Mechanical Vibrations*, §1.7 [from memory]. `docs/mechanics.md` §14.2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lever {
    springs: f64,
    spring_m: f64,
    payload_m: f64,
}

impl Lever {
    /// `springs` of them at `spring_m` from the pivot, the payload at `payload_m`.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`] where an arm is not positive or there is no spring.
    pub fn new(springs: f64, spring_m: f64, payload_m: f64) -> Result<Self, ShakingError> {
        Ok(Self {
            springs: COUNT.check(springs)?,
            spring_m: ARM.check(spring_m)?,
            payload_m: ARM.check(payload_m)?,
        })
    }

    /// Springs straight under the payload.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`] where there is no spring.
    pub fn none(springs: f64) -> Result<Self, ShakingError> {
        Self::new(springs, 1.0, 1.0)
    }

    /// Way of the spring for each way of the payload, `a/b`.
    pub fn ratio(&self) -> f64 {
        self.spring_m / self.payload_m
    }

    /// Load on each spring of a weight at the payload, N.
    pub fn load_on_each_n(&self, weight_n: f64) -> f64 {
        weight_n / (self.springs * self.ratio())
    }

    /// Rate at the payload of springs of this rate each, N/m.
    pub fn rate_at_payload_n_m(&self, rate_each_n_m: f64) -> f64 {
        self.springs * rate_each_n_m * self.ratio().powi(2)
    }
}

/// Air behind a piston or sleeve of constant effective area.
///
/// ```text
/// p A = load + p_out A           so a gauge, which reads p - p_out, shows load / A at any height above the sea
/// p Vⁿ = constant                so k = -A dp/dx = n p A² / V     (dV = -A dx)
/// ```
///
/// `p` is counted from vacuum, `V` is all the air that works, at the middle of the travel. `n` is 1.0 where the air has time to
/// keep the temperature of its walls and 1.4 where it has none ([`SLOW`], [`QUICK`]).
///
/// # Assumes
///
/// The area does not change with travel (a sleeve that rolls over a waisted piston adds `(p - p_out) dA/dx`, left out); small travel
/// beside the air's height; dry air; no stiffness of the sleeve's wall.
///
/// # Source
///
/// Derived from the gas law; same form in C. M. Harris and A. G. Piersol, *Harris' Shock and Vibration Handbook*, 5th ed.,
/// air springs [from memory]. `docs/mechanics.md` §14.2. Checked by `an_air_spring_is_the_gas_law_by_small_steps`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirSpring {
    area_m2: f64,
    volume_m3: f64,
}

impl AirSpring {
    /// One of an effective area and the air it works on.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`] where one is not positive.
    pub fn new(area_m2: f64, volume_m3: f64) -> Result<Self, ShakingError> {
        Ok(Self { area_m2: AREA.check(area_m2)?, volume_m3: VOLUME.check(volume_m3)? })
    }

    /// Gauge pressure that carries a load, Pa over the air outside.
    pub fn gauge_pa(&self, load_n: f64) -> f64 {
        load_n / self.area_m2
    }

    /// Load that a gauge pressure carries, N.
    pub fn load_n(&self, gauge_pa: f64) -> f64 {
        gauge_pa * self.area_m2
    }

    /// Rate `n p A² / V` at a pressure from vacuum, N/m.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`] for the pressure, or an exponent outside 1 to 1.67.
    pub fn rate_n_m(&self, pressure_pa: f64, exponent: f64) -> Result<f64, ShakingError> {
        let (p, n) = (PRESSURE.check(pressure_pa)?, POLYTROPIC.check(exponent)?);
        Ok(n * p * self.area_m2 * self.area_m2 / self.volume_m3)
    }

    /// Change of the gauge's reading when the shut-in air warms by a kelvin at constant volume, `p/T`, Pa/K.
    ///
    /// # Errors
    ///
    /// [`ShakingError::OutOfRange`] for the pressure or a temperature outside 100 to 1000 K.
    pub fn warming_pa_k(pressure_pa: f64, temperature_k: f64) -> Result<f64, ShakingError> {
        const TEMPERATURE: Range = Range { what: "air temperature", low: 100.0, high: 1000.0, unit: "K" };
        Ok(PRESSURE.check(pressure_pa)? / TEMPERATURE.check(temperature_k)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lever_keeps_work() {
        // Two springs of 1000 N/m at 100 mm, payload of 30 N at 150 mm.
        let lever = Lever::new(2.0, 0.1, 0.15).unwrap();
        let load = lever.load_on_each_n(30.0);
        assert!((load * 2.0 * 0.1 - 30.0 * 0.15).abs() < 1e-12, "moments about the pivot");
        // Same energy: the payload at 30 N / k goes x, each spring goes x a/b and stores half of load times that.
        let k = lever.rate_at_payload_n_m(1000.0);
        let x = 30.0 / k;
        let stored = 2.0 * 0.5 * 1000.0 * (x * lever.ratio()).powi(2);
        assert!((stored - 0.5 * 30.0 * x).abs() < 1e-12);
        assert!((Lever::none(3.0).unwrap().rate_at_payload_n_m(10.0) - 30.0).abs() < 1e-12);
    }

    #[test]
    fn an_air_spring_is_the_gas_law_by_small_steps() {
        let (a, v, p): (f64, f64, f64) = (12e-4, 1.5e-4, 160e3);
        let s = AirSpring::new(a, v).unwrap();
        for n in [SLOW, QUICK] {
            let force = |x: f64| p * (v / (v - a * x)).powf(n) * a;
            let h = 1e-6;
            let slope = (force(h) - force(-h)) / (2.0 * h);
            // Central difference: error of order (h A / V)², under 1e-10.
            assert!((s.rate_n_m(p, n).unwrap() / slope - 1.0).abs() < 1e-8);
        }
        assert!((s.load_n(s.gauge_pa(58.0)) - 58.0).abs() < 1e-12);
        // Gay-Lussac: 10 K from 290 K lifts 160 kPa to 160 * 300/290.
        let lifted = p + 10.0 * AirSpring::warming_pa_k(p, 290.0).unwrap();
        assert!((lifted - p * 300.0 / 290.0).abs() < 1e-6);
    }

    #[test]
    fn refuses_what_is_no_spring() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(AirSpring::new(bad, 1e-4).is_err() && AirSpring::new(1e-3, bad).is_err());
            assert!(Lever::new(1.0, bad, 0.1).is_err() && Lever::new(1.0, 0.1, bad).is_err());
            assert!(Lever::none(bad).is_err());
            assert!(AirSpring::new(1e-3, 1e-4).unwrap().rate_n_m(bad, 1.0).is_err());
            assert!(AirSpring::warming_pa_k(1e5, bad).is_err());
        }
        assert!(AirSpring::new(1e-3, 1e-4).unwrap().rate_n_m(1e5, 0.9).is_err());
    }
}
