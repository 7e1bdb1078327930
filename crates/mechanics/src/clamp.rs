//! Tube clamps: a jaw that grips a tube slips along it and turns around it.

use core::fmt;

/// What is wrong with a number given to the clamp equations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ClampError {
    /// The value is not a number or not finite.
    NotFinite {
        /// The quantity.
        what: &'static str,
    },
    /// The value is finite but cannot be right.
    OutOfRange {
        /// The quantity.
        what: &'static str,
        /// Its value, SI.
        value: f64,
        /// What it must be.
        needs: &'static str,
    },
}

impl fmt::Display for ClampError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => write!(f, "{what} is not a finite number"),
            Self::OutOfRange { what, value, needs } => write!(f, "{what} is {value}, but must be {needs}"),
        }
    }
}

impl core::error::Error for ClampError {}

fn positive(what: &'static str, value: f64) -> Result<f64, ClampError> {
    if !value.is_finite() {
        Err(ClampError::NotFinite { what })
    } else if value > 0.0 {
        Ok(value)
    } else {
        Err(ClampError::OutOfRange { what, value, needs: "more than 0" })
    }
}

/// How slip along the tube and turning around it add up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Interaction {
    /// `F/F_R + M/M_R <= 1`: safe whatever the two ratings come from, and the default.
    #[default]
    Linear,
    /// `(F/F_R)² + (M/M_R)² <= 1`: only where both are the friction of the same grip.
    ///
    /// Everywhere on the tube's surface the friction has one part along and one around the tube, and both
    /// parts are even, so the ellipse is exact with `M_R = F_R d/2`.
    SameGrip,
}

/// A jaw on a tube: what it was rated to hold, and at which torque of its screw.
///
/// ```text
/// k = min(1, torque / rated torque)         never more than the rating
/// Linear     |F| / (k F_R) + |M| / (k M_R) <= 1
/// SameGrip   (F / (k F_R))² + (M / (k M_R))² <= 1
/// ```
///
/// # Assumes
///
/// Grip in proportion to the screw's torque (constant screw friction), dry tube, the tube of the rating.
/// Bare steel ratings do not carry over to aluminium, painted or oily tube: those need their own test.
///
/// # Source
///
/// Coulomb friction; `docs/mechanics.md` §7.1. Checked by CLAMP-* in `tests/sources/cup_bolt` and the tests here.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jaw {
    slip_n: f64,
    torsion_nm: f64,
    rated_torque_nm: f64,
    interaction: Interaction,
}

impl Jaw {
    /// A jaw with separate ratings for slip along the tube and turning around it, added linearly.
    ///
    /// # Errors
    ///
    /// [`ClampError`] unless all three are positive and finite.
    pub fn new(slip_n: f64, torsion_nm: f64, rated_torque_nm: f64) -> Result<Self, ClampError> {
        Ok(Self {
            slip_n: positive("slip rating", slip_n)?,
            torsion_nm: positive("torsion rating", torsion_nm)?,
            rated_torque_nm: positive("rated screw torque", rated_torque_nm)?,
            interaction: Interaction::Linear,
        })
    }

    /// A jaw of which only the slip is known: the same grip resists turning at the tube's surface,
    /// `M_R = F_R d / 2`.
    ///
    /// # Errors
    ///
    /// [`ClampError`] unless all three are positive and finite.
    pub fn gripping(slip_n: f64, tube_diameter_m: f64, rated_torque_nm: f64) -> Result<Self, ClampError> {
        let d = positive("tube diameter", tube_diameter_m)?;
        let jaw = Self::new(slip_n, positive("torsion rating", slip_n * d / 2.0)?, rated_torque_nm)?;
        Ok(Self { interaction: Interaction::SameGrip, ..jaw })
    }

    /// How the two add up.
    pub fn interaction(self) -> Interaction {
        self.interaction
    }

    /// Capacity against slip along the tube at a screw torque, N.
    ///
    /// # Errors
    ///
    /// [`ClampError`] if the torque is negative or not finite.
    pub fn slip_capacity_n(self, torque_nm: f64) -> Result<f64, ClampError> {
        Ok(self.slip_n * self.tightness(torque_nm)?)
    }

    fn tightness(self, torque_nm: f64) -> Result<f64, ClampError> {
        if !torque_nm.is_finite() {
            return Err(ClampError::NotFinite { what: "screw torque" });
        }
        if torque_nm < 0.0 {
            return Err(ClampError::OutOfRange {
                what: "screw torque",
                value: torque_nm,
                needs: "0 or more",
            });
        }
        Ok((torque_nm / self.rated_torque_nm).min(1.0))
    }

    /// How often the action fits into the jaw's grip: capacity over demand, infinite where nothing acts and 0
    /// where the screw is loose.
    ///
    /// # Symbols
    ///
    /// `axial_n` force along the tube, `torsion_nm` moment about the tube's axis, either sign; `torque_nm`
    /// the torque the screw was tightened with.
    ///
    /// # Errors
    ///
    /// [`ClampError`] if a value is not finite or the torque negative.
    ///
    /// # Examples
    ///
    /// ```
    /// # use mechanics::clamp::Jaw;
    /// // 6.1 kN and 150 N m at 50 N m, tightened to 40: half the slip and a quarter of the torsion.
    /// let jaw = Jaw::new(6_100.0, 150.0, 50.0)?;
    /// let margin = jaw.margin(2_440.0, 30.0, 40.0)?;
    /// assert!((margin - 1.0 / 0.75).abs() < 1e-12);
    /// # Ok::<(), mechanics::clamp::ClampError>(())
    /// ```
    pub fn margin(self, axial_n: f64, torsion_nm: f64, torque_nm: f64) -> Result<f64, ClampError> {
        let tightness = self.tightness(torque_nm)?;
        for (what, v) in [("axial force", axial_n), ("torsion", torsion_nm)] {
            if !v.is_finite() {
                return Err(ClampError::NotFinite { what });
            }
        }
        let (f, m) = ((axial_n / self.slip_n).abs(), (torsion_nm / self.torsion_nm).abs());
        let use_of_it = match self.interaction {
            Interaction::Linear => f + m,
            Interaction::SameGrip => f.hypot(m),
        };
        Ok(if tightness <= 0.0 { 0.0 } else { tightness / use_of_it })
    }
}

/// A coupler of EN 74-1 with its characteristic slip force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CouplerClass {
    /// What it is, in the standard's words.
    pub name: &'static str,
    /// Characteristic slip force `F_s,k`, N.
    pub slip_n: f64,
}

/// EN 12811-1:2003 Annex C Table C.1, characteristic slip forces on 48.3 mm tube \[from memory, unverified\].
pub const COUPLERS: [CouplerClass; 4] = [
    CouplerClass { name: "right-angle coupler class A", slip_n: 10e3 },
    CouplerClass { name: "right-angle coupler class B", slip_n: 15e3 },
    CouplerClass { name: "sleeve coupler class A", slip_n: 6e3 },
    CouplerClass { name: "sleeve coupler class B", slip_n: 9e3 },
];

/// Torque with which screw couplers are tightened for their tests, N m (EN 74-1).
pub const COUPLER_TORQUE_NM: f64 = 50.0;
/// Partial factor on the resistance, `gamma_M` (EN 12811-1 \[from memory\]).
pub const COUPLER_GAMMA_M: f64 = 1.1;
/// Partial factor on the action, `gamma_F` (EN 12811-1 \[from memory\]).
pub const COUPLER_GAMMA_F: f64 = 1.5;

impl CouplerClass {
    /// Slip force that may be used against unfactored loads, N: `F_s,k / (gamma_M gamma_F)`.
    pub fn allowable_n(self) -> f64 {
        self.slip_n / (COUPLER_GAMMA_M * COUPLER_GAMMA_F)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ROUNDING: f64 = 1e-12;

    #[test]
    fn torque_scales_down_and_never_up() {
        let jaw = Jaw::new(6_000.0, 100.0, 50.0).unwrap();
        assert!((jaw.slip_capacity_n(25.0).unwrap() - 3_000.0).abs() < 1e-9);
        assert!((jaw.slip_capacity_n(80.0).unwrap() - 6_000.0).abs() < 1e-9);
        assert!((jaw.margin(3_000.0, 0.0, 25.0).unwrap() - 1.0).abs() < ROUNDING);
        assert!(jaw.margin(1.0, 0.0, 0.0).unwrap() <= 0.0);
        assert!(jaw.margin(0.0, 0.0, 50.0).unwrap().is_infinite());
    }

    #[test]
    fn separate_ratings_add_up() {
        let jaw = Jaw::new(6_000.0, 100.0, 50.0).unwrap();
        assert!((jaw.margin(-3_000.0, 50.0, 50.0).unwrap() - 1.0).abs() < ROUNDING);
    }

    #[test]
    fn the_same_grip_gives_an_ellipse() {
        let jaw = Jaw::gripping(5_000.0, 0.0483, 50.0).unwrap();
        // 3-4-5: 0.6 of the slip and 0.8 of the torsion.
        let m = jaw.margin(-3_000.0, 0.8 * 5_000.0 * 0.0483 / 2.0, 50.0).unwrap();
        assert!((m - 1.0).abs() < ROUNDING);
        assert_eq!(jaw.interaction(), Interaction::SameGrip);
        assert_eq!(Jaw::new(1.0, 1.0, 1.0).unwrap().interaction(), Interaction::Linear);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert!(Jaw::new(0.0, 1.0, 1.0).is_err());
        assert!(Jaw::new(1.0, f64::NAN, 1.0).is_err());
        assert!(Jaw::gripping(1.0, -0.1, 1.0).is_err());
        let jaw = Jaw::new(1.0, 1.0, 1.0).unwrap();
        assert!(jaw.margin(f64::NAN, 0.0, 1.0).is_err());
        assert!(jaw.margin(0.0, f64::INFINITY, 1.0).is_err());
        assert!(jaw.margin(0.0, 0.0, -1.0).is_err());
    }

    proptest! {
        #[test]
        fn linear_is_never_the_more_optimistic(f in 0.0..9e3_f64, m in 0.0..200.0_f64, torque in 1.0..80.0_f64) {
            let grip = Jaw::gripping(6_000.0, 0.0483, 50.0).unwrap();
            let linear = Jaw::new(6_000.0, 6_000.0 * 0.0483 / 2.0, 50.0).unwrap();
            let (a, b) = (linear.margin(f, m, torque).unwrap(), grip.margin(f, m, torque).unwrap());
            prop_assert!(a <= b * (1.0 + ROUNDING));
            prop_assert!(linear.margin(f + 1.0, m, torque).unwrap() < a);
        }
    }
}
