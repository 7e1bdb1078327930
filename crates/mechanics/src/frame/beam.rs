//! The beam element: stiffness, consistent mass, uniform load and internal forces, in member axes.
//!
//! Member axes: `x` from end i to end j, `y = normalise(up x x)`, `z = x x y`. Degrees of freedom of an element in order
//! `[u v w rx ry rz]` at i, then at j.

use glam::{DMat3, DVec3};

/// Section and material of a straight prismatic member.
///
/// `EA`, `EI` and `GJ` follow from these; a shear area of `None` leaves shear deformation out (Euler-Bernoulli).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beam {
    /// Young's modulus, Pa.
    pub e_pa: f64,
    /// Shear modulus, Pa.
    pub g_pa: f64,
    /// Area, m².
    pub area_m2: f64,
    /// Second moment about member y, m⁴.
    pub iy_m4: f64,
    /// Second moment about member z, m⁴.
    pub iz_m4: f64,
    /// Torsion constant, m⁴.
    pub j_m4: f64,
    /// Effective shear area (kappa A), the same for both directions, m².
    pub shear_area_m2: Option<f64>,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
}

impl Beam {
    /// Whether every number is finite and stiff enough to be a member.
    pub fn is_sound(&self) -> bool {
        let positive = [self.e_pa, self.g_pa, self.area_m2, self.iy_m4, self.iz_m4, self.j_m4];
        positive.iter().all(|v| v.is_finite() && *v > 0.0)
            && self.density_kg_m3.is_finite()
            && self.density_kg_m3 >= 0.0
            && self.shear_area_m2.is_none_or(|a| a.is_finite() && a > 0.0)
    }

    /// Mass per length, kg/m.
    pub fn line_mass(&self) -> f64 {
        self.density_kg_m3 * self.area_m2
    }
}

/// Rotation from world to member axes: rows are the member's x, y, z.
///
/// `up` is any vector not along the member; where it is nearly along it, world x (or y) stands in.
pub fn axes(i: DVec3, j: DVec3, up: DVec3) -> Option<[DVec3; 3]> {
    let x = (j - i).try_normalize()?;
    let up = [up, DVec3::Z, DVec3::X, DVec3::Y]
        .into_iter()
        .filter_map(DVec3::try_normalize)
        .find(|u| u.cross(x).length() > 1e-3)?;
    let y = up.cross(x).normalize();
    Some([x, y, x.cross(y)])
}

/// 12 x 12 element matrix, row-major.
pub type Element = [[f64; 12]; 12];

/// Stiffness of a Timoshenko beam of length `l_m`.
///
/// ```text
/// Phi_y = 12 E Iz / (G As L²)     (bending in x-y)       Phi_z = 12 E Iy / (G As L²)   (bending in x-z)
/// k_vv = 12 E Iz / (L³ (1+Phi))   k_vr = 6 E Iz / (L² (1+Phi))   k_rr = (4+Phi) E Iz / (L (1+Phi))   k_rr' = (2-Phi) ...
/// ```
///
/// # Source
///
/// Przemieniecki, *Theory of Matrix Structural Analysis* (1968), eq. 5.116 \[from memory\]; `docs/mechanics.md` §2.1.
/// Checked against Logan Example 5.8 and closed forms in `tests/outside_frame.rs`.
pub fn stiffness(beam: &Beam, l_m: f64) -> Element {
    let mut k = [[0.0; 12]; 12];
    let ea = beam.e_pa * beam.area_m2 / l_m;
    let gj = beam.g_pa * beam.j_m4 / l_m;
    couple(&mut k, 0, ea);
    couple(&mut k, 3, gj);
    let phi =
        |i_m4: f64| beam.shear_area_m2.map_or(0.0, |a| 12.0 * beam.e_pa * i_m4 / (beam.g_pa * a * l_m * l_m));
    bend(&mut k, [1, 5], beam.e_pa * beam.iz_m4, phi(beam.iz_m4), l_m, 1.0);
    bend(&mut k, [2, 4], beam.e_pa * beam.iy_m4, phi(beam.iy_m4), l_m, -1.0);
    k
}

fn couple(k: &mut Element, d: usize, s: f64) {
    k[d][d] += s;
    k[d + 6][d + 6] += s;
    k[d][d + 6] -= s;
    k[d + 6][d] -= s;
}

/// Bending in one plane; `sign` is -1 where the rotation turns against the deflection (x-z).
fn bend(k: &mut Element, [v, r]: [usize; 2], ei: f64, phi: f64, l: f64, sign: f64) {
    let f = ei / (1.0 + phi);
    let (vv, vr) = (12.0 * f / l.powi(3), sign * 6.0 * f / l.powi(2));
    let (rr, rs) = ((4.0 + phi) * f / l, (2.0 - phi) * f / l);
    let d = [v, r, v + 6, r + 6];
    let m = [[vv, vr, -vv, vr], [vr, rr, -vr, rs], [-vv, -vr, vv, -vr], [vr, rs, -vr, rr]];
    for (a, row) in d.iter().zip(m) {
        for (b, value) in d.iter().zip(row) {
            k[*a][*b] += value;
        }
    }
}

/// Consistent mass of the beam (translations with Hermite shapes, torsion by the polar second moment; rotary inertia of
/// bending and shear deformation left out, which is exact enough for slender tube: under 1 % of the first modes).
///
/// # Source
///
/// Archer (1963); Przemieniecki (1968) eq. 11.31 without rotary terms \[from memory\]; `docs/mechanics.md` §2.6.
pub fn mass(beam: &Beam, l_m: f64) -> Element {
    let mut m = [[0.0; 12]; 12];
    let total = beam.line_mass() * l_m;
    let polar = beam.density_kg_m3 * (beam.iy_m4 + beam.iz_m4) * l_m;
    for (d, t) in [(0, total), (3, polar)] {
        m[d][d] += t / 3.0;
        m[d + 6][d + 6] += t / 3.0;
        m[d][d + 6] += t / 6.0;
        m[d + 6][d] += t / 6.0;
    }
    let c = total / 420.0;
    let l = l_m;
    for ([v, r], s) in [([1, 5], 1.0), ([2, 4], -1.0)] {
        let d = [v, r, v + 6, r + 6];
        let e = [
            [156.0, s * 22.0 * l, 54.0, -s * 13.0 * l],
            [s * 22.0 * l, 4.0 * l * l, s * 13.0 * l, -3.0 * l * l],
            [54.0, s * 13.0 * l, 156.0, -s * 22.0 * l],
            [-s * 13.0 * l, -3.0 * l * l, -s * 22.0 * l, 4.0 * l * l],
        ];
        for (a, row) in d.iter().zip(e) {
            for (b, value) in d.iter().zip(row) {
                m[*a][*b] += c * value;
            }
        }
    }
    m
}

/// Nodal forces that stand for a uniform load `w` (N/m, member axes), consistent; exact for Timoshenko members too, since
/// a uniform load on a clamped prismatic member gives `w L² / 12` whatever its shear stiffness (by symmetry the rotation
/// of the section is an odd cubic that the shear does not enter).
pub fn uniform(w: DVec3, l_m: f64) -> [f64; 12] {
    let half = w * (l_m / 2.0);
    let (my, mz) = (w.z * l_m * l_m / 12.0, w.y * l_m * l_m / 12.0);
    [half.x, half.y, half.z, 0.0, -my, mz, half.x, half.y, half.z, 0.0, my, -mz]
}

/// Internal forces at a station, member axes: what the part beyond the cut does to the part before it.
///
/// `n` is tension; `vy`, `vz` shear; `t` torsion; `my`, `mz` bending; N and N m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Internal {
    /// Axial force, tension positive, N.
    pub n: f64,
    /// Shear along member y, N.
    pub vy: f64,
    /// Shear along member z, N.
    pub vz: f64,
    /// Torsion, N m.
    pub t: f64,
    /// Bending about member y, N m.
    pub my: f64,
    /// Bending about member z, N m.
    pub mz: f64,
}

/// Internal forces `x_m` from end i, from the actions `f_i` of the node on end i (member axes) and the uniform load `w`.
///
/// Equilibrium of the piece from i to the cut: `F = -f_i - w x`, `M = -m_i + x ex x f_i + (x²/2) ex x w`.
pub fn internal(f_i: [f64; 6], w: DVec3, x_m: f64) -> Internal {
    let f = DVec3::new(f_i[0], f_i[1], f_i[2]);
    let m = DVec3::new(f_i[3], f_i[4], f_i[5]);
    let force = -(f + w * x_m);
    let moment = -m + DVec3::X.cross(f) * x_m + DVec3::X.cross(w) * (x_m * x_m / 2.0);
    Internal { n: force.x, vy: force.y, vz: force.z, t: moment.x, my: moment.y, mz: moment.z }
}

/// Actions of the node on end i of a member whose end j nothing holds and nothing loads: those that leave no internal force
/// there.
pub fn overhanging(w: DVec3, length_m: f64) -> [f64; 6] {
    let (f, m) = (-w * length_m, DVec3::X.cross(w) * (-0.5 * length_m * length_m));
    [f.x, f.y, f.z, m.x, m.y, m.z]
}

/// Where a point `x_m` from end i goes, member axes, from the movement and turn of end i, the actions `f_i` of the node on
/// it and the uniform load `w`; exact, shear with it.
///
/// ```text
/// u' = N / E A        r_z' = Mz / E Iz,  v' = r_z + Vy / G As        r_y' = My / E Iy,  w' = -r_y + Vz / G As
/// ```
///
/// each integrated from end i with the forces of [`internal`] (`docs/mechanics.md` §2.1).
pub fn bent(beam: &Beam, (slide, turn): (DVec3, DVec3), f_i: [f64; 6], w: DVec3, x_m: f64) -> DVec3 {
    let [fx, fy, fz, _, my, mz] = f_i;
    let (x2, x3, x4) = (x_m * x_m / 2.0, x_m.powi(3) / 6.0, x_m.powi(4) / 24.0);
    let sheared = |f: f64, w: f64| beam.shear_area_m2.map_or(0.0, |a| (f * x_m + w * x2) / (beam.g_pa * a));
    let along = slide.x - (fx * x_m + w.x * x2) / (beam.e_pa * beam.area_m2);
    let across = slide.y + turn.z * x_m + (fy * x3 + w.y * x4 - mz * x2) / (beam.e_pa * beam.iz_m4);
    let up = slide.z - turn.y * x_m + (fz * x3 + w.z * x4 + my * x2) / (beam.e_pa * beam.iy_m4);
    DVec3::new(along, across - sheared(fy, w.y), up - sheared(fz, w.z))
}

/// World vector in the axes whose rows are given.
pub fn into_axes(rows: &[DVec3; 3], v: DVec3) -> DVec3 {
    DVec3::new(rows[0].dot(v), rows[1].dot(v), rows[2].dot(v))
}

/// Vector of those axes in the world.
pub fn out_of_axes(rows: &[DVec3; 3], v: DVec3) -> DVec3 {
    DMat3::from_cols(rows[0], rows[1], rows[2]) * v
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEAM: Beam = Beam {
        e_pa: 70e9,
        g_pa: 26e9,
        area_m2: 5.5e-4,
        iy_m4: 1.3e-7,
        iz_m4: 1.7e-7,
        j_m4: 3.0e-7,
        shear_area_m2: Some(2.8e-4),
        density_kg_m3: 2700.0,
    };

    #[test]
    fn rigid_motions_cost_no_force() {
        let l = 0.7;
        let k = stiffness(&BEAM, l);
        let (t, r) = (DVec3::new(0.3, -0.2, 0.9), DVec3::new(0.1, 0.4, -0.6));
        let tip = t + r.cross(DVec3::X * l);
        let u = [t.x, t.y, t.z, r.x, r.y, r.z, tip.x, tip.y, tip.z, r.x, r.y, r.z];
        let largest = k.iter().flatten().fold(0.0_f64, |a, b| a.max(b.abs()));
        for row in k {
            let f: f64 = row.iter().zip(u).map(|(a, b)| a * b).sum();
            assert!(f.abs() < 1e-12 * largest, "{f}"); // rounding of sums of 12 terms
        }
    }

    #[test]
    fn rigid_motions_have_the_whole_mass() {
        let l = 0.7;
        let m = mass(&BEAM, l);
        for d in 0..3 {
            let total: f64 = [d, d + 6].iter().flat_map(|a| [m[*a][d], m[*a][d + 6]]).sum();
            assert!((total - BEAM.line_mass() * l).abs() < 1e-12);
        }
        // Turning about end i about z: m L² / 3.
        let u = [0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0, l, 0.0, 0.0, 0.0, 1.0];
        let mut e = 0.0;
        for a in 0..12 {
            for b in 0..12 {
                e += u[a] * m[a][b] * u[b];
            }
        }
        assert!((e - BEAM.line_mass() * l.powi(3) / 3.0).abs() < 1e-9);
    }

    #[test]
    fn uniform_load_is_in_balance_with_the_piece() {
        let (w, l) = (DVec3::new(3.0, -5.0, 7.0), 1.3);
        let f = uniform(w, l);
        // Clamped both ends: the ends' actions are minus the stand-in forces; at mid-span |M| = w L² / 24.
        let ends: [f64; 6] = core::array::from_fn(|d| -f[d]);
        let mid = internal(ends, w, l / 2.0);
        assert!((mid.mz.abs() - 5.0 * l * l / 24.0).abs() < 1e-12);
        assert!((mid.my.abs() - 7.0 * l * l / 24.0).abs() < 1e-12);
        assert!(mid.n.abs() < 1e-12 && mid.vy.abs() < 1e-12);
    }

    #[test]
    fn a_beam_bends_as_the_books_say() {
        // Cantilever held at i, P across at j: v = P x² (3 L - x) / 6 E I by bending, P x / G As by shear (Gere and Goodno,
        // Mechanics of Materials, table of beams, case 4 \[from memory\]; shear is Timoshenko's).
        let (l, p) = (0.9, 250.0);
        let shear = BEAM.g_pa * 2.8e-4;
        for x in [0.0, 0.3, 0.5, 0.9] {
            let by_bending = |i: f64| p * x * x * (3.0 * l - x) / (6.0 * BEAM.e_pa * i);
            // The wall gives -P and the moment that holds it: about z for y, about y the other way round for z.
            let y = bent(&BEAM, Default::default(), [0.0, -p, 0.0, 0.0, 0.0, -p * l], DVec3::ZERO, x);
            let z = bent(&BEAM, Default::default(), [0.0, 0.0, -p, 0.0, p * l, 0.0], DVec3::ZERO, x);
            let n = bent(&BEAM, Default::default(), [-p, 0.0, 0.0, 0.0, 0.0, 0.0], DVec3::ZERO, x);
            assert!((y.y - by_bending(BEAM.iz_m4) - p * x / shear).abs() < 1e-15, "{y}");
            assert!((z.z - by_bending(BEAM.iy_m4) - p * x / shear).abs() < 1e-15, "{z}");
            assert!((n.x - p * x / (BEAM.e_pa * BEAM.area_m2)).abs() < 1e-18, "{n}");
        }
        // On two rests with w down: 5 w L⁴ / 384 E I in the middle, and w L² / 8 G As by shear. Its end turns by w L³ / 24 E I.
        let w = -140.0_f64;
        let ends = DVec3::Z * (w * l.powi(3) / (24.0 * BEAM.e_pa * BEAM.iz_m4));
        let rests = [0.0, -w * l / 2.0, 0.0, 0.0, 0.0, 0.0];
        let at = |x: f64| bent(&BEAM, (DVec3::ZERO, ends), rests, DVec3::Y * w, x).y;
        let middle = 5.0 * w * l.powi(4) / (384.0 * BEAM.e_pa * BEAM.iz_m4) + w * l * l / (8.0 * shear);
        assert!((at(l / 2.0) - middle).abs() < 1e-15 && at(l).abs() < 1e-15, "{} {middle}", at(l / 2.0));
    }

    #[test]
    fn axes_are_right_handed_for_any_direction() {
        for d in [DVec3::X, DVec3::Y, DVec3::Z, -DVec3::Z, DVec3::new(1.0, 2.0, -3.0)] {
            let [x, y, z] = axes(DVec3::ZERO, d, DVec3::Z).unwrap();
            assert!((x.cross(y) - z).length() < 1e-12 && (x - d.normalize()).length() < 1e-12);
        }
        assert!(axes(DVec3::ONE, DVec3::ONE, DVec3::Z).is_none());
    }

    #[test]
    fn an_overhang_carries_what_a_cantilever_does() {
        let (l, w) = (0.4, DVec3::new(3.0, -7.0, -50.0));
        let first = overhanging(w, l);
        let f = internal(first, w, 0.0);
        let expected = [w.x * l, w.y * l, w.z * l, 0.0, -w.z * l * l / 2.0, w.y * l * l / 2.0];
        for (is, expected) in [f.n, f.vy, f.vz, f.t, f.my, f.mz].into_iter().zip(expected) {
            assert!((is - expected).abs() < 1e-12, "{is} for {expected}");
        }
        // FR-2: 40 N/m on 1.2 m bend the wall with w L²/2 = 28.8 N m.
        let wall = internal(overhanging(DVec3::NEG_Z * 40.0, 1.2), DVec3::NEG_Z * 40.0, 0.0);
        assert!((wall.my.abs() - 28.8).abs() < 1e-12, "{}", wall.my);
        let tip = internal(first, w, l);
        for v in [tip.n, tip.vy, tip.vz, tip.t, tip.my, tip.mz] {
            assert!(v.abs() < 1e-14, "{v} at the tip");
        }
    }
}
