//! What the arm does to the platform in many states at once: for one pose, all instants side by side.

use crate::context::{AtPose, Context};
use mechanics::arm::{self, FLOWS, Flows, InWind, Pose, TERMS, Wind};
use rig::model::ArmUse;
use std::ops::Range;

/// Rows of the arm's own numbers before those of its cuts: six of the wrench, the two torques.
const OWN: usize = 8;

/// The (drive, motion) pairs that go with a set of poses, and what of them no pose changes.
#[derive(Default)]
pub(super) struct Instants {
    /// Drive and motion of each.
    pub(super) pairs: Vec<(usize, usize)>,
    /// Wind of each, by index.
    pub(super) winds: Vec<usize>,
    /// Force per mass of each, axis by axis.
    pub(super) body: [Vec<f64>; 3],
    /// Terms of the arm's basis, term by term.
    pub(super) terms: Vec<Vec<f64>>,
    /// Which of the flows each one has.
    pub(super) flow: Vec<usize>,
    /// Each distinct flow past the arm: same wind, same yaw, same rates. Not known where a number is lost.
    pub(super) flows: Vec<Option<Flows>>,
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
            terms: vec![Vec::new(); TERMS],
            flow: Vec::with_capacity(pairs.len()),
            flows: Vec::new(),
            pairs,
        };
        // Equal bit for bit is what saves work; nearly equal is not worth a rule.
        let mut distinct: Vec<[u64; 4]> = Vec::new();
        let mut flows = Vec::new();
        for (drive, motion) in out.pairs.clone() {
            for (row, value) in out.terms.iter_mut().zip(ctx.terms(drive, motion).0) {
                row.push(value);
            }
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
            out.flow.push(at);
        }
        out.flows = flows.chunks(FLOWS).map(|f| Flows::of(f).ok()).collect();
        out
    }

    /// How many.
    pub(super) fn len(&self) -> usize {
        self.pairs.len()
    }
}

/// The arm's numbers in one pose, row by row and `n` long: six of the wrench, pan torque, tilt torque, six a cut.
pub(super) struct ArmRows {
    values: Vec<f64>,
    n: usize,
}

impl ArmRows {
    /// Room for `n` instants; zeros, which is what stands without an arm.
    pub(super) fn new(ctx: &Context<'_>, n: usize) -> Self {
        let cuts = ctx.arm.as_ref().map_or(0, |a| a.cuts.len());
        Self { values: vec![0.0; (OWN + 6 * cuts) * n], n }
    }

    /// Reckons them in a pose.
    pub(super) fn reckon(&mut self, ctx: &Context<'_>, pose: Pose, instants: &Instants) {
        let Some(arm) = &ctx.arm else { return };
        let n = self.n;
        match AtPose::of(&arm.chain, pose) {
            Some(AtPose { basis, wind }) => {
                let columns = basis.columns().each_ref().map(own_rows);
                self.fill(0, &columns, instants, &wind, own_rows);
            }
            None => self.values[..OWN * n].fill(f64::NAN),
        }
        for (k, cut) in arm.cuts.iter().enumerate() {
            let first = OWN + 6 * k;
            match AtPose::of(&cut.beyond, pose) {
                Some(AtPose { basis, wind }) => {
                    let columns = basis.columns().each_ref().map(|c| cut.forces(pose, c));
                    self.fill(first, &columns, instants, &wind, |a| cut.forces(pose, a));
                }
                None => self.values[first * n..(first + 6) * n].fill(f64::NAN),
            }
        }
    }

    /// `rows = basis x terms + what the flow does`, from row `first` on.
    fn fill<const R: usize>(
        &mut self,
        first: usize,
        columns: &[[f64; R]; TERMS],
        instants: &Instants,
        wind: &InWind,
        rows: impl Fn(&arm::Actions) -> [f64; R],
    ) {
        let n = self.n;
        let mut flows = Vec::with_capacity(FLOWS * instants.flows.len());
        for some in &instants.flows {
            match some {
                Some(some) => {
                    flows.extend(pulp::Arch::new().dispatch(Blowing { wind, some }).iter().map(&rows));
                }
                None => flows.extend([[f64::NAN; R]; FLOWS]),
            }
        }
        for (row, target) in self.values[first * n..].chunks_exact_mut(n.max(1)).take(R).enumerate() {
            for (t, flow) in target.iter_mut().zip(&instants.flow) {
                *t = flows[*flow][row];
            }
            let factors = columns.map(|c| c[row]);
            pulp::Arch::new().dispatch(Adding { factors, terms: &instants.terms, target });
        }
    }

    fn rows(&self, rows: Range<usize>) -> &[f64] {
        &self.values[rows.start * self.n..rows.end * self.n]
    }

    /// Wrench on the platform, six rows.
    pub(super) fn wrench(&self) -> &[f64] {
        self.rows(0..6)
    }

    /// Torque of the pan drive.
    pub(super) fn pan(&self) -> &[f64] {
        self.rows(6..7)
    }

    /// Torque of the tilt drive.
    pub(super) fn tilt(&self) -> &[f64] {
        self.rows(7..8)
    }

    /// Forces in a cut, six rows; empty where there is no such cut.
    pub(super) fn cut(&self, k: usize) -> &[f64] {
        let first = OWN.saturating_add(k.saturating_mul(6)).saturating_mul(self.n);
        self.values.get(first..first.saturating_add(6 * self.n)).unwrap_or_default()
    }
}

/// What some flows do, for the widest numbers side by side that the machine has.
struct Blowing<'a> {
    wind: &'a InWind,
    some: &'a Flows,
}

impl pulp::WithSimd for Blowing<'_> {
    type Output = [arm::Actions; FLOWS];

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) -> Self::Output {
        self.wind.actions_of(self.some)
    }
}

/// Sums of products, for the widest numbers side by side that the machine has.
struct Adding<'a> {
    factors: [f64; TERMS],
    /// Term by term.
    terms: &'a [Vec<f64>],
    target: &'a mut [f64],
}

impl pulp::WithSimd for Adding<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        for (factor, term) in self.factors.iter().zip(self.terms) {
            for (t, v) in self.target.iter_mut().zip(term) {
                *t += factor * v;
            }
        }
    }
}

fn own_rows(a: &arm::Actions) -> [f64; OWN] {
    let [a0, a1, a2, a3, a4, a5] = a.on_platform.to_array();
    [a0, a1, a2, a3, a4, a5, a.pan_torque_nm, a.tilt_torque_nm]
}
