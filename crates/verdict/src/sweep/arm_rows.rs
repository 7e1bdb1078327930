//! What the arm does in many states at once: a few poses side by side, in one instant after the other.

use super::blend::Blend;
use super::instants::Moves;
use crate::arm_model::ArmModel;
use crate::check::Source;
use crate::check::shares::Share;
use mechanics::arm::{Flow, InPoses, POSES, Pose, Six, TERMS};
use rayon::prelude::*;

/// Poses side by side.
pub(super) const TILE: usize = POSES;
/// Six rows of the wrench, each one number a pose.
pub(super) type Tile = Six;

/// Rows of the wrench on the platform.
const WRENCH: usize = 6;

/// The arm's wrench on the platform in many poses: for every [`TILE`] of them its shares (see [`Blend`]).
pub(super) struct Wrenches {
    shares: Vec<Share>,
    each: usize,
}

impl Wrenches {
    /// No wrench in any state, which is what stands without an arm.
    pub(super) const NONE: Self = Self { shares: Vec::new(), each: 0 };

    /// For so many tiles of so many shares, still zero.
    pub(super) fn new(tiles: usize, each: usize) -> Self {
        Self { shares: vec![Share::NONE; tiles * each], each }
    }

    /// Tile by tile.
    pub(super) fn tiles(&mut self) -> impl IndexedParallelIterator<Item = &mut [Share]> {
        self.shares.par_chunks_mut(self.each.max(1))
    }

    /// The shares of a tile; none without an arm.
    #[inline(always)]
    pub(super) fn tile(&self, tile: usize) -> Option<&[Share]> {
        self.shares.get(tile * self.each..(tile + 1) * self.each).filter(|shares| !shares.is_empty())
    }
}

/// A row of what a flow does and, with it, the terms.
#[inline(always)]
fn sum(row: usize, flow: &Six, per_term: &[Six; TERMS], terms: &[f64; TERMS]) -> [f64; TILE] {
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
    /// Its wrench per unit of each term, and that of each flow.
    wrench: ([Six; TERMS], Vec<Six>),
    /// In how many poses it stands.
    count: usize,
}

impl<'a> ArmRows<'a> {
    /// Of an arm that is still to be placed.
    pub(super) fn of(arm: &'a ArmModel) -> Self {
        let per_term = vec![[[[f64::NAN; TILE]; 6]; TERMS]; 1 + arm.cuts.len()];
        let placed = InPoses::of(&arm.chain);
        let wrench = ([[[f64::NAN; TILE]; WRENCH]; TERMS], Vec::new());
        Self { arm, placed, per_term, flows: Vec::new(), needed: Default::default(), wrench, count: 0 }
    }

    /// Places it in up to [`TILE`] poses, in some flows. In a pose without an answer, and where there is none, nothing is a number.
    pub(super) fn place(&mut self, poses: &[Pose], flows: &[Option<Flow>]) {
        self.count = poses.len();
        pulp::Arch::new().dispatch(Placing { rows: self, poses, flows });
    }

    /// The wrench in up to [`TILE`] poses and some instants.
    pub(super) fn wrenches(&mut self, poses: &[Pose], flows: &[Option<Flow>], moves: &Moves) -> Vec<Tile> {
        self.place(poses, flows);
        let (per_term, flows) = &self.wrench;
        let of = |(terms, flow): (&[f64; TERMS], usize)| {
            core::array::from_fn(|row| sum(row, &flows[flow], per_term, terms))
        };
        moves.each().map(of).collect()
    }

    /// The shares of its wrench. Places that no pose has say what the first one's say.
    pub(super) fn put_wrench(&self, blend: &Blend, out: &mut [Share]) {
        let (per_term, flows) = &self.wrench;
        blend.put(WRENCH, per_term, |flow| &flows[flow], out);
        self.fill(out);
    }

    fn fill(&self, shares: &mut [Share]) {
        for row in shares.iter_mut().flat_map(|share| share.iter_mut()).filter(|_| self.count < TILE) {
            let said = row[0];
            row[self.count..].fill(said);
        }
    }

    /// Where a source stands among the rows.
    fn place_of(&self, source: Source) -> Option<usize> {
        match source {
            Source::PanTorque | Source::TiltTorque => Some(0),
            Source::Cut(k) if k < self.arm.cuts.len() => Some(1 + k),
            Source::Cut(_) | Source::Rows { .. } => None,
        }
    }

    /// The shares of what a source reads, likewise; `None` if it reads nothing here. Else zero, or no number where one of them is
    /// infinite or none.
    pub(super) fn put(&self, source: Source, blend: &Blend, out: &mut Vec<Share>) -> Option<f64> {
        let (which, sources) = (self.place_of(source)?, self.per_term.len());
        out.resize(blend.count(), Share::NONE);
        // The torques are two rows; nobody reads the others.
        let rows = if which == 0 { 2 } else { 6 };
        let flow = |flow: usize| &self.flows[flow * sources + which];
        let lost = blend.put(rows, &self.per_term[which], flow, out);
        self.fill(out);
        if source == Source::TiltTorque {
            for share in out {
                share.swap(0, 1);
            }
        }
        Some(lost)
    }
}

/// Sums over bodies, for the widest numbers side by side that the machine has.
struct Placing<'a, 'b> {
    rows: &'a mut ArmRows<'b>,
    poses: &'a [Pose],
    flows: &'a [Option<Flow>],
}

impl pulp::WithSimd for Placing<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let Self {
            rows: ArmRows { arm, placed, per_term: rows, flows: rows_of_flows, needed, wrench, .. },
            poses,
            flows,
        } = self;
        placed.place(poses);
        let ((per_term, in_flow), none) = (needed, [[0.0; TILE]; 6]);
        let (wrench_per_term, wrench_of_flows) = wrench;
        wrench_of_flows.resize(flows.len(), none);
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

#[cfg(test)]
mod tests {
    use super::super::forest::{Laid, TERMS as SWEPT_TERMS};
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
        let laid = Laid::of(&instants, ctx.columns.winds, &[], &[1.0; SWEPT_TERMS]);
        let shares = |source| {
            let mut out = Vec::new();
            rows.put(source, &laid.blend, &mut out).map(|lost| (out, lost))
        };
        let mut wrench = vec![Share::NONE; laid.blend.count()];
        rows.put_wrench(&laid.blend, &mut wrench);
        let [pan, tilt] = [Source::PanTorque, Source::TiltTorque].map(|source| shares(source).unwrap().0);
        let cuts: Vec<_> = (0..arm.cuts.len()).map(|k| shares(Source::Cut(k)).unwrap().0).collect();
        for (i, (drive, motion)) in instants.pairs.iter().enumerate() {
            let place = laid.order.iter().position(|instant| *instant == i).unwrap();
            let read = |shares: &Vec<Share>| [0, 1, 2, 3, 4, 5].map(|row| laid.blend.row(shares, place, row));
            let (pan, tilt, wrench) = (read(&pan), read(&tilt), read(&wrench));
            let cuts: Vec<_> = cuts.iter().map(read).collect();
            for pose in [0, 2, 3] {
                let state = StateId { failure: 0, drive: *drive, motion: *motion, pose: poses[pose] };
                let plain = ctx.action_of(&state).1;
                let size = plain.wrench.iter().fold(0.0_f64, |s, v| s.max(v.abs()));
                let same = |a: f64, b: f64| (a - b).abs() < 1e-9 * size;
                assert!((0..WRENCH).all(|row| same(tiles[i][row][pose], plain.wrench[row])), "instant {i}");
                assert!((0..WRENCH).all(|row| same(wrench[row][pose], plain.wrench[row])), "instant {i}");
                assert!(same(pan[0][pose], plain.pan_torque) && same(tilt[0][pose], plain.tilt_torque));
                for (k, cut) in cuts.iter().enumerate() {
                    let plain = ctx.cut_forces(k, &state);
                    assert!((0..6).all(|row| same(cut[row][pose], plain[row])), "cut {k} in instant {i}");
                }
            }
            let lost = |rows: &Tile, pose: usize| rows.iter().all(|row| row[pose].is_nan());
            assert!(lost(&tiles[i], 1) && lost(&wrench, 1) && lost(&cuts[0], 1), "instant {i}");
            assert!(lost(&tiles[i], poses.len()) && lost(&tiles[i], TILE - 1), "instant {i}");
            for rows in [&wrench, &cuts[0]] {
                assert!(rows.iter().all(|row| row[TILE - 1].to_bits() == row[0].to_bits()), "instant {i}");
            }
        }
        assert!(shares(Source::Cut(usize::MAX)).is_none());
        assert!(shares(Source::PanTorque).unwrap().1.is_nan());
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
