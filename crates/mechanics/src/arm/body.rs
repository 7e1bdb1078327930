//! One rigid body of the arm: its mass, mass centre and inertia.

use super::chain::{Carrier, Geometry};
use super::error::{ArmError, finite, finite_vec, not_negative, positive};
use super::wind::Drag;
use glam::{DMat3, DVec3};

/// How far, relative to its largest entry, an inertia may miss the triangle rule by rounding alone.
const INERTIA_ROUNDING: f64 = 1e-9;

/// Inertia of a body about its mass centre, kg m², as the six entries of a symmetric matrix.
///
/// The entries off the diagonal are those of the matrix: `xy = -∫ x y dm`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Inertia {
    /// `∫ (y² + z²) dm`.
    pub xx: f64,
    /// `∫ (z² + x²) dm`.
    pub yy: f64,
    /// `∫ (x² + y²) dm`.
    pub zz: f64,
    /// `-∫ x y dm`.
    pub xy: f64,
    /// `-∫ x z dm`.
    pub xz: f64,
    /// `-∫ y z dm`.
    pub yz: f64,
}

impl Inertia {
    /// A mass point.
    pub const ZERO: Self = Self { xx: 0.0, yy: 0.0, zz: 0.0, xy: 0.0, xz: 0.0, yz: 0.0 };

    /// Principal axes along the axes of the carrier.
    pub const fn diagonal(xx: f64, yy: f64, zz: f64) -> Self {
        Self { xx, yy, zz, xy: 0.0, xz: 0.0, yz: 0.0 }
    }

    /// The symmetric matrix.
    pub fn matrix(self) -> DMat3 {
        DMat3::from_cols(
            DVec3::new(self.xx, self.xy, self.xz),
            DVec3::new(self.xy, self.yy, self.yz),
            DVec3::new(self.xz, self.yz, self.zz),
        )
    }

    /// Accepts what some distribution of mass can have.
    ///
    /// With `J = ∫ r rᵀ dm = (tr I / 2) 1 - I`, a distribution exists exactly when `J` has no negative
    /// eigenvalue; for a symmetric 3 x 3 matrix, when none of its principal minors is negative
    /// (Sylvester's criterion).
    fn checked(self) -> Result<Self, ArmError> {
        let entries = [self.xx, self.yy, self.zz, self.xy, self.xz, self.yz];
        let scale = entries.iter().fold(0.0_f64, |a, e| a.max(e.abs()));
        if !entries.iter().all(|e| e.is_finite()) {
            return Err(ArmError::NotFinite("inertia"));
        }
        if scale == 0.0 {
            return Ok(self);
        }
        let [xx, yy, zz, xy, xz, yz] = entries.map(|e| e / scale);
        let half = 0.5 * (xx + yy + zz);
        let (jx, jy, jz) = (half - xx, half - yy, half - zz);
        let minors = [
            jx,
            jy,
            jz,
            jx * jy - xy * xy,
            jx * jz - xz * xz,
            jy * jz - yz * yz,
            // det J with the entries off the diagonal of J = -I.
            jx * (jy * jz - yz * yz) - xy * (xy * jz + yz * xz) - xz * (xy * yz + jy * xz),
        ];
        if minors.iter().all(|m| *m >= -INERTIA_ROUNDING) {
            Ok(self)
        } else {
            Err(ArmError::ImpossibleInertia)
        }
    }
}

/// One rigid body, described in the axes of the part that carries it (see [`Carrier`]).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    mass_kg: f64,
    centre_m: DVec3,
    inertia_kgm2: Inertia,
    carrier: Carrier,
    drag: Option<Drag>,
}

/// A section of the boom or its tail, given by what a scale and a straight edge tell: mass, ends, balance point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Mass, kg.
    pub mass_kg: f64,
    /// End nearer the tail, along the boom from the pivot, m (negative behind the pivot).
    pub start_m: f64,
    /// Length, m.
    pub length_m: f64,
    /// Balance point of the section from `start_m`, m. Half the length for a uniform section.
    pub centre_m: f64,
}

impl Body {
    /// A body with its own inertia about its mass centre.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if the mass is not positive, a number is not finite, or no body has this inertia.
    pub fn new(
        mass_kg: f64,
        centre_m: DVec3,
        inertia_kgm2: Inertia,
        carrier: Carrier,
    ) -> Result<Self, ArmError> {
        Ok(Self {
            mass_kg: positive("mass", mass_kg)?,
            centre_m: finite_vec("mass centre", centre_m)?,
            inertia_kgm2: inertia_kgm2.checked()?,
            carrier,
            drag: None,
        })
    }

    /// A mass point.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if the mass is not positive or a number is not finite.
    pub fn point(mass_kg: f64, centre_m: DVec3, carrier: Carrier) -> Result<Self, ArmError> {
        Self::new(mass_kg, centre_m, Inertia::ZERO, carrier)
    }

    /// A uniform slender rod between two points: `I = m L² / 12 (1 - u uᵀ)`, `u` along the rod.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if the mass is not positive, the ends coincide or a number is not finite.
    pub fn rod(mass_kg: f64, from_m: DVec3, to_m: DVec3, carrier: Carrier) -> Result<Self, ArmError> {
        let d = finite_vec("rod end", to_m)? - finite_vec("rod end", from_m)?;
        if d == DVec3::ZERO {
            return Err(ArmError::NoLength);
        }
        let k = mass_kg / 12.0;
        let inertia = Inertia {
            xx: k * (d.y * d.y + d.z * d.z),
            yy: k * (d.z * d.z + d.x * d.x),
            zz: k * (d.x * d.x + d.y * d.y),
            xy: -k * d.x * d.y,
            xz: -k * d.x * d.z,
            yz: -k * d.y * d.z,
        };
        Self::new(mass_kg, (from_m + to_m) * 0.5, inertia, carrier)
    }

    /// A slender section on the boom's axis whose mass tapers linearly from end to end.
    ///
    /// With the balance point `s` from the middle, the moment of inertia about the balance point is
    /// `m (L² / 12 - s²)`: the second moment of a linear density about the middle does not depend on the
    /// taper. The density stays positive while `|s| <= L / 6`. Derived in `docs/mechanics.md` §3.4.1;
    /// checked by `a_tapered_section_is_the_sum_of_its_slices`.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if mass or length is not positive, a number is not finite, or the taper is too strong.
    pub fn boom_section(geometry: &Geometry, section: &Section) -> Result<Self, ArmError> {
        let (m, l) = (positive("mass", section.mass_kg)?, positive("section length", section.length_m)?);
        let start = finite("section start", section.start_m)?;
        let s = finite("section mass centre", section.centre_m)? - 0.5 * l;
        let limit_m = l / 6.0;
        if s.abs() > limit_m * (1.0 + 1e-9) {
            return Err(ArmError::TaperTooStrong { offset_m: s, limit_m });
        }
        let i = m * (l * l / 12.0 - s * s);
        let centre = DVec3::new(start + section.centre_m, 0.0, geometry.axis_rise_m());
        Self::new(m, centre, Inertia::diagonal(0.0, i, i), Carrier::Boom)
    }

    /// A uniform box with its edges along the axes of its carrier: `Ixx = m (b² + c²) / 12` and so on.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if the mass is not positive, an edge is negative or a number is not finite.
    pub fn cuboid(mass_kg: f64, centre_m: DVec3, edges_m: DVec3, carrier: Carrier) -> Result<Self, ArmError> {
        for edge in edges_m.to_array() {
            not_negative("box edge", edge)?;
        }
        let (e, k) = (edges_m * edges_m, mass_kg / 12.0);
        let inertia = Inertia::diagonal(k * (e.y + e.z), k * (e.z + e.x), k * (e.x + e.y));
        Self::new(mass_kg, centre_m, inertia, carrier)
    }

    /// The same body with a shape that the wind catches.
    #[must_use]
    pub fn with_drag(mut self, drag: Drag) -> Self {
        self.drag = Some(drag);
        self
    }

    /// Mass, kg.
    pub fn mass_kg(&self) -> f64 {
        self.mass_kg
    }

    /// Mass centre in the carrier's axes, m.
    pub fn centre_m(&self) -> DVec3 {
        self.centre_m
    }

    /// Inertia about the mass centre in the carrier's axes, kg m².
    pub fn inertia_kgm2(&self) -> Inertia {
        self.inertia_kgm2
    }

    /// The part that carries the body.
    pub fn carrier(&self) -> Carrier {
        self.carrier
    }

    /// What the wind catches, if anything.
    pub fn drag(&self) -> Option<Drag> {
        self.drag
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a handful of products of numbers near one.
    const TOL: f64 = 1e-12;

    #[test]
    fn inertia_must_belong_to_a_body() {
        let ok = |i: Inertia| Body::new(1.0, DVec3::ZERO, i, Carrier::Boom);
        assert!(ok(Inertia::diagonal(1.0, 1.0, 2.0)).is_ok()); // flat plate: the limit
        assert_eq!(ok(Inertia::diagonal(1.0, 1.0, 2.1)), Err(ArmError::ImpossibleInertia));
        assert_eq!(ok(Inertia::diagonal(-1.0, 1.0, 1.0)), Err(ArmError::ImpossibleInertia));
        // Products of inertia too large for their diagonal.
        let wild = Inertia { xy: 0.6, ..Inertia::diagonal(1.0, 1.0, 1.0) };
        assert_eq!(ok(wild), Err(ArmError::ImpossibleInertia));
        // Each 2 x 2 minor passes, the determinant does not: J has 1 on and -0.9 off the diagonal.
        let twisted = Inertia { xx: 2.0, yy: 2.0, zz: 2.0, xy: 0.9, xz: 0.9, yz: 0.9 };
        assert_eq!(ok(twisted), Err(ArmError::ImpossibleInertia));
        let fine = Inertia { xy: -0.9, xz: -0.9, yz: -0.9, ..twisted };
        assert!(ok(fine).is_ok());
        // One 2 x 2 minor negative while the determinant is zero, for each pair of axes.
        let flat = [
            Inertia { xy: 2.0, ..Inertia::diagonal(1.0, 1.0, 2.0) },
            Inertia { xz: 2.0, ..Inertia::diagonal(1.0, 2.0, 1.0) },
            Inertia { yz: 2.0, ..Inertia::diagonal(2.0, 1.0, 1.0) },
        ];
        for i in flat {
            assert_eq!(ok(i), Err(ArmError::ImpossibleInertia));
        }
        let nan = Inertia { xz: f64::NAN, ..Inertia::ZERO };
        assert_eq!(ok(nan), Err(ArmError::NotFinite("inertia")));
    }

    #[test]
    fn a_skew_rod_is_the_sum_of_its_slices() {
        let (a, b) = (DVec3::new(0.3, -0.2, 0.1), DVec3::new(1.5, 0.9, -0.7));
        let rod = Body::rod(3.0, a, b, Carrier::Boom).unwrap();
        // Gauss points at +-1/sqrt(3) give the second moment of a uniform rod exactly.
        let half = (b - a) * (0.5 / 3.0_f64.sqrt());
        let mut i = DMat3::ZERO;
        for p in [half, -half] {
            let outer = DMat3::from_cols(p * p.x, p * p.y, p * p.z);
            i += (DMat3::IDENTITY * p.length_squared() - outer) * 1.5;
        }
        assert!(i.abs_diff_eq(rod.inertia_kgm2().matrix(), TOL));
        assert!((rod.centre_m() - (a + b) * 0.5).length() < TOL);
        assert_eq!(Body::rod(3.0, a, a, Carrier::Boom), Err(ArmError::NoLength));
    }

    #[test]
    fn a_tapered_section_is_the_sum_of_its_slices() {
        let g = Geometry::new(1.0, 4.0).unwrap();
        let section = Section { mass_kg: 5.0, start_m: 0.4, length_m: 1.8, centre_m: 0.75 };
        let body = Body::boom_section(&g, &section).unwrap();
        let n = 20_000;
        // Density 1 + k xi over xi in [-1, 1] has its centre at k L / 6 from the middle.
        let k = 6.0 * (0.75 - 0.9) / 1.8;
        let (mut m, mut mx, mut mxx) = (0.0, 0.0, 0.0);
        for j in 0..n {
            let xi = -1.0 + (2.0 * f64::from(j) + 1.0) / f64::from(n);
            let (dm, x) = (5.0 / f64::from(n) * (1.0 + k * xi), 0.4 + 0.9 * (1.0 + xi));
            (m, mx, mxx) = (m + dm, mx + dm * x, mxx + dm * x * x);
        }
        // The slices carry an error of order (L / n)².
        assert!((m - 5.0).abs() < 1e-8 && (mx / m - body.centre_m().x).abs() < 1e-7);
        assert!((mxx - mx * mx / m - body.inertia_kgm2().zz).abs() < 1e-7);
        let strong = Section { centre_m: 0.5, ..section };
        assert!(matches!(Body::boom_section(&g, &strong), Err(ArmError::TaperTooStrong { .. })));
    }

    #[test]
    fn a_box_has_the_textbook_inertia() {
        let b = Body::cuboid(12.0, DVec3::ZERO, DVec3::new(1.0, 2.0, 3.0), Carrier::Mast).unwrap();
        assert!(b.inertia_kgm2().matrix().abs_diff_eq(Inertia::diagonal(13.0, 10.0, 5.0).matrix(), TOL));
        assert!(Body::cuboid(1.0, DVec3::ZERO, DVec3::new(1.0, -2.0, 3.0), Carrier::Mast).is_err());
        assert_eq!(Body::point(-1.0, DVec3::ZERO, Carrier::Mast), Err(ArmError::NotPositive("mass", -1.0)));
        assert!(Body::point(1.0, DVec3::NAN, Carrier::Mast).is_err());
    }
}
