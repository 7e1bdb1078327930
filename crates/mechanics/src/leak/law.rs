//! Pressure over time under each law of the flow, in closed form.

use super::flow::{AIR_GAMMA, choked_flow, choked_ratio, flow_function};
use super::{LeakError, not_negative, positive};

/// How the flow goes with the pressure inside. A real leak under a lip lies between the two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Law {
    /// A small hole: choked, then subsonic. From a given fall it is the one that goes on falling fastest.
    Orifice,
    /// A long narrow gap of constant conductance: the vacuum dies away exponentially.
    Exponential,
}

impl Law {
    /// Flow at a pressure ratio `r` inside over outside: `dr/dt = rate x flow(r)`.
    pub(super) fn flow(self, ratio: f64) -> f64 {
        match self {
            Self::Orifice => flow_function(ratio),
            Self::Exponential => (1.0 - ratio).max(0.0),
        }
    }

    /// Clock of the law: the primitive of `1 / flow`, so that `clock(r(t)) = clock(r(0)) + rate t`.
    ///
    /// ```text
    /// orifice, choked:     (r - r*) / psi*
    /// orifice, subsonic:   sqrt(2 g / (g - 1)) (w* - w),   w = sqrt(1 - r^((g - 1)/g))
    /// exponential:         -ln(1 - r)
    /// ```
    ///
    /// Source: with `u = r^((g-1)/g)` the subsonic `dr / psi` becomes `sqrt(g / (2 (g-1))) du / sqrt(1 - u)`; ours, `docs/mechanics.md` §17.5. Checked
    /// by `the_closed_form_is_what_small_steps_give`.
    pub(super) fn clock(self, ratio: f64) -> f64 {
        match self {
            Self::Orifice if ratio <= choked_ratio() => (ratio - choked_ratio()) / choked_flow(),
            Self::Orifice => stretch() * (width(choked_ratio()) - width(ratio)),
            Self::Exponential => -(1.0 - ratio).max(0.0).ln(),
        }
    }

    /// Pressure ratio at a reading of the clock; 1 when the cup is full.
    pub(super) fn ratio(self, clock: f64) -> f64 {
        match self {
            Self::Orifice if clock <= 0.0 => choked_ratio() + clock * choked_flow(),
            Self::Orifice => {
                let w = (width(choked_ratio()) - clock / stretch()).max(0.0);
                (1.0 - w * w).powf(AIR_GAMMA / (AIR_GAMMA - 1.0))
            }
            Self::Exponential => 1.0 - (-clock).exp(),
        }
    }

    /// By what the rate changes from one temperature to another: a hole's goes with the root, a conductance stays.
    pub(super) fn heat(self, from_k: f64, to_k: f64) -> f64 {
        match self {
            Self::Orifice => (to_k / from_k).sqrt(),
            Self::Exponential => 1.0,
        }
    }

    /// Vacuum after a time at constant ambient pressure and temperature, Pa.
    ///
    /// # Symbols
    ///
    /// | here | unit | meaning |
    /// |---|---|---|
    /// | `rate_per_s` | 1/s | orifice: `C_d A sqrt(R T) / V`; exponential: `C / V = 1 / tau` |
    ///
    /// # Source
    ///
    /// `docs/mechanics.md` §17.5. Checked by LK-* in `tests/sources/vacuum-leak`.
    ///
    /// # Errors
    ///
    /// [`LeakError`] if a value is out of range or the vacuum more than the ambient pressure.
    pub fn vacuum_after_pa(
        self,
        rate_per_s: f64,
        ambient_pa: f64,
        vacuum_pa: f64,
        time_s: f64,
    ) -> Result<f64, LeakError> {
        let ratio = ratio_of(vacuum_pa, ambient_pa)?;
        let passed = not_negative("leak rate", rate_per_s)? * not_negative("time", time_s)?;
        Ok((ambient_pa * (1.0 - self.ratio(self.clock(ratio) + passed))).clamp(0.0, vacuum_pa))
    }

    /// Time from one vacuum to a smaller one, s; 0 if it is not smaller, infinite without a leak.
    ///
    /// # Errors
    ///
    /// [`LeakError`] if a value is out of range, a vacuum more than the ambient pressure, or the second one 0.
    pub fn time_s(
        self,
        rate_per_s: f64,
        ambient_pa: f64,
        from_pa: f64,
        to_pa: f64,
    ) -> Result<f64, LeakError> {
        let to = ratio_of(positive("vacuum at the end", to_pa)?, ambient_pa)?;
        let way = self.clock(to) - self.clock(ratio_of(from_pa, ambient_pa)?);
        Ok(if way <= 0.0 { 0.0 } else { way / not_negative("leak rate", rate_per_s)? })
    }

    /// How fast the vacuum falls at the moment, Pa/s.
    ///
    /// # Errors
    ///
    /// [`LeakError`] if a value is out of range or the vacuum more than the ambient pressure.
    pub fn fall_pa_per_s(self, rate_per_s: f64, ambient_pa: f64, vacuum_pa: f64) -> Result<f64, LeakError> {
        Ok(not_negative("leak rate", rate_per_s)? * ambient_pa * self.flow(ratio_of(vacuum_pa, ambient_pa)?))
    }
}

fn ratio_of(vacuum_pa: f64, ambient_pa: f64) -> Result<f64, LeakError> {
    let ratio = 1.0 - not_negative("vacuum", vacuum_pa)? / positive("ambient pressure", ambient_pa)?;
    if ratio < 0.0 {
        return Err(LeakError::OutOfRange {
            what: "vacuum",
            value: vacuum_pa,
            needs: "no more than the ambient pressure",
        });
    }
    Ok(ratio)
}

/// `sqrt(2 g / (g - 1))` of the subsonic clock.
fn stretch() -> f64 {
    (2.0 * AIR_GAMMA / (AIR_GAMMA - 1.0)).sqrt()
}

fn width(ratio: f64) -> f64 {
    (1.0 - ratio.powf((AIR_GAMMA - 1.0) / AIR_GAMMA)).max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The differential equation in small steps, fourth order; from 0.2 to 0.9 of the ambient pressure over the kink at the choked ratio.
    #[test]
    fn the_closed_form_is_what_small_steps_give() {
        for law in [Law::Orifice, Law::Exponential] {
            let (mut r, h, start) = (0.2, 1e-4, law.clock(0.2));
            let mut t = 0.0;
            while r < 0.9 {
                let k1 = law.flow(r);
                let k2 = law.flow(r + 0.5 * h * k1);
                let k3 = law.flow(r + 0.5 * h * k2);
                let k4 = law.flow(r + h * k3);
                r += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
                t += h;
                // 1e4 steps add rounding; the kink costs less than the step to the third.
                assert!((law.ratio(start + t) - r).abs() < 1e-9, "{law:?} {t}");
            }
        }
    }

    #[test]
    fn clock_and_ratio_undo_each_other() {
        for law in [Law::Orifice, Law::Exponential] {
            for step in 0..100 {
                let r = f64::from(step) / 100.0;
                assert!((law.ratio(law.clock(r)) - r).abs() < 1e-12, "{law:?} {r}");
            }
        }
        // A hole fills the cup in finite time and then stays.
        assert!((Law::Orifice.ratio(5.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn times_and_vacua_agree_and_bad_values_are_refused() {
        for law in [Law::Orifice, Law::Exponential] {
            let t = law.time_s(1e-4, 1e5, 80e3, 30e3).unwrap();
            let left = law.vacuum_after_pa(1e-4, 1e5, 80e3, t).unwrap();
            assert!((left - 30e3).abs() < 1e-6, "{law:?} {left}");
            assert!(law.time_s(1e-4, 1e5, 30e3, 80e3).unwrap().abs() < 1e-12);
            assert!(law.time_s(0.0, 1e5, 80e3, 30e3).unwrap().is_infinite());
            assert!(law.time_s(1e-4, 1e5, 80e3, 0.0).is_err());
            assert!(law.vacuum_after_pa(1e-4, 1e5, 101e3, 1.0).is_err());
            assert!(law.vacuum_after_pa(-1e-4, 1e5, 80e3, 1.0).is_err());
            assert!(law.fall_pa_per_s(1e-4, 1e5, f64::NAN).is_err());
        }
    }
}
