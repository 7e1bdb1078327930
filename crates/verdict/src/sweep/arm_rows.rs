//! What the arm does in many states at once: a few poses side by side, in one instant after the other.

use super::instants::Moves;
use crate::arm_model::ArmModel;
use crate::check::{LANES, Source};
use mechanics::arm::{Flow, InPoses, Lanes, POSES, Pose, Six, TERMS};
use std::ops::Range;

/// Poses side by side.
pub(super) const TILE: usize = POSES;
/// Six rows of the wrench, each one number a pose.
pub(super) type Tile = Six;
/// Instants of a tile that are looked at together.
pub(super) const TOGETHER: usize = LANES / TILE;

/// Rows of the wrench on the platform.
const WRENCH: usize = 6;
/// Rows before those of the cuts: the wrench and the two torques.
const OWN: usize = WRENCH + 2;

/// What an arm does in a few poses, row by row: its wrench on the platform, pan torque, tilt torque, six a cut.
pub(super) struct ArmRows<'a> {
    arm: &'a ArmModel,
    /// Per unit of each term: row by row.
    columns: Vec<[Lanes; TERMS]>,
    /// In each flow: all rows, flow by flow.
    flows: Vec<Lanes>,
    /// What the bodies need, term by term and in one flow.
    needed: ([Vec<Six>; TERMS], Vec<Six>),
}

impl<'a> ArmRows<'a> {
    /// Of an arm that is still to be placed.
    pub(super) fn of(arm: &'a ArmModel) -> Self {
        let rows = OWN + 6 * arm.cuts.len();
        let columns = vec![[[f64::NAN; TILE]; TERMS]; rows];
        Self { arm, columns, flows: Vec::new(), needed: Default::default() }
    }

    /// Places it in up to [`TILE`] poses, in some flows. In a pose without an answer, and where there is none, nothing is a number.
    pub(super) fn place(&mut self, poses: &[Pose], flows: &[Option<Flow>]) {
        let placed = InPoses::at(&self.arm.chain, poses);
        pulp::Arch::new().dispatch(Placing { rows: self, placed: &placed, flows });
    }

    /// The rows that a source of the arm's own reads; none if it reads none of them.
    fn read_by(&self, source: Source) -> Range<usize> {
        match source {
            Source::PanTorque => WRENCH..WRENCH + 1,
            Source::TiltTorque => WRENCH + 1..OWN,
            Source::Cut(k) if k < self.arm.cuts.len() => OWN + 6 * k..OWN + 6 * (k + 1),
            Source::Cut(_) | Source::Rows { .. } => 0..0,
        }
    }

    /// The wrench in some instants, in their order.
    pub(super) fn wrenches(&self, moves: &Moves, out: &mut [Tile]) {
        pulp::Arch::new().dispatch(Wrenches { rows: self, moves, out });
    }

    /// What a source reads in [`TOGETHER`] instants from one on: pose by pose, instant by instant; `None` if it reads nothing here.
    pub(super) fn read(
        &self,
        source: Source,
        (moves, first): (&Moves, usize),
        out: &mut [[f64; LANES]; 6],
    ) -> Option<()> {
        let rows = self.read_by(source);
        if rows.is_empty() {
            return None;
        }
        pulp::Arch::new().dispatch(Reading { rows: self, which: rows, moves, first, out });
        Some(())
    }

    /// A row in an instant.
    #[inline(always)]
    fn row(&self, row: usize, flow: usize, terms: &[f64; TERMS]) -> Lanes {
        let mut sum = self.flows[flow * self.columns.len() + row];
        for (column, term) in self.columns[row].iter().zip(terms) {
            for (sum, factor) in sum.iter_mut().zip(column) {
                *sum += factor * term;
            }
        }
        sum
    }
}

/// Sums over bodies, for the widest numbers side by side that the machine has.
struct Placing<'a, 'b> {
    rows: &'a mut ArmRows<'b>,
    placed: &'a InPoses,
    flows: &'a [Option<Flow>],
}

impl pulp::WithSimd for Placing<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let Self { rows: ArmRows { arm, columns, flows, needed }, placed, .. } = self;
        let (per_term, in_flow) = needed;
        placed.needed_per_term(per_term);
        let mut lost = [0.0; TILE];
        let mut row = vec![[0.0; TILE]; columns.len()];
        for (term, needed) in per_term.iter().enumerate() {
            put(arm, placed, needed, &mut row);
            for (column, row) in columns.iter_mut().zip(&row) {
                column[term] = *row;
                // Zero, unless a number is infinite or none.
                for k in 0..TILE {
                    lost[k] += row[k] * 0.0;
                }
            }
        }
        flows.clear();
        for flow in self.flows {
            let from = flows.len();
            flows.resize(from + columns.len(), [f64::NAN; TILE]);
            let Some(flow) = flow else { continue };
            placed.needed_in(flow, in_flow);
            put(arm, placed, in_flow, &mut flows[from..]);
            for row in &mut flows[from..] {
                for k in 0..TILE {
                    row[k] += lost[k];
                }
            }
        }
    }
}

/// All rows from what the bodies need.
#[inline(always)]
fn put(arm: &ArmModel, placed: &InPoses, needed: &[Six], rows: &mut [Lanes]) {
    let (wrench, pan, tilt) = placed.whole(needed);
    rows[..WRENCH].copy_from_slice(&wrench);
    rows[WRENCH..OWN].copy_from_slice(&[pan, tilt]);
    for (cut, rows) in arm.cuts.iter().zip(rows[OWN..].chunks_exact_mut(6)) {
        rows.copy_from_slice(&placed.beyond(needed, &cut.bodies, cut.along));
    }
}

/// Sums of products, likewise.
struct Wrenches<'a> {
    rows: &'a ArmRows<'a>,
    moves: &'a Moves,
    out: &'a mut [Tile],
}

impl pulp::WithSimd for Wrenches<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let each = self.moves.flow.iter().zip(&self.moves.terms);
        for (out, (flow, terms)) in self.out.iter_mut().zip(each) {
            for (row, out) in out.iter_mut().enumerate() {
                *out = self.rows.row(row, *flow, terms);
            }
        }
    }
}

/// The rows of a source, likewise.
struct Reading<'a> {
    rows: &'a ArmRows<'a>,
    which: Range<usize>,
    moves: &'a Moves,
    first: usize,
    out: &'a mut [[f64; LANES]; 6],
}

impl pulp::WithSimd for Reading<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let each = self.moves.flow[self.first..].iter().zip(&self.moves.terms[self.first..]);
        for (k, (flow, terms)) in each.enumerate().take(TOGETHER) {
            for (row, out) in self.which.clone().zip(&mut *self.out) {
                let (tiles, _) = out.as_chunks_mut::<TILE>();
                tiles[k] = self.rows.row(row, *flow, terms);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::instants::Instants;
    use super::*;
    use crate::state::StateId;
    use crate::testing::{context, rig};

    #[test]
    fn a_tile_holds_what_each_pose_does_and_no_number_where_a_pose_has_no_answer() {
        let rig = rig();
        let ctx = context(&rig);
        let arm = ctx.arm.as_ref().unwrap();
        assert!(!arm.cuts.is_empty());
        let instants = Instants::of(&ctx, false);
        let at = |pan_rad| Pose { pan_rad, elevation_rad: 0.1 };
        let poses = [at(0.3), at(f64::NAN), at(-2.0), Pose { pan_rad: 1.0, elevation_rad: -0.2 }];
        let mut rows = ArmRows::of(arm);
        rows.place(&poses, &instants.flows);
        let mut tiles = vec![[[0.0; TILE]; WRENCH]; instants.len()];
        rows.wrenches(&instants.moves, &mut tiles);
        for (i, (drive, motion)) in instants.pairs.iter().enumerate() {
            let read = |source| {
                let mut out = [[0.0; LANES]; 6];
                rows.read(source, (&instants.moves, i), &mut out).unwrap();
                out
            };
            let (pan, tilt) = (read(Source::PanTorque), read(Source::TiltTorque));
            let cuts: Vec<_> = (0..arm.cuts.len()).map(|k| read(Source::Cut(k))).collect();
            for pose in [0, 2, 3] {
                let state = StateId { failure: 0, drive: *drive, motion: *motion, pose: poses[pose] };
                let plain = ctx.action_of(&state).1;
                let size = plain.wrench.iter().fold(0.0_f64, |s, v| s.max(v.abs()));
                let same = |a: f64, b: f64| (a - b).abs() < 1e-9 * size;
                assert!((0..WRENCH).all(|row| same(tiles[i][row][pose], plain.wrench[row])), "instant {i}");
                assert!(same(pan[0][pose], plain.pan_torque) && same(tilt[0][pose], plain.tilt_torque));
                for (k, cut) in cuts.iter().enumerate() {
                    let plain = ctx.cut_forces(k, &state);
                    assert!((0..6).all(|row| same(cut[row][pose], plain[row])), "cut {k} in instant {i}");
                }
            }
            let lost =
                |pose: usize| tiles[i].iter().all(|row| row[pose].is_nan()) && cuts[0][2][pose].is_nan();
            assert!(lost(1) && lost(poses.len()) && lost(TILE - 1), "instant {i}");
        }
        assert!(rows.read(Source::Cut(usize::MAX), (&instants.moves, 0), &mut [[0.0; LANES]; 6]).is_none());
    }

    #[test]
    fn a_flow_that_is_not_known_gives_no_numbers_in_its_instants_alone() {
        let rig = rig();
        let ctx = context(&rig);
        let mut instants = Instants::of(&ctx, false);
        let gone = instants.moves.flow[0];
        instants.flows[gone] = None;
        let mut rows = ArmRows::of(ctx.arm.as_ref().unwrap());
        rows.place(&[Pose::default()], &instants.flows);
        let mut tiles = vec![[[0.0; TILE]; WRENCH]; instants.len()];
        rows.wrenches(&instants.moves, &mut tiles);
        assert!(instants.flows.len() > 1);
        for (tile, flow) in tiles.iter().zip(&instants.moves.flow) {
            assert!(tile.iter().all(|row| row[0].is_nan() == (*flow == gone)));
        }
    }
}
