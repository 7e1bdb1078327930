//! The (drive, motion) pairs that go with a set of poses.

use crate::context::Context;
use mechanics::arm::{Flow, TERMS, Wind};
use rig::model::ArmUse;

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
    pub(super) flows: Vec<Option<Flow>>,
}

/// What makes the arm act in some instants, in any order of them.
#[derive(Default)]
pub(super) struct Moves {
    /// Terms of the arm's basis.
    pub(super) terms: Vec<[f64; TERMS]>,
    /// Which of the flows each one has.
    pub(super) flow: Vec<usize>,
}

impl Moves {
    /// Terms and flow of each.
    pub(super) fn each(&self) -> impl Iterator<Item = (&[f64; TERMS], usize)> {
        self.terms.iter().zip(self.flow.iter().copied())
    }

    /// Some of the instants, in an order of their own.
    pub(super) fn of(&self, order: impl Iterator<Item = usize> + Clone) -> Self {
        let terms = order.clone().map(|i| self.terms[i]).collect();
        Self { terms, flow: order.map(|i| self.flow[i]).collect() }
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
        for (drive, motion) in &out.pairs {
            let (d, rates) = (&ctx.actions.drives[*drive], ctx.rates(*motion));
            let flow =
                [d.wind as u64, d.yaw_rate.to_bits(), rates.pan_rps.to_bits(), rates.tilt_rps.to_bits()];
            let at = distinct.iter().position(|f| *f == flow).unwrap_or_else(|| {
                distinct.push(flow);
                let relative_mps = ctx.actions.winds[d.wind];
                let wind = Wind { relative_mps, density_kgm3: ctx.actions.density };
                out.flows.push(Flow::of(rates, d.yaw_rate, &wind).ok());
                distinct.len() - 1
            });
            out.moves.terms.push(ctx.terms(*drive, *motion).0);
            out.moves.flow.push(at);
        }
        out
    }

    /// How many.
    pub(super) fn len(&self) -> usize {
        self.pairs.len()
    }
}
