//! What the arm does in many states at once: a few poses side by side, in one instant after the other.

use super::blend::Blend;
use super::instants::Moves;
use crate::arm_model::ArmModel;
use crate::check::at_most::Share;
use crate::check::{LANES, Source};
use mechanics::arm::{Flow, InPoses, POSES, Pose, Six, TERMS};
use rayon::prelude::*;

/// Poses side by side.
pub(super) const TILE: usize = POSES;
/// Six rows of the wrench, each one number a pose.
pub(super) type Tile = Six;
/// Instants of a tile that are looked at together.
pub(super) const TOGETHER: usize = LANES / TILE;

/// Rows of the wrench on the platform.
const WRENCH: usize = 6;

/// The arm's wrench on the platform in many poses: for every [`TILE`] of them what each term and each flow adds to it.
pub(super) struct Wrenches {
    /// For each tile the wrench per unit of each term, then that of each flow.
    parts: Vec<Tile>,
    flows: usize,
}

impl Wrenches {
    /// No wrench in any state, which is what stands without an arm.
    pub(super) const NONE: Self = Self { parts: Vec::new(), flows: 0 };

    /// For so many tiles, still zero.
    pub(super) fn new(tiles: usize, flows: usize) -> Self {
        Self { parts: vec![[[0.0; TILE]; WRENCH]; tiles * (TERMS + flows)], flows }
    }

    /// Tile by tile.
    pub(super) fn tiles(&mut self) -> impl IndexedParallelIterator<Item = &mut [Tile]> {
        self.parts.par_chunks_mut(TERMS + self.flows)
    }

    /// Of a tile in an instant.
    pub(super) fn of(&self, tile: usize, moves: (&[f64; TERMS], usize)) -> Tile {
        let mut out = [[0.0; TILE]; WRENCH];
        let Some((per_term, flows)) = self.tile(tile) else { return out };
        for (row, out) in out.iter_mut().enumerate() {
            *out = sum(row, &flows[moves.1], per_term, moves.0);
        }
        out
    }

    /// What a tile's wrench is made of; none without an arm.
    #[inline(always)]
    pub(super) fn tile(&self, tile: usize) -> Option<Parts<'_>> {
        let first = tile * (TERMS + self.flows);
        self.parts.get(first..)?.split_first_chunk()
    }
}

/// Of a tile the wrench per unit of each term, and that of each flow.
pub(super) type Parts<'a> = (&'a [Six; TERMS], &'a [Six]);

/// A row of what a flow does and, with it, the terms.
#[inline(always)]
pub(super) fn sum(row: usize, flow: &Six, per_term: &[Six; TERMS], terms: &[f64; TERMS]) -> [f64; TILE] {
    let mut sum = flow[row];
    for (per_unit, term) in per_term.iter().zip(terms) {
        for (sum, v) in sum.iter_mut().zip(&per_unit[row]) {
            *sum += v * term;
        }
    }
    sum
}

/// What an arm does in a few poses: pan and tilt torque, in two rows of six, and the forces in each cut.
pub(super) struct ArmRows<'a> {
    arm: &'a ArmModel,
    placed: InPoses,
    /// Torques, then each cut: per unit of each term.
    per_term: Vec<[Six; TERMS]>,
    /// The same in each flow, flow by flow.
    flows: Vec<Six>,
    /// What the bodies need, term by term and in one flow.
    needed: ([Vec<Six>; TERMS], Vec<Six>),
}

impl<'a> ArmRows<'a> {
    /// Of an arm that is still to be placed.
    pub(super) fn of(arm: &'a ArmModel) -> Self {
        let per_term = vec![[[[f64::NAN; TILE]; 6]; TERMS]; 1 + arm.cuts.len()];
        let placed = InPoses::of(&arm.chain);
        Self { arm, placed, per_term, flows: Vec::new(), needed: Default::default() }
    }

    /// Places it in up to [`TILE`] poses, in some flows; its wrench goes to `wrench`. In a pose without an answer, and where there is
    /// none, nothing is a number.
    pub(super) fn place(&mut self, poses: &[Pose], flows: &[Option<Flow>], wrench: &mut [Tile]) {
        pulp::Arch::new().dispatch(Placing { rows: self, poses, flows, wrench });
    }

    /// The wrench in up to [`TILE`] poses and some instants.
    pub(super) fn wrenches(&mut self, poses: &[Pose], flows: &[Option<Flow>], moves: &Moves) -> Vec<Tile> {
        let mut wrenches = Wrenches::new(1, flows.len());
        self.place(poses, flows, &mut wrenches.parts);
        moves.each().map(|moves| wrenches.of(0, moves)).collect()
    }

    /// Where a source stands among the rows.
    fn place_of(&self, source: Source) -> Option<usize> {
        match source {
            Source::PanTorque | Source::TiltTorque => Some(0),
            Source::Cut(k) if k < self.arm.cuts.len() => Some(1 + k),
            Source::Cut(_) | Source::Rows { .. } => None,
        }
    }

    /// What a source reads by each share of the instants, and how large what is summed can be; `None` if it reads nothing here.
    pub(super) fn shares(&self, source: Source, blend: &Blend) -> Option<(Vec<Share>, [f64; 6])> {
        let (which, sources) = (self.place_of(source)?, self.per_term.len());
        let (mut shares, mut size) =
            blend.shares(&self.per_term[which], |flow| &self.flows[flow * sources + which]);
        if source == Source::TiltTorque {
            for share in &mut shares {
                share.swap(0, 1);
            }
            size.swap(0, 1);
        }
        Some((shares, size))
    }

    /// What a source reads in [`TOGETHER`] instants from one on: pose by pose, instant by instant; `None` if it reads nothing here.
    pub(super) fn read(
        &self,
        source: Source,
        (moves, first): (&Moves, usize),
        out: &mut [[f64; LANES]; 6],
    ) -> Option<()> {
        let which = self.place_of(source)?;
        pulp::Arch::new().dispatch(Reading { rows: self, which, moves, first, out });
        if source == Source::TiltTorque {
            out[0] = out[1];
        }
        Some(())
    }
}

/// Sums over bodies, for the widest numbers side by side that the machine has.
struct Placing<'a, 'b> {
    rows: &'a mut ArmRows<'b>,
    poses: &'a [Pose],
    flows: &'a [Option<Flow>],
    wrench: &'a mut [Tile],
}

impl pulp::WithSimd for Placing<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let Self { rows: ArmRows { arm, placed, per_term: rows, flows: rows_of_flows, needed }, .. } = self;
        let (flows, wrench) = (self.flows, self.wrench);
        placed.place(self.poses);
        let ((per_term, in_flow), none) = (needed, [[0.0; TILE]; 6]);
        let (wrench_per_term, wrench_of_flows) = wrench.split_at_mut(TERMS);
        let mut own = vec![none; rows.len()];
        placed.needed_per_term(per_term);
        let mut lost = [0.0; TILE];
        for (term, (needed, wrench)) in per_term.iter().zip(wrench_per_term).enumerate() {
            put(arm, placed, needed, (wrench, &mut own));
            for (rows, own) in rows.iter_mut().zip(&own) {
                rows[term] = *own;
            }
            for row in own.iter().chain([&*wrench]).flatten() {
                // Zero, unless a number is infinite or none.
                for k in 0..TILE {
                    lost[k] += row[k] * 0.0;
                }
            }
        }
        rows_of_flows.clear();
        rows_of_flows.resize(flows.len() * rows.len(), [[f64::NAN; TILE]; 6]);
        let own = rows_of_flows.chunks_exact_mut(rows.len());
        for ((flow, wrench), own) in flows.iter().zip(wrench_of_flows).zip(own) {
            *wrench = [[f64::NAN; TILE]; WRENCH];
            let Some(flow) = flow else { continue };
            placed.needed_in(flow, in_flow);
            put(arm, placed, in_flow, (wrench, own));
            for row in own.iter_mut().chain([wrench]).flatten() {
                for k in 0..TILE {
                    row[k] += lost[k];
                }
            }
        }
    }
}

/// The wrench, and torques and cuts, from what the bodies need.
#[inline(always)]
fn put(arm: &ArmModel, placed: &InPoses, needed: &[Six], (wrench, own): (&mut Tile, &mut [Six])) {
    let (on_platform, pan, tilt) = placed.whole(needed);
    *wrench = on_platform;
    let Some((torques, cuts)) = own.split_first_mut() else { return };
    *torques = [[0.0; TILE]; 6];
    (torques[0], torques[1]) = (pan, tilt);
    for (cut, own) in arm.cuts.iter().zip(cuts) {
        *own = placed.beyond(needed, &cut.bodies, cut.along);
    }
}

/// The rows of a source, likewise.
struct Reading<'a> {
    rows: &'a ArmRows<'a>,
    which: usize,
    moves: &'a Moves,
    first: usize,
    out: &'a mut [[f64; LANES]; 6],
}

impl pulp::WithSimd for Reading<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let Self { rows, which, moves, first, out } = self;
        let (per_term, sources) = (&rows.per_term[which], rows.per_term.len());
        let each = moves.flow[first..].iter().zip(&moves.terms[first..]);
        for (k, (flow, terms)) in each.enumerate().take(TOGETHER) {
            let flow = &rows.flows[flow * sources + which];
            // The torques are two rows.
            for (row, out) in out.iter_mut().enumerate().take(if which == 0 { 2 } else { 6 }) {
                out.as_chunks_mut::<TILE>().0[k] = sum(row, flow, per_term, terms);
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
        let tiles = rows.wrenches(&poses, &instants.flows, &instants.moves);
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
        let tiles = rows.wrenches(&[Pose::default()], &instants.flows, &instants.moves);
        assert!(instants.flows.len() > 1);
        for (tile, flow) in tiles.iter().zip(&instants.moves.flow) {
            assert!(tile.iter().all(|row| row[0].is_nan() == (*flow == gone)));
        }
    }
}
