//! Fixed points of a few numbers by steps that learn from the ones before.

use faer::Mat;
use faer::linalg::solvers::Solve;

/// Steps that are remembered.
const MEMORY: usize = 5;
/// Share of the largest squared change that is added so that changes that cannot be told apart do no harm.
const RIDGE: f64 = 1e-12;

/// Looks for `s = g(s)`: after each step the mix of the last steps that would have left the least rest is gone on from.
///
/// Where `g` is nearly straight that is what a solved linear system would give, so a rest that hardly shrinks by plain
/// repetition (a rig that slides until a soft strap catches it) is gone in a few steps.
///
/// # Source
///
/// Anderson, "Iterative procedures for nonlinear integral equations", 1965; Walker and Ni 2011 \[both from memory\].
#[derive(Default)]
pub(super) struct Mixing {
    /// Each step: where it stood, and what was left, `g(s) - s`.
    steps: Vec<(Vec<f64>, Vec<f64>)>,
}

impl Mixing {
    /// Where to look next, from a place and what `g` makes of it.
    pub(super) fn next(&mut self, s: &[f64], g: &[f64]) -> Vec<f64> {
        let rest: Vec<f64> = g.iter().zip(s).map(|(g, s)| g - s).collect();
        self.steps.push((s.to_vec(), rest.clone()));
        if self.steps.len() > MEMORY.min(s.len()) + 1 {
            self.steps.remove(0);
        }
        let changes: Vec<(Vec<f64>, Vec<f64>)> = self
            .steps
            .windows(2)
            .filter_map(|pair| match pair {
                [a, b] => {
                    let of = |x: &[f64], y: &[f64]| x.iter().zip(y).map(|(x, y)| y - x).collect::<Vec<_>>();
                    Some((of(&a.0, &b.0), of(&a.1, &b.1)))
                }
                _ => None,
            })
            .collect();
        if changes.is_empty() {
            return g.to_vec();
        }
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let m = changes.len();
        let largest = changes.iter().map(|c| dot(&c.1, &c.1)).fold(0.0, f64::max);
        let a = Mat::from_fn(m, m, |i, j| {
            dot(&changes[i].1, &changes[j].1) + if i == j { RIDGE * largest } else { 0.0 }
        });
        let b = Mat::from_fn(m, 1, |i, _| dot(&changes[i].1, &rest));
        let share = a.partial_piv_lu().solve(&b);
        let mut out = g.to_vec();
        for (k, (place, left)) in changes.iter().enumerate() {
            for ((o, p), l) in out.iter_mut().zip(place).zip(left) {
                *o -= share[(k, 0)] * (p + l);
            }
        }
        if out.iter().all(|v| v.is_finite()) { out } else { g.to_vec() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slow_straight_line_is_solved_at_once() {
        // s = A s + b with shares of 0.999 and -0.9: plain repetition needs thousands of steps.
        let g = |s: &[f64]| vec![0.999 * s[0] + 0.1 * s[1] + 1.0, -0.9 * s[1] + 3.8];
        let (mut s, mut mixing) = (vec![0.0, 0.0], Mixing::default());
        for _ in 0..8 {
            s = mixing.next(&s, &g(&s));
        }
        // s1 = 2, s0 = 1.2 / 0.001.
        assert!((s[1] - 2.0).abs() < 1e-6 && (s[0] - 1200.0).abs() < 1e-3, "{s:?}");
    }
}
