//! Where a search starts: bounds of the first boxes of all trees, many side by side.

use super::forest::{LEAF, TERMS, Tree};
use super::reach::{ROWS, Rows, Values};
use super::search::ROUNDING;
use crate::check::{Item, Side, Swept};

/// The first boxes of up to [`LEAF`] trees.
pub(super) struct Roots {
    /// How many.
    pub(super) count: usize,
    /// Wind of each.
    pub(super) wind: [usize; LEAF],
    /// Middle of each term, box by box.
    pub(super) middle: [[f64; LEAF]; TERMS],
    /// How far each term goes from its middle, likewise.
    pub(super) reach: [[f64; LEAF]; TERMS],
}

impl Roots {
    /// Of some trees, in their order.
    pub(super) fn of(trees: &[Tree]) -> Vec<Self> {
        let some = |trees: &[Tree]| {
            let none = [[0.0; LEAF]; TERMS];
            let mut out = Self { count: trees.len(), wind: [0; LEAF], middle: none, reach: none };
            for (k, tree) in trees.iter().enumerate() {
                out.wind[k] = tree.wind;
                let Some(root) = tree.nodes.first() else { continue };
                for t in 0..TERMS {
                    (out.middle[t][k], out.reach[t][k]) = (root.middle[t], root.reach[t]);
                }
            }
            out
        };
        trees.chunks(LEAF).map(some).collect()
    }
}

/// The rows of one source between their ends in the first boxes of some trees.
pub(super) struct Spans {
    low: Values,
    high: Values,
}

impl Spans {
    /// Room for them.
    pub(super) fn new() -> Self {
        Self { low: [[0.0; LEAF]; ROWS], high: [[0.0; LEAF]; ROWS] }
    }

    /// Reckons them.
    pub(super) fn take(&mut self, rows: &Rows, roots: &Roots) {
        rows.spans(roots, &mut self.low, &mut self.high);
    }

    /// The most that an item can be used in each box: at the corner that is bad for it in every row.
    pub(super) fn bounds(
        &self,
        check: &dyn Swept,
        item: &Item,
        sides: [Side; 6],
        count: usize,
    ) -> [f64; LEAF] {
        let mut corner = [[0.0; LEAF]; 6];
        let mut lost = [0.0; LEAF];
        for (row, (corner, side)) in corner.iter_mut().zip(sides).enumerate() {
            let (low, high) = (&self.low[row], &self.high[row]);
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
            for (lost, (low, high)) in lost.iter_mut().zip(low.iter().zip(high)) {
                *lost += (low + high) * 0.0;
            }
        }
        let [a, b, c, d, e, f] = corner.each_ref();
        let mut bounds = check.uses_of(item, [a, b, c, d, e, f], count).each;
        for (bound, lost) in bounds.iter_mut().zip(lost) {
            *bound = if lost.is_nan() { f64::INFINITY } else { *bound * (1.0 + ROUNDING) };
        }
        bounds
    }
}
