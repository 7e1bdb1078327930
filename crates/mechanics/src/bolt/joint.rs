//! A bolted joint: what each bolt gets from the wrench, and whether it holds, opens or slips.

use super::{BoltError, finite, not_negative, positive};
use crate::cup::Check;
use crate::cup::group::{Stand, share_n};
use crate::wrench::Wrench;
use glam::DVec2;

/// Shear yield over tension yield after von Mises: `1/sqrt(3)`.
pub const SHEAR_SHARE: f64 = 0.577_350_269_189_625_8;

/// What one bolt of a group gets from the wrench, preload apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoltForce {
    /// Axial part, N, + where the plate is pulled off.
    pub tension_n: f64,
    /// Part in the plane of the joint, N.
    pub shear_n: DVec2,
}

/// Forces of a bolt group under a wrench, elastic on a rigid plate.
///
/// ```text
/// tension   T_i = F_z/n + (share of M_x, M_y by position)          as supports of a rigid base
/// shear     V_i = V/n + M_c (z x r_i) / sum r²,  M_c = M_z - (c x F)_z   about the centre c
/// ```
///
/// # Frame and signs
///
/// Joint frame: x, y in the joint, z out of the base so that `F_z > 0` pulls the plate off. The wrench is
/// the action **on the plate**, its moment about the origin of the bolt positions, right-hand rule.
///
/// # Assumes
///
/// Rigid plate, equal bolts, a joint that stays closed (the plate turns about the centre of the bolts).
/// A plate that opens and levers on its edge, or bends (prying), loads the bolts more: check
/// [`Fastener::separation`] first.
///
/// # Source
///
/// Shigley, *Mechanical Engineering Design*, eccentrically loaded bolt groups \[from memory\]; `docs/mechanics.md` §8.3.
///
/// # Errors
///
/// [`BoltError`] without bolts, for values that are not finite, or where the group cannot carry the wrench:
/// a torsion on one bolt, a moment across bolts in line.
///
/// # Examples
///
/// ```
/// # use mechanics::bolt::joint::bolt_forces;
/// # use mechanics::wrench::Wrench;
/// # use glam::{DVec2, DVec3};
/// // Four bolts, 100 mm apart, 40 N m of torsion: 141 N on each.
/// let at = [(0.05, 0.05), (-0.05, 0.05), (-0.05, -0.05), (0.05, -0.05)].map(DVec2::from);
/// let forces = bolt_forces(&at, Wrench::new(DVec3::ZERO, DVec3::Z * 40.0))?;
/// assert!((forces[0].shear_n - DVec2::new(-100.0, 100.0)).length() < 1e-9);
/// # Ok::<(), mechanics::bolt::BoltError>(())
/// ```
pub fn bolt_forces(bolts_m: &[DVec2], on_plate: Wrench) -> Result<Vec<BoltForce>, BoltError> {
    if !(on_plate.force.is_finite() && on_plate.moment.is_finite()) {
        return Err(BoltError::NotFinite { what: "wrench on the joint" });
    }
    let stands: Vec<Stand> = bolts_m.iter().map(|&at_m| Stand { at_m, stiffness: 1.0 }).collect();
    let (f, m) = (on_plate.force, on_plate.moment);
    // F_z at (x, y) has the moments M_x = y F_z, M_y = -x F_z.
    let tensions = share_n(&stands, f.z, DVec2::new(-m.y, m.x))?;

    let count = bolts_m.iter().map(|_| 1.0).sum::<f64>();
    let centre = bolts_m.iter().sum::<DVec2>() / count;
    let in_plane = DVec2::new(f.x, f.y);
    let torsion = m.z - centre.perp_dot(in_plane);
    let polar: f64 = bolts_m.iter().map(|r| r.distance_squared(centre)).sum();
    let scale = m.z.abs().max(centre.length() * in_plane.length());
    let per_metre = if polar > 1e-12 * centre.length_squared() * count {
        torsion / polar
    } else if torsion.abs() <= 1e-9 * scale {
        0.0
    } else {
        return Err(BoltError::CannotHoldTorsion);
    };
    bolts_m
        .iter()
        .zip(tensions)
        .map(|(r, tension_n)| {
            let shear_n = in_plane / count + per_metre * (*r - centre).perp();
            finite("bolt force", shear_n.length() + tension_n)?;
            Ok(BoltForce { tension_n, shear_n })
        })
        .collect()
}

/// One bolt of a joint with its preload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fastener {
    proof_n: f64,
    preload_n: f64,
    bolt_share: f64,
    mu: f64,
}

impl Fastener {
    /// From the proof load, the preload, the share of a pull that the bolt takes while the joint is closed
    /// (`C = k_bolt / (k_bolt + k_parts)`, 1 is safe for the bolt), and the friction between the parts.
    ///
    /// # Errors
    ///
    /// [`BoltError`] unless the proof load and friction are positive, the preload 0 or more and less than the proof load, and the
    /// share within 0 to 1.
    pub fn new(proof_n: f64, preload_n: f64, bolt_share: f64, mu: f64) -> Result<Self, BoltError> {
        let proof_n = positive("proof load", proof_n)?;
        let wrong = |what, value, needs| Err(BoltError::OutOfRange { what, value, needs });
        if not_negative("preload", preload_n)? >= proof_n {
            return wrong("preload", preload_n, "less than the proof load");
        }
        if not_negative("share of the bolt", bolt_share)? > 1.0 {
            return wrong("share of the bolt", bolt_share, "0 to 1");
        }
        Ok(Self { proof_n, preload_n, bolt_share, mu: positive("friction in the joint", mu)? })
    }

    /// How often the force fits into the bolt: largest `k` with tension and shear together within proof.
    ///
    /// ```text
    /// (F_i + C k T)² + (k V / 0.577)² = F_p²
    /// ```
    ///
    /// or, once the joint is open (`k T > F_i / (1 - C)`), with the whole pull on the bolt, `(k T)² + ...`. The
    /// preload is not multiplied. Press (`T < 0`) does not relieve the bolt. Infinite where nothing acts.
    ///
    /// # Assumes
    ///
    /// Shear on the stress area (thread in the joint) and carried by the bolt although friction may carry it;
    /// the twist of tightening has gone.
    ///
    /// # Source
    ///
    /// Von Mises on the stress area, `sigma² + 3 tau² = S_p²`; Shigley, load factor `(F_p - F_i)/(C P)` for
    /// `V = 0` \[from memory\]. Safer than EN 1993-1-8 table 3.4, which adds linearly but against ultimate strength
    /// with the tension divided by 1.4 \[from memory\]. `docs/mechanics.md` §8.4.
    ///
    /// # Errors
    ///
    /// [`BoltError`] if a force is not finite.
    pub fn strength_margin(self, force: BoltForce) -> Result<f64, BoltError> {
        let t = finite("bolt tension", force.tension_n)?.max(0.0);
        let v = finite("bolt shear", force.shear_n.length())? / SHEAR_SHARE;
        let closed = proof_multiple(self.proof_n, self.preload_n, self.bolt_share * t, v);
        let opens = self.separation(t)?;
        let margin = if closed <= opens { closed } else { proof_multiple(self.proof_n, 0.0, t, v) };
        if margin.is_nan() { Err(BoltError::NotFinite { what: "bolt margin" }) } else { Ok(margin) }
    }

    /// How often a pull fits before the joint opens at the bolt: `F_i / ((1 - C) T)`; infinite without pull.
    ///
    /// # Source
    ///
    /// Shigley, joint separation \[from memory\]; `docs/mechanics.md` §8.4.
    ///
    /// # Errors
    ///
    /// [`BoltError`] if the tension is not finite.
    pub fn separation(self, tension_n: f64) -> Result<f64, BoltError> {
        let lost = (1.0 - self.bolt_share) * finite("bolt tension", tension_n)?.max(0.0);
        Ok(if lost > 0.0 { self.preload_n / lost } else { f64::INFINITY })
    }

    /// Demand and capacity against slip at one bolt: `V/mu + (1 - C) max(T, 0)` against the preload.
    ///
    /// Press between the parts is left out, which is safe.
    ///
    /// # Errors
    ///
    /// [`BoltError`] if a force is not finite.
    pub fn slip(self, force: BoltForce) -> Result<Check, BoltError> {
        let t = finite("bolt tension", force.tension_n)?.max(0.0);
        let demand_n = finite("slip demand", force.shear_n.length() / self.mu + (1.0 - self.bolt_share) * t)?;
        Ok(Check { demand_n, capacity_n: self.preload_n })
    }

    /// Slip of the whole joint in one direction: `|sum V|/mu + (1 - C) max(sum T, 0)` against the sum of the
    /// preloads. It knows nothing of torsion; the worst bolt of [`Fastener::slip`] is never the more optimistic.
    ///
    /// # Errors
    ///
    /// [`BoltError`] if a force is not finite.
    pub fn slip_of_joint(self, forces: &[BoltForce]) -> Result<Check, BoltError> {
        let shear: DVec2 = forces.iter().map(|f| f.shear_n).sum();
        let pull: f64 = forces.iter().map(|f| f.tension_n).sum();
        let whole = self.slip(BoltForce { tension_n: pull, shear_n: shear })?;
        Ok(Check { capacity_n: forces.iter().map(|_| self.preload_n).sum(), ..whole })
    }
}

/// Largest `k` with `(a + k b)² + (k v)² <= proof²`, for `0 <= a < proof` and `b, v >= 0`.
fn proof_multiple(proof: f64, a: f64, b: f64, v: f64) -> f64 {
    // In shares of the proof load, and without the cancellation of the usual root.
    let (a, b, v) = (a / proof, b / proof, v / proof);
    let spare = 1.0 - a * a;
    let quadratic = b * b + v * v;
    if quadratic > 0.0 { spare / (a * b + (a * b * a * b + quadratic * spare).sqrt()) } else { f64::INFINITY }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;
    use proptest::prelude::*;

    const ROUNDING: f64 = 1e-9;

    fn square() -> [DVec2; 4] {
        [(0.05, 0.03), (-0.05, 0.03), (-0.05, -0.03), (0.05, -0.03)].map(DVec2::from)
    }

    #[test]
    fn moments_pull_on_the_right_side() {
        // +Mx (right hand about x) lifts the side at +y; +My lifts the side at -x.
        let f = bolt_forces(&square(), Wrench::new(DVec3::ZERO, DVec3::new(12.0, 0.0, 0.0))).unwrap();
        assert!((f[0].tension_n - 100.0).abs() < ROUNDING && (f[2].tension_n + 100.0).abs() < ROUNDING);
        let f = bolt_forces(&square(), Wrench::new(DVec3::ZERO, DVec3::new(0.0, 20.0, 0.0))).unwrap();
        assert!((f[1].tension_n - 100.0).abs() < ROUNDING && (f[0].tension_n + 100.0).abs() < ROUNDING);
    }

    #[test]
    fn one_bolt_holds_no_torsion() {
        let one = [DVec2::new(0.1, 0.0)];
        let torsion = Wrench::new(DVec3::ZERO, DVec3::Z);
        assert_eq!(bolt_forces(&one, torsion), Err(BoltError::CannotHoldTorsion));
        let push = Wrench::of_force_at(DVec3::new(3.0, 4.0, 5.0), DVec3::new(0.1, 0.0, 0.0));
        let f = bolt_forces(&one, push).unwrap();
        assert!((f[0].shear_n.length() - 5.0).abs() < ROUNDING && (f[0].tension_n - 5.0).abs() < ROUNDING);
    }

    #[test]
    fn strength_margin_in_its_limits() {
        let b = Fastener::new(20e3, 15e3, 0.25, 0.2).unwrap();
        let force = |tension_n, v| BoltForce { tension_n, shear_n: DVec2::new(v, 0.0) };
        // Shear alone: F_i² + 3 V² = F_p².
        let v = ((20e3_f64.powi(2) - 15e3_f64.powi(2)) / 3.0).sqrt();
        assert!((b.strength_margin(force(0.0, v)).unwrap() - 1.0).abs() < ROUNDING);
        // Pull alone: (20 - 15)/(0.25 * 10) = 2, and the joint opens at 15/(0.75 * 10) = 2 as well.
        assert!((b.strength_margin(force(10e3, 0.0)).unwrap() - 2.0).abs() < ROUNDING);
        assert!((b.separation(10e3).unwrap() - 2.0).abs() < ROUNDING);
        // Without preload the bolt has its whole proof load.
        let loose = Fastener::new(20e3, 0.0, 0.25, 0.2).unwrap();
        assert!((loose.strength_margin(force(10e3, 0.0)).unwrap() - 2.0).abs() < ROUNDING);
        // Opens first (5/(0.8*10) = 0.625), then the bolt alone goes on to 2.
        let soft = Fastener::new(20e3, 5e3, 0.2, 0.2).unwrap();
        assert!((soft.strength_margin(force(10e3, 0.0)).unwrap() - 2.0).abs() < ROUNDING);
        assert!(b.strength_margin(force(-10e3, 0.0)).unwrap().is_infinite());
    }

    #[test]
    fn slip_at_the_friction_of_the_preload() {
        let b = Fastener::new(20e3, 15e3, 0.25, 0.2).unwrap();
        let f = BoltForce { tension_n: 4e3, shear_n: DVec2::new(0.0, 2_400.0) };
        // 12 kN for the shear, 3 kN lost to the pull.
        assert!((b.slip(f).unwrap().ratio() - 1.0).abs() < ROUNDING);
        let all = b.slip_of_joint(&[f, f, f]).unwrap();
        assert!((all.ratio() - 1.0).abs() < ROUNDING && (all.capacity_n - 45e3).abs() < ROUNDING);
    }

    #[test]
    fn bad_numbers_are_refused() {
        assert!(Fastener::new(0.0, 0.0, 0.5, 0.1).is_err());
        assert!(Fastener::new(1.0, 1.0, 0.5, 0.1).is_err());
        assert!(Fastener::new(1.0, 0.5, 1.5, 0.1).is_err());
        assert!(Fastener::new(1.0, 0.5, 0.5, 0.0).is_err());
        assert!(bolt_forces(&[], Wrench::ZERO).is_err());
        assert!(bolt_forces(&square(), Wrench::new(DVec3::NAN, DVec3::ZERO)).is_err());
        let b = Fastener::new(2.0, 1.0, 0.5, 0.1).unwrap();
        assert!(b.strength_margin(BoltForce { tension_n: f64::NAN, shear_n: DVec2::ZERO }).is_err());
        assert!(b.slip(BoltForce { tension_n: 0.0, shear_n: DVec2::NAN }).is_err());
    }

    proptest! {
        #[test]
        fn bolt_forces_balance_the_wrench(
            p in prop::collection::vec((-0.2..0.2_f64, -0.2..0.2_f64), 3..8),
            f in prop::array::uniform3(-1e3..1e3_f64), m in prop::array::uniform3(-100.0..100.0_f64)
        ) {
            let at: Vec<DVec2> = p.into_iter().map(DVec2::from).collect();
            let w = Wrench::new(f.into(), m.into());
            let Ok(forces) = bolt_forces(&at, w) else { return Ok(()) };
            let largest = forces.iter().map(|b| b.tension_n.abs()).fold(0.0, f64::max);
            prop_assume!(largest < 1e7);
            let sum = at.iter().zip(&forces).fold(Wrench::ZERO, |s, (r, b)| {
                s + Wrench::of_force_at(b.shear_n.extend(b.tension_n), r.extend(0.0))
            });
            let off = (sum.force - w.force).length().max((sum.moment - w.moment).length());
            // The more nearly in line the bolts are, the more rounding is in their forces, beside those being larger.
            let rounding = largest * largest / (w.force.length() + w.moment.length()).max(1.0);
            prop_assert!(off < 1e-8 + 1e-13 * rounding, "{off} with {largest} on a bolt");
        }

        #[test]
        fn the_worst_bolt_slips_before_the_joint(
            f in prop::array::uniform3(-1e3..1e3_f64), m in prop::array::uniform3(-50.0..50.0_f64)
        ) {
            let forces = bolt_forces(&square(), Wrench::new(f.into(), m.into())).unwrap();
            let b = Fastener::new(20e3, 12e3, 0.2, 0.15).unwrap();
            let worst = forces.iter().map(|x| b.slip(*x).unwrap().ratio()).fold(f64::INFINITY, f64::min);
            prop_assert!(worst <= b.slip_of_joint(&forces).unwrap().ratio() * (1.0 + ROUNDING));
        }

        #[test]
        fn at_its_margin_a_bolt_is_at_proof(t in 0.0..30e3_f64, v in 1.0..10e3_f64, pre in 0.0..19e3_f64, c in 0.0..1.0_f64) {
            let b = Fastener::new(20e3, pre, c, 0.15).unwrap();
            let k = b.strength_margin(BoltForce { tension_n: t, shear_n: DVec2::new(0.0, v) }).unwrap();
            let in_bolt = (pre + c * k * t).max(k * t);
            let von_mises = (in_bolt.powi(2) + 3.0 * (k * v).powi(2)).sqrt();
            prop_assert!((von_mises / 20e3 - 1.0).abs() < 1e-6, "{von_mises}");
        }
    }
}
