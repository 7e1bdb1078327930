//! Straps only pull: where the linear answer would have one push, it hangs slack instead, exactly.
//!
//! A strap that is slack by a length `s` has the tension `T = T_linear + A k s = 0`, one that is taut has `s = 0`:
//! `T >= 0, s >= 0, T s = 0`. `A` comes from the columns of the fitted tensions (a slack length acts like fitting `k s` more).
//! Each row of `A` divided by its strap's stiffness makes a symmetric, positive definite matrix, so there is one answer
//! (Cottle, Pang and Stone, *The Linear Complementarity Problem*, ch. 3 \[from memory\]). It is known once it is known
//! which straps are slack: a guess is mended until it holds, and where guesses go round in circles one strap at a time is
//! changed, the first that is wrong (Murty's rule, which ends for such a matrix; ch. 4).

use crate::context::Context;
use crate::responses::Responses;
use faer::linalg::solvers::Solve;

/// A tension this far under zero, N, is rounding, not slack.
pub(crate) const TAUT_TOL_N: f64 = 1e-7;
/// Guesses in which all that is wrong is changed at once; a handful is usual.
const QUICK: usize = 20;
/// Guesses in which one strap is changed.
const PATIENT: usize = 20_000;

/// Which straps hang slack: one bit a strand.
pub(crate) type SlackSet = u128;
/// No answer was found: the numbers are lost, and a lost number never passes a check.
pub(crate) const UNKNOWN: SlackSet = SlackSet::MAX;

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

    /// Strands of a set.
    pub(crate) fn members(&self, set: SlackSet) -> Vec<usize> {
        (0..self.rows.len().min(127)).filter(|i| set >> i & 1 == 1).collect()
    }

    /// `A p = -linear` over the strands of a set: what to fit besides to each of them so that its tension is none.
    ///
    /// `columns` right-hand sides at once, row-major; not numbers where the rows cannot be told apart.
    pub(crate) fn fit(&self, members: &[usize], linear: &[f64], columns: usize) -> Vec<f64> {
        let (n, m) = (self.rows.len(), members.len());
        let mut a: Vec<f64> =
            members.iter().flat_map(|i| members.iter().map(move |j| self.a[i * n + j])).collect();
        let mut p: Vec<f64> = linear.iter().map(|v| -v).collect();
        for k in 0..m {
            let pivot = a[k * m + k];
            let told_apart = pivot > 1e-12;
            if !told_apart {
                return vec![f64::NAN; p.len()];
            }
            for i in k + 1..m {
                let factor = a[i * m + k] / pivot;
                for j in k..m {
                    a[i * m + j] -= factor * a[k * m + j];
                }
                for c in 0..columns {
                    p[i * columns + c] -= factor * p[k * columns + c];
                }
            }
        }
        for k in (0..m).rev() {
            for c in 0..columns {
                let known: f64 = (k + 1..m).map(|j| a[k * m + j] * p[j * columns + c]).sum();
                p[k * columns + c] = (p[k * columns + c] - known) / a[k * m + k];
            }
        }
        p
    }

    /// Which straps hang slack where the linear tensions are these: none where all are taut.
    pub(crate) fn slack(&self, linear: &[f64]) -> SlackSet {
        let n = self.rows.len();
        if linear.iter().all(|t| *t >= -TAUT_TOL_N) {
            return 0;
        }
        if n >= 127 || !linear.iter().all(|t| t.is_finite()) {
            return UNKNOWN;
        }
        let mut set: SlackSet = (0..n).filter(|i| linear[*i] < -TAUT_TOL_N).fold(0, |s, i| s | 1 << i);
        for guess in 0..QUICK + PATIENT {
            let p = self.fitted(set, linear);
            let wrong = |i: &usize| {
                if set >> i & 1 == 1 {
                    p[*i] < 0.0 || p[*i].is_nan()
                } else {
                    let t: f64 = linear[*i] + (0..n).map(|j| self.a[i * n + j] * p[j]).sum::<f64>();
                    t < -TAUT_TOL_N || t.is_nan()
                }
            };
            let at_once = if guess < QUICK { n } else { 1 };
            let change = (0..n).filter(wrong).take(at_once).fold(0, |s, i| s | 1 << i);
            if change == 0 {
                return set;
            }
            set ^= change;
        }
        UNKNOWN
    }

    /// What is fitted besides to each strand with a set slack.
    fn fitted(&self, set: SlackSet, linear: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.rows.len()];
        let members = self.members(set);
        let of_members: Vec<f64> = members.iter().map(|i| linear[*i]).collect();
        for (i, p) in members.iter().zip(self.fit(&members, &of_members, 1)) {
            out[*i] = p;
        }
        out
    }

    /// What to fit besides to each strand so that none pushes, N; `None` where all are taut, not numbers where there is no answer.
    pub(crate) fn besides(&self, linear: &[f64]) -> Option<Vec<f64>> {
        match self.slack(linear) {
            0 => None,
            UNKNOWN => Some(vec![f64::NAN; self.rows.len()]),
            set => Some(self.fitted(set, linear)),
        }
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

    #[test]
    fn many_straps_that_pull_on_each_other() {
        let mut seed = 11_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from(u32::try_from(seed >> 40).unwrap()) / f64::from(1 << 23) - 1.0
        };
        for case in 0..2_000 {
            let n = 2 + case % 7;
            // B Bᵀ and a little: symmetric and positive definite, rows then scaled as stiffness does.
            let b: Vec<f64> = (0..n * n).map(|_| next()).collect();
            let stiffness: Vec<f64> = (0..n).map(|_| 1.0 + 0.9 * next()).collect();
            let entry = |i: usize, j: usize| {
                let dot: f64 = (0..n).map(|k| b[i * n + k] * b[j * n + k]).sum();
                stiffness[i] * (dot + if i == j { 0.05 } else { 0.0 })
            };
            let a: Vec<f64> = (0..n * n).map(|k| entry(k / n, k % n)).collect();
            let straps = Straps { rows: vec![0; n], a };
            let linear: Vec<f64> = (0..n).map(|_| 100.0 * next()).collect();
            let p = straps.besides(&linear).unwrap_or_else(|| vec![0.0; n]);
            for i in 0..n {
                let t = linear[i] + (0..n).map(|j| straps.a[i * n + j] * p[j]).sum::<f64>();
                // A strap that will not be loosened further and one that is not pushed: rounding of a few hundred N.
                assert!(p[i] >= 0.0 && t >= -1e-6, "case {case}: {p:?}, tension {t}");
                assert!(p[i].min(t) < 1e-6, "case {case}: fitted {} at {t} N", p[i]);
            }
        }
    }

    #[test]
    fn straps_that_cannot_be_told_apart_give_no_number() {
        let s = Straps { rows: vec![0, 1], a: vec![1.0, 1.0, 1.0, 1.0] };
        assert!(s.besides(&[-5.0, -7.0]).is_none_or(|p| p.iter().any(|v| v.is_nan()) || p == [0.0, 7.0]));
        assert!(s.besides(&[f64::NAN, -7.0]).unwrap()[0].is_nan());
    }
}
