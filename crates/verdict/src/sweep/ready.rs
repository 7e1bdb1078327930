//! The rows of one source in one case, ready to be put together for states side by side.

use super::beside::{Beside, Those};
use super::blend::largest;
use super::forest::{BODY, Field, ROUNDING, TERMS};
use super::reach::Rows;
use super::search::Case;
use crate::check::at_most::{Along, Share, Shares, Sums, by};

/// A case's rows.
pub(super) struct Ready<'a> {
    pub(super) case: &'a Case<'a>,
    asked: [bool; 6],
    /// Of the arm's wrench.
    factors: [[f64; 6]; 6],
    /// What each force does in every pose.
    same: Vec<[f64; 6]>,
    /// What rounding may do to each row.
    wide: [f64; 6],
    /// What the wrench may do to each row in any state.
    by_wrench: [f64; 6],
}

impl<'a> Ready<'a> {
    pub(super) fn of(case: &'a Case<'a>, beside: &Beside<'_>) -> Self {
        let Rows { factors, constant, asked } = &case.rows;
        let each = |(wind, force, _): &(usize, [f64; BODY], _)| {
            core::array::from_fn(|row| {
                let terms = factors[row].iter().zip(force);
                terms.fold(constant[*wind][row], |sum, (factor, v)| sum + factor * v)
            })
        };
        let most = |row: usize, terms: core::ops::Range<usize>| {
            let by = terms.map(|t| factors[row][t].abs() * beside.sizes[t]);
            by.sum::<f64>()
        };
        let same = |row: usize| largest(&constant.iter().map(|c| c[row]).collect::<Vec<_>>());
        Self {
            case,
            asked: core::array::from_fn(|row| asked[row]),
            factors: core::array::from_fn(|row| core::array::from_fn(|k| factors[row][BODY + k])),
            same: beside.blend.forces.iter().map(each).collect(),
            wide: core::array::from_fn(|row| ROUNDING * (same(row) + most(row, 0..TERMS))),
            by_wrench: core::array::from_fn(|row| most(row, BODY..TERMS)),
        }
    }

    /// Those states of a tile that are of this case; nothing where none is.
    pub(super) fn those<'s>(&self, beside: &'s Beside<'_>, tile: usize) -> Option<&'s Those> {
        beside.sets[self.case.failure].those(tile, self.case.set)
    }

    /// Its rows in those states of a tile.
    pub(super) fn shares<'s>(
        &'s self,
        (field, beside): (&'s Field<'_>, &'s Beside<'_>),
        (tile, those): (usize, &'s Those),
        room: &'s mut Vec<Share>,
    ) -> Shares<'s> {
        let (blend, factors) = (beside.blend, &self.factors);
        let sums = if let Some(wrenches) = beside.wrenches.get(tile) {
            Sums::Plain { forces: &self.same, wrenches, factors }
        } else {
            let shares = field.wrench.tile(tile).unwrap_or(&beside.none);
            let (wrenches, flows) = shares.split_at(blend.forces.len() + blend.kicks.len());
            room.resize(wrenches.len(), Share::NONE);
            pulp::Arch::new().dispatch(Sharing { ready: self, wrenches, needed: &those.needed, out: room });
            let (forces, kicks) = room.split_at(blend.forces.len());
            Sums::Folded { forces, kicks, flows, factors }
        };
        Shares { instants: &those.instants, sums, wide: self.wide }
    }

    /// Its rows in all states whatever the pose: what the wrench does counts as what may be off.
    pub(super) fn whatever_pose<'s>(&'s self, beside: &'s Beside<'_>) -> Shares<'s> {
        let sums = Sums::Plain { forces: &self.same, wrenches: &[Share::NONE], factors: &self.factors };
        let wide = core::array::from_fn(|row| self.wide[row] + self.by_wrench[row]);
        Shares { instants: &beside.forces, sums, wide }
    }
}

/// The rows of one source by each force and kick, for the widest numbers side by side that the machine has.
struct Sharing<'a> {
    ready: &'a Ready<'a>,
    wrenches: &'a [Share],
    needed: &'a [usize],
    out: &'a mut [Share],
}

impl pulp::WithSimd for Sharing<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, simd: S) {
        let Self { ready: Ready { asked, factors, same, .. }, wrenches, needed, out } = self;
        for k in needed.iter().copied() {
            let same = same.get(k).unwrap_or(&[0.0; 6]);
            // Most sources are asked for all their rows.
            if *asked == [true; 6] {
                by(simd, ([true; 6], same), factors, &wrenches[k], &mut out[k]);
            } else {
                by(simd, (*asked, same), factors, &wrenches[k], &mut out[k]);
            }
        }
    }
}

/// The rows of a station farther along a tube's member, from those of its first.
pub(super) struct Onward {
    at: f64,
    /// What lies between does, by force.
    between: Vec<[f64; 6]>,
    /// How far what follows from the first may be from what the station's own rows say.
    wide: [f64; 6],
}

impl Onward {
    /// From the first station's rows and its own.
    pub(super) fn of(at: f64, [first, own]: [&Ready<'_>; 2], beside: &Beside<'_>) -> Self {
        let none = [[0.0; 6]];
        let along = Along { at, between: &none, wide: [0.0; 6] };
        let less = |own: &[f64; 6], first: &[f64; 6]| -> [f64; 6] {
            let follows = along.of_one(first, 0);
            core::array::from_fn(|row| own[row] - follows[row])
        };
        let between: Vec<[f64; 6]> = own.same.iter().zip(&first.same).map(|(a, b)| less(a, b)).collect();
        let arm = at.abs();
        let carried = [0.0, 0.0, 0.0, 0.0, arm * first.wide[2], arm * first.wide[1]];
        // Once for the sums, once for the differences.
        let mut wide: [f64; 6] =
            core::array::from_fn(|row| 2.0 * own.wide[row] + first.wide[row] + carried[row]);
        wide[Along::TURN] += largest(&between.iter().map(|b| b[Along::TURN]).collect::<Vec<_>>());
        for (k, size) in beside.sizes[BODY..].iter().enumerate() {
            let column = |ready: &Ready<'_>| ready.factors.map(|row| row[k]);
            for (wide, apart) in wide.iter_mut().zip(less(&column(own), &column(first))) {
                *wide += apart.abs() * size;
            }
        }
        Self { at, between, wide }
    }

    pub(super) fn along(&self) -> Along<'_> {
        Along { at: self.at, between: &self.between, wide: self.wide }
    }
}

#[cfg(test)]
mod tests {
    use super::super::beside::Beside;
    use super::super::search::{Way, cases};
    use super::super::{Best, Block, Table, gather, groups, lay};
    use super::*;
    use crate::check::{Source, swept};
    use crate::context::Resolution;
    use crate::responses::STATIONS;
    use crate::testing::{context, rig, scattered};

    #[test]
    fn rows_of_a_station_follow_from_those_of_the_first_of_its_member() {
        let rig = rig();
        let ctx = context(&rig);
        let checks = swept(&ctx);
        let mut table = Table::new(&checks, |_| [Best::NONE; 2]);
        let group = groups(&ctx, Resolution::wide()).swap_remove(0);
        let weights = [1.0; TERMS];
        let laid = lay(&ctx, &group, &weights);
        let mut block = Block::of(&ctx, &group, (&laid, &weights), (0, &group.poses));
        block.field.wrench = gather::gather(&ctx, &block, &mut table);
        block.grow(&ctx);
        let beside = Beside::of(Way::Plain, &block.field, &block.trees, &block.sorted);
        let (mut next, mut seen, mut largest) = (scattered(), 0, 0.0_f64);
        for member in ctx.layout.station.chunks_exact(STATIONS.len()) {
            let of = |k: usize| {
                let rows = Source::Rows { start: member[k].2, len: 6 };
                let slots =
                    table.sources.iter().find(|(source, ..)| *source == rows).map(|(.., slots)| slots);
                cases(&ctx, &block, (member[k].2, 6), slots.unwrap())
            };
            let (first, later) = (of(0), of(STATIONS.len() - 1));
            for (first, later) in first.iter().zip(&later) {
                let (first, own) = (Ready::of(first, &beside), Ready::of(later, &beside));
                let at = member[STATIONS.len() - 1].1 - member[0].1;
                let onward = Onward::of(at, [&first, &own], &beside);
                // Even from a wrong place what is said is never too little.
                let wrong = Onward::of(0.9 * at, [&first, &own], &beside);
                let (along, wrong, sizes) = (onward.along(), wrong.along(), &beside.sizes);
                let wrench: [f64; 6] = core::array::from_fn(|k| sizes[BODY + k] * next());
                for force in 0..beside.blend.forces.len() {
                    let rows = |ready: &Ready<'_>| -> [f64; 6] {
                        core::array::from_fn(|row| {
                            let by = ready.factors[row].iter().zip(&wrench).map(|(f, w)| f * w);
                            ready.same[force][row] + by.sum::<f64>()
                        })
                    };
                    let (follows, own) = (along.of_one(&rows(&first), force), rows(&own));
                    let size = own.iter().fold(1.0_f64, |size, v| size.max(v.abs()));
                    for row in 0..6 {
                        assert!((follows[row] - own[row]).abs() <= along.wide[row], "row {row}: {own:?}");
                        let off = wrong.of_one(&rows(&first), force)[row] - own[row];
                        assert!(off.abs() <= wrong.wide[row], "row {row}: {off}");
                        // What is allowed is rounding, no more.
                        assert!(along.wide[row] < 1e-9 * size, "row {row}: {:?}", along.wide);
                    }
                    seen += 1;
                    largest = largest.max(size);
                }
            }
        }
        assert!(seen > 100 && largest > 50.0, "{seen} {largest}");
    }
}
