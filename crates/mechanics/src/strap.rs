//! Straps: one tension along a whole path over rig points and body edges.

use core::fmt;
use glam::DVec3;

/// Least tension left in a lashing, as a share of LC (EN 12195-2:2001 \[from memory\]).
pub const STF_LEAST_SHARE: f64 = 0.1;
/// Most tension left in a lashing, as a share of LC (EN 12195-2:2001 \[from memory\]).
pub const STF_MOST_SHARE: f64 = 0.5;
/// Most stretch of polyester webbing at LC (EN 12195-2:2001 \[from memory\]).
pub const STRETCH_AT_LC_MOST: f64 = 0.07;
/// Least strength of the webbing alone, as a multiple of LC (EN 12195-2:2001 \[from memory\]).
pub const WEBBING_STRENGTH_TIMES_LC: f64 = 3.0;

/// What is wrong with a number given to the strap equations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum StrapError {
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
    /// A path needs two points or more; or two lists differ in length.
    Points {
        /// How many were given.
        given: usize,
        /// How many are needed.
        needed: usize,
    },
    /// Two neighbouring points of the path coincide.
    PointsCoincide {
        /// Index of the first of the two.
        first: usize,
    },
}

impl fmt::Display for StrapError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite { what } => write!(f, "{what} is not a finite number"),
            Self::OutOfRange { what, value, needs } => write!(f, "{what} is {value}, but must be {needs}"),
            Self::Points { given, needed } => write!(f, "{given} strap points given, {needed} needed"),
            Self::PointsCoincide { first } => {
                write!(f, "strap points {} and {} are in the same place", first + 1, first + 2)
            }
        }
    }
}

impl core::error::Error for StrapError {}

fn finite(what: &'static str, value: f64) -> Result<f64, StrapError> {
    if value.is_finite() { Ok(value) } else { Err(StrapError::NotFinite { what }) }
}

fn positive(what: &'static str, value: f64) -> Result<f64, StrapError> {
    if finite(what, value)? > 0.0 {
        Ok(value)
    } else {
        Err(StrapError::OutOfRange { what, value, needs: "more than 0" })
    }
}

fn not_negative(what: &'static str, value: f64) -> Result<f64, StrapError> {
    if finite(what, value)? >= 0.0 {
        Ok(value)
    } else {
        Err(StrapError::OutOfRange { what, value, needs: "0 or more" })
    }
}

/// The path of a strap: straight from point to point, over edges that do not rub.
///
/// # Assumes
///
/// One tension along the whole path. With friction at the edges the tension may differ from leg to leg by
/// up to [`capstan_ratio`]; which way depends on history.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    points_m: Vec<DVec3>,
    legs: Vec<DVec3>,
    length_m: f64,
}

impl Path {
    /// Through the points in order.
    ///
    /// # Errors
    ///
    /// [`StrapError`] with fewer than two points, neighbours in one place or values that are not finite.
    pub fn new(points_m: Vec<DVec3>) -> Result<Self, StrapError> {
        if points_m.len() < 2 {
            return Err(StrapError::Points { given: points_m.len(), needed: 2 });
        }
        if !points_m.iter().all(|p| p.is_finite()) {
            return Err(StrapError::NotFinite { what: "strap point" });
        }
        let mut legs = Vec::with_capacity(points_m.len() - 1);
        for (first, (a, b)) in points_m.iter().zip(points_m.iter().skip(1)).enumerate() {
            legs.push((*b - *a).try_normalize().ok_or(StrapError::PointsCoincide { first })?);
        }
        let length_m = finite("strap length", path_length_m(&points_m))?;
        Ok(Self { points_m, legs, length_m })
    }

    /// The points, m.
    pub fn points_m(&self) -> &[DVec3] {
        &self.points_m
    }

    /// Whole length, m.
    pub fn length_m(&self) -> f64 {
        self.length_m
    }

    /// Force of the strap **on** what is at each point, per newton of tension.
    ///
    /// ```text
    /// end      towards the neighbour
    /// between  towards both neighbours; length 2 sin(wrap / 2)
    /// ```
    ///
    /// The forces of all points are in equilibrium.
    ///
    /// # Source
    ///
    /// Equilibrium of a point of a frictionless string; `docs/mechanics.md` §7.2.
    ///
    /// # Examples
    ///
    /// ```
    /// # use mechanics::strap::Path;
    /// # use glam::DVec3;
    /// // Up, over a tube and down again: the tube carries twice the tension.
    /// let p = Path::new(vec![DVec3::ZERO, DVec3::Z, DVec3::new(0.0, 1e-6, 0.0)])?;
    /// assert!((p.pulls_per_newton()[1] + 2.0 * DVec3::Z).length() < 1e-5);
    /// # Ok::<(), mechanics::strap::StrapError>(())
    /// ```
    pub fn pulls_per_newton(&self) -> Vec<DVec3> {
        let after = self.legs.iter().copied().chain([DVec3::ZERO]);
        let before = [DVec3::ZERO].into_iter().chain(self.legs.iter().copied());
        after.zip(before).map(|(a, b)| a - b).collect()
    }

    /// Angle by which the strap turns at each point between the ends, rad: 0 straight on, pi back on itself.
    pub fn wraps_rad(&self) -> Vec<f64> {
        self.legs
            .iter()
            .zip(self.legs.iter().skip(1))
            .map(|(a, b)| a.cross(*b).length().atan2(a.dot(*b)))
            .collect()
    }

    /// Force of the strap on each edge between the ends, N: `2 T sin(wrap / 2)`.
    ///
    /// # Errors
    ///
    /// [`StrapError`] if the tension is negative or not finite.
    pub fn edge_forces_n(&self, tension_n: f64) -> Result<Vec<f64>, StrapError> {
        let t = not_negative("strap tension", tension_n)?;
        Ok(self.wraps_rad().into_iter().map(|w| 2.0 * t * (0.5 * w).sin()).collect())
    }

    /// Growth of the length when the points move, m, exact for any movement.
    ///
    /// # Errors
    ///
    /// [`StrapError`] if there is not one movement per point or one is not finite.
    pub fn growth_m(&self, moved_m: &[DVec3]) -> Result<f64, StrapError> {
        if moved_m.len() != self.points_m.len() {
            return Err(StrapError::Points { given: moved_m.len(), needed: self.points_m.len() });
        }
        let new: Vec<DVec3> = self.points_m.iter().zip(moved_m).map(|(p, u)| *p + *u).collect();
        Ok(finite("strap length", path_length_m(&new))? - self.length_m)
    }
}

fn path_length_m(points: &[DVec3]) -> f64 {
    points.iter().zip(points.iter().skip(1)).map(|(a, b)| a.distance(*b)).sum()
}

/// A strap's webbing: its capacity and how it stretches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Webbing {
    capacity_n: f64,
    axial_n: f64,
}

impl Webbing {
    /// From the lashing capacity and the stretch at that load: `EA = LC / stretch`.
    ///
    /// # Assumes
    ///
    /// A straight line to LC. A label that gives only the limit of [`STRETCH_AT_LC_MOST`] gives the softest
    /// strap; a stiffer one takes more of a load.
    ///
    /// # Errors
    ///
    /// [`StrapError`] unless both are positive and finite.
    pub fn from_stretch(capacity_n: f64, stretch_at_capacity: f64) -> Result<Self, StrapError> {
        let lc = positive("lashing capacity", capacity_n)?;
        Self::from_axial(lc, lc / positive("stretch at capacity", stretch_at_capacity)?)
    }

    /// From the lashing capacity and a given `EA`, N per unit of stretch.
    ///
    /// # Errors
    ///
    /// [`StrapError`] unless both are positive and finite.
    pub fn from_axial(capacity_n: f64, axial_n: f64) -> Result<Self, StrapError> {
        Ok(Self {
            capacity_n: positive("lashing capacity", capacity_n)?,
            axial_n: positive("axial stiffness EA", axial_n)?,
        })
    }

    /// `LC`, N.
    pub fn capacity_n(self) -> f64 {
        self.capacity_n
    }

    /// Stiffness of a whole path, N/m: `k = EA / L`.
    ///
    /// # Errors
    ///
    /// [`StrapError`] if the stiffness is not finite.
    pub fn stiffness_n_per_m(self, path: &Path) -> Result<f64, StrapError> {
        positive("strap stiffness", self.axial_n / path.length_m())
    }

    /// Tension after the path has grown.
    ///
    /// ```text
    /// T = max(0, T0 + k dL),   k = EA / L
    /// ```
    ///
    /// # Source
    ///
    /// Elastic string; `docs/mechanics.md` §7.2.
    ///
    /// # Errors
    ///
    /// [`StrapError`] if a value is not finite or the pretension negative.
    pub fn tension(self, path: &Path, pretension_n: f64, growth_m: f64) -> Result<Tension, StrapError> {
        let t0 = not_negative("pretension", pretension_n)?;
        let k = self.stiffness_n_per_m(path)?;
        let t = finite("strap tension", t0 + k * finite("growth of the path", growth_m)?)?;
        Ok(if t > 0.0 { Tension::Taut { force_n: t } } else { Tension::Slack { hangs_m: -t / k } })
    }

    /// Whether the tension left after tightening is within what the label allows.
    ///
    /// # Errors
    ///
    /// [`StrapError`] if the tension is negative or not finite.
    pub fn standard_tension(self, stf_n: f64) -> Result<StandardTension, StrapError> {
        let share = not_negative("tension after tightening", stf_n)? / self.capacity_n;
        Ok(if share < STF_LEAST_SHARE {
            StandardTension::TooLow
        } else if share > STF_MOST_SHARE {
            StandardTension::TooHigh
        } else {
            StandardTension::Within
        })
    }
}

/// State of a strap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tension {
    /// It pulls.
    Taut {
        /// Tension, N.
        force_n: f64,
    },
    /// It hangs loose.
    Slack {
        /// By how much it is too long, m.
        hangs_m: f64,
    },
}

/// Tension after tightening against 0.1 to 0.5 LC (EN 12195-2 \[from memory\]).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StandardTension {
    /// Below 0.1 LC.
    TooLow,
    /// From 0.1 to 0.5 LC.
    Within,
    /// Above 0.5 LC.
    TooHigh,
}

/// Largest ratio of the tensions on the two sides of an edge: `T1 / T2 = exp(mu wrap)`.
///
/// # Source
///
/// Euler and Eytelwein, rope on a drum; `docs/mechanics.md` §7.2.
///
/// # Errors
///
/// [`StrapError`] if a value is negative or not finite.
pub fn capstan_ratio(mu: f64, wrap_rad: f64) -> Result<f64, StrapError> {
    let exponent = not_negative("friction coefficient", mu)? * not_negative("wrap angle", wrap_rad)?;
    finite("tension ratio", exponent.exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::f64::consts::{FRAC_PI_2, PI};
    use proptest::prelude::*;

    const ROUNDING: f64 = 1e-12;

    fn over_a_corner() -> Path {
        Path::new(vec![DVec3::ZERO, DVec3::Z, DVec3::new(2.0, 0.0, 1.0)]).unwrap()
    }

    #[test]
    fn a_right_angle_edge() {
        let p = over_a_corner();
        assert!((p.length_m() - 3.0).abs() < ROUNDING);
        assert!((p.wraps_rad()[0] - FRAC_PI_2).abs() < ROUNDING);
        assert!((p.edge_forces_n(100.0).unwrap()[0] - 100.0 * 2.0_f64.sqrt()).abs() < 1e-9);
        let pulls = p.pulls_per_newton();
        assert!((pulls[0] - DVec3::Z).length() < ROUNDING);
        assert!((pulls[1] - DVec3::new(1.0, 0.0, -1.0)).length() < ROUNDING);
        assert!((pulls[2] + DVec3::X).length() < ROUNDING);
    }

    #[test]
    fn tension_and_slack() {
        let w = Webbing::from_stretch(20e3, 0.05).unwrap();
        let p = over_a_corner();
        let k = w.stiffness_n_per_m(&p).unwrap();
        assert!((k - 20e3 / 0.05 / 3.0).abs() < 1e-6);
        assert_eq!(w.tension(&p, 3_000.0, 0.0).unwrap(), Tension::Taut { force_n: 3_000.0 });
        // Stretched by 5 % from rest it carries LC.
        let Tension::Taut { force_n } = w.tension(&p, 0.0, 0.15).unwrap() else { panic!("taut") };
        assert!((force_n - 20e3).abs() < 1e-6);
        let Tension::Slack { hangs_m } = w.tension(&p, 1_000.0, -0.02).unwrap() else { panic!("slack") };
        assert!((hangs_m - (0.02 - 1_000.0 / k)).abs() < ROUNDING);
    }

    #[test]
    fn the_label_and_the_edge() {
        let w = Webbing::from_stretch(20e3, STRETCH_AT_LC_MOST).unwrap();
        assert_eq!(w.standard_tension(1_999.0), Ok(StandardTension::TooLow));
        assert_eq!(w.standard_tension(3_500.0), Ok(StandardTension::Within));
        assert_eq!(w.standard_tension(10_001.0), Ok(StandardTension::TooHigh));
        assert!((capstan_ratio(0.3, PI).unwrap() - 2.566_33).abs() < 1e-5);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert_eq!(Path::new(vec![DVec3::ZERO]), Err(StrapError::Points { given: 1, needed: 2 }));
        let twice = Path::new(vec![DVec3::X, DVec3::ZERO, DVec3::ZERO]).expect_err("coincident");
        assert_eq!(twice.to_string(), "strap points 2 and 3 are in the same place");
        assert!(Path::new(vec![DVec3::ZERO, DVec3::NAN]).is_err());
        assert!(over_a_corner().growth_m(&[DVec3::ZERO]).is_err());
        assert!(over_a_corner().edge_forces_n(-1.0).is_err());
        assert!(Webbing::from_stretch(1.0, 0.0).is_err());
        let w = Webbing::from_axial(1.0, 1.0).unwrap();
        assert!(w.tension(&over_a_corner(), -1.0, 0.0).is_err());
        assert!(w.tension(&over_a_corner(), 1.0, f64::NAN).is_err());
        assert!(capstan_ratio(-0.1, 1.0).is_err() && capstan_ratio(1e3, 1e3).is_err());
    }

    fn point() -> impl Strategy<Value = DVec3> {
        (-1.0..1.0_f64, -1.0..1.0_f64, -1.0..1.0_f64).prop_map(|(x, y, z)| DVec3::new(x, y, z))
    }

    proptest! {
        #[test]
        fn pulls_balance_and_are_the_gradient_of_the_length(
            points in prop::collection::vec(point(), 2..7), moves in prop::collection::vec(point(), 7)
        ) {
            let gaps = points.iter().zip(points.iter().skip(1)).all(|(a, b)| a.distance(*b) > 0.05);
            prop_assume!(gaps);
            let p = Path::new(points.clone()).unwrap();
            let pulls = p.pulls_per_newton();
            let force: DVec3 = pulls.iter().sum();
            let moment: DVec3 = points.iter().zip(&pulls).map(|(x, f)| x.cross(*f)).sum();
            prop_assert!(force.length() < 1e-12 && moment.length() < 1e-12);
            // Virtual work: dL = - sum pull . u, to second order in the step of 1e-6 m.
            let u: Vec<DVec3> = moves.iter().take(points.len()).map(|m| 1e-6 * *m).collect();
            let by_work: f64 = -pulls.iter().zip(&u).map(|(f, u)| f.dot(*u)).sum::<f64>();
            prop_assert!((p.growth_m(&u).unwrap() - by_work).abs() < 1e-9);
            let forces = p.edge_forces_n(1.0).unwrap();
            for (f, pull) in forces.iter().zip(pulls.iter().skip(1)) {
                prop_assert!((f - pull.length()).abs() < 1e-9);
            }
        }
    }
}
