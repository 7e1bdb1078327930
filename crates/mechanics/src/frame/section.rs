//! Round tube: section properties, and stress from the six section forces.

use std::error::Error;
use std::f64::consts::PI;
use std::fmt;

/// Why a tube section was refused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SectionError {
    /// The outside diameter is not between 1 mm and 5 m.
    Outer {
        /// Diameter as given, m.
        outer_m: f64,
    },
    /// The wall is not between zero and half the diameter.
    Wall {
        /// Wall as given, m.
        wall_m: f64,
        /// Outside diameter, m.
        outer_m: f64,
    },
    /// Poisson's ratio is not between 0 and 0.5.
    Poisson {
        /// Ratio as given.
        nu: f64,
    },
    /// A section force is not a finite number.
    Force,
    /// The density is not a positive, finite number.
    Density {
        /// Density as given, kg/m³.
        density_kg_m3: f64,
    },
}

impl fmt::Display for SectionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Outer { outer_m } => {
                write!(f, "tube diameter is {outer_m} m; it must lie from 0.001 to 5 m")
            }
            Self::Wall { wall_m, outer_m } => {
                write!(f, "tube wall is {wall_m} m; it must be more than 0 and at most half of {outer_m} m")
            }
            Self::Poisson { nu } => write!(f, "Poisson's ratio is {nu}; it must lie from 0 to 0.5"),
            Self::Force => write!(f, "a force or moment in the tube is not a finite number"),
            Self::Density { density_kg_m3 } => {
                write!(f, "density is {density_kg_m3} kg/m³; it must be positive and finite")
            }
        }
    }
}

impl Error for SectionError {}

/// A round tube of outside diameter `D` and wall `t` (a solid bar when `t = D/2`).
///
/// With `d = D - 2t`: `A = π(D² - d²)/4`, `I = π(D⁴ - d⁴)/64`, `W = 2I/D`, `W_pl = (D³ - d³)/6`, `J = 2I`,
/// `i = √(I/A)`.
///
/// # Source
///
/// EN 10219-2, annex B (section properties of circular hollow sections) [from memory]; `docs/mechanics.md` §2.1. Checked by
/// `tests/sources/en-10219-2-2006`.
///
/// # Examples
///
/// ```
/// # use mechanics::frame::section::RoundTube;
/// let tube = RoundTube::new(0.0483, 0.0032)?;
/// assert!((tube.area_m2() - 4.534e-4).abs() < 1e-7);
/// # Ok::<(), mechanics::frame::section::SectionError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundTube {
    outer_m: f64,
    wall_m: f64,
}

impl RoundTube {
    /// A tube from outside diameter and wall, both in m.
    ///
    /// # Errors
    ///
    /// [`SectionError::Outer`] or [`SectionError::Wall`] when they are no tube.
    pub fn new(outer_m: f64, wall_m: f64) -> Result<Self, SectionError> {
        if !(0.001..=5.0).contains(&outer_m) {
            return Err(SectionError::Outer { outer_m });
        }
        // Below a billionth of the diameter the wall would vanish in rounding.
        if !(wall_m >= 1e-9 * outer_m && wall_m <= 0.5 * outer_m) {
            return Err(SectionError::Wall { wall_m, outer_m });
        }
        Ok(Self { outer_m, wall_m })
    }

    /// Outside diameter `D`, m.
    pub fn outer_m(&self) -> f64 {
        self.outer_m
    }

    /// Wall `t`, m.
    pub fn wall_m(&self) -> f64 {
        self.wall_m
    }

    /// Inside diameter `d`, m.
    pub fn inner_m(&self) -> f64 {
        (self.outer_m - 2.0 * self.wall_m).max(0.0)
    }

    /// Area `A`, m², as `π t (D - t)`, which loses no digits on a thin wall.
    pub fn area_m2(&self) -> f64 {
        PI * self.wall_m * (self.outer_m - self.wall_m)
    }

    /// Second moment of area `I` about any diameter, m⁴, as `A (D² + d²)/16`.
    pub fn inertia_m4(&self) -> f64 {
        let (big, small) = (self.outer_m, self.inner_m());
        self.area_m2() * (big * big + small * small) / 16.0
    }

    /// Torsion constant `J = 2I`, m⁴.
    pub fn torsion_m4(&self) -> f64 {
        2.0 * self.inertia_m4()
    }

    /// Elastic modulus `W = 2I/D`, m³.
    pub fn modulus_m3(&self) -> f64 {
        2.0 * self.inertia_m4() / self.outer_m
    }

    /// Plastic modulus `W_pl = (D³ - d³)/6`, m³.
    pub fn plastic_modulus_m3(&self) -> f64 {
        let (big, small) = (self.outer_m, self.inner_m());
        (big - small) * (big * big + big * small + small * small) / 6.0
    }

    /// Radius of gyration `i = √(I/A)`, m.
    pub fn gyration_m(&self) -> f64 {
        (self.inertia_m4() / self.area_m2()).sqrt()
    }

    /// Mass of one metre, kg/m.
    ///
    /// # Errors
    ///
    /// [`SectionError::Density`] unless the density is positive and finite.
    pub fn mass_per_metre_kg_m(&self, density_kg_m3: f64) -> Result<f64, SectionError> {
        if density_kg_m3 > 0.0 && density_kg_m3.is_finite() {
            Ok(self.area_m2() * density_kg_m3)
        } else {
            Err(SectionError::Density { density_kg_m3 })
        }
    }

    /// Shear coefficient of Timoshenko's beam for a hollow circle; shear stiffness is `κ G A`.
    ///
    /// ```text
    ///            6 (1 + ν) (1 + m²)²
    /// κ = ------------------------------------ ,   m = d/D
    ///     (7 + 6ν)(1 + m²)² + (20 + 12ν) m²
    /// ```
    ///
    /// Solid bar `6(1 + ν)/(7 + 6ν)`; thin tube `2(1 + ν)/(4 + 3ν)`.
    ///
    /// # Source
    ///
    /// G. R. Cowper, "The shear coefficient in Timoshenko's beam theory", *J. Applied Mechanics* 33 (1966) 335-340,
    /// table 1 [from memory]. `docs/mechanics.md` §2.1. Checked by `tests/sources/cowper-1966`.
    ///
    /// # Errors
    ///
    /// [`SectionError::Poisson`] outside 0 to 0.5.
    pub fn shear_coefficient(&self, nu: f64) -> Result<f64, SectionError> {
        if !(0.0..=0.5).contains(&nu) {
            return Err(SectionError::Poisson { nu });
        }
        let m2 = (self.inner_m() / self.outer_m).powi(2);
        let square = (1.0 + m2).powi(2);
        Ok(6.0 * (1.0 + nu) * square / ((7.0 + 6.0 * nu) * square + (20.0 + 12.0 * nu) * m2))
    }

    /// Greatest shear stress over mean shear stress `V/A` across the tube, at the neutral axis:
    /// `4 (R² + R r + r²) / 3 (R² + r²)`; 4/3 for a bar, 2 for a thin tube.
    pub fn shear_peak(&self) -> f64 {
        let (big, small) = (self.outer_m, self.inner_m());
        4.0 * (big * big + big * small + small * small) / (3.0 * (big * big + small * small))
    }
}

/// Forces and moments across one cut of a tube, member frame (x along the tube), acting on the face that looks along +x.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SectionForces {
    /// Normal force, N, tension +.
    pub n_n: f64,
    /// Shear force along y, N.
    pub vy_n: f64,
    /// Shear force along z, N.
    pub vz_n: f64,
    /// Torsion about x, N m.
    pub t_n_m: f64,
    /// Bending moment about y, N m.
    pub my_n_m: f64,
    /// Bending moment about z, N m.
    pub mz_n_m: f64,
}

/// Elastic stresses at one cut of a round tube, Pa, and their von Mises equivalents.
///
/// ```text
/// σ_N = |N|/A   σ_M = √(My² + Mz²)/W   τ_T = |T| D/2J   τ_V = peak · √(Vy² + Vz²)/A
/// σ_vm = √(σ² + 3 τ²)
/// ```
///
/// # Assumes
///
/// Elastic; no local buckling of the wall, no crushing at a clamp, no hole and no weld (heat-treated aluminium loses
/// about half its yield beside a weld). Shear over the wall follows the thin-tube law `sin`, scaled to the thick-tube peak.
///
/// # Source
///
/// Beam theory: Timoshenko, *Strength of Materials*, part I, 3rd ed., shear in a ring and torsion [from memory]; von Mises: EN 1993-1-1
/// cl. 6.2.1(5) [from memory]. `docs/mechanics.md` §4.5. Checked by `tests/sources/tube-von-mises`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stress {
    /// From the normal force, `|N|/A`.
    pub axial_pa: f64,
    /// From bending, at the outside.
    pub bending_pa: f64,
    /// From torsion, at the outside.
    pub torsion_pa: f64,
    /// From shear force, at the neutral axis.
    pub shear_pa: f64,
    around_pa: f64,
}

/// Number of points around the tube that [`Stress::von_mises_around`] looks at.
const POINTS: u32 = 180;

impl Stress {
    /// Stresses of a tube under section forces.
    ///
    /// # Errors
    ///
    /// [`SectionError::Force`] when a force, or the stress from it, is not finite.
    pub fn of(tube: &RoundTube, forces: &SectionForces) -> Result<Self, SectionError> {
        let SectionForces { n_n, vy_n, vz_n, t_n_m, my_n_m, mz_n_m } = *forces;
        let area = tube.area_m2();
        let modulus = tube.modulus_m3();
        let peak = tube.shear_peak() / area;
        let axial = n_n / area;
        let torsion = t_n_m / (2.0 * modulus);
        let mut worst_squared = 0.0_f64;
        for k in 0..POINTS {
            let (sin, cos) = (f64::from(k) * 2.0 * PI / f64::from(POINTS)).sin_cos();
            let sigma = axial + (my_n_m * sin - mz_n_m * cos) / modulus;
            let tau = torsion + peak * (vz_n * cos - vy_n * sin);
            worst_squared = worst_squared.max(sigma * sigma + 3.0 * tau * tau);
        }
        // σ² + 3τ² is a trigonometric polynomial of degree 2, so N samples miss at most the factor 1/cos(2π/N).
        let missed = (2.0 * PI / f64::from(POINTS)).cos();
        let stress = Self {
            axial_pa: axial.abs(),
            bending_pa: my_n_m.hypot(mz_n_m) / modulus,
            torsion_pa: torsion.abs(),
            shear_pa: vy_n.hypot(vz_n) * peak,
            around_pa: (worst_squared / missed).sqrt(),
        };
        // `max` drops a NaN, so ask the sums that keep it.
        if (stress.von_mises_sum_pa() + stress.around_pa).is_finite() {
            Ok(stress)
        } else {
            Err(SectionError::Force)
        }
    }

    /// All four peaks at one point, Pa: an upper bound whatever the directions of shear and bending.
    #[must_use]
    pub fn von_mises_sum_pa(&self) -> f64 {
        von_mises(self.axial_pa + self.bending_pa, self.torsion_pa + self.shear_pa)
    }

    /// Outer fibre with bending and torsion, Pa; no shear force.
    #[must_use]
    pub fn von_mises_fibre_pa(&self) -> f64 {
        von_mises(self.axial_pa + self.bending_pa, self.torsion_pa)
    }

    /// Neutral axis with shear force and torsion, Pa; no bending.
    #[must_use]
    pub fn von_mises_neutral_axis_pa(&self) -> f64 {
        von_mises(self.axial_pa, self.torsion_pa + self.shear_pa)
    }

    /// The textbook pair: the greater of outer fibre and neutral axis, Pa.
    ///
    /// Only for shear in the plane of bending, and even there a point between the two can be worse by up to 9 %. A verdict
    /// should use [`Stress::von_mises_around_pa`] or [`Stress::von_mises_sum_pa`].
    #[must_use]
    pub fn von_mises_two_point_pa(&self) -> f64 {
        self.von_mises_fibre_pa().max(self.von_mises_neutral_axis_pa())
    }

    /// Greatest von Mises stress around the outside, Pa, with the directions of shear and bending as they are.
    ///
    /// At the angle `θ` from y towards z: `σ = N/A + (My sin θ - Mz cos θ)/W`, `τ = T D/2J + τ_V (Vz cos θ - Vy sin θ)/V`.
    /// Never below the true greatest value and at most 0.04 % above it: `σ² + 3τ²` has degree 2 in `θ`, and the samples
    /// are scaled by the bound of Ehlich and Zeller (*Math. Zeitschrift* 86, 1964) [from memory].
    #[must_use]
    pub fn von_mises_around_pa(&self) -> f64 {
        self.around_pa
    }
}

fn von_mises(sigma_pa: f64, tau_pa: f64) -> f64 {
    (sigma_pa * sigma_pa + 3.0 * tau_pa * tau_pa).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn refuses_what_is_no_tube() {
        for (outer, wall) in [
            (0.0, 0.003),
            (-0.05, 0.003),
            (f64::NAN, 0.003),
            (f64::INFINITY, 0.003),
            (0.05, 0.0),
            (0.05, -0.001),
            (0.05, 0.0251),
            (0.05, f64::NAN),
        ] {
            assert!(RoundTube::new(outer, wall).is_err(), "{outer} x {wall} was accepted");
        }
        let tube = RoundTube::new(0.05, 0.025).unwrap();
        assert!(tube.shear_coefficient(f64::NAN).is_err());
        assert!(tube.shear_coefficient(0.51).is_err());
        assert!(tube.mass_per_metre_kg_m(0.0).is_err());
        for bad in [f64::NAN, f64::INFINITY, 1e300] {
            for forces in [
                SectionForces { n_n: bad, ..Default::default() },
                SectionForces { vy_n: bad, ..Default::default() },
                SectionForces { vz_n: bad, ..Default::default() },
                SectionForces { t_n_m: bad, ..Default::default() },
                SectionForces { my_n_m: bad, ..Default::default() },
                SectionForces { mz_n_m: bad, ..Default::default() },
            ] {
                assert_eq!(Stress::of(&tube, &forces), Err(SectionError::Force));
            }
        }
    }

    #[test]
    fn solid_bar_is_the_circle_of_the_textbook() {
        let bar = RoundTube::new(0.02, 0.01).unwrap();
        // Exact formulas of a full circle; 1e-12 relative is rounding.
        let close = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-12, "{a} is not {b}");
        close(bar.area_m2(), PI * 1e-4);
        close(bar.inertia_m4(), PI * 0.02_f64.powi(4) / 64.0);
        close(bar.plastic_modulus_m3(), 0.02_f64.powi(3) / 6.0);
        close(bar.shear_peak(), 4.0 / 3.0);
        close(bar.gyration_m(), 0.005);
    }

    #[test]
    fn a_point_between_fibre_and_neutral_axis_can_be_worst() {
        // Chosen so that σ_N = σ_M = √3 τ_T = √3 τ_V: at 45° both grow by 1 + 1/√2.
        let tube = RoundTube::new(0.0483, 0.004).unwrap();
        let (a, w) = (tube.area_m2(), tube.modulus_m3());
        let s = 100e6;
        let tau = s / 3.0_f64.sqrt();
        let forces = SectionForces {
            n_n: s * a,
            my_n_m: s * w,
            vz_n: tau * a / tube.shear_peak(),
            t_n_m: tau * 2.0 * w,
            ..Default::default()
        };
        let stress = Stress::of(&tube, &forces).unwrap();
        let expected = s * (1.0 + 0.5_f64.sqrt()) * 2.0_f64.sqrt();
        let ratio = stress.von_mises_around_pa() / expected;
        // The stated sampling bound.
        assert!((1.0..1.0004).contains(&ratio), "{ratio}");
        assert!(stress.von_mises_two_point_pa() < 0.93 * expected);
    }

    #[test]
    fn shear_square_to_the_bending_plane_adds_at_one_point() {
        let tube = RoundTube::new(0.0483, 0.004).unwrap();
        // My peaks at θ = 90°, and there a shear along y is at its peak too.
        let forces = SectionForces { my_n_m: 600.0, vy_n: 20e3, ..Default::default() };
        let stress = Stress::of(&tube, &forces).unwrap();
        let ratio = stress.von_mises_around_pa() / stress.von_mises_sum_pa();
        assert!((1.0..1.0004).contains(&ratio), "{ratio}");
    }

    #[test]
    fn torsion_and_shear_add_on_the_side_where_they_run_together() {
        // On top (+z), which My pulls, a torque about +x runs along -y: so it adds to a shear along -y there.
        let tube = RoundTube::new(0.0483, 0.004).unwrap();
        let along = SectionForces { n_n: 2e4, my_n_m: 600.0, t_n_m: 300.0, vy_n: -2e4, ..Default::default() };
        let against = SectionForces { vy_n: 2e4, ..along };
        let (along, against) = (Stress::of(&tube, &along).unwrap(), Stress::of(&tube, &against).unwrap());
        let ratio = along.von_mises_around_pa() / along.von_mises_sum_pa();
        assert!((1.0..1.0004).contains(&ratio), "{ratio}");
        assert!(against.von_mises_around_pa() < 0.95 * against.von_mises_sum_pa());
    }

    fn forces() -> impl Strategy<Value = SectionForces> {
        let f = -2e4..2e4f64;
        let m = -1e3..1e3f64;
        (f.clone(), f.clone(), f, m.clone(), m.clone(), m).prop_map(
            |(n_n, vy_n, vz_n, t_n_m, my_n_m, mz_n_m)| SectionForces {
                n_n,
                vy_n,
                vz_n,
                t_n_m,
                my_n_m,
                mz_n_m,
            },
        )
    }

    proptest! {
        #[test]
        fn around_lies_under_the_sum_and_turns_with_the_tube(f in forces(), turn in 0.0..6.3f64) {
            let tube = RoundTube::new(0.0483, 0.0032).unwrap();
            let stress = Stress::of(&tube, &f).unwrap();
            prop_assert!(stress.von_mises_around_pa() <= stress.von_mises_sum_pa() * 1.0004);
            let (s, c) = turn.sin_cos();
            let turned = SectionForces {
                vy_n: c * f.vy_n - s * f.vz_n,
                vz_n: s * f.vy_n + c * f.vz_n,
                my_n_m: c * f.my_n_m - s * f.mz_n_m,
                mz_n_m: s * f.my_n_m + c * f.mz_n_m,
                ..f
            };
            let other = Stress::of(&tube, &turned).unwrap();
            // Sampling at other points of the same curve: the stated 0.04 % each way.
            let ratio = other.von_mises_around_pa() / stress.von_mises_around_pa();
            prop_assert!((ratio - 1.0).abs() < 4e-4);
        }

        #[test]
        fn around_covers_the_textbook_pair_in_the_plane_of_bending(f in forces()) {
            let tube = RoundTube::new(0.0483, 0.0032).unwrap();
            let planar = SectionForces { vy_n: 0.0, mz_n_m: 0.0, ..f };
            let stress = Stress::of(&tube, &planar).unwrap();
            prop_assert!(stress.von_mises_around_pa() >= stress.von_mises_two_point_pa() * (1.0 - 1e-12));
        }

        #[test]
        fn properties_agree_with_the_plain_formulas(outer in 0.01..0.2f64, share in 0.01..0.5f64) {
            let tube = RoundTube::new(outer, outer * share).unwrap();
            let d = tube.inner_m();
            // Differences of powers lose digits on thin walls: 1e-9 covers 1 % walls.
            let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-9;
            prop_assert!(close(tube.area_m2(), PI * (outer.powi(2) - d.powi(2)) / 4.0));
            prop_assert!(close(tube.inertia_m4(), PI * (outer.powi(4) - d.powi(4)) / 64.0));
            prop_assert!(close(tube.plastic_modulus_m3(), (outer.powi(3) - d.powi(3)) / 6.0));
            prop_assert!(close(tube.torsion_m4(), 2.0 * tube.inertia_m4()));
        }
    }
}
