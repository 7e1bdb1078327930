//! Slip of one cup under shear and torsion, with the normal force that pull leaves.

use super::seal::Annulus;
use super::{Check, CupError, finite, not_negative, positive};

/// Share of the ellipse that lies inside the exact limit curve of a thin ring: `2 sqrt(2) / pi = 0.900`.
///
/// A rigid ring under even pressure with Coulomb friction slips at every point at once. For sliding speed
/// `v` and rim speed `w` it dissipates `mu N <sqrt(v² + w² + 2 v w cos a)>` (mean over the ring), the
/// ellipse `mu N sqrt(v² + w²)`. The mean of a root is at most the root of the mean, so the exact curve
/// lies **inside** the ellipse: at `v = w` by `(4/pi) / sqrt(2)`, the worst ratio. A disc differs less.
/// Pure shear and pure torsion agree. `docs/mechanics.md` §5.4; checked by
/// `a_thin_ring_slips_inside_the_ellipse`.
pub const RING_SHARE: f64 = 0.900_316_316_157_106;

/// Arm at which the friction of a ring under even pressure resists torsion.
///
/// ```text
/// Mz = mu N r_t,   r_t = 2/3 (R_o³ - R_i³) / (R_o² - R_i²)
/// ```
///
/// A thin ring gives its radius, a full disc `2/3 R`.
///
/// # Assumes
///
/// Even pressure, constant friction. Uneven pressure on a thin ring leaves `r_t` nearly unchanged.
///
/// # Source
///
/// Integral of `mu p r` over the ring (the even-pressure disc clutch); derived in `docs/mechanics.md` §5.4.
pub fn torsion_radius_m(ring: Annulus) -> f64 {
    // (R_o³ - R_i³)/(R_o² - R_i²) with the common factor R_o - R_i taken out, which stays exact for a thin ring.
    let (o, i) = (ring.outer_m(), ring.inner_m());
    2.0 / 3.0 * (o * o + o * i + i * i) / (o + i)
}

/// Friction of one cup on its panel: the ellipsoidal limit surface.
///
/// ```text
/// (V / (mu N))² + (Mz / (mu N r_t))² <= 1,     N = N0 - T
/// ```
///
/// # Assumes
///
/// Isotropic Coulomb friction and an ellipse in `V` and `Mz`. The exact curve of a thin ring lies up to
/// 10 % inside it where shear and torsion act together: [`SlipLimit::inscribed`] is the safe variant
/// ([`RING_SHARE`]).
///
/// # Source
///
/// Howe, R. D. & Cutkosky, M. R., "Practical force-motion models for sliding manipulation", *Int. J. Robotics
/// Research* 15(6), 1996 [from memory]. `docs/mechanics.md` §5.4.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlipLimit {
    mu: f64,
    torsion_radius_m: f64,
}

impl SlipLimit {
    /// From the friction coefficient and the torsion radius ([`torsion_radius_m`]).
    ///
    /// # Errors
    ///
    /// [`CupError`] unless both are positive and finite.
    pub fn new(mu: f64, torsion_radius_m: f64) -> Result<Self, CupError> {
        Ok(Self {
            mu: positive("friction coefficient", mu)?,
            torsion_radius_m: positive("torsion radius", torsion_radius_m)?,
        })
    }

    /// The largest ellipse inside the exact limit curve of a thin ring: friction times [`RING_SHARE`].
    #[must_use]
    pub fn inscribed(self) -> Self {
        Self { mu: self.mu * RING_SHARE, ..self }
    }

    /// Friction coefficient in use.
    pub fn mu(self) -> f64 {
        self.mu
    }

    /// `r_t`, m.
    pub fn torsion_radius_m(self) -> f64 {
        self.torsion_radius_m
    }

    /// Shear that torsion and shear together amount to, N: `S = sqrt(V² + (Mz / r_t)²)`.
    ///
    /// # Errors
    ///
    /// [`CupError`] if a value is not finite.
    pub fn combined_shear_n(self, shear_n: f64, torsion_nm: f64) -> Result<f64, CupError> {
        let v = finite("shear", shear_n)?;
        let m = finite("torsion", torsion_nm)?;
        finite("combined shear", v.hypot(m / self.torsion_radius_m))
    }

    /// Demand and capacity against slip, both as normal force.
    ///
    /// ```text
    /// holds while  S <= mu (N0 - T)
    ///
    /// demand   = S/mu + max(T, 0)
    /// capacity = N0 + max(-T, 0)
    /// ```
    ///
    /// # The factor
    ///
    /// Multiplying the whole action by `k` gives `k S / mu = N0 - k T`, so the margin is
    /// `N0 / (S/mu + T)` for a pull. Press (`T < 0`, `t = -T`) is not multiplied here: the margin is
    /// `(N0 + t) / s`, `s = S/mu`, against `N0 / (s - t)` with everything multiplied. Their difference has the
    /// sign of `t (s - t - N0)`: with press unmultiplied the margin is the **lower** of the two wherever
    /// the cup holds at all (`s <= N0 + t`). Where it does not, both are below 1. So no factor of 1 or more
    /// passes here that multiplying everything would fail.
    ///
    /// # Symbols
    ///
    /// | here             | unit | meaning                          |
    /// |------------------|------|----------------------------------|
    /// | `vacuum_force_n` | N    | `N0`, 0 or more                  |
    /// | `pull_n`         | N    | `T`, + away from the panel       |
    /// | `shear_n`        | N    | `V` in the panel plane           |
    /// | `torsion_nm`     | N m  | `Mz` about the panel normal      |
    ///
    /// # Source
    ///
    /// `docs/mechanics.md` §5.4, from the limit surface above. Checked by SLIP-* in `tests/sources/cup_bolt` and
    /// `unscaled_press_is_never_more_optimistic`.
    ///
    /// # Errors
    ///
    /// [`CupError`] if a value is not finite or the vacuum force negative.
    ///
    /// # Examples
    ///
    /// ```
    /// # use mechanics::cup::slip::SlipLimit;
    /// let wet = SlipLimit::new(0.25, 0.1176)?;
    /// let check = wet.check(3_000.0, 200.0, 350.0, 0.0)?;
    /// assert!((check.ratio() - 3_000.0 / 1_600.0).abs() < 1e-12);
    /// # Ok::<(), mechanics::cup::CupError>(())
    /// ```
    pub fn check(
        self,
        vacuum_force_n: f64,
        pull_n: f64,
        shear_n: f64,
        torsion_nm: f64,
    ) -> Result<Check, CupError> {
        let n0 = not_negative("vacuum force", vacuum_force_n)?;
        let t = finite("pull", pull_n)?;
        let s = self.combined_shear_n(shear_n, torsion_nm)?;
        Ok(Check {
            demand_n: finite("slip demand", s / self.mu + t.max(0.0))?,
            capacity_n: finite("capacity", n0 + (-t).max(0.0))?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::PI;
    use proptest::prelude::*;

    /// Rounding in a handful of products, relative.
    const ROUNDING: f64 = 1e-12;

    /// Mean over the ring of the sliding speed, by the midpoint rule (periodic, so it converges fast).
    fn ring_power(v: f64, w: f64) -> f64 {
        let n = 20_000;
        (0..n)
            .map(|k| {
                let a = 2.0 * PI * (f64::from(k) + 0.5) / f64::from(n);
                (v * v + w * w + 2.0 * v * w * a.cos()).max(0.0).sqrt()
            })
            .sum::<f64>()
            / f64::from(n)
    }

    #[test]
    fn a_thin_ring_slips_inside_the_ellipse() {
        let mut least = f64::INFINITY;
        for k in 0..=90 {
            let a = f64::from(k) * PI / 180.0;
            let ratio = ring_power(a.cos(), a.sin());
            assert!(ratio <= 1.0 + 1e-9, "the exact curve never lies outside the ellipse");
            least = least.min(ratio);
        }
        // Midpoint rule with a kink at v = w: error of order 1/n².
        assert!((least - RING_SHARE).abs() < 1e-6);
        assert!((RING_SHARE - 2.0 * 2.0_f64.sqrt() / PI).abs() < 1e-15);
    }

    #[test]
    fn torsion_radius_is_the_integral() {
        let ring = Annulus::new(0.110, 0.125).unwrap();
        let (o, i) = (0.125_f64, 0.110_f64);
        let by_definition = 2.0 / 3.0 * (o.powi(3) - i.powi(3)) / (o.powi(2) - i.powi(2));
        assert!((torsion_radius_m(ring) - by_definition).abs() < ROUNDING);
        let disc = torsion_radius_m(Annulus::new(0.0, 0.3).unwrap());
        assert!((disc - 0.2).abs() < ROUNDING);
        let thin = torsion_radius_m(Annulus::new(0.299_999_9, 0.3).unwrap());
        assert!((thin - 0.3).abs() < 1e-6);
    }

    #[test]
    fn inscribed_is_safe_where_both_act() {
        // On the exact curve at v = w: V = Mz/r = (2/pi) mu N.
        let s = SlipLimit::new(0.5, 0.1).unwrap();
        let (n0, v) = (1_000.0, 2.0 / PI * 500.0);
        let plain = s.check(n0, 0.0, v, v * 0.1).unwrap().ratio();
        let safe = s.inscribed().check(n0, 0.0, v, v * 0.1).unwrap().ratio();
        assert!(plain > 1.1);
        assert!((safe - 1.0).abs() < ROUNDING);
    }

    #[test]
    fn press_adds_to_the_vacuum() {
        // (1000 + 500) N against 300/0.5 = 600 N.
        let r = SlipLimit::new(0.5, 0.1).unwrap().check(1_000.0, -500.0, 300.0, 0.0).unwrap().ratio();
        assert!((r - 2.5).abs() < ROUNDING);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert!(SlipLimit::new(0.0, 0.1).is_err());
        assert!(SlipLimit::new(0.5, f64::NAN).is_err());
        let s = SlipLimit::new(0.5, 0.1).unwrap();
        assert!(s.check(-1.0, 0.0, 0.0, 0.0).is_err());
        assert!(s.check(1.0, f64::INFINITY, 0.0, 0.0).is_err());
        assert!(s.check(1.0, 0.0, f64::NAN, 0.0).is_err());
        assert!(s.check(1.0, 0.0, f64::MAX, f64::MAX).is_err());
    }

    proptest! {
        #[test]
        fn agrees_with_the_limit_surface(
            n0 in 10.0..5e3_f64, t in 0.0..6e3_f64, v in 0.0..3e3_f64, mz in -200.0..200.0_f64
        ) {
            let (mu, rt) = (0.4, 0.1176);
            let inside = if n0 > t {
                let n = n0 - t;
                (v / (mu * n)).powi(2) + (mz / (mu * n * rt)).powi(2) <= 1.0
            } else {
                false
            };
            let ratio = SlipLimit::new(mu, rt).unwrap().check(n0, t, v, mz).unwrap().ratio();
            prop_assume!((ratio - 1.0).abs() > 1e-9);
            prop_assert_eq!(inside, ratio > 1.0);
            // Multiplied by its margin, a pulling action lies on the surface.
            let n = n0 - ratio * t;
            let s = ((ratio * v).powi(2) + (ratio * mz / rt).powi(2)).sqrt();
            prop_assert!((s - mu * n).abs() <= 1e-9 * n0.max(s));
        }

        #[test]
        fn unscaled_press_is_never_more_optimistic(
            n0 in 0.0..5e3_f64, t in -3e3..3e3_f64, v in 0.0..3e3_f64, mz in 0.0..200.0_f64, k in 1.0..4.0_f64
        ) {
            let (mu, rt) = (0.4, 0.1176);
            let limit = SlipLimit::new(mu, rt).unwrap();
            let check = limit.check(n0, t, v, mz).unwrap();
            let s = limit.combined_shear_n(v, mz).unwrap() / mu;
            if check.holds(k) {
                prop_assert!(k * (s + t) <= n0 * (1.0 + ROUNDING) + 1e-9);
            }
            if check.ratio() >= 1.0 && s + t > 0.0 {
                prop_assert!(check.ratio() <= n0 / (s + t) * (1.0 + 1e-9));
            }
        }

        #[test]
        fn order_and_scale(
            n0 in 1.0..5e3_f64, t in -3e3..3e3_f64, v in 0.0..3e3_f64, mz in 0.0..200.0_f64, d in 0.0..500.0_f64
        ) {
            let limit = SlipLimit::new(0.4, 0.1176).unwrap();
            let r = |n0, t, v, mz| limit.check(n0, t, v, mz).unwrap().ratio();
            let base = r(n0, t, v, mz);
            prop_assert!(r(n0, t + d, v, mz) <= base * (1.0 + ROUNDING));
            prop_assert!(r(n0, t, v + d, mz) <= base * (1.0 + ROUNDING));
            prop_assert!(r(n0, t, v, mz + d) <= base * (1.0 + ROUNDING));
            prop_assert!(r(n0 + d, t, v, mz) >= base * (1.0 - ROUNDING));
            if base.is_finite() {
                prop_assert!((r(3.0 * n0, 3.0 * t, 3.0 * v, 3.0 * mz) - base).abs() <= 1e-9 * base);
            }
            prop_assert!(limit.inscribed().check(n0, t, v, mz).unwrap().ratio() <= base * (1.0 + ROUNDING));
        }
    }
}
