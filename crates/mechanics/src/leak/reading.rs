//! Gauge readings, brought to one ambient pressure and temperature.

use super::{LeakError, not_negative, positive};

/// Air outside a cup, and how warm the cup is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ambient {
    /// Pressure outside, Pa.
    pub pressure_pa: f64,
    /// Temperature of cup and air, K.
    pub temperature_k: f64,
}

/// One look at the gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// When, s from any moment.
    pub time_s: f64,
    /// What the gauge shows, Pa, positive.
    pub vacuum_pa: f64,
    /// Pressure outside at that moment, Pa.
    pub ambient_pa: f64,
    /// Temperature of the cup at that moment, K.
    pub temperature_k: f64,
}

impl Reading {
    /// What the gauge would show with the same air in the cup, elsewhere.
    ///
    /// ```text
    /// dp0 = p0 - (p - dp) T0 / T
    /// ```
    ///
    /// May be negative: the air inside would then push.
    ///
    /// # Source
    ///
    /// Ideal gas at constant volume; `docs/mechanics.md` §17.6. Checked by LK-GAS in `tests/sources/vacuum-leak`.
    ///
    /// # Errors
    ///
    /// [`LeakError`] if a value is out of range.
    pub fn vacuum_at_pa(self, elsewhere: Ambient) -> Result<f64, LeakError> {
        let inside =
            positive("ambient pressure", self.ambient_pa)? - not_negative("vacuum reading", self.vacuum_pa)?;
        let warmer =
            positive("temperature", elsewhere.temperature_k)? / positive("temperature", self.temperature_k)?;
        Ok(positive("ambient pressure", elsewhere.pressure_pa)? - inside * warmer)
    }

    /// Air outside at the moment of the reading.
    pub fn ambient(self) -> Ambient {
        Ambient { pressure_pa: self.ambient_pa, temperature_k: self.temperature_k }
    }
}
