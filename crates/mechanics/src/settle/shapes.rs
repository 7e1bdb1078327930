//! The three models of a free swing: viscous, dry friction, both.

use super::project::{LINEAR, Shape};

/// `y = b + d t + e^(-s t) (a C + c S)`, `C = cos(sqrt(q) t)`, `S = sin(sqrt(q) t) / sqrt(q)`; unknowns `[s, q]`.
///
/// With `s = zeta w_n` and `q = w_n² - s²` this is the free motion of one mass with spring and damper for any damping: `q` passes
/// through zero without a jump, and below zero the two functions become `cosh` and `sinh` (critical and over-damped). An
/// angle, its rate and its acceleration all have this form, so one model serves every signal.
///
/// Source: Rao, *Mechanical Vibrations*, section 2.6 [from memory]. `docs/mechanics.md` §15.3. Checked by
/// `slopes_are_those_of_the_model`.
pub(super) struct Viscous;

/// `e^(-s t) C` and `e^(-s t) S`, and what `C` and `S` become by a change of `q`, both times `e^(-s t)`.
fn pair(s: f64, q: f64, t: f64) -> [f64; 4] {
    let x = q * t * t;
    if x.abs() < 1e-3 {
        // Series: the quotients lose all their digits near q = 0. The terms left out are below 1e-12.
        let e = (-s * t).exp();
        let c = 1.0 - x / 2.0 + x * x / 24.0 - x.powi(3) / 720.0;
        let r = t * (1.0 - x / 6.0 + x * x / 120.0 - x.powi(3) / 5040.0);
        let r_q = t.powi(3) * (-1.0 / 6.0 + x / 60.0 - x * x / 1680.0 + x.powi(3) / 90_720.0);
        return [e * c, e * r, -0.5 * t * e * r, e * r_q];
    }
    let (c, r) = if q > 0.0 {
        let (w, e) = (q.sqrt(), (-s * t).exp());
        (e * (w * t).cos(), e * (w * t).sin() / w)
    } else {
        // e^(-s t) cosh(k t) as a sum of exponentials: neither factor may overflow by itself.
        let k = (-q).sqrt();
        let (slow, quick) = (((k - s) * t).exp(), (-(k + s) * t).exp());
        (0.5 * (slow + quick), 0.5 * (slow - quick) / k)
    };
    [c, r, -0.5 * t * r, (t * c - r) / (2.0 * q)]
}

impl Shape<2> for Viscous {
    fn basis(&self, &[s, q]: &[f64; 2], t: f64) -> [f64; LINEAR] {
        let [c, r, ..] = pair(s, q, t);
        [1.0, t, c, r]
    }

    fn slopes(&self, &[s, q]: &[f64; 2], linear: &[f64; LINEAR], t: f64) -> [f64; 2] {
        let [c, r, c_q, r_q] = pair(s, q, t);
        let [_, _, a, b] = *linear;
        [-t * (a * c + b * r), a * c_q + b * r_q]
    }

    fn allowed(&self, &[s, q]: &[f64; 2]) -> bool {
        s.is_finite() && q.is_finite() && (-3.0..40.0).contains(&s) && (-1600.0..100.0).contains(&q)
    }
}

/// `y = b + d t + A(t) (a cos w t + c sin w t)`, `A = max(0, e^(-s t) - k (1 - e^(-s t)) / s)`; unknowns `[s, w, k]`.
///
/// Averaged over a cycle, dry friction takes the same length off the swing in each (`4 mu N / k_spring`), viscous damping the same share:
/// `A' = -s A - k`. With `s = 0` the envelope is a straight line, with `k = 0` an exponential.
///
/// Source: Rao, *Mechanical Vibrations*, section 2.9 (Coulomb damping) [from memory]; the sum of both from averaging (Krylov and
/// Bogoliubov) [from memory], derived in `docs/mechanics.md` §15.6. Checked by `an_exact_dry_friction_swing_is_told_as_one`
/// in `tests/settle.rs`.
pub(super) struct Both;

/// The envelope and its slopes by `s` and `k`.
fn envelope(s: f64, k: f64, t: f64) -> [f64; 3] {
    let e = (-s * t).exp();
    // (1 - e^(-st)) / s, and its slope by s.
    let (lost, lost_s) = if (s * t).abs() < 1e-4 {
        (t - 0.5 * s * t * t + s * s * t.powi(3) / 6.0, -0.5 * t * t + s * t.powi(3) / 3.0)
    } else {
        let lost = -(-s * t).exp_m1() / s;
        (lost, (t * e - lost) / s)
    };
    let height = e - k * lost;
    if height > 0.0 { [height, -t * e - k * lost_s, -lost] } else { [0.0; 3] }
}

impl Both {
    /// Size of the swing at a time, as a share of that at time zero.
    pub(super) fn height(s: f64, k: f64, t: f64) -> f64 {
        envelope(s, k, t)[0]
    }
}

impl Shape<3> for Both {
    fn basis(&self, &[s, w, k]: &[f64; 3], t: f64) -> [f64; LINEAR] {
        let (height, (sin, cos)) = (envelope(s, k, t)[0], (w * t).sin_cos());
        [1.0, t, height * cos, height * sin]
    }

    fn slopes(&self, &[s, w, k]: &[f64; 3], linear: &[f64; LINEAR], t: f64) -> [f64; 3] {
        let ([height, by_s, by_k], (sin, cos)) = (envelope(s, k, t), (w * t).sin_cos());
        let [_, _, a, b] = *linear;
        let swing = a * cos + b * sin;
        [by_s * swing, height * t * (b * cos - a * sin), by_k * swing]
    }

    fn allowed(&self, &[s, w, k]: &[f64; 3]) -> bool {
        (-0.5..20.0).contains(&s) && (1e-3..10.0).contains(&w) && (-1.0..10.0).contains(&k)
    }
}

/// [`Both`] without the viscous part; unknowns `[w, k]`.
pub(super) struct Dry;

impl Shape<2> for Dry {
    fn basis(&self, &[w, k]: &[f64; 2], t: f64) -> [f64; LINEAR] {
        Both.basis(&[0.0, w, k], t)
    }

    fn slopes(&self, &[w, k]: &[f64; 2], linear: &[f64; LINEAR], t: f64) -> [f64; 2] {
        let [_, by_w, by_k] = Both.slopes(&[0.0, w, k], linear, t);
        [by_w, by_k]
    }

    fn allowed(&self, &[w, k]: &[f64; 2]) -> bool {
        Both.allowed(&[0.0, w, k])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIN: [f64; 4] = [0.3, -0.02, 1.4, -0.7];

    fn check<const P: usize>(shape: &impl Shape<P>, p: [f64; P], t: f64) {
        let value = |p: &[f64; P]| -> f64 { shape.basis(p, t).iter().zip(LIN).map(|(b, l)| b * l).sum() };
        for (i, slope) in shape.slopes(&p, &LIN, t).into_iter().enumerate() {
            let (mut up, mut down) = (p, p);
            let h = 1e-5;
            up[i] += h;
            down[i] -= h;
            let by_difference = (value(&up) - value(&down)) / (2.0 * h);
            // Central differences: h² and rounding over h.
            assert!(
                (slope - by_difference).abs() < 1e-7 * (1.0 + slope.abs()),
                "{p:?} {t} {i}: {slope} {by_difference}"
            );
        }
    }

    #[test]
    fn slopes_are_those_of_the_model() {
        for t in [0.01, 0.4, 3.0] {
            for q in [1.0, 0.2, 1e-5, 0.0, -1e-5, -0.04, -0.5] {
                check(&Viscous, [0.3, q], t);
            }
            for k in [0.0, 0.05, 0.2] {
                check(&Both, [0.1, 1.1, k], t);
                check(&Both, [1e-6, 1.1, k], t);
                check(&Dry, [0.9, k], t);
            }
        }
    }

    #[test]
    fn the_three_damping_cases_join() {
        // Near q = 0 the three branches must give one value: to 1e-6 of q, and what the series leaves out.
        let at = |q: f64| Viscous.basis(&[0.5, q], 2.0);
        for (a, b) in at(1e-7).into_iter().zip(at(-1e-7)) {
            assert!((a - b).abs() < 1e-6, "{a} {b}");
        }
        let (inside, outside) = (at(0.000_249_9), at(0.000_250_1));
        for (a, b) in inside.into_iter().zip(outside) {
            assert!((a - b).abs() < 1e-5, "{a} {b}");
        }
    }
}
