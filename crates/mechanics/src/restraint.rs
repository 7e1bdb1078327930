//! Holding a load on a road vehicle by blocking, by straps over it and by straps along its pull, after EN 12195-1.
//!
//! The standard is written for vehicles above 3.5 t. Cars and light vans brake and swerve harder, so
//! [`coefficients::CAR_DEFAULT`] asks for more; the law's figures are the floor, not the aim.

use std::error::Error;
use std::f64::consts::FRAC_PI_2;
use std::fmt;

use coefficients::DIRECT_FRICTION;

pub mod coefficients;

/// 90° with room for the rounding of a conversion from degrees.
const QUARTER_TURN: f64 = FRAC_PI_2 + 1e-9;

/// Why a restraint calculation was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RestraintError {
    /// A value is not a number, or lies outside the range its formula is good for.
    OutOfRange {
        /// What the value is, in plain words.
        what: &'static str,
        /// The value as given.
        value: f64,
        /// Lowest value accepted.
        low: f64,
        /// Highest value accepted.
        high: f64,
        /// Unit of all three.
        unit: &'static str,
    },
    /// Straps that run neither along the pull nor down: no tension would hold the load.
    NoHold,
}

impl fmt::Display for RestraintError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange { what, value, low, high, unit } => {
                let gap = if unit.is_empty() { "" } else { " " };
                write!(f, "{what} is {value}{gap}{unit}; it must lie from {low} to {high}{gap}{unit}")
            }
            Self::NoHold => write!(f, "the straps neither pull against the load nor press it down"),
        }
    }
}

impl Error for RestraintError {}

fn check(
    what: &'static str,
    value: f64,
    (low, high): (f64, f64),
    unit: &'static str,
) -> Result<f64, RestraintError> {
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(RestraintError::OutOfRange { what, value, low, high, unit })
    }
}

fn safety(f_s: f64) -> Result<f64, RestraintError> {
    check("safety factor", f_s, (1.0, 10.0), "")
}

/// A load on its bed and the acceleration it is held against in one direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Mass `m`, kg.
    pub mass_kg: f64,
    /// Local gravity `g`, m/s²; EN 12195-1 reckons with 9.81.
    pub gravity_m_s2: f64,
    /// Horizontal coefficient `c` of the direction.
    pub horizontal: f64,
    /// Downward coefficient `c_z`.
    pub down: f64,
    /// Friction factor `µ` between load and bed.
    pub mu: f64,
}

impl Load {
    fn weight(&self) -> Result<f64, RestraintError> {
        let m = check("mass", self.mass_kg, (0.0, 1e6), "kg")?;
        Ok(m * check("gravity", self.gravity_m_s2, (9.0, 10.0), "m/s²")?)
    }

    /// Push left after friction, N: `m g (c - µ' c_z)`; below zero when friction alone holds.
    fn push(&self, mu: f64) -> Result<f64, RestraintError> {
        let c = check("horizontal coefficient", self.horizontal, (0.0, 5.0), "g")?;
        let c_z = check("downward coefficient", self.down, (0.0, 2.0), "g")?;
        Ok(self.weight()? * (c - mu * c_z))
    }

    fn friction(&self) -> Result<f64, RestraintError> {
        check("friction factor", self.mu, (0.0, 1.5), "")
    }
}

/// Force that a block, wall or bar must hold, N: `f_s m g (c - µ c_z)`, not below zero.
///
/// # Source
///
/// EN 12195-1:2010, cl. 5.3 [from memory]. `docs/mechanics.md` §4.10. Checked by `tests/sources/en-12195-1-2010`
/// (LR-1 to LR-3).
///
/// # Errors
///
/// [`RestraintError::OutOfRange`] for a value of the load or the factor.
pub fn blocking_force_n(load: &Load, f_s: f64) -> Result<f64, RestraintError> {
    Ok((safety(f_s)? * load.push(load.friction()?)?).max(0.0))
}

/// Greatest bending moment in a simply supported blocking bar under an even load, N m: `F l / 8`.
///
/// # Source
///
/// Beam theory. `docs/mechanics.md` §4.10. Checked by `tests/sources/en-12195-1-2010` (LR-2).
///
/// # Errors
///
/// [`RestraintError::OutOfRange`] for a force outside 0 to 10⁹ N or a span outside 0 to 20 m.
pub fn blocking_bar_moment_n_m(force_n: f64, span_m: f64) -> Result<f64, RestraintError> {
    Ok(check("force on a bar", force_n, (0.0, 1e9), "N")? * check("span", span_m, (0.0, 20.0), "m")? / 8.0)
}

/// A strap over the load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverStrap {
    /// Angle `α` of the strap to the bed, rad, above 0 to 90°.
    pub angle_rad: f64,
    /// Tension `F_T`, N: the label's STF, or a measured tension up to 0.5 LC. Never LC itself.
    pub tension_n: f64,
}

impl OverStrap {
    /// Downward pull of one side, N.
    fn down(&self) -> Result<f64, RestraintError> {
        // Below about 1° the strap no longer presses.
        let alpha = check("strap angle", self.angle_rad, (0.02, QUARTER_TURN), "rad")?;
        Ok(alpha.sin() * check("strap tension", self.tension_n, (1.0, 1e6), "N")?)
    }
}

/// Straps over the top against sliding, as a number that [`whole_straps`] rounds up:
/// `n = (c - µ c_z) m g f_s / (2 µ sin α F_T)`, not below zero.
///
/// # Assumes
///
/// Both sides of the strap carry the same tension (the 2010 edition's `k = 2`).
///
/// # Source
///
/// EN 12195-1:2010, cl. 5.4 [from memory]; same form in INSHT technical note 1038 (2015).
/// `docs/mechanics.md` §4.10. Checked by `tests/sources/en-12195-1-2010` (LR-4, LR-5, LR-7).
///
/// # Errors
///
/// [`RestraintError::OutOfRange`]; friction must be at least 0.01, for these straps work through friction alone.
pub fn straps_over_against_sliding(load: &Load, f_s: f64, strap: &OverStrap) -> Result<f64, RestraintError> {
    let mu = check("friction factor", load.mu, (0.01, 1.5), "")?;
    Ok((load.push(mu)? * safety(f_s)? / (2.0 * mu * strap.down()?)).max(0.0))
}

/// A rectangular load that may tip over its lower edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Footprint {
    /// Distance `b` from the mass centre to the tipping edge, m, level.
    pub to_edge_m: f64,
    /// Height `d` of the mass centre above the bed, m.
    pub height_m: f64,
    /// Width `w` of the load across the edge, m.
    pub width_m: f64,
}

impl Footprint {
    fn checked(&self) -> Result<(f64, f64, f64), RestraintError> {
        Ok((
            check("distance to the tipping edge", self.to_edge_m, (0.0, 20.0), "m")?,
            check("height of the mass centre", self.height_m, (0.0, 20.0), "m")?,
            check("width of the load", self.width_m, (0.01, 40.0), "m")?,
        ))
    }

    /// Whether the load stands by itself: `b c_z ≥ d c`.
    ///
    /// # Source
    ///
    /// EN 12195-1:2010, cl. 5.2 (`b/d > c/c_z`). `docs/mechanics.md` §4.10.
    ///
    /// # Errors
    ///
    /// [`RestraintError::OutOfRange`] for a length or coefficient.
    pub fn stands_alone(&self, load: &Load) -> Result<bool, RestraintError> {
        Ok(self.tipping_moment_n_m(load)? <= 0.0)
    }

    /// `m g (c d - b c_z)`, N m; above zero the load tips.
    fn tipping_moment_n_m(&self, load: &Load) -> Result<f64, RestraintError> {
        let (b, d, _) = self.checked()?;
        let c = check("horizontal coefficient", load.horizontal, (0.0, 5.0), "g")?;
        let c_z = check("downward coefficient", load.down, (0.0, 2.0), "g")?;
        Ok(load.weight()? * (c * d - b * c_z))
    }
}

/// Straps over the top against tipping: `n = m g (c d - b c_z) f_s / (w F_T sin α)`, not below zero.
///
/// ```text
///      F_T ↘_______↙ F_T        about the edge ▲: the far side pulls down at w, the near side at 0,
///          |   o   |            and the level parts of the two cancel at the top
///          |   |d  |
///     -----▲---+---|-----       friction does not count
///            b
/// ```
///
/// # Source
///
/// Moment balance about the edge (derived; EN 12195-1:2010, cl. 5.4 has the same terms). `docs/mechanics.md` §4.10.
/// Checked by `tests/sources/en-12195-1-2010` (LR-8).
///
/// # Errors
///
/// [`RestraintError::OutOfRange`] for a length, coefficient or strap.
pub fn straps_over_against_tipping(
    load: &Load,
    footprint: &Footprint,
    f_s: f64,
    strap: &OverStrap,
) -> Result<f64, RestraintError> {
    let (_, _, width) = footprint.checked()?;
    Ok((footprint.tipping_moment_n_m(load)? * safety(f_s)? / (width * strap.down()?)).max(0.0))
}

/// Straps that pull against the load's own motion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DirectStraps {
    /// How many share the pull, 1 to 100.
    pub count: u32,
    /// Angle `α` to the bed, rad, 0 to 90°.
    pub up_rad: f64,
    /// Angle `β` in plan between strap and the load's motion, rad, 0 to 90°.
    pub plan_rad: f64,
}

impl DirectStraps {
    /// Hold against sliding per newton of tension in one strap: `cos α cos β + µ f_µ sin α`.
    ///
    /// # Errors
    ///
    /// [`RestraintError::OutOfRange`] for an angle; [`RestraintError::NoHold`] when nothing is left.
    pub fn hold_factor(&self, mu: f64) -> Result<f64, RestraintError> {
        let alpha = check("strap angle to the bed", self.up_rad, (0.0, QUARTER_TURN), "rad")?;
        let beta = check("strap angle in plan", self.plan_rad, (0.0, QUARTER_TURN), "rad")?;
        let mu = check("friction factor", mu, (0.0, 1.5), "")? * DIRECT_FRICTION;
        let hold = alpha.cos() * beta.cos() + mu * alpha.sin();
        if hold > 1e-3 { Ok(hold) } else { Err(RestraintError::NoHold) }
    }
}

/// Tension that each direct strap must be able to carry, N:
/// `F_R = m g (c - µ f_µ c_z) / n (cos α cos β + µ f_µ sin α)`, not below zero; compare with LC.
///
/// # Source
///
/// EN 12195-1:2010, cl. 5.5 [from memory]. `docs/mechanics.md` §4.10. Checked by `tests/sources/en-12195-1-2010`
/// (LR-6).
///
/// # Errors
///
/// [`RestraintError::OutOfRange`] or [`RestraintError::NoHold`].
pub fn direct_tension_n(load: &Load, straps: &DirectStraps) -> Result<f64, RestraintError> {
    let hold = straps.hold_factor(load.mu)?;
    let count = check("number of straps", f64::from(straps.count), (1.0, 100.0), "")?;
    Ok((load.push(load.friction()? * DIRECT_FRICTION)? / (count * hold)).max(0.0))
}

/// Whole straps for a computed number: 5.109 is 6, and 0 is 0.
///
/// # Errors
///
/// [`RestraintError::OutOfRange`] below 0 or above 1000.
pub fn whole_straps(number: f64) -> Result<u32, RestraintError> {
    let n = check("number of straps", number, (0.0, 1000.0), "")?;
    // A billionth over a whole number is rounding, not a strap.
    let whole = (n - 1e-9).ceil().max(0.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 0 to 1000"
    )]
    Ok(whole as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const RIG: Load = Load { mass_kg: 180.0, gravity_m_s2: 9.81, horizontal: 0.8, down: 1.0, mu: 0.3 };
    const STRAP: OverStrap = OverStrap { angle_rad: 1.309, tension_n: 2000.0 };

    #[test]
    fn refuses_what_is_no_load_or_strap() {
        for bad in [f64::NAN, f64::INFINITY, -1.0] {
            for load in [
                Load { mass_kg: bad, ..RIG },
                Load { gravity_m_s2: bad, ..RIG },
                Load { horizontal: bad, ..RIG },
                Load { down: bad, ..RIG },
                Load { mu: bad, ..RIG },
            ] {
                assert!(blocking_force_n(&load, 1.25).is_err());
                assert!(straps_over_against_sliding(&load, 1.25, &STRAP).is_err());
                let straps = DirectStraps { count: 2, up_rad: 0.6, plan_rad: 0.6 };
                assert!(direct_tension_n(&load, &straps).is_err());
            }
            assert!(blocking_force_n(&RIG, bad).is_err());
            assert!(straps_over_against_sliding(&RIG, 1.1, &OverStrap { angle_rad: bad, ..STRAP }).is_err());
            assert!(straps_over_against_sliding(&RIG, 1.1, &OverStrap { tension_n: bad, ..STRAP }).is_err());
            let print = Footprint { to_edge_m: 0.4, height_m: bad, width_m: 0.8 };
            assert!(straps_over_against_tipping(&RIG, &print, 1.1, &STRAP).is_err());
            assert!(whole_straps(bad).is_err());
        }
        assert!(straps_over_against_sliding(&Load { mu: 0.0, ..RIG }, 1.1, &STRAP).is_err());
        let across = DirectStraps { count: 2, up_rad: 0.0, plan_rad: FRAC_PI_2 };
        assert_eq!(direct_tension_n(&RIG, &across), Err(RestraintError::NoHold));
        let told = blocking_force_n(&Load { mu: 2.0, ..RIG }, 1.25).unwrap_err().to_string();
        assert_eq!(told, "friction factor is 2; it must lie from 0 to 1.5");
        let none = DirectStraps { count: 0, up_rad: 0.5, plan_rad: 0.5 };
        assert!(direct_tension_n(&RIG, &none).is_err());
    }

    #[test]
    fn straps_come_whole() {
        assert_eq!(whole_straps(0.0), Ok(0));
        assert_eq!(whole_straps(0.19), Ok(1));
        assert_eq!(whole_straps(2.0), Ok(2));
        assert_eq!(whole_straps(5.109), Ok(6));
    }

    #[test]
    fn a_load_stands_alone_up_to_its_ratio() {
        let print = Footprint { to_edge_m: 0.4, height_m: 0.8, width_m: 0.8 };
        // b/d = 0.5.
        assert_eq!(print.stands_alone(&Load { horizontal: 0.5, ..RIG }), Ok(true));
        assert_eq!(print.stands_alone(&Load { horizontal: 0.51, ..RIG }), Ok(false));
    }

    proptest! {
        #[test]
        fn the_number_of_straps_just_holds(mu in 0.05..0.6f64, c in 0.1..1.2f64, angle in 0.2..1.57f64) {
            let load = Load { horizontal: c, mu, ..RIG };
            let strap = OverStrap { angle_rad: angle, ..STRAP };
            let n = straps_over_against_sliding(&load, 1.0, &strap).unwrap();
            let friction = mu * (180.0 * 9.81 + 2.0 * n * 2000.0 * angle.sin());
            let push = 180.0 * 9.81 * c;
            prop_assert!(friction >= push * (1.0 - 1e-9));
            prop_assert!(n == 0.0 || friction <= push * (1.0 + 1e-9));
        }

        #[test]
        fn a_heavier_load_never_needs_less(more in 1.0..500.0f64, mu in 0.05..0.9f64) {
            let light = Load { mu, ..RIG };
            let heavy = Load { mass_kg: RIG.mass_kg + more, ..light };
            prop_assert!(blocking_force_n(&heavy, 1.25).unwrap() >= blocking_force_n(&light, 1.25).unwrap());
            let straps = DirectStraps { count: 2, up_rad: 0.6, plan_rad: 0.6 };
            prop_assert!(direct_tension_n(&heavy, &straps).unwrap() >= direct_tension_n(&light, &straps).unwrap());
        }
    }
}
