//! Responses of many states from their terms: number by number in a leaf, or the span that they stay in over a box.

use super::boxes::Boxes;
use super::forest::{BODY, LEAF, LeafTerms, ROUNDING, TERMS};
use super::loose::Slackness;
use crate::context::Context;
use crate::responses::Responses;

/// Rows of a source, padded so that the machine takes them side by side.
pub(super) const ROWS: usize = 8;
/// The first row alone.
pub(super) const ONE: [bool; ROWS] = [true, false, false, false, false, false, false, false];
/// Boxes side by side: as many as there is room for in the machine's registers.
const STEP: usize = 16;

/// The responses of one source with one failure as sums of the states' terms.
pub(super) struct Rows {
    /// Factor of each term, row by row.
    pub(super) factors: [[f64; TERMS]; ROWS],
    /// What is the same for all states of a wind.
    pub(super) constant: Vec<[f64; ROWS]>,
    /// Which rows are asked for; the others are zero.
    pub(super) asked: [bool; ROWS],
}

/// Each row in the states of a leaf.
pub(super) type Values = [[f64; LEAF]; ROWS];

impl Rows {
    /// Those rows from `start` on that are asked for, with some straps slack.
    pub(super) fn of(
        ctx: &Context<'_>,
        r: &Responses,
        (start, asked): (usize, [bool; ROWS]),
        slack: &Slackness,
    ) -> Self {
        let mut out =
            Self { factors: [[0.0; TERMS]; ROWS], constant: vec![[0.0; ROWS]; ctx.columns.winds], asked };
        for row in (0..ROWS).filter(|row| asked[*row]) {
            let k = r.row(start + row);
            let fitted: f64 =
                ctx.taken_up.iter().enumerate().map(|(i, p)| k[ctx.columns.strand(i)] * p).sum();
            for (factor, k) in out.factors[row].iter_mut().zip(k) {
                *factor = *k;
            }
            for (wind, constant) in out.constant.iter_mut().enumerate() {
                constant[row] = fitted + k[ctx.columns.wind(wind)];
            }
            for (m, strand) in slack.members.iter().enumerate() {
                let by = k[ctx.columns.strand(*strand)];
                for (factor, gain) in out.factors[row].iter_mut().zip(slack.gain[m]) {
                    *factor += by * gain;
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
        let mut all = [[0.0; TERMS]; ROWS];
        all[0] = *factors;
        Self { factors: all, constant: constant.iter().map(|c| first(*c)).collect(), asked: ONE }
    }

    /// The first row in the middle of a box.
    pub(super) fn single_value(&self, boxes: &Boxes, k: usize) -> f64 {
        let terms = self.factors[0].iter().zip(&boxes.middle);
        terms.fold(self.constant[boxes.wind[k]][0], |sum, (f, middle)| sum + f * middle[k])
    }

    /// Span of each row over some boxes, box by box; rounding is inside it.
    pub(super) fn spans(&self, boxes: &Boxes, low: &mut Values, high: &mut Values) {
        pulp::Arch::new().dispatch(Spanning { rows: self, boxes, low, high });
    }

    /// Every row in every state of a leaf, of which so many in a row have the same force per mass.
    pub(super) fn values(&self, wind: usize, (terms, alike): (&LeafTerms, usize), out: &mut Values) {
        pulp::Arch::new().dispatch(Summing { rows: self, wind, terms, alike, out });
    }
}

/// The spans over some boxes, for the widest numbers side by side that the machine has.
struct Spanning<'a> {
    rows: &'a Rows,
    boxes: &'a Boxes,
    low: &'a mut Values,
    high: &'a mut Values,
}

impl pulp::WithSimd for Spanning<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let Self { rows, boxes, low, high } = self;
        let steps = boxes.count.div_ceil(STEP).min(LEAF / STEP);
        for row in (0..ROWS).filter(|row| rows.asked[*row]) {
            let (low, high) = (low[row].as_chunks_mut::<STEP>().0, high[row].as_chunks_mut::<STEP>().0);
            for (c, (low, high)) in low.iter_mut().zip(high).enumerate().take(steps) {
                let mut middle = [rows.constant[boxes.wind[0]][row]; STEP];
                if !boxes.one_wind {
                    for (middle, wind) in middle.iter_mut().zip(&boxes.wind.as_chunks::<STEP>().0[c]) {
                        *middle = rows.constant[*wind][row];
                    }
                }
                let mut reach = middle;
                for reach in &mut reach {
                    *reach = ROUNDING * reach.abs();
                }
                let factors = &rows.factors[row];
                for (factor, at) in factors.iter().zip(&boxes.middle) {
                    for (middle, at) in middle.iter_mut().zip(&at.as_chunks::<STEP>().0[c]) {
                        *middle += factor * at;
                    }
                }
                for (factor, by) in factors.iter().zip(&boxes.reach) {
                    for (reach, by) in reach.iter_mut().zip(&by.as_chunks::<STEP>().0[c]) {
                        *reach += factor.abs() * by;
                    }
                }
                for (low, (middle, reach)) in low.iter_mut().zip(middle.iter().zip(&reach)) {
                    *low = middle - reach;
                }
                for (high, (middle, reach)) in high.iter_mut().zip(middle.iter().zip(&reach)) {
                    *high = middle + reach;
                }
            }
        }
    }
}

/// The sums of a leaf, likewise.
struct Summing<'a> {
    rows: &'a Rows,
    wind: usize,
    terms: &'a LeafTerms,
    /// How many states in a row have the same force per mass.
    alike: usize,
    out: &'a mut Values,
}

impl pulp::WithSimd for Summing<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        for row in (0..ROWS).filter(|row| self.rows.asked[*row]) {
            let (body, arm) = self.rows.factors[row].split_at(BODY);
            let (of_body, of_arm) = self.terms.split_at(BODY);
            let mut sum = [self.rows.constant[self.wind][row]; LEAF];
            if self.alike == LEAF {
                // The same sum for all: once is enough.
                let one =
                    body.iter().zip(of_body).fold(sum[0], |sum, (factor, terms)| sum + factor * terms[0]);
                sum = [one; LEAF];
            } else {
                for (factor, terms) in body.iter().zip(of_body) {
                    for (s, v) in sum.iter_mut().zip(terms) {
                        *s += factor * v;
                    }
                }
            }
            for (factor, terms) in arm.iter().zip(of_arm) {
                for (s, v) in sum.iter_mut().zip(terms) {
                    *s += factor * v;
                }
            }
            self.out[row] = sum;
        }
    }
}
