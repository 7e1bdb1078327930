//! What the arm does to the platform in many states at once: for one pose, all instants side by side.

use crate::context::Context;
use mechanics::arm::{self, InWind, Pose, TERMS, WrenchBasis};
use rig::model::ArmUse;
use std::ops::Range;

/// Rows of the arm's own numbers before those of its cuts: six of the wrench, the two torques.
const OWN: usize = 8;

/// The (drive, motion) pairs that go with a set of poses, and what of them no pose changes.
pub(super) struct Instants {
    /// Drive and motion of each.
    pub(super) pairs: Vec<(usize, usize)>,
    /// Wind of each, by index.
    pub(super) winds: Vec<usize>,
    /// Force per mass of each, axis by axis.
    pub(super) body: [Vec<f64>; 3],
    /// Terms of the arm's basis, term by term.
    terms: Vec<Vec<f64>>,
    /// Which of the streams each one has.
    stream: Vec<usize>,
    /// One instant of each distinct flow past the arm: same wind, same yaw, same rates.
    streams: Vec<(usize, usize)>,
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
            stream: Vec::with_capacity(pairs.len()),
            streams: Vec::new(),
            pairs,
        };
        // Equal bit for bit is what saves work; nearly equal is not worth a rule.
        let mut flows: Vec<[u64; 4]> = Vec::new();
        for (drive, motion) in out.pairs.clone() {
            for (row, value) in out.terms.iter_mut().zip(ctx.terms(drive, motion).0) {
                row.push(value);
            }
            let (d, rates) = (&ctx.actions.drives[drive], ctx.rates(motion));
            let flow =
                [d.wind as u64, d.yaw_rate.to_bits(), rates.pan_rps.to_bits(), rates.tilt_rps.to_bits()];
            let at = flows.iter().position(|f| *f == flow).unwrap_or_else(|| {
                flows.push(flow);
                out.streams.push((drive, motion));
                flows.len() - 1
            });
            out.stream.push(at);
        }
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
    /// Reckons them; without an arm they are zero.
    pub(super) fn of(ctx: &Context<'_>, pose: Pose, instants: &Instants) -> Self {
        let n = instants.len();
        let cuts = ctx.arm.as_ref().map_or(0, |a| a.cuts.len());
        let mut out = Self { values: vec![0.0; (OWN + 6 * cuts) * n], n };
        let Some(arm) = &ctx.arm else { return out };
        match at_pose(&arm.chain, pose) {
            Ok((basis, wind)) => {
                let columns = basis.columns().map(own_rows);
                let flow = |(drive, motion)| own_rows(ctx.wind_of(&wind, drive, motion));
                out.fill(0, &columns, instants, flow);
            }
            Err(_) => out.values[..OWN * n].fill(f64::NAN),
        }
        for (k, cut) in arm.cuts.iter().enumerate() {
            let first = OWN + 6 * k;
            match at_pose(&cut.beyond, pose) {
                Ok((basis, wind)) => {
                    let columns = basis.columns().map(|c| cut.forces(pose, &c));
                    let flow = |(drive, motion)| cut.forces(pose, &ctx.wind_of(&wind, drive, motion));
                    out.fill(first, &columns, instants, flow);
                }
                Err(_) => out.values[first * n..(first + 6) * n].fill(f64::NAN),
            }
        }
        out
    }

    /// `rows = basis x terms + what the flow does`, from row `first` on.
    fn fill<const R: usize>(
        &mut self,
        first: usize,
        columns: &[[f64; R]; TERMS],
        instants: &Instants,
        flow: impl Fn((usize, usize)) -> [f64; R],
    ) {
        let n = self.n;
        let flows: Vec<[f64; R]> = instants.streams.iter().map(|s| flow(*s)).collect();
        for (row, target) in self.values[first * n..].chunks_exact_mut(n.max(1)).take(R).enumerate() {
            for (t, s) in target.iter_mut().zip(&instants.stream) {
                *t = flows[*s][row];
            }
            for (column, term) in columns.iter().zip(&instants.terms) {
                let factor = column[row];
                for (t, v) in target.iter_mut().zip(term) {
                    *t += factor * v;
                }
            }
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

fn at_pose(chain: &arm::Arm, pose: Pose) -> Result<(WrenchBasis, InWind), arm::ArmError> {
    Ok((arm::wrench_basis(chain, pose)?, InWind::at(chain, pose)?))
}

fn own_rows(a: arm::Actions) -> [f64; OWN] {
    let [a0, a1, a2, a3, a4, a5] = a.on_platform.to_array();
    [a0, a1, a2, a3, a4, a5, a.pan_torque_nm, a.tilt_torque_nm]
}
