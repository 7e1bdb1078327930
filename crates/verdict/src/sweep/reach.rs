//! Responses of many states from their terms: number by number in a leaf, or the span that they stay in over a box.

use super::forest::{LEAF, LeafTerms, Node, TERMS};
use super::loose::Slackness;
use crate::context::Context;
use crate::responses::Responses;

/// Rows of a source, padded so that the machine takes them side by side.
pub(super) const ROWS: usize = 8;
/// Rounding of the sums below, as a share of what is summed: some twenty products of 2^-53 each, and room.
const ROUNDING: f64 = 1e-14;

/// The responses of one source with one failure as sums of the states' terms.
pub(super) struct Rows {
    /// Factor of each term, row by row.
    factors: [[f64; ROWS]; TERMS],
    /// What is the same for all states of a wind.
    constant: Vec<[f64; ROWS]>,
    /// How many rows there are.
    len: usize,
}

/// Each row in the states of a leaf.
pub(super) type Values = [[f64; LEAF]; ROWS];
/// A low and a high end for each row.
pub(super) type Span = ([f64; ROWS], [f64; ROWS]);

impl Rows {
    /// `len` rows from `start`, at most [`ROWS`], with some straps slack.
    pub(super) fn of(
        ctx: &Context<'_>,
        r: &Responses,
        (start, len): (usize, usize),
        slack: &Slackness,
    ) -> Self {
        let mut out = Self {
            factors: [[0.0; ROWS]; TERMS],
            constant: vec![[0.0; ROWS]; ctx.columns.winds],
            len: len.min(ROWS),
        };
        for row in 0..out.len {
            let k = r.row(start + row);
            let fitted: f64 =
                ctx.taken_up.iter().enumerate().map(|(i, p)| k[ctx.columns.strand(i)] * p).sum();
            for (factors, k) in out.factors.iter_mut().zip(k) {
                factors[row] = *k;
            }
            for (wind, constant) in out.constant.iter_mut().enumerate() {
                constant[row] = fitted + k[ctx.columns.wind(wind)];
            }
            for (m, strand) in slack.members.iter().enumerate() {
                let by = k[ctx.columns.strand(*strand)];
                for (factors, gain) in out.factors.iter_mut().zip(slack.gain[m]) {
                    factors[row] += by * gain;
                }
                for (constant, fixed) in out.constant.iter_mut().zip(&slack.constant[m]) {
                    constant[row] += by * fixed;
                }
            }
        }
        out
    }

    /// One row of its own.
    pub(super) fn single(factors: &[f64; TERMS], constant: &[f64]) -> Self {
        let first = |v: f64| [v, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        Self { factors: factors.map(first), constant: constant.iter().map(|c| first(*c)).collect(), len: 1 }
    }

    /// The first row for some terms.
    pub(super) fn single_value(&self, terms: &[f64; TERMS], wind: usize) -> f64 {
        self.factors.iter().zip(terms).fold(self.constant[wind][0], |sum, (f, t)| sum + f[0] * t)
    }

    /// Span of each row over a box of states; rounding is inside it.
    #[inline(always)]
    pub(super) fn span(&self, node: &Node, wind: usize) -> Span {
        let (mut low, mut high) = (self.constant[wind], self.constant[wind]);
        let mut size = low.map(f64::abs);
        for (t, factors) in self.factors.iter().enumerate() {
            let (from, to) = (node.low[t], node.high[t]);
            for k in 0..ROWS {
                let (a, b) = (factors[k] * from, factors[k] * to);
                low[k] += if a < b { a } else { b };
                high[k] += if a < b { b } else { a };
                size[k] += if a.abs() > b.abs() { a.abs() } else { b.abs() };
            }
        }
        for k in 0..ROWS {
            low[k] -= ROUNDING * size[k];
            high[k] += ROUNDING * size[k];
        }
        (low, high)
    }

    /// Every row in every state of a leaf.
    pub(super) fn values(&self, wind: usize, terms: &LeafTerms, out: &mut Values) {
        pulp::Arch::new().dispatch(Summing { rows: self, wind, terms, out });
    }
}

/// The sums of a leaf, for the widest numbers side by side that the machine has.
struct Summing<'a> {
    rows: &'a Rows,
    wind: usize,
    terms: &'a LeafTerms,
    out: &'a mut Values,
}

impl pulp::WithSimd for Summing<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        for row in 0..self.rows.len {
            let mut sum = [self.rows.constant[self.wind][row]; LEAF];
            for t in 0..TERMS {
                let factor = self.rows.factors[t][row];
                for (s, v) in sum.iter_mut().zip(&self.terms[t]) {
                    *s += factor * v;
                }
            }
            self.out[row] = sum;
        }
    }
}
