//! Metric threads: stress area, proof load, preload and tightening torque.

use super::{BoltError, finite, not_negative, positive};
use core::f64::consts::PI;

/// An ISO metric thread and the head or nut that bears on the parts; lengths in m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    diameter: f64,
    pitch: f64,
    bearing: f64,
}

/// Nominal diameter, coarse pitch and mean bearing diameter of a hexagon head on a medium hole, all in mm
/// (ISO 261, ISO 4014, ISO 273 \[from memory\]).
const COARSE_MM: [(f64, f64, f64); 7] = [
    (4.0, 0.7, 5.20),
    (5.0, 0.8, 6.20),
    (6.0, 1.0, 7.75),
    (8.0, 1.25, 10.30),
    (10.0, 1.5, 12.80),
    (12.0, 1.75, 15.05),
    (16.0, 2.0, 20.00),
];

/// Largest diameter for which the class values here hold, m: above it class 8.8 is stronger and tabled apart.
const LARGEST_M: f64 = 0.016;

impl Thread {
    /// The coarse thread M4, M5, M6, M8, M10, M12 or M16 with a hexagon head; `None` for any other size.
    pub fn coarse(size: u8) -> Option<Self> {
        COARSE_MM.iter().find(|row| (row.0 - f64::from(size)).abs() < 1e-9).map(|&(d, p, b)| Self {
            diameter: d * 1e-3,
            pitch: p * 1e-3,
            bearing: b * 1e-3,
        })
    }

    /// Any metric thread up to 16 mm: nominal diameter, pitch, and mean bearing diameter `D_Km` of the head or
    /// nut, `(d_w + d_h) / 2`.
    ///
    /// # Errors
    ///
    /// [`BoltError`] unless all are positive, the diameter at most 16 mm, the pitch less than half the diameter
    /// and the bearing diameter more than the nominal one.
    pub fn new(diameter_m: f64, pitch_m: f64, bearing_m: f64) -> Result<Self, BoltError> {
        let d = positive("thread diameter", diameter_m)?;
        let p = positive("thread pitch", pitch_m)?;
        let b = positive("bearing diameter", bearing_m)?;
        let wrong = |what, value, needs| Err(BoltError::OutOfRange { what, value, needs });
        if d > LARGEST_M * (1.0 + 1e-9) {
            return wrong("thread diameter", d, "16 mm or less");
        }
        if p >= 0.5 * d {
            return wrong("thread pitch", p, "less than half the diameter");
        }
        if b <= d {
            return wrong("bearing diameter", b, "more than the thread diameter");
        }
        Ok(Self { diameter: d, pitch: p, bearing: b })
    }

    /// Nominal diameter `d`, m.
    pub fn diameter_m(self) -> f64 {
        self.diameter
    }

    /// Pitch `P`, m.
    pub fn pitch_m(self) -> f64 {
        self.pitch
    }

    /// Pitch diameter, m: `d2 = d - 0.649519 P` (ISO 724; `3/4 H`, `H = P sqrt(3)/2`).
    pub fn pitch_diameter_m(self) -> f64 {
        self.diameter - 0.649_519 * self.pitch
    }

    /// Core diameter, m: `d3 = d - 1.226869 P` (ISO 724, ISO 898-1; `17/12 H`).
    pub fn core_diameter_m(self) -> f64 {
        self.diameter - 1.226_869 * self.pitch
    }

    /// Stress area, m²: `A_s = pi/4 ((d2 + d3)/2)²`.
    ///
    /// # Source
    ///
    /// ISO 898-1:2013 \[from memory\]; `docs/mechanics.md` §8.1. Checked by THREAD-* in `tests/sources/cup_bolt`.
    pub fn stress_area_m2(self) -> f64 {
        PI / 4.0 * self.stress_diameter_m().powi(2)
    }

    fn stress_diameter_m(self) -> f64 {
        f64::midpoint(self.pitch_diameter_m(), self.core_diameter_m())
    }

    /// Proof load, N: `F_p = A_s S_p`.
    pub fn proof_load_n(self, class: Class) -> f64 {
        self.stress_area_m2() * class.proof_pa()
    }

    /// Preload that uses a share of the yield stress while the screw is being turned.
    ///
    /// ```text
    /// F_M = A_0 nu R_p02 / sqrt(1 + 3 [1.5 (d2/d0) (P/(pi d2) + 1.155 mu_G)]²),   d0 = (d2 + d3)/2
    /// ```
    ///
    /// # Symbols
    ///
    /// | here        | in the source | unit | meaning                                   |
    /// |-------------|---------------|------|-------------------------------------------|
    /// | `mu_thread` | `mu_G`        |      | friction in the thread                    |
    /// | `yield_use` | `nu`          |      | share of the yield stress, 0.9 in the tables |
    ///
    /// # Source
    ///
    /// VDI 2230 part 1:2003/2015, assembly preload; tables of the 2001 edition, `docs/mechanics.md` §8.2. Checked by VDI-* in
    /// `tests/sources/cup_bolt`.
    ///
    /// # Errors
    ///
    /// [`BoltError`] if the friction is negative or the share not in (0, 1].
    pub fn preload_n(self, class: Class, mu_thread: f64, yield_use: f64) -> Result<f64, BoltError> {
        let mu = not_negative("thread friction", mu_thread)?;
        let nu = positive("share of the yield stress", yield_use)?;
        if nu > 1.0 {
            return Err(BoltError::OutOfRange {
                what: "share of the yield stress",
                value: nu,
                needs: "1 or less",
            });
        }
        let (d2, d0) = (self.pitch_diameter_m(), self.stress_diameter_m());
        let twist = 1.5 * (d2 / d0) * (self.pitch / (PI * d2) + 1.155 * mu);
        finite("preload", self.stress_area_m2() * nu * class.yield_pa() / (1.0 + 3.0 * twist * twist).sqrt())
    }

    /// Torque for a preload, by parts: pitch, thread friction, head friction.
    ///
    /// ```text
    /// M_A = F (0.16 P + 0.58 d2 mu_G + D_Km mu_K / 2)
    /// ```
    ///
    /// # Symbols
    ///
    /// | here        | in the source | unit | meaning                   |
    /// |-------------|---------------|------|---------------------------|
    /// | `preload_n` | `F_M`         | N    | preload                   |
    /// | `mu_thread` | `mu_G`        |      | friction in the thread    |
    /// | `mu_head`   | `mu_K`        |      | friction under the head   |
    ///
    /// # Source
    ///
    /// VDI 2230 part 1; `docs/mechanics.md` §8.2. Checked by VDI-* in `tests/sources/cup_bolt`.
    ///
    /// # Errors
    ///
    /// [`BoltError`] if a value is negative or not finite.
    ///
    /// # Examples
    ///
    /// ```
    /// # use mechanics::bolt::thread::{Class, Thread};
    /// // M8 class 8.8, friction 0.12: about 18.6 kN and 24.6 N m.
    /// let m8 = Thread::coarse(8).ok_or("M8 is in the table")?;
    /// let f = m8.preload_n(Class::C8_8, 0.12, 0.9)?;
    /// assert!((f - 18.6e3).abs() < 50.0);
    /// assert!((m8.torque_nm(f, 0.12, 0.12)? - 24.6).abs() < 0.05);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn torque_nm(self, preload_n: f64, mu_thread: f64, mu_head: f64) -> Result<f64, BoltError> {
        finite("torque", not_negative("preload", preload_n)? * self.torque_per_newton_m(mu_thread, mu_head)?)
    }

    /// Preload that a torque gives, N: the same equation the other way round. High friction gives low
    /// preload: use the highest friction for what the joint holds, the lowest for what the bolt must bear.
    ///
    /// # Errors
    ///
    /// [`BoltError`] if a value is negative or not finite.
    pub fn preload_from_torque_n(
        self,
        torque_nm: f64,
        mu_thread: f64,
        mu_head: f64,
    ) -> Result<f64, BoltError> {
        finite("preload", not_negative("torque", torque_nm)? / self.torque_per_newton_m(mu_thread, mu_head)?)
    }

    fn torque_per_newton_m(self, mu_thread: f64, mu_head: f64) -> Result<f64, BoltError> {
        let (g, k) = (not_negative("thread friction", mu_thread)?, not_negative("head friction", mu_head)?);
        Ok(0.16 * self.pitch + 0.58 * self.pitch_diameter_m() * g + self.bearing * k / 2.0)
    }

    /// Nut factor `K` of the short form `T = K F d`, from the friction coefficients.
    ///
    /// ```text
    /// K = d2/(2 d) (tan l + f sec a) / (1 - f tan l sec a) + 0.625 f_c
    /// tan l = P/(pi d2),  a = 30 deg,  mean collar diameter 1.25 d
    /// ```
    ///
    /// # Source
    ///
    /// Shigley, *Mechanical Engineering Design*, bolt torque \[from memory\]; `docs/mechanics.md` §8.2. Checked by
    /// SHIGLEY-K in `tests/sources/cup_bolt`.
    ///
    /// # Errors
    ///
    /// [`BoltError`] if a friction is negative, not finite or so high that the thread cannot be turned.
    pub fn nut_factor(self, f_thread: f64, f_collar: f64) -> Result<f64, BoltError> {
        let (f, fc) =
            (not_negative("thread friction", f_thread)?, not_negative("collar friction", f_collar)?);
        let d2 = self.pitch_diameter_m();
        let tan_lead = self.pitch / (PI * d2);
        let f_sec = f / (PI / 6.0).cos();
        let below = 1.0 - tan_lead * f_sec;
        if below <= 0.0 {
            return Err(BoltError::OutOfRange {
                what: "thread friction",
                value: f,
                needs: "low enough to turn the thread",
            });
        }
        finite("nut factor", d2 / (2.0 * self.diameter) * (tan_lead + f_sec) / below + 0.625 * fc)
    }

    /// Torque by the short form, N m: `T = K F d`, with `K = 0.20` for plain dry steel (Shigley \[from memory\]).
    ///
    /// # Errors
    ///
    /// [`BoltError`] if a value is negative or not finite.
    pub fn torque_by_nut_factor_nm(self, preload_n: f64, nut_factor: f64) -> Result<f64, BoltError> {
        finite(
            "torque",
            not_negative("nut factor", nut_factor)? * not_negative("preload", preload_n)? * self.diameter,
        )
    }
}

/// Preload of a joint that is taken apart again, as a share of the proof load (Shigley \[from memory\]).
pub const REUSABLE_PRELOAD_SHARE: f64 = 0.75;

/// Property class of a steel bolt, ISO 898-1, for threads up to 16 mm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// 8.8.
    C8_8,
    /// 10.9.
    C10_9,
    /// 12.9.
    C12_9,
}

impl Class {
    /// Proof stress `S_p`, Pa (ISO 898-1:2013 table 3 \[from memory\]).
    pub fn proof_pa(self) -> f64 {
        match self {
            Self::C8_8 => 580e6,
            Self::C10_9 => 830e6,
            Self::C12_9 => 970e6,
        }
    }

    /// Yield stress `R_p0.2`, Pa, as VDI 2230 uses it (ISO 898-1:2013 table 3 \[from memory\]).
    pub fn yield_pa(self) -> f64 {
        match self {
            Self::C8_8 => 640e6,
            Self::C10_9 => 940e6,
            Self::C12_9 => 1_100e6,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn torque_and_preload_undo_each_other() {
        let t = Thread::coarse(10).unwrap();
        let f = t.preload_n(Class::C10_9, 0.14, 0.9).unwrap();
        let m = t.torque_nm(f, 0.14, 0.10).unwrap();
        assert!((t.preload_from_torque_n(m, 0.14, 0.10).unwrap() / f - 1.0).abs() < 1e-12);
    }

    #[test]
    fn more_friction_means_less_preload() {
        let t = Thread::coarse(12).unwrap();
        assert!(
            t.preload_from_torque_n(80.0, 0.2, 0.2).unwrap()
                < t.preload_from_torque_n(80.0, 0.1, 0.1).unwrap()
        );
        assert!(t.preload_n(Class::C8_8, 0.2, 0.9).unwrap() < t.preload_n(Class::C8_8, 0.1, 0.9).unwrap());
        // At 90 % of yield with friction the proof load is never passed by much less than 1.
        for class in [Class::C8_8, Class::C10_9, Class::C12_9] {
            assert!(t.preload_n(class, 0.1, 0.9).unwrap() < t.proof_load_n(class));
        }
    }

    #[test]
    fn nut_factor_and_the_parts_agree_for_one_friction() {
        // Shigley's collar diameter is 1.25 d; with it both forms are the same screw.
        let t = Thread::new(0.012, 0.001_75, 1.25 * 0.012).unwrap();
        let by_parts = t.torque_nm(1.0, 0.15, 0.15).unwrap();
        let by_k = t.torque_by_nut_factor_nm(1.0, t.nut_factor(0.15, 0.15).unwrap()).unwrap();
        // VDI drops the product of lead and friction (about 1 % of the thread part).
        assert!((by_parts / by_k - 1.0).abs() < 0.01);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert!(Thread::coarse(7).is_none());
        assert!(Thread::new(0.020, 0.002_5, 0.03).is_err());
        assert!(Thread::new(0.010, 0.006, 0.013).is_err());
        assert!(Thread::new(0.010, 0.001, 0.010).is_err());
        assert!(Thread::new(f64::NAN, 0.001, 0.010).is_err());
        let t = Thread::coarse(8).unwrap();
        assert!(t.preload_n(Class::C8_8, -0.1, 0.9).is_err());
        assert!(t.preload_n(Class::C8_8, 0.1, 1.1).is_err());
        assert!(t.preload_n(Class::C8_8, 0.1, 0.0).is_err());
        assert!(t.torque_nm(-1.0, 0.1, 0.1).is_err());
        assert!(t.preload_from_torque_n(1.0, f64::NAN, 0.1).is_err());
        assert!(t.nut_factor(30.0, 0.1).is_err());
    }
}
