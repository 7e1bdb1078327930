//! How a group of equal or unequal supports under a rigid base shares a load.

use super::{CupError, finite, positive};
use glam::DVec2;

/// Below this share of the larger second moment the smaller one counts as nothing: the supports are in line.
const IN_LINE: f64 = 1e-12;

/// One support of a group: where it stands in the plane of the base, and how stiff it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// Position in the base plane, m.
    pub at_m: DVec2,
    /// Stiffness along the normal, in any unit that is the same for all; 1 for equal supports.
    pub stiffness: f64,
}

impl Stand {
    /// A support as stiff as the others.
    pub fn equal(x_m: f64, y_m: f64) -> Self {
        Self { at_m: DVec2::new(x_m, y_m), stiffness: 1.0 }
    }
}

/// Stiffness centre and principal second moments of a group.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Principal {
    /// Stiffness-weighted centre, m.
    pub centre_m: DVec2,
    /// Sum of the stiffnesses.
    pub stiffness: f64,
    /// Direction, from x, along which the supports are spread widest, rad, in (-pi/2, pi/2].
    pub angle_rad: f64,
    /// Second moment of the spread along that direction, stiffness times m².
    pub major: f64,
    /// Second moment of the spread across it.
    pub minor: f64,
}

/// Sums of a group about its centre.
struct Sums {
    centre: DVec2,
    k: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

fn sums(stands: &[Stand]) -> Result<Sums, CupError> {
    if stands.is_empty() {
        return Err(CupError::Count { what: "supports", given: 0, needs: "at least one is needed" });
    }
    let (mut k, mut first) = (0.0, DVec2::ZERO);
    for s in stands {
        finite("support position", s.at_m.x)?;
        finite("support position", s.at_m.y)?;
        k += positive("support stiffness", s.stiffness)?;
        first += s.stiffness * s.at_m;
    }
    let centre = first / k;
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for s in stands {
        let r = s.at_m - centre;
        xx += s.stiffness * r.x * r.x;
        yy += s.stiffness * r.y * r.y;
        xy += s.stiffness * r.x * r.y;
    }
    finite("spread of the supports", xx + yy + xy)?;
    Ok(Sums { centre, k, xx, yy, xy })
}

/// Centre and principal axes of a group.
///
/// ```text
/// I = | sum k x²   sum k x y |   about the centre; eigenvalues and the major direction,
///     | sum k x y  sum k y²  |   tan 2a = 2 sum k x y / (sum k x² - sum k y²)
/// ```
///
/// # Source
///
/// Principal axes of second moments (any text on strength of materials); `docs/mechanics.md` §5.5.
///
/// # Errors
///
/// [`CupError`] without supports, or if a position or stiffness is out of range.
pub fn principal(stands: &[Stand]) -> Result<Principal, CupError> {
    let s = sums(stands)?;
    let (mean, half) = (f64::midpoint(s.xx, s.yy), f64::midpoint(s.xx, -s.yy));
    let radius = half.hypot(s.xy);
    Ok(Principal {
        centre_m: s.centre,
        stiffness: s.k,
        angle_rad: 0.5 * s.xy.atan2(half),
        major: mean + radius,
        minor: (mean - radius).max(0.0),
    })
}

/// Force on each support of a rigid base.
///
/// ```text
/// N_i = k_i (a + b . r_i),   sum N_i = F,   sum N_i (r_i - o) = first moment about o
///
/// on principal axes with equal k:   N_i = F/n + Q_x x_i / sum x² + Q_y y_i / sum y²
/// ```
///
/// # Symbols
///
/// | here              | unit | meaning                                                               |
/// |-------------------|------|-----------------------------------------------------------------------|
/// | `force_n`         | N    | `F`, + in the direction in which the `N_i` are wanted (press, say)     |
/// | `first_moment_nm` | N m  | `Q = sum N_i r_i` about the origin of the positions: `F` times the place where it acts |
///
/// With force and positions in a frame with z out of the base, and `F` along `+z`, the right-hand moments are
/// `M_x = Q_y`, `M_y = -Q_x`.
///
/// A support may come out negative: it then pulls. For three supports not in line the answer is exact
/// whatever the stiffness; for two, or supports in line, a moment across the line has no answer.
///
/// # Assumes
///
/// Rigid base on linear supports.
///
/// # Source
///
/// Shigley, *Mechanical Engineering Design*, bolt groups [from memory]; general case in `docs/mechanics.md` §5.5.
/// Checked by GROUP-* in `tests/sources/cup_bolt`.
///
/// # Errors
///
/// [`CupError::CannotBalance`] for a moment across supports in line; otherwise as [`principal`].
pub fn share_n(stands: &[Stand], force_n: f64, first_moment_nm: DVec2) -> Result<Vec<f64>, CupError> {
    let s = sums(stands)?;
    let f = finite("force", force_n)?;
    let q = DVec2::new(finite("moment", first_moment_nm.x)?, finite("moment", first_moment_nm.y)?);
    let about_centre = q - f * s.centre;
    let slope = solve_spread(&s, about_centre, q.length().max(f.abs() * s.centre.length()))?;
    stands.iter().map(|p| finite("share", p.stiffness * (f / s.k + slope.dot(p.at_m - s.centre)))).collect()
}

/// Solves `I b = q` on the principal axes, leaving out an axis without spread if nothing acts along it.
fn solve_spread(s: &Sums, q: DVec2, moment_scale: f64) -> Result<DVec2, CupError> {
    let half = f64::midpoint(s.xx, -s.yy);
    let radius = half.hypot(s.xy);
    let mean = f64::midpoint(s.xx, s.yy);
    let axis = DVec2::from_angle(0.5 * s.xy.atan2(half));
    // The smaller eigenvalue by the determinant, free of cancellation.
    let major = mean + radius;
    let minor = if major > 0.0 { (s.xx * s.yy - s.xy * s.xy).max(0.0) / major } else { 0.0 };
    let position_scale = (s.k * s.centre.length_squared()).max(major);
    let mut slope = DVec2::ZERO;
    for (direction, spread) in [(axis, major), (axis.perp(), minor)] {
        let along = q.dot(direction);
        if spread > IN_LINE * position_scale {
            slope += along / spread * direction;
        } else if along.abs() > 1e-9 * moment_scale {
            return Err(CupError::CannotBalance);
        }
    }
    Ok(slope)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Rounding for forces of a few kN, N.
    const FORCE_ERR_N: f64 = 1e-8;

    #[test]
    fn two_in_line_carry_what_acts_on_the_line_only() {
        let two = [Stand::equal(0.0, 0.0), Stand::equal(1.0, 1.0)];
        let n = share_n(&two, 100.0, 100.0 * DVec2::new(0.25, 0.25)).unwrap();
        assert!((n[0] - 75.0).abs() < FORCE_ERR_N && (n[1] - 25.0).abs() < FORCE_ERR_N);
        assert_eq!(share_n(&two, 100.0, DVec2::new(25.0, 0.0)), Err(CupError::CannotBalance));
        let one = [Stand::equal(0.3, 0.4)];
        assert!((share_n(&one, 7.0, 7.0 * DVec2::new(0.3, 0.4)).unwrap()[0] - 7.0).abs() < FORCE_ERR_N);
        assert_eq!(share_n(&one, 7.0, DVec2::ZERO), Err(CupError::CannotBalance));
    }

    #[test]
    fn principal_axes_of_a_turned_rectangle() {
        let turn = DVec2::from_angle(0.4);
        let stands: Vec<Stand> = [(0.6, 0.2), (0.6, -0.2), (-0.6, 0.2), (-0.6, -0.2)]
            .into_iter()
            .map(|(x, y)| Stand {
                at_m: turn.rotate(DVec2::new(x, y)) + DVec2::new(3.0, -1.0),
                stiffness: 2.0,
            })
            .collect();
        let p = principal(&stands).unwrap();
        assert!((p.angle_rad - 0.4).abs() < 1e-12);
        assert!((p.major - 8.0 * 0.36).abs() < 1e-12 && (p.minor - 8.0 * 0.04).abs() < 1e-12);
        assert!((p.centre_m - DVec2::new(3.0, -1.0)).length() < 1e-12);
    }

    #[test]
    fn a_stiff_support_takes_more() {
        let stands = [Stand { at_m: DVec2::ZERO, stiffness: 3.0 }, Stand::equal(1.0, 0.0)];
        // At the stiffness centre (0.25 m) the base does not tilt: shares as the stiffness.
        let n = share_n(&stands, 400.0, DVec2::new(100.0, 0.0)).unwrap();
        assert!((n[0] - 300.0).abs() < FORCE_ERR_N && (n[1] - 100.0).abs() < FORCE_ERR_N);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert!(share_n(&[], 1.0, DVec2::ZERO).is_err());
        let bad = [Stand { at_m: DVec2::NAN, stiffness: 1.0 }];
        assert!(share_n(&bad, 1.0, DVec2::ZERO).is_err());
        assert!(share_n(&[Stand { at_m: DVec2::ZERO, stiffness: 0.0 }], 1.0, DVec2::ZERO).is_err());
        assert!(share_n(&[Stand::equal(0.0, 0.0)], f64::NAN, DVec2::ZERO).is_err());
    }

    proptest! {
        #[test]
        fn shares_are_in_equilibrium(
            p in prop::collection::vec((-1.0..1.0_f64, -1.0..1.0_f64, 0.5..2.0_f64), 3..9),
            f in -2e3..2e3_f64, qx in -1e3..1e3_f64, qy in -1e3..1e3_f64
        ) {
            let stands: Vec<Stand> =
                p.iter().map(|&(x, y, k)| Stand { at_m: DVec2::new(x, y), stiffness: k }).collect();
            prop_assume!(principal(&stands).unwrap().minor > 1e-3);
            let n = share_n(&stands, f, DVec2::new(qx, qy)).unwrap();
            let sum: f64 = n.iter().sum();
            let q: DVec2 = stands.iter().zip(&n).map(|(s, n)| *n * s.at_m).sum();
            prop_assert!((sum - f).abs() < 1e-6);
            prop_assert!((q - DVec2::new(qx, qy)).length() < 1e-6);
        }
    }
}
