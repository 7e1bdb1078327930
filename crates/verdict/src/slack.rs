//! Straps only pull: where the linear answer would have one push, it hangs slack instead, exactly.
//!
//! A strap that is slack by a length `s` has the tension `T = T_linear + A k s = 0`, one that is taut has `s = 0`:
//! `T >= 0, s >= 0, T s = 0`. `A` comes from the columns of the fitted tensions (a slack length acts like fitting `k s` more).
//! Each row of `A` divided by its strap's stiffness makes a symmetric, positive definite matrix, and the problem is as small as
//! the number of straps, so projected Gauss-Seidel (which does not see the scale of a row) settles it (Cottle, Pang and Stone, *The Linear Complementarity Problem*, ch. 5 \[from memory\]).

use crate::context::Context;
use crate::responses::Responses;
use faer::linalg::solvers::Solve;

/// A tension this far under zero, N, is rounding, not slack.
const TAUT_TOL_N: f64 = 1e-7;
/// Sweeps before giving up; a handful is usual.
const SWEEPS: usize = 2_000;

/// Rows and columns of the straps of one failure.
pub(crate) struct Straps {
    /// Row of each strand's tension, in strand order.
    pub(crate) rows: Vec<usize>,
    /// `A`: change of tension of one per N fitted to another, row-major.
    a: Vec<f64>,
}

impl Straps {
    /// Of a failure's responses.
    pub(crate) fn of(ctx: &Context<'_>, r: &Responses) -> Self {
        let rows: Vec<usize> = ctx.layout.strap.iter().flatten().copied().collect();
        let a = rows
            .iter()
            .flat_map(|row| (0..rows.len()).map(|j| r.row(*row)[ctx.columns.strand(j)]).collect::<Vec<_>>())
            .collect();
        Self { rows, a }
    }

    /// What to fit besides to each strand so that none pushes: `k s`, N; `None` where all are taut.
    ///
    /// Whatever is left of a push after the last sweep is returned as not-a-number: a lost number never passes a check.
    pub(crate) fn besides(&self, linear: &[f64]) -> Option<Vec<f64>> {
        if linear.iter().all(|t| *t >= -TAUT_TOL_N) {
            return None;
        }
        let n = self.rows.len();
        let mut p = vec![0.0; n];
        let tension = |p: &[f64], i: usize| {
            linear[i] + self.a[i * n..(i + 1) * n].iter().zip(p).map(|(a, p)| a * p).sum::<f64>()
        };
        for _ in 0..SWEEPS {
            let mut change = 0.0_f64;
            for i in 0..n {
                let diagonal = self.a[i * n + i];
                if diagonal <= 1e-12 {
                    continue; // lost: it does nothing
                }
                let next = (p[i] - tension(&p, i) / diagonal).max(0.0);
                change = change.max((next - p[i]).abs());
                p[i] = next;
            }
            if change < TAUT_TOL_N / 10.0 {
                return Some(p);
            }
        }
        Some(vec![f64::NAN; n])
    }
}

/// What each ratchet takes up, N, so that the straps have their stated tensions once all are fitted: `A p = T0`.
///
/// A strap lets go of tension as the rig gives under it and its neighbours; the tension that a person reads is the one
/// that is left. Where `A` has no inverse (straps that cannot be told apart) the stated tensions stand as they are.
pub(crate) fn taken_up(ctx: &Context<'_>, r: &Responses) -> Vec<f64> {
    let stated: Vec<f64> = ctx.structure.frame.strands.iter().map(|s| s.pretension_n).collect();
    let straps = Straps::of(ctx, r);
    let n = stated.len();
    if n == 0 {
        return stated;
    }
    let a = faer::Mat::from_fn(n, n, |i, j| straps.a[i * n + j]);
    let t0 = faer::Mat::from_fn(n, 1, |i, _| stated[i]);
    let p = a.partial_piv_lu().solve(&t0);
    let p: Vec<f64> = (0..n).map(|i| p[(i, 0)]).collect();
    let largest = stated.iter().fold(0.0_f64, |a, b| a.max(*b));
    let exact = straps.rows.iter().enumerate().all(|(i, _)| {
        let t: f64 = (0..n).map(|j| straps.a[i * n + j] * p[j]).sum();
        (t - stated[i]).abs() <= 1e-6 * largest.max(1.0)
    });
    if exact { p } else { stated }
}

/// Fits to `u` what slack straps need.
pub(crate) fn settle(ctx: &Context<'_>, r: &Responses, u: &mut [f64]) {
    let straps = Straps::of(ctx, r);
    let linear: Vec<f64> =
        straps.rows.iter().map(|row| r.row(*row).iter().zip(u.iter()).map(|(a, b)| a * b).sum()).collect();
    if let Some(p) = straps.besides(&linear) {
        for (strand, p) in p.iter().enumerate() {
            u[ctx.columns.strand(strand)] += p;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_straps_that_work_against_each_other() {
        // Symmetric A; the linear answer has the first push 40 N.
        let s = Straps { rows: vec![0, 1], a: vec![0.8, -0.3, -0.3, 0.9] };
        let p = s.besides(&[-40.0, 300.0]).unwrap();
        assert!((p[0] - 50.0).abs() < 1e-6 && p[1] == 0.0);
        // The other loses 15 N of tension by it, and stays taut.
        assert!((300.0 - 0.3 * p[0] - 285.0).abs() < 1e-6);
        assert!(s.besides(&[0.0, 5.0]).is_none());
    }

    #[test]
    fn one_that_goes_slack_can_pull_the_next_slack() {
        let s = Straps { rows: vec![0, 1], a: vec![0.8, -0.3, -0.3, 0.9] };
        let p = s.besides(&[-40.0, 10.0]).unwrap();
        for i in 0..2 {
            let t = [-40.0, 10.0][i] + s.a[i * 2] * p[0] + s.a[i * 2 + 1] * p[1];
            assert!(t.abs() < 1e-6 && p[i] > 0.0);
        }
    }
}
