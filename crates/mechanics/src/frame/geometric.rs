//! Geometric stiffness: what the axial force of a member, or the tension of a strand, adds against sideways movement.

use super::assemble::{Assembly, member_rows};
use super::beam::{Beam, Element};
use super::bodies::{WORLD, movement};
use super::factor::{Factored, Lost};
use super::model::Strand;
use super::stress::Stress;
use glam::DVec3;

/// Geometric stiffness of a beam with shear flexibility under the tension `tension_n` (compression negative), N/m, N and
/// N m, member axes.
///
/// ```text
/// A slice that turns by v' grows by v'^2/2, so the tension N stores     U = N/2 integral v'^2 dx.
/// The beam's own cubic (end actions alone, section turn r = v' - V/GAs), with Phi = 12 E I / (G As L²), c = N / (1+Phi)²:
///   k_vv  = c (6/5 + 2 Phi + Phi²) / L              k_vr  = c / 10
///   k_rr  = c L (2/15 + Phi/6 + Phi²/12)            k_rr' = -c L (1/30 + Phi/6 + Phi²/12)
/// ```
///
/// # Assumes
///
/// One axial force along the member (its mean stands for a force that varies). Left out: twisting under axial force, and
/// what bending moment, shear and torsion add. A single member between clamped ends cannot buckle by itself: see
/// [`super::split`].
///
/// # Source
///
/// Derived in `docs/mechanics.md` §2.9 and checked by quadrature beside this function; for `Phi = 0` the consistent matrix
/// of Przemieniecki (1968), ch. 15 \[from memory\]. Columns in `tests/frame_second_order.rs`.
pub fn stiffness(beam: &Beam, l_m: f64, tension_n: f64) -> Element {
    let mut k = [[0.0; 12]; 12];
    for ([v, r], i_m4, sign) in [([1, 5], beam.iz_m4, 1.0), ([2, 4], beam.iy_m4, -1.0)] {
        let phi = beam.shear_area_m2.map_or(0.0, |a| 12.0 * beam.e_pa * i_m4 / (beam.g_pa * a * l_m * l_m));
        let c = tension_n / ((1.0 + phi) * (1.0 + phi));
        let vv = c * (1.2 + 2.0 * phi + phi * phi) / l_m;
        let vr = sign * c / 10.0;
        let rr = c * l_m * (2.0 / 15.0 + phi / 6.0 + phi * phi / 12.0);
        let rs = -c * l_m * (1.0 / 30.0 + phi / 6.0 + phi * phi / 12.0);
        let d = [v, r, v + 6, r + 6];
        let m = [[vv, vr, -vv, vr], [vr, rr, -vr, rs], [-vv, -vr, vv, -vr], [vr, rs, -vr, rr]];
        for (a, row) in d.iter().zip(m) {
            for (b, value) in d.iter().zip(row) {
                k[*a][*b] += value;
            }
        }
    }
    k
}

/// For each straight piece of a strand its two ends and, for `T = 1`, `(I - t tᵀ) / length`: how a pull turns as the piece
/// turns.
fn pieces(strand: &Strand) -> impl Iterator<Item = (usize, [[f64; 3]; 3])> + '_ {
    strand.path.windows(2).enumerate().filter_map(|(index, w)| {
        let d = w[1].at - w[0].at;
        let t = d.try_normalize()?.to_array();
        let l = d.length();
        let square = |a: usize, b: usize| (f64::from(u8::from(a == b)) - t[a] * t[b]) / l;
        Some((index, core::array::from_fn(|a| core::array::from_fn(|b| square(a, b)))))
    })
}

impl Factored<'_> {
    /// Hands each part's geometric stiffness to `add`: sparse rows of its movements over the bodies' unknowns, and the
    /// matrix between them.
    pub(super) fn each_geometric(
        &self,
        stress: &Stress,
        mut add: impl FnMut(&[Vec<(usize, f64)>], &dyn Fn(usize, usize) -> f64),
    ) {
        let frame = self.frame;
        for (index, m) in frame.members.iter().enumerate() {
            let tension = stress.axial_n.get(index).copied().unwrap_or(0.0);
            if tension != 0.0 {
                let k = stiffness(&m.beam, frame.member_length(index), tension);
                add(&member_rows(frame, &self.bodies, index), &|i, j| k[i][j]);
            }
        }
        for (index, strand) in frame.strands.iter().enumerate() {
            let tension = stress.strand_n.get(index).copied().unwrap_or(0.0);
            if tension == 0.0 || self.lost.contains(&Lost::Strand(index)) {
                continue;
            }
            for (piece, k) in pieces(strand) {
                let end = |p: usize| match strand.path[p].node {
                    Some(node) => movement(&self.bodies, node, strand.path[p].at, &WORLD),
                    None => vec![Vec::new(); 3],
                };
                let (from, to) = (end(piece), end(piece + 1));
                let rows: Vec<Vec<(usize, f64)>> = (0..3)
                    .map(|d| to[d].iter().copied().chain(from[d].iter().map(|(c, v)| (*c, -v))).collect())
                    .collect();
                add(&rows, &|i, j| tension * k[i][j]);
            }
        }
        for (body, lever) in stress.lever_nm.iter().enumerate().take(self.bodies.origin.len()) {
            if *lever != [[0.0; 3]; 3] {
                let rows: Vec<Vec<(usize, f64)>> = (3..6).map(|d| vec![(body * 6 + d, 1.0)]).collect();
                add(&rows, &|i, j| lever[i][j]);
            }
        }
    }

    /// Geometric stiffness over the bodies' unknowns, row-major.
    pub(super) fn geometric_full(&self, stress: &Stress) -> Vec<f64> {
        let n = self.bodies.count();
        let mut a = Assembly { bodies: &self.bodies, n, k: vec![0.0; n * n] };
        self.each_geometric(stress, |rows, s| a.add(rows, s));
        a.k
    }

    /// `uᵀ Kg u` of a movement of the bodies.
    pub(super) fn geometric_work(&self, stress: &Stress, u: &[f64]) -> f64 {
        let mut sum = 0.0;
        self.each_geometric(stress, |rows, s| {
            let d: Vec<f64> = rows.iter().map(|r| r.iter().map(|(c, v)| u[*c] * v).sum()).collect();
            for (i, di) in d.iter().enumerate() {
                for (j, dj) in d.iter().enumerate() {
                    sum += di * s(i, j) * dj;
                }
            }
        });
        sum
    }
}

/// What a force `f` on a body at `r` from its origin adds to the stiffness of its turns, N m per rad.
///
/// A turn `t` carries the point by `t x r + t x (t x r) / 2`; the second part costs `-f . t x (t x r) / 2`, which is
/// `tᵀ S t / 2` with `S = (f . r) I - (f rᵀ + r fᵀ) / 2`. A weight on top of a body is negative in it, one that hangs positive.
pub(super) fn lever(f: DVec3, r: DVec3) -> [[f64; 3]; 3] {
    let (along, f, r) = (f.dot(r), f.to_array(), r.to_array());
    core::array::from_fn(|a| {
        core::array::from_fn(|b| {
            let diagonal = if a == b { along } else { 0.0 };
            diagonal - f64::midpoint(f[a] * r[b], r[a] * f[b])
        })
    })
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

    /// `v'` at `x` of the beam in x-y whose ends move by `d = [v_i r_i v_j r_j]`: `v` a cubic, `r = v' - V/GAs`,
    /// `V/GAs = -Phi L² v''' / 12`, its four coefficients from the four ends.
    fn slope(d: [f64; 4], l: f64, phi: f64, x: f64) -> f64 {
        // v = a + b x + c x² + e x³; r = v' + Phi L² e / 2.
        let a = d[0];
        let b_of = |e: f64| d[1] - phi * l * l * e / 2.0;
        // v(L) and r(L) give c and e: two equations.
        // c l² + e (l³ - phi l³/2) = v_j - a - r_i l;   2 c l + 3 e l² = r_j - r_i
        let (p, q) = (d[2] - a - d[1] * l, d[3] - d[1]);
        let e = (p - q * l / 2.0) / (l.powi(3) * (1.0 - phi / 2.0) - 1.5 * l.powi(3));
        let c = (q - 3.0 * e * l * l) / (2.0 * l);
        b_of(e) + 2.0 * c * x + 3.0 * e * x * x
    }

    #[test]
    fn it_is_the_work_of_the_tension_on_the_beams_own_cubic() {
        let (l, n) = (0.35, 12_500.0);
        let phi = 12.0 * BEAM.e_pa * BEAM.iz_m4 / (BEAM.g_pa * 2.8e-4 * l * l);
        assert!(phi > 0.1, "{phi}"); // shear counts
        let k = stiffness(&BEAM, l, n);
        let unit = |p: usize| core::array::from_fn(|q| if p == q { 1.0 } else { 0.0 });
        // Three-point Gauss: exact for the product of two quadratics.
        let g = 0.6_f64.sqrt();
        let points = [(-g, 5.0 / 9.0), (0.0, 8.0 / 9.0), (g, 5.0 / 9.0)];
        let place = [1, 5, 7, 11];
        for p in 0..4 {
            for q in 0..4 {
                let work: f64 = points
                    .iter()
                    .map(|(s, w)| {
                        let x = l * f64::midpoint(1.0, *s);
                        n * slope(unit(p), l, phi, x) * slope(unit(q), l, phi, x) * w * l / 2.0
                    })
                    .sum();
                let ours = k[place[p]][place[q]];
                assert!((ours - work).abs() < 1e-9 * n, "{p} {q}: {ours} {work}"); // rounding
            }
        }
    }

    #[test]
    fn moving_aside_costs_nothing_and_turning_as_a_whole_pulls_back() {
        let (l, n) = (0.7, 900.0);
        let k = stiffness(&BEAM, l, n);
        for sideways in [1, 2] {
            for row in k {
                assert!((row[sideways] + row[sideways + 6]).abs() < 1e-9);
            }
        }
        // A rigid turn about z: each end is pushed back by N a rad.
        let mut u = [0.0; 12];
        (u[5], u[7], u[11]) = (1.0, l, 1.0);
        let f: [f64; 12] = core::array::from_fn(|i| k[i].iter().zip(u).map(|(a, b)| a * b).sum());
        assert!(
            (f[7] - n).abs() < 1e-9 && (f[1] + n).abs() < 1e-9 && f[5].abs() < 1e-9 && f[11].abs() < 1e-9
        );
    }

    #[test]
    fn a_taut_piece_pulls_back_across_itself_and_not_along() {
        let ends = [DVec3::ZERO, DVec3::new(0.6, 0.0, 0.8) * 2.5];
        let path = ends.map(|at| super::super::model::StrandPoint { at, node: None }).to_vec();
        let strand = Strand { path, k_n_per_m: 0.0, pretension_n: 0.0 };
        let found: Vec<_> = pieces(&strand).collect();
        let [(0, k)] = found[..] else { panic!("{found:?}") };
        let times = |v: [f64; 3]| k.map(|row| row.iter().zip(v).map(|(a, b)| a * b).sum::<f64>());
        assert!(times([0.6, 0.0, 0.8]).iter().all(|f| f.abs() < 1e-15));
        for across in [[0.0, 1.0, 0.0], [-0.8, 0.0, 0.6]] {
            assert!(times(across).iter().zip(across).all(|(f, v)| (f - v / 2.5).abs() < 1e-15));
        }
    }

    #[test]
    fn a_weight_on_top_tips_and_one_that_hangs_rights() {
        let on_top = lever(DVec3::NEG_Z * 10.0, DVec3::Z * 2.0);
        assert_eq!(on_top, [[-20.0, 0.0, 0.0], [0.0, -20.0, 0.0], [0.0, 0.0, 0.0]]);
        assert!(lever(DVec3::NEG_Z * 10.0, DVec3::NEG_Z * 2.0)[0][0] > 19.0);
    }
}
