//! Boxes around the terms of some states, many side by side, and what an item can be used in them at most.

use super::forest::{LEAF, ROUNDING as OF_SUMS, TERMS};
use super::reach::{ROWS, Rows, Values};
use crate::check::{Item, Side, Swept};

/// What rounding may take off a check's own sum, as a share.
pub(super) const ROUNDING: f64 = 2e-12;

/// Least and greatest of each term.
pub(super) type Extent = ([f64; TERMS], [f64; TERMS]);

/// What is known of some states of one wind.
#[derive(Clone, Copy)]
pub(super) struct Known {
    /// Which wind.
    pub(super) wind: usize,
    /// Ends of their terms.
    pub(super) ends: Extent,
    /// Least number of one of them.
    pub(super) least: u32,
}

impl Known {
    /// No state.
    pub(super) const NOTHING: Self =
        Self { wind: 0, ends: ([f64::INFINITY; TERMS], [f64::NEG_INFINITY; TERMS]), least: u32::MAX };

    /// Of those and others of the same wind.
    pub(super) fn with(self, other: &Self) -> Self {
        let (mut low, mut high) = self.ends;
        for t in 0..TERMS {
            // A lost number stays lost.
            let (a, b) = (other.ends.0[t], other.ends.1[t]);
            low[t] = if a < low[t] || a.is_nan() { a } else { low[t] };
            high[t] = if b > high[t] || b.is_nan() { b } else { high[t] };
        }
        Self { wind: other.wind, ends: (low, high), least: self.least.min(other.least) }
    }
}

/// Up to [`LEAF`] boxes.
#[derive(Clone)]
pub(super) struct Boxes {
    /// How many.
    pub(super) count: usize,
    /// Wind of each.
    pub(super) wind: [usize; LEAF],
    /// Whether it is one wind for all.
    pub(super) one_wind: bool,
    /// Middle of each term, box by box.
    pub(super) middle: [[f64; LEAF]; TERMS],
    /// How far each term goes from its middle, with what rounding may add to a sum of products with it.
    pub(super) reach: [[f64; LEAF]; TERMS],
    /// Least number of a state in each.
    pub(super) least: [u32; LEAF],
}

impl Boxes {
    /// Boxes one after the other.
    pub(super) fn of(all: &[Known]) -> Vec<Self> {
        let some = |all: &[Known]| {
            let none = [[0.0; LEAF]; TERMS];
            let mut out = Self {
                count: all.len(),
                wind: [0; LEAF],
                one_wind: all.iter().all(|one| one.wind == all[0].wind),
                middle: none,
                reach: none,
                least: [u32::MAX; LEAF],
            };
            for (k, Known { wind, ends: (low, high), least }) in all.iter().enumerate() {
                (out.wind[k], out.least[k]) = (*wind, *least);
                for t in 0..TERMS {
                    let middle = f64::midpoint(low[t], high[t]);
                    let reach = (high[t] - middle).max(middle - low[t]);
                    out.middle[t][k] = middle;
                    out.reach[t][k] = reach + OF_SUMS * (middle.abs() + reach);
                }
            }
            out
        };
        all.chunks(LEAF).map(some).collect()
    }
}

/// The rows of one source between their ends in some boxes.
pub(super) struct Spans {
    pub(super) low: Values,
    pub(super) high: Values,
}

impl Spans {
    /// Room for them.
    pub(super) fn new() -> Self {
        Self { low: [[0.0; LEAF]; ROWS], high: [[0.0; LEAF]; ROWS] }
    }

    /// Reckons them.
    pub(super) fn take(&mut self, rows: &Rows, boxes: &Boxes) {
        rows.spans(boxes, &mut self.low, &mut self.high);
    }

    /// The most that an item can be used in each box: at the corner that is bad for it in every row.
    pub(super) fn bounds(
        &self,
        check: &dyn Swept,
        item: &Item,
        sides: [Side; 6],
        count: usize,
    ) -> [f64; LEAF] {
        let (mut corner, mut lost) = ([[0.0; LEAF]; 6], [0.0; LEAF]);
        pulp::Arch::new().dispatch(Cornering { spans: self, sides, corner: &mut corner, lost: &mut lost });
        let [a, b, c, d, e, f] = corner.each_ref();
        let mut bounds = check.uses_of(item, [a, b, c, d, e, f], count).each;
        for (bound, lost) in bounds.iter_mut().zip(lost) {
            *bound = if lost.is_nan() { f64::INFINITY } else { *bound * (1.0 + ROUNDING) };
        }
        bounds[count.min(LEAF)..].fill(f64::NEG_INFINITY);
        bounds
    }
}

/// The corner that is bad in every row, for the widest numbers side by side that the machine has.
struct Cornering<'a> {
    spans: &'a Spans,
    sides: [Side; 6],
    corner: &'a mut [[f64; LEAF]; 6],
    /// Zero where all ends are numbers.
    lost: &'a mut [f64; LEAF],
}

impl pulp::WithSimd for Cornering<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        for (row, (corner, side)) in self.corner.iter_mut().zip(self.sides).enumerate() {
            let (low, high) = (&self.spans.low[row], &self.spans.high[row]);
            match side {
                Side::Idle => continue,
                Side::Up => *corner = *high,
                Side::Down => *corner = *low,
                Side::Size => {
                    for (corner, (low, high)) in corner.iter_mut().zip(low.iter().zip(high)) {
                        *corner = if low.abs() > high.abs() { low.abs() } else { high.abs() };
                    }
                }
            }
            // Zero, unless an end is infinite or none.
            for (lost, (low, high)) in self.lost.iter_mut().zip(low.iter().zip(high)) {
                *lost += (low + high) * 0.0;
            }
        }
    }
}
