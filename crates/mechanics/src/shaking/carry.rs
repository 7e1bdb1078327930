//! A movement carried from one place to another: along a stiff body, and through a structure with modes of its own.

use super::{Movement, c64};
use glam::DVec3;

/// One mode of a structure whose supports are shaken together.
///
/// Scaled so that the mode's mass is 1 kg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShakenMode {
    /// Natural frequency, Hz.
    pub frequency_hz: f64,
    /// Movement of the watched node: slides (1/√kg) and turns.
    pub shape: [f64; 6],
    /// How much each movement of the supports drives it, `φᵀ M r` (√kg, √kg m).
    pub pull: [f64; 6],
}

/// The same movement read at another point of a stiff body: `u + θ × r`.
///
/// `docs/mechanics.md` §14.5.
pub fn at_point(m: &Movement, arm: DVec3) -> Movement {
    let [x, y, z, a, b, c] = *m;
    [x + b * arm.z - c * arm.y, y + c * arm.x - a * arm.z, z + a * arm.y - b * arm.x, a, b, c]
}

/// Components along other axes (unit vectors, right-handed).
pub fn into_axes(m: &Movement, axes: &[DVec3; 3]) -> Movement {
    let part = |o: usize, d: DVec3| m[o] * d.x + m[o + 1] * d.y + m[o + 2] * d.z;
    let [i, j, k] = *axes;
    [part(0, i), part(0, j), part(0, k), part(3, i), part(3, j), part(3, k)]
}

/// Back from components along `axes`.
pub fn out_of_axes(m: &Movement, axes: &[DVec3; 3]) -> Movement {
    let [i, j, k] = *axes;
    // The turned axes as these see them: columns for rows.
    let seen = [DVec3::new(i.x, j.x, k.x), DVec3::new(i.y, j.y, k.y), DVec3::new(i.z, j.z, k.z)];
    into_axes(m, &seen)
}

/// Movement of the watched node of a structure whose supports all move with a stiff body.
///
/// ```text
/// M x'' + C x' + K x = -M r b''          x: against the body, b: the body's six movements, r: the structure gone along stiffly
/// x = Σ φ_i η_i,  φᵀ M φ = 1             η_i = (φ_iᵀ M r b) ω² / (ω_i² - ω² + 2iζ ω_i ω)
/// node = r_node b + Σ φ_i,node η_i
/// ```
///
/// `base` is the body's movement at the point that the modes were asked about, `arm` runs from there to the node.
///
/// # Assumes
///
/// Linear; one damping ratio for all modes; modes that are left out (far over the band) count as stiff.
///
/// # Source
///
/// R. W. Clough and J. Penzien, *Dynamics of Structures*, support excitation, §26 [from memory]. `docs/mechanics.md` §14.5. Checked
/// by `one_mass_on_one_spring_is_the_oscillator` and `enough_modes_are_the_whole_answer`.
pub fn through_modes(
    modes: &[ShakenMode],
    damping: f64,
    base: &Movement,
    arm: DVec3,
    at_hz: f64,
) -> Movement {
    let mut out = at_point(base, arm);
    for mode in modes {
        let r = at_hz / mode.frequency_hz;
        let drive: c64 = mode.pull.iter().zip(base).map(|(p, b)| *b * *p).sum();
        let eta = drive * (r * r) / c64::new(1.0 - r * r, 2.0 * damping * r);
        for (o, s) in out.iter_mut().zip(mode.shape) {
            *o += eta * s;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaking::oscillator::Oscillator;
    use proptest::prelude::*;

    fn some(v: [f64; 12]) -> Movement {
        std::array::from_fn(|i| c64::new(v[i], v[i + 6]))
    }

    #[test]
    fn one_mass_on_one_spring_is_the_oscillator() {
        // 4 kg: φ = 1/√4, φᵀ M r = √4.
        let mode = ShakenMode {
            frequency_hz: 3.0,
            shape: [0.0, 0.0, 0.5, 0.0, 0.0, 0.0],
            pull: [0.0, 0.0, 2.0, 0.0, 0.0, 0.0],
        };
        let o = Oscillator::new(3.0, 0.1).unwrap();
        let mut base = [c64::new(0.0, 0.0); 6];
        base[2] = c64::new(0.2, -0.1);
        for f in [0.1, 2.9, 3.0, 4.3, 40.0] {
            let m = through_modes(&[mode], 0.1, &base, DVec3::ZERO, f);
            assert!((m[2] - base[2] * o.through(f)).norm() < 1e-12, "{f}");
        }
        // Without modes it is the stiff body.
        assert_eq!(through_modes(&[], 0.1, &base, DVec3::X, 5.0), at_point(&base, DVec3::X));
    }

    proptest! {
        #[test]
        fn going_there_and_back_changes_nothing(v in proptest::array::uniform12(-1.0..1.0f64), turn in -3.0..3.0f64) {
            let m = some(v);
            let arm = DVec3::new(0.3, -0.7, turn);
            let back = at_point(&at_point(&m, arm), -arm);
            let axes = [
                DVec3::new(turn.cos(), turn.sin(), 0.0),
                DVec3::new(-turn.sin(), turn.cos(), 0.0),
                DVec3::Z,
            ];
            let turned = out_of_axes(&into_axes(&m, &axes), &axes);
            for ((a, b), c) in m.iter().zip(back).zip(turned) {
                prop_assert!((a - b).norm() < 1e-12 && (a - c).norm() < 1e-12);
            }
            // u + θ × r, as glam has it.
            let re = |o: usize| DVec3::new(m[o].re, m[o + 1].re, m[o + 2].re);
            let u = re(0) + re(3).cross(arm);
            let p = at_point(&m, arm);
            prop_assert!((DVec3::new(p[0].re, p[1].re, p[2].re) - u).length() < 1e-12);
        }
    }
}
