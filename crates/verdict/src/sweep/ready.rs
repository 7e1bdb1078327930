//! The rows of one source in one case, ready to be put together for states side by side.

use super::beside::{Beside, Those};
use super::blend::largest_of_rows;
use super::forest::{BODY, Field, ROUNDING, TERMS};
use super::reach::Rows;
use super::search::Case;
use crate::check::shares::{Along, Share, Shares, Sums, by};

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
    /// The most that forces do to each row.
    most_same: [f64; 6],
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
        let constant = largest_of_rows(constant);
        let same: Vec<[f64; 6]> = beside.blend.forces.iter().map(each).collect();
        Self {
            case,
            asked: core::array::from_fn(|row| asked[row]),
            factors: core::array::from_fn(|row| core::array::from_fn(|k| factors[row][BODY + k])),
            most_same: largest_of_rows(&same),
            same,
            wide: core::array::from_fn(|row| ROUNDING * (constant[row] + most(row, 0..TERMS))),
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

    /// Whether the arm does nothing to its rows: they are the same in every pose.
    pub(super) fn only_carries_itself(&self) -> bool {
        self.by_wrench.iter().all(|most| *most <= 0.0)
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

/// The rows of a station of a tube's member, from those of another.
pub(super) struct Onward {
    at: f64,
    /// What lies between does, by force.
    between: Vec<[f64; 6]>,
    /// How far what follows from the other may be from what the station's own rows say.
    wide: [f64; 6],
    rough: bool,
}

/// What lies between two stations may be left out of the forces of one where it is no more than this share of them.
const LITTLE: f64 = 0.05;

impl Onward {
    /// From the other station's rows and its own.
    pub(super) fn of(at: f64, [other, own]: [&Ready<'_>; 2], beside: &Beside<'_>) -> Self {
        let along = Along { at, between: &[[0.0; 6]], wide: [0.0; 6], rough: false };
        let less = |own: &[f64; 6], other: &[f64; 6]| -> [f64; 6] {
            let follows = along.of_one(other, 0);
            core::array::from_fn(|row| own[row] - follows[row])
        };
        let between: Vec<[f64; 6]> = own.same.iter().zip(&other.same).map(|(a, b)| less(a, b)).collect();
        let [n, y, z, turn, ..] = largest_of_rows(&between);
        let size = |k: usize| own.most_same[k] + own.by_wrench[k];
        let rough = [n, y, z].iter().enumerate().all(|(k, v)| *v <= LITTLE * size(k));
        let [n, y, z] = if rough { [n, y, z] } else { [0.0; 3] };
        let arm = at.abs();
        let carried = [n, y, z, turn, arm * other.wide[2], arm * other.wide[1]];
        // Once for the sums, once for the differences.
        let mut wide: [f64; 6] =
            core::array::from_fn(|row| 2.0 * own.wide[row] + other.wide[row] + carried[row]);
        for (k, size) in beside.sizes[BODY..].iter().enumerate() {
            let column = |ready: &Ready<'_>| ready.factors.map(|row| row[k]);
            for (wide, apart) in wide.iter_mut().zip(less(&column(own), &column(other))) {
                *wide += apart.abs() * size;
            }
        }
        Self { at, between, wide, rough }
    }

    pub(super) fn along(&self) -> Along<'_> {
        Along { at: self.at, between: &self.between, wide: self.wide, rough: self.rough }
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
    use crate::testing::{context, rig, scattered};

    #[test]
    fn rows_of_a_station_follow_from_those_of_another_of_its_member() {
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
        let (mut next, mut seen, mut largest) = (scattered(), [0; 2], 0.0_f64);
        for member in ctx.layout.members() {
            let last = member.len() - 1;
            let of = |k: usize| {
                let rows = Source::Rows { start: member[k].row, len: 6 };
                let slots =
                    table.sources.iter().find(|(source, ..)| *source == rows).map(|(.., slots)| slots);
                cases(&ctx, &block, (member[k].row, 6), slots.unwrap())
            };
            for (from, to) in [(last / 2, 0), (last / 2, last), (last, 0)] {
                for (other, own) in of(from).iter().zip(&of(to)) {
                    let (other, own) = (Ready::of(other, &beside), Ready::of(own, &beside));
                    let at = member[to].along_m - member[from].along_m;
                    let onward = Onward::of(at, [&other, &own], &beside);
                    // Even from a wrong place what is said is never too little.
                    let wrong = Onward::of(0.9 * at, [&other, &own], &beside);
                    let (along, wrong, sizes) = (onward.along(), wrong.along(), &beside.sizes);
                    let wrench: [f64; 6] = core::array::from_fn(|k| sizes[BODY + k] * next());
                    let most: [f64; 6] = core::array::from_fn(|row| {
                        own.by_wrench[row]
                            + own.same.iter().fold(0.0_f64, |most, same| most.max(same[row].abs()))
                    });
                    for force in 0..beside.blend.forces.len() {
                        let rows = |ready: &Ready<'_>| -> [f64; 6] {
                            core::array::from_fn(|row| {
                                let by = ready.factors[row].iter().zip(&wrench).map(|(f, w)| f * w);
                                ready.same[force][row] + by.sum::<f64>()
                            })
                        };
                        let (from, is) = (rows(&other), rows(&own));
                        let (follows, off) = (along.of_one(&from, force), wrong.of_one(&from, force));
                        let size = is.iter().fold(1.0_f64, |size, v| size.max(v.abs()));
                        for row in 0..6 {
                            assert!((follows[row] - is[row]).abs() <= along.wide[row], "row {row}: {is:?}");
                            assert!((off[row] - is[row]).abs() <= wrong.wide[row], "row {row}: {off:?}");
                            // Rounding is allowed, no more; of forces what lies between, where that is little.
                            let little = if along.rough && row < 3 { LITTLE * most[row] } else { 0.0 };
                            assert!(along.wide[row] <= little + 1e-9 * size, "row {row}: {:?}", along.wide);
                        }
                        seen[usize::from(along.rough)] += 1;
                        largest = largest.max(size);
                    }
                }
            }
        }
        assert!(seen.iter().all(|n| *n > 100) && largest > 50.0, "{seen:?} {largest}");
    }
}
