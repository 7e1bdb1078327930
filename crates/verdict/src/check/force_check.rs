//! One force against one limit: the shape that several checks share.

use super::at_most::Measure;
use super::shares::Shares;
use super::{Item, Side, Source, Swept, utilisation};
use crate::finding::{HandCheck, Need, Step};
use crate::parts::PartRef;
use quantity::Kind;
use rig::fact::Fact;
use rig::policy::CheckId;

/// What a check of this shape says about itself.
pub(super) struct Words {
    pub(super) id: CheckId,
    pub(super) kind: Kind,
    pub(super) formula: &'static str,
    pub(super) source: &'static str,
    /// What the demand is, in words.
    pub(super) demand: &'static str,
    /// What the limit is, in words.
    pub(super) limit: &'static str,
}

/// What of a source's numbers is the demand.
#[derive(Clone, Copy, Debug)]
pub(super) enum Reading {
    /// One number as it stands.
    Plus(usize),
    /// One number, the other way.
    Minus(usize),
    /// The size of the first number.
    Size,
    /// Length of the first two.
    Across,
    /// Length of the first three.
    Length,
}

/// Items whose only datum is their limit, with a function that reads the demand.
pub(super) struct ForceCheck {
    pub(super) words: Words,
    pub(super) items: Vec<Item>,
    pub(super) demand: Reading,
}

impl Swept for ForceCheck {
    fn id(&self) -> CheckId {
        self.words.id
    }

    fn kind(&self) -> Kind {
        self.words.kind
    }

    fn items(&self) -> &[Item] {
        &self.items
    }

    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        let demand = match self.demand {
            Reading::Plus(k) => r[k],
            Reading::Minus(k) => -r[k],
            Reading::Size => r[0].abs(),
            Reading::Across => (r[0] * r[0] + r[1] * r[1]).sqrt(),
            Reading::Length => (r[0] * r[0] + r[1] * r[1] + r[2] * r[2]).sqrt(),
        };
        (demand, item.data[0])
    }

    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        let [a, b, c, ..] = shares.wide;
        let demand = match self.demand {
            Reading::Plus(0) => shares.most(One::<0>(1.0)) + a,
            Reading::Plus(2) => shares.most(One::<2>(1.0)) + c,
            Reading::Minus(2) => shares.most(One::<2>(-1.0)) + c,
            Reading::Plus(_) | Reading::Minus(_) => return self.at_most(item, shares, f64::NEG_INFINITY),
            Reading::Across => shares.most(Across).sqrt() + a.hypot(b),
            Reading::Length => shares.most(Length).sqrt() + a.hypot(b).hypot(c),
            Reading::Size => shares.most(Size) + a,
        };
        utilisation(demand, item.data[0])
    }

    fn worse(&self) -> [Side; 6] {
        core::array::from_fn(|k| match self.demand {
            Reading::Plus(row) if row == k => Side::Up,
            Reading::Minus(row) if row == k => Side::Down,
            Reading::Size if k == 0 => Side::Size,
            Reading::Across if k < 2 => Side::Size,
            Reading::Length if k < 3 => Side::Size,
            _ => Side::Idle,
        })
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        let (demand, capacity) = self.demand_capacity(item, r);
        HandCheck {
            formula: self.words.formula,
            source: self.words.source,
            steps: vec![
                Step::new("demand", self.words.demand, demand, self.words.kind),
                Step::new("capacity", self.words.limit, capacity, self.words.kind),
            ],
        }
    }
}

/// One row, as it stands or the other way.
struct One<const ROW: usize>(f64);

impl<const ROW: usize> Measure for One<ROW> {
    const ROWS: [bool; 6] = {
        let mut rows = [false; 6];
        rows[ROW] = true;
        rows
    };

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, r: [S::f64s; 6]) -> S::f64s {
        simd.mul_f64s(simd.splat_f64s(self.0), r[ROW])
    }
}

/// The size of the first row.
struct Size;

impl Measure for Size {
    const ROWS: [bool; 6] = [true, false, false, false, false, false];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [x, ..]: [S::f64s; 6]) -> S::f64s {
        simd.abs_f64s(x)
    }
}

/// The square of the length of the first two rows.
struct Across;

impl Measure for Across {
    const ROWS: [bool; 6] = [true, true, false, false, false, false];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [x, y, ..]: [S::f64s; 6]) -> S::f64s {
        simd.mul_add_e_f64s(x, x, simd.mul_f64s(y, y))
    }
}

/// That of the first three.
struct Length;

impl Measure for Length {
    const ROWS: [bool; 6] = [true, true, true, false, false, false];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [x, y, z, ..]: [S::f64s; 6]) -> S::f64s {
        simd.mul_add_e_f64s(x, x, simd.mul_add_e_f64s(y, y, simd.mul_f64s(z, z)))
    }
}

/// An item with a limit that may be missing: what it is, its key and how to settle it.
pub(super) fn limited(
    part: PartRef,
    source: Source,
    limit: Option<&Fact>,
    need: impl FnOnce() -> (String, String, &'static str),
) -> Item {
    if let Some(f) = limit {
        Item::new(part, source, [f.value, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])
    } else {
        let (what, key, settle) = need();
        Item::missing(part, source, Need { what, key, settle: settle.to_owned() })
    }
}
