//! Seal lift: when pull and moment together take the pressure off one side of the seal.

use super::{Check, CupError, finite, not_negative, positive};
use core::f64::consts::PI;

/// The ring on which a cup bears: between the inner edge of the contact (there the vacuum ends) and the
/// outer edge. An inner radius of 0 is a full disc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Annulus {
    inner_m: f64,
    outer_m: f64,
}

impl Annulus {
    /// From the inner and outer radius.
    ///
    /// # Errors
    ///
    /// [`CupError`] unless `0 <= inner < outer`.
    pub fn new(inner_m: f64, outer_m: f64) -> Result<Self, CupError> {
        let inner_m = not_negative("inner seal radius", inner_m)?;
        let outer_m = positive("outer seal radius", outer_m)?;
        if inner_m < outer_m {
            Ok(Self { inner_m, outer_m })
        } else {
            Err(CupError::OutOfRange {
                what: "inner seal radius",
                value: inner_m,
                needs: "less than the outer seal radius",
            })
        }
    }

    /// `R_i`, m.
    pub fn inner_m(self) -> f64 {
        self.inner_m
    }

    /// `R_o`, m.
    pub fn outer_m(self) -> f64 {
        self.outer_m
    }

    /// Contact area, m²: `A = pi (R_o² - R_i²)`.
    pub fn area_m2(self) -> f64 {
        PI * (self.outer_m.powi(2) - self.inner_m.powi(2))
    }

    /// Section modulus of the contact, m³: `Z = pi (R_o⁴ - R_i⁴) / (4 R_o)`.
    pub fn section_modulus_m3(self) -> f64 {
        PI * (self.outer_m.powi(4) - self.inner_m.powi(4)) / (4.0 * self.outer_m)
    }

    /// How far off centre the resultant may act before one side of the contact is without pressure, m.
    ///
    /// ```text
    /// p = N/A -+ M/Z >= 0   =>   M/N <= e = Z/A
    ///
    /// Annulus    e = (R_o² + R_i²) / (4 R_o)
    /// Disc       e = R_o / 4
    /// ThinRing   e = r / 2,   r = (R_o + R_i) / 2
    /// EdgePivot  e = R_o      (upper bound: the ring stands on its edge)
    /// ```
    ///
    /// # Assumes
    ///
    /// Contact pressure linear over the ring (elastic lip on a stiff panel), no tension in the contact.
    ///
    /// # Source
    ///
    /// Core of a section under an eccentric load: Timoshenko, *Strength of Materials* [from memory]; derived
    /// as `Z/A` in `docs/mechanics.md` §5.3. Checked by SEAL-* in `tests/sources/cup_bolt`.
    pub fn core_radius_m(self, core: Core) -> f64 {
        match core {
            Core::Annulus => (self.outer_m.powi(2) + self.inner_m.powi(2)) / (4.0 * self.outer_m),
            Core::Disc => self.outer_m / 4.0,
            Core::ThinRing => (self.outer_m + self.inner_m) / 4.0,
            Core::EdgePivot => self.outer_m,
        }
    }

    /// Force of a vacuum on this seal, N: `N0 = dp pi R_i²`.
    ///
    /// The vacuum is counted within the inner edge only; what little of it reaches under the lip is left
    /// out, which is safe. The core radius uses the whole contact ring.
    ///
    /// # Errors
    ///
    /// [`CupError`] if the vacuum is negative or the annulus is a full disc, which seals nothing in.
    pub fn vacuum_force_n(self, vacuum_pa: f64) -> Result<f64, CupError> {
        super::vacuum::holding_force_n(vacuum_pa, super::vacuum::sealed_area_m2(self.inner_m)?)
    }
}

/// Which core radius of the contact to use. [`Core::Annulus`] is the model; the others are its limits.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Core {
    /// The contact ring as it is.
    #[default]
    Annulus,
    /// A full disc of the outer radius: the smallest, safest core.
    Disc,
    /// All pressure on the mean radius: some per cent more than the ring.
    ThinRing,
    /// A rigid ring that stands on its outer edge: never reached by a seal, for comparison.
    EdgePivot,
}

/// Demand and capacity of a seal against lifting.
///
/// ```text
/// holds while  T + M/e <= N0
///
/// demand   = max(T, 0) + M/e
/// capacity = N0 + max(-T, 0)
/// ```
///
/// A factor multiplies the demand alone: press (`T < 0`) helps and is not multiplied with the rest. For a
/// factor of 1 or more this passes nothing that multiplying everything would fail: with `t = -T > 0` and
/// `s = M/e`, `k s <= N0 + t` gives `k (s - t) <= N0` because `k t >= t`.
///
/// # Symbols
///
/// | here             | unit | meaning                                        |
/// |------------------|------|------------------------------------------------|
/// | `core_radius_m`  | m    | `e`, from [`Annulus::core_radius_m`]           |
/// | `vacuum_force_n` | N    | `N0`, 0 or more                                |
/// | `pull_n`         | N    | `T`, + away from the panel                     |
/// | `moment_nm`      | N m  | `M`, magnitude of the moment **about the panel plane**: the shear times the height of the head is in it |
///
/// # Source
///
/// `docs/mechanics.md` §5.3, from `N = N0 - T >= M/e`. Checked by SEAL-* in `tests/sources/cup_bolt` and
/// `unscaled_press_is_never_more_optimistic`.
///
/// # Errors
///
/// [`CupError`] if a value is not finite, the radius not positive, or the vacuum force or moment negative.
///
/// # Examples
///
/// ```
/// # use mechanics::cup::seal::{Annulus, Core, lift_check};
/// let ring = Annulus::new(0.110, 0.125)?;
/// let n0 = ring.vacuum_force_n(80e3)?;
/// let check = lift_check(ring.core_radius_m(Core::Annulus), n0, 1_000.0, 56.6)?;
/// assert!((check.ratio() - 1.505).abs() < 1e-3);
/// # Ok::<(), mechanics::cup::CupError>(())
/// ```
pub fn lift_check(
    core_radius_m: f64,
    vacuum_force_n: f64,
    pull_n: f64,
    moment_nm: f64,
) -> Result<Check, CupError> {
    let n0 = not_negative("vacuum force", vacuum_force_n)?;
    Ok(Check {
        demand_n: demand_n(core_radius_m, pull_n, moment_nm)?,
        capacity_n: finite("capacity", n0 + (-pull_n).max(0.0))?,
    })
}

/// Demand on the seal alone, N: `max(T, 0) + M/e`; symbols as in [`lift_check`].
///
/// # Errors
///
/// As [`lift_check`].
pub fn demand_n(core_radius_m: f64, pull_n: f64, moment_nm: f64) -> Result<f64, CupError> {
    let e = positive("core radius", core_radius_m)?;
    let m = not_negative("moment about the panel plane", moment_nm)?;
    finite("seal demand", finite("pull", pull_n)?.max(0.0) + m / e)
}

/// Moment at which the seal lifts under a given pull, N m: `M = e (N0 - T)`, 0 where the pull alone lifts it.
///
/// # Errors
///
/// As [`lift_check`].
pub fn lift_moment_nm(core_radius_m: f64, vacuum_force_n: f64, pull_n: f64) -> Result<f64, CupError> {
    let e = positive("core radius", core_radius_m)?;
    let n = not_negative("vacuum force", vacuum_force_n)? - finite("pull", pull_n)?;
    Ok(e * n.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Rounding in a handful of products, relative.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn core_radius_is_section_modulus_over_area() {
        for (ri, ro) in [(0.0, 0.1), (0.110, 0.125), (0.01, 0.3)] {
            let a = Annulus::new(ri, ro).unwrap();
            let e = a.core_radius_m(Core::Annulus);
            assert!((e - a.section_modulus_m3() / a.area_m2()).abs() < ROUNDING);
            assert!(a.core_radius_m(Core::Disc) <= e && e <= a.core_radius_m(Core::EdgePivot));
        }
    }

    #[test]
    fn limits_of_the_ring() {
        let disc = Annulus::new(0.0, 0.2).unwrap();
        assert!((disc.core_radius_m(Core::Annulus) - disc.core_radius_m(Core::Disc)).abs() < ROUNDING);
        let thin = Annulus::new(0.199_999, 0.2).unwrap();
        let (a, b) = (thin.core_radius_m(Core::Annulus), thin.core_radius_m(Core::ThinRing));
        assert!((a / b - 1.0).abs() < 1e-5);
        assert!(disc.vacuum_force_n(80e3).is_err());
    }

    #[test]
    fn pull_alone_lifts_at_the_vacuum_force() {
        let c = lift_check(0.05, 3_000.0, 3_000.0, 0.0).unwrap();
        assert!((c.ratio() - 1.0).abs() < ROUNDING);
        assert!(lift_moment_nm(0.05, 3_000.0, 3_500.0).unwrap().abs() < ROUNDING);
        // Press of 500 N adds to the vacuum: 3500 N against 100/0.05 = 2000 N.
        let pressed = lift_check(0.05, 3_000.0, -500.0, 100.0).unwrap();
        assert!((pressed.ratio() - 1.75).abs() < ROUNDING);
        let m = lift_moment_nm(0.05, 3_000.0, 1_000.0).unwrap();
        assert!((lift_check(0.05, 3_000.0, 1_000.0, m).unwrap().ratio() - 1.0).abs() < ROUNDING);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert!(Annulus::new(0.1, 0.1).is_err());
        assert!(Annulus::new(-0.1, 0.1).is_err());
        assert!(Annulus::new(0.1, f64::INFINITY).is_err());
        assert!(lift_check(0.0, 1.0, 1.0, 1.0).is_err());
        assert!(lift_check(0.1, f64::NAN, 1.0, 1.0).is_err());
        assert!(lift_check(0.1, 1.0, f64::NAN, 1.0).is_err());
        assert!(lift_check(0.1, 1.0, 1.0, -1.0).is_err());
    }

    proptest! {
        #[test]
        fn unscaled_press_is_never_more_optimistic(
            n0 in 0.0..5e3_f64, t in -3e3..3e3_f64, m in 0.0..500.0_f64, k in 1.0..4.0_f64
        ) {
            let e = 0.055;
            if lift_check(e, n0, t, m).unwrap().holds(k) {
                prop_assert!(k * (t + m / e) <= n0 * (1.0 + ROUNDING) + 1e-9);
            }
        }

        #[test]
        fn more_of_anything_bad_never_raises_the_ratio(
            n0 in 1.0..5e3_f64, t in -3e3..3e3_f64, m in 0.0..500.0_f64, dt in 0.0..1e3_f64, dm in 0.0..100.0_f64
        ) {
            let r = lift_check(0.055, n0, t, m).unwrap().ratio();
            prop_assert!(lift_check(0.055, n0, t + dt, m).unwrap().ratio() <= r * (1.0 + ROUNDING));
            prop_assert!(lift_check(0.055, n0, t, m + dm).unwrap().ratio() <= r * (1.0 + ROUNDING));
            prop_assert!(lift_check(0.055, n0 + dt, t, m).unwrap().ratio() >= r * (1.0 - ROUNDING));
        }
    }
}
