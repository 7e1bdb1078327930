//! Modes of a frame whose supports are shaken together (`docs/mechanics.md` §14.5).

use super::assemble::expand;
use super::bodies::node_movement;
use super::error::SolveError;
use super::factor::Factored;
use super::model::FrameError;
use crate::shaking::carry::ShakenMode;
use glam::DVec3;

impl Factored<'_> {
    /// The lowest modes up to `highest_hz`, as seen at a node and as driven by the supports' six movements about a point.
    ///
    /// The supports, and what straps run over outside the rig, move as one stiff body; `about` is where its movement is read.
    ///
    /// # Errors
    ///
    /// [`SolveError::Frame`] for a node that is not there, [`SolveError::Residual`] where the eigenvalues cannot be found.
    pub fn shaken_modes(
        &self,
        highest_hz: f64,
        node: usize,
        about: DVec3,
    ) -> Result<Vec<ShakenMode>, SolveError> {
        if node >= self.frame.nodes.len() || !about.is_finite() {
            return Err(FrameError::BadNumber.into());
        }
        let full = self.bodies.count();
        // M r for the six stiff movements, over all bodies and then over what is independent.
        let mass = self.full_mass();
        let pulls: Vec<Vec<f64>> = (0..6)
            .map(|axis| {
                let r = self.stiff(axis, about);
                let loaded: Vec<f64> = (0..full)
                    .map(|i| mass.iter().skip(i * full).take(full).zip(&r).map(|(m, r)| m * r).sum())
                    .collect();
                self.contract(&loaded)
            })
            .collect();
        let mut out = Vec::new();
        for (frequency_hz, q) in self.unit_modes(self.unknowns())? {
            if frequency_hz > highest_hz {
                break;
            }
            let u = expand(self.elimination.as_ref(), full, &q);
            let (slide, turn) = node_movement(self.frame, &self.bodies, &u, node);
            let mut pull = [0.0; 6];
            for (p, row) in pull.iter_mut().zip(&pulls) {
                *p = row.iter().zip(&q).map(|(a, b)| a * b).sum();
            }
            let shape = [slide.x, slide.y, slide.z, turn.x, turn.y, turn.z];
            out.push(ShakenMode { frequency_hz, shape, pull });
        }
        Ok(out)
    }

    /// All bodies gone along with a stiff movement: a slide along axis 0 to 2, a turn about 3 to 5, each of 1.
    fn stiff(&self, axis: usize, about: DVec3) -> Vec<f64> {
        let unit = |k: usize| if axis % 3 == k { 1.0 } else { 0.0 };
        let d = DVec3::new(unit(0), unit(1), unit(2));
        let (slide, turn) = if axis < 3 { (d, DVec3::ZERO) } else { (DVec3::ZERO, d) };
        self.bodies
            .origin
            .iter()
            .flat_map(|o| {
                let u = slide + turn.cross(*o - about);
                [u.x, u.y, u.z, turn.x, turn.y, turn.z]
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use crate::frame::{Beam, Frame, Joint, JointKind, Member, PointMass, Support};
    use crate::shaking::c64;
    use crate::shaking::carry::{at_point, through_modes};
    use glam::DVec3;

    fn tube() -> Beam {
        Beam {
            e_pa: 70e9,
            g_pa: 26e9,
            area_m2: 5.6e-4,
            iy_m4: 1.4e-7,
            iz_m4: 1.4e-7,
            j_m4: 2.8e-7,
            shear_area_m2: None,
            density_kg_m3: 2700.0,
        }
    }

    /// A post on six springs with a mass off its axis, and a node that watches it.
    fn post() -> (Frame, usize) {
        let mut f = Frame::default();
        let foot = f.node(DVec3::new(0.2, 0.1, 0.0));
        let mid = f.node(DVec3::new(0.2, 0.1, 0.4));
        let top = f.node(DVec3::new(0.2, 0.1, 0.8));
        f.members.push(Member { i: foot, j: mid, beam: tube(), up: DVec3::X });
        f.members.push(Member { i: mid, j: top, beam: tube(), up: DVec3::X });
        let k = [2e5, 1e5, 4e5, 2e3, 3e3, 1e3];
        f.supports.push(Support { node: foot, axes: [DVec3::X, DVec3::Y, DVec3::Z], k });
        f.masses.push(PointMass { node: top, mass_kg: 6.0, at: DVec3::new(0.3, 0.15, 0.9) });
        f.masses.push(PointMass { node: top, mass_kg: 2.0, at: DVec3::new(0.1, -0.2, 0.8) });
        let eye = f.node(DVec3::new(0.35, 0.2, 0.95));
        f.joints.push(Joint { a: top, b: eye, kind: JointKind::Rigid });
        (f, eye)
    }

    #[test]
    fn enough_modes_are_the_whole_answer() {
        // Far over every mode the masses stand still: with all modes the movement of a node on a mass's body goes to nothing. Here
        // the whole structure has mass in all movements, so Σ φ φᵀ M r = r exactly.
        let (f, eye) = post();
        let factored = f.factor(&[]).unwrap();
        let about = DVec3::new(-1.0, 0.3, -0.5);
        let modes = factored.shaken_modes(f64::INFINITY, eye, about).unwrap();
        for axis in 0..6 {
            let mut base = [c64::new(0.0, 0.0); 6];
            base[axis] = c64::new(1.0, 0.0);
            let stiff = at_point(&base, f.nodes[eye] - about);
            let sum: [f64; 6] =
                std::array::from_fn(|i| modes.iter().map(|m| m.shape[i] * m.pull[axis]).sum::<f64>());
            for (s, r) in sum.iter().zip(stiff) {
                // Products of eigenvectors: rounding times the spread of the modes.
                assert!((s - r.re).abs() < 1e-6, "axis {axis}: {sum:?}");
            }
            // Far under every mode it goes along stiffly.
            let slow = through_modes(&modes, 0.05, &base, f.nodes[eye] - about, 1e-3);
            assert!(slow.iter().zip(stiff).all(|(a, b)| (a - b).norm() < 1e-6));
        }
        // Pulls squared add up to the mass (all modes): 8 kg and the tube.
        let total: f64 = modes.iter().map(|m| m.pull[2].powi(2)).sum();
        assert!((total / f.mass() - 1.0).abs() < 1e-9, "{total} {}", f.mass());
    }

    #[test]
    fn the_frequencies_are_those_of_the_free_modes() {
        let (f, eye) = post();
        let factored = f.factor(&[]).unwrap();
        let plain = factored.modes(5).unwrap();
        let shaken = factored.shaken_modes(f64::INFINITY, eye, DVec3::ZERO).unwrap();
        for (a, b) in plain.iter().zip(&shaken) {
            assert!((a.frequency_hz / b.frequency_hz - 1.0).abs() < 1e-12);
        }
        let high = plain[2].frequency_hz * 1.01;
        assert_eq!(factored.shaken_modes(high, eye, DVec3::ZERO).unwrap().len(), 3);
        assert!(factored.shaken_modes(1e3, 99, DVec3::ZERO).is_err());
        assert!(factored.shaken_modes(1e3, eye, DVec3::NAN).is_err());
    }

    #[test]
    fn a_held_turn_of_the_foot_bends_the_post_as_its_mass_does() {
        // Quasi-static: x = K⁻¹ M r b ω² at low frequency, the answer to the load -M r b''. A slide of the base by 1 m at ω is a
        // specific force of ω² on every mass.
        let (f, eye) = post();
        let factored = f.factor(&[]).unwrap();
        let modes = factored.shaken_modes(f64::INFINITY, eye, DVec3::ZERO).unwrap();
        let at_hz = 0.02;
        let w2 = (std::f64::consts::TAU * at_hz).powi(2);
        for (axis, d) in [(0, DVec3::X), (1, DVec3::Y), (2, DVec3::Z)] {
            let mut base = [c64::new(0.0, 0.0); 6];
            base[axis] = c64::new(1.0, 0.0);
            let moved = through_modes(&modes, 0.0, &base, f.nodes[eye], at_hz);
            let load = crate::frame::Load { specific_force: d * w2, ..crate::frame::Load::default() };
            let s = factored.solve(&[load]).unwrap();
            let (slide, turn) = s.node(0, eye);
            let against = at_point(&base, f.nodes[eye]);
            let statics = [slide.x, slide.y, slide.z, turn.x, turn.y, turn.z];
            for i in 0..6 {
                let own = (moved[i] - against[i]).re;
                // First term of a series in (f/f_1)², under 1e-5.
                assert!((own - statics[i]).abs() < 1e-4 * slide.length().max(turn.length()), "{axis} {i}");
            }
        }
    }
}
