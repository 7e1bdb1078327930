//! What the arm does in many states at once: to the platform a few poses side by side in one instant after the other, to its own
//! drives and boom all instants of one pose side by side.

use crate::context::{AtPose, Context};
use mechanics::arm::{self, Blown, FLOWS, Flows, InWind, Pose, TERMS, Wind, of_flow};
use rig::model::ArmUse;
use std::ops::Range;

/// Rows of the arm's own numbers before those of its cuts: the two torques.
const OWN: usize = 2;
/// Poses side by side.
pub(super) const TILE: usize = 8;
/// Six rows of the wrench, each one number a pose.
pub(super) type Tile = [[f64; TILE]; 6];

/// The (drive, motion) pairs that go with a set of poses, and what of them no pose changes.
#[derive(Default)]
pub(super) struct Instants {
    /// Drive and motion of each.
    pub(super) pairs: Vec<(usize, usize)>,
    /// Wind of each, by index.
    pub(super) winds: Vec<usize>,
    /// Force per mass of each, axis by axis.
    pub(super) body: [Vec<f64>; 3],
    /// What the arm does in each.
    pub(super) moves: Moves,
    /// Each distinct flow past the arm: same wind, same yaw, same rates. Not known where a number is lost.
    pub(super) flows: Vec<Option<Flows>>,
}

/// Instants side by side.
const STEP: usize = 16;

/// What makes the arm act in some instants, in any order of them.
#[derive(Default)]
pub(super) struct Moves {
    /// Terms of the arm's basis, term by term; what is over the last instant is zero.
    terms: Vec<[[f64; STEP]; TERMS]>,
    /// Which of the flows each one has.
    flow: Vec<usize>,
}

impl Moves {
    fn push(&mut self, terms: &[f64; TERMS], flow: usize) {
        let k = self.flow.len() % STEP;
        if k == 0 {
            self.terms.push([[0.0; STEP]; TERMS]);
        }
        if let Some(last) = self.terms.last_mut() {
            for (row, value) in last.iter_mut().zip(terms) {
                row[k] = *value;
            }
        }
        self.flow.push(flow);
    }

    fn of(&self, instant: usize) -> [f64; TERMS] {
        self.terms[instant / STEP].map(|row| row[instant % STEP])
    }

    /// The same instants in another order.
    pub(super) fn ordered(&self, order: &[usize]) -> Self {
        let mut out = Self::default();
        for i in order {
            out.push(&self.of(*i), self.flow[*i]);
        }
        out
    }
}

impl Instants {
    /// Those in which the arm roams, or those in which it is parked.
    pub(super) fn of(ctx: &Context<'_>, parked: bool) -> Self {
        let pairs: Vec<(usize, usize)> = (0..ctx.actions.drives.len())
            .filter(|d| (ctx.arm_use(*d) == ArmUse::Parked) == parked)
            .flat_map(|d| (0..ctx.motions(d)).map(move |m| (d, m)))
            .collect();
        let mut out = Self {
            winds: pairs.iter().map(|(d, _)| ctx.actions.drives[*d].wind).collect(),
            body: [0, 1, 2]
                .map(|axis| pairs.iter().map(|(d, _)| ctx.actions.drives[*d].body_force()[axis]).collect()),
            moves: Moves::default(),
            flows: Vec::new(),
            pairs,
        };
        // Equal bit for bit is what saves work; nearly equal is not worth a rule.
        let mut distinct: Vec<[u64; 4]> = Vec::new();
        let mut flows = Vec::new();
        for (drive, motion) in out.pairs.clone() {
            let (d, rates) = (&ctx.actions.drives[drive], ctx.rates(motion));
            let flow =
                [d.wind as u64, d.yaw_rate.to_bits(), rates.pan_rps.to_bits(), rates.tilt_rps.to_bits()];
            let at = distinct.iter().position(|f| *f == flow).unwrap_or_else(|| {
                distinct.push(flow);
                let relative_mps = ctx.actions.winds[d.wind];
                let wind = Wind { relative_mps, density_kgm3: ctx.actions.density };
                flows.push((rates, d.yaw_rate, wind));
                flows.len() - 1
            });
            out.moves.push(&ctx.terms(drive, motion).0, at);
        }
        out.flows = flows.chunks(FLOWS).map(|f| Flows::of(f).ok()).collect();
        out
    }

    /// How many.
    pub(super) fn len(&self) -> usize {
        self.pairs.len()
    }

    /// What each flow does, into what was there.
    pub(super) fn blow(&self, wind: &InWind, out: &mut Winds) {
        out.clear();
        out.resize(self.flows.len(), Blown::LOST);
        for (some, out) in self.flows.iter().zip(out) {
            if let Some(some) = some {
                pulp::Arch::new().dispatch(Blowing { wind, some, out });
            }
        }
    }
}

/// What each flow does, by groups of them.
pub(super) type Winds = Vec<Blown>;

/// The arm's wrench in some instants and up to [`TILE`] poses: for each instant six rows of one number a pose, not numbers where a
/// pose has no answer. `poses`: what each pose gives, and what each flow does in it.
pub(super) fn wrenches(moves: &Moves, poses: &[Option<(&AtPose, &Winds)>], out: &mut [Tile]) {
    let lost = [[f64::NAN; TILE]; 6];
    let mut columns = [lost; TERMS];
    let count = moves.flow.iter().max().map_or(0, |last| last + 1);
    let mut flows = vec![lost; count.next_multiple_of(FLOWS)];
    for (k, pose) in poses.iter().enumerate().take(TILE) {
        let Some((at, winds)) = pose else { continue };
        for (column, of) in columns.iter_mut().zip(at.basis.columns()) {
            for (row, v) in column.iter_mut().zip(on_platform(of)) {
                row[k] = v;
            }
        }
        for (flows, blown) in flows.chunks_exact_mut(FLOWS).zip(*winds) {
            for (row, of) in blown.on_platform.iter().enumerate() {
                for (flow, v) in flows.iter_mut().zip(of) {
                    flow[row][k] = *v;
                }
            }
        }
    }
    pulp::Arch::new().dispatch(Tiling { moves, columns: &columns, flows: &flows, out });
}

fn on_platform(a: &arm::Actions) -> [f64; 6] {
    a.on_platform.to_array()
}

/// Sums of products, for the widest numbers side by side that the machine has.
struct Tiling<'a> {
    moves: &'a Moves,
    columns: &'a [Tile; TERMS],
    flows: &'a [Tile],
    out: &'a mut [Tile],
}

impl pulp::WithSimd for Tiling<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        for (place, (out, flow)) in self.out.iter_mut().zip(&self.moves.flow).enumerate() {
            let mut sums = self.flows[*flow];
            let terms = &self.moves.terms[place / STEP];
            for row in 0..6 {
                let mut sum = sums[row];
                for (column, term) in self.columns.iter().zip(terms) {
                    let v = term[place % STEP];
                    for (sum, factor) in sum.iter_mut().zip(&column[row]) {
                        *sum += factor * v;
                    }
                }
                sums[row] = sum;
            }
            *out = sums;
        }
    }
}

/// What an arm bears itself in one pose, row by row and as long as there are instants: pan torque, tilt torque, six a cut.
pub(super) struct ArmRows<'a> {
    values: Vec<f64>,
    instants: &'a Instants,
    /// Room for what each flow does beyond a cut.
    winds: Winds,
}

impl<'a> ArmRows<'a> {
    /// Room for some instants; zeros, which is what stands without an arm.
    pub(super) fn new(ctx: &Context<'_>, instants: &'a Instants) -> Self {
        let cuts = ctx.arm.as_ref().map_or(0, |a| a.cuts.len());
        Self { values: vec![0.0; (OWN + 6 * cuts) * instants.len()], instants, winds: Winds::new() }
    }

    /// Reckons them in a pose, with what it gives and what each flow does in it.
    pub(super) fn reckon(&mut self, ctx: &Context<'_>, pose: Pose, own: Option<(&AtPose, &Winds)>) {
        let Some(arm) = &ctx.arm else { return };
        let (n, moves) = (self.instants.len(), &self.instants.moves);
        let (torques, cuts) = self.values.split_at_mut(OWN * n);
        match own {
            Some((at, winds)) => {
                let drives = |a: &arm::Actions| [a.pan_torque_nm, a.tilt_torque_nm];
                let flows = told(winds, |b, k| [b.pan_torque_nm[k], b.tilt_torque_nm[k]]);
                fill(torques, moves, &at.basis.columns().each_ref().map(drives), &flows);
            }
            None => torques.fill(f64::NAN),
        }
        for (cut, rows) in arm.cuts.iter().zip(cuts.chunks_exact_mut((6 * n).max(1))) {
            match AtPose::of(&cut.beyond, pose) {
                Some(AtPose { basis, wind }) => {
                    let forces = |a: &arm::Actions| cut.forces(pose, a.on_platform, a.boom_root);
                    self.instants.blow(&wind, &mut self.winds);
                    let flows = told(&self.winds, |b, k| {
                        cut.forces(pose, of_flow(&b.on_platform, k), of_flow(&b.boom_root, k))
                    });
                    fill(rows, moves, &basis.columns().each_ref().map(forces), &flows);
                }
                None => rows.fill(f64::NAN),
            }
        }
    }

    fn rows(&self, rows: Range<usize>) -> &[f64] {
        let n = self.instants.len();
        &self.values[rows.start * n..rows.end * n]
    }

    /// Torque of the pan drive.
    pub(super) fn pan(&self) -> &[f64] {
        self.rows(0..1)
    }

    /// Torque of the tilt drive.
    pub(super) fn tilt(&self) -> &[f64] {
        self.rows(1..2)
    }

    /// Forces in a cut, six rows; empty where there is no such cut.
    pub(super) fn cut(&self, k: usize) -> &[f64] {
        let n = self.instants.len();
        let first = OWN.saturating_add(k.saturating_mul(6)).saturating_mul(n);
        self.values.get(first..first.saturating_add(6 * n)).unwrap_or_default()
    }
}

/// What some flows do, for the widest numbers side by side that the machine has.
struct Blowing<'a> {
    wind: &'a InWind,
    some: &'a Flows,
    out: &'a mut Blown,
}

impl pulp::WithSimd for Blowing<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        self.wind.blown(self.some, self.out);
    }
}

/// What each flow does, number by number.
fn told<const R: usize>(winds: &Winds, rows: impl Fn(&Blown, usize) -> [f64; R]) -> Vec<[f64; R]> {
    let mut out = Vec::with_capacity(FLOWS * winds.len());
    for blown in winds {
        out.extend((0..FLOWS).map(|flow| rows(blown, flow)));
    }
    out
}

/// `rows = basis x terms + what the flow does`.
fn fill<const R: usize>(rows: &mut [f64], moves: &Moves, columns: &[[f64; R]; TERMS], flows: &[[f64; R]]) {
    pulp::Arch::new().dispatch(Adding { rows, moves, columns, flows });
}

/// The same, likewise.
struct Adding<'a, const R: usize> {
    rows: &'a mut [f64],
    moves: &'a Moves,
    columns: &'a [[f64; R]; TERMS],
    flows: &'a [[f64; R]],
}

impl<const R: usize> pulp::WithSimd for Adding<'_, R> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let n = self.moves.flow.len();
        for (c, (terms, flow)) in self.moves.terms.iter().zip(self.moves.flow.chunks(STEP)).enumerate() {
            for row in 0..R {
                let mut sum = [0.0; STEP];
                for (sum, flow) in sum.iter_mut().zip(flow) {
                    *sum = self.flows[*flow][row];
                }
                for (column, terms) in self.columns.iter().zip(terms) {
                    let factor = column[row];
                    for (sum, v) in sum.iter_mut().zip(terms) {
                        *sum += factor * v;
                    }
                }
                let first = row * n + c * STEP;
                self.rows[first..first + flow.len()].copy_from_slice(&sum[..flow.len()]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{context, rig};

    #[test]
    fn a_tile_holds_what_each_pose_does_and_no_number_where_a_pose_has_no_answer() {
        let rig = rig();
        let ctx = context(&rig);
        let arm = ctx.arm.as_ref().unwrap();
        let mut instants = Instants::of(&ctx, false);
        let last = instants.len() - 1;
        // Flows of several groups.
        let more = FLOWS * 2 + 3;
        instants.moves.flow[last] = more;
        instants.flows.resize(more / FLOWS + 1, instants.flows[0].clone());
        let at = |pan_rad| AtPose::of(&arm.chain, Pose { pan_rad, elevation_rad: 0.1 }).unwrap();
        let (a, b) = (at(0.3), at(-2.0));
        let [mut of_a, mut of_b] = [Winds::new(), Winds::new()];
        instants.blow(&a.wind, &mut of_a);
        instants.blow(&b.wind, &mut of_b);
        let mut out = vec![[[0.0; TILE]; 6]; instants.len()];
        wrenches(&instants.moves, &[Some((&a, &of_a)), None, Some((&b, &of_b))], &mut out);
        for (k, (drive, motion)) in instants.pairs.iter().enumerate().take(last) {
            for (pose, at) in [(0, &a), (2, &b)] {
                let plain = ctx.arm_actions(at, *drive, *motion).wrench;
                let size = plain.iter().fold(0.0_f64, |s, v| s.max(v.abs()));
                for (row, v) in plain.iter().enumerate() {
                    assert!((out[k][row][pose] - v).abs() < 1e-9 * size, "{row} of {k}");
                }
            }
        }
        let lost = |out: &[Tile], pose: usize| out.iter().flatten().all(|row| row[pose].is_nan());
        assert!(lost(&out, 1) && !lost(&out, 0));
        out.as_flattened_mut().iter_mut().for_each(|row| *row = [0.0; TILE]);
        wrenches(&instants.moves, &[None], &mut out);
        assert!((0..TILE).all(|pose| lost(&out, pose)));
    }
}
