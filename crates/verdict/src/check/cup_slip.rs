//! Shear and turning on a cup against friction: does it slide?

use super::at_most::{Measure, Own, above_zero, length_from_above};
use super::cup_seal::cup_items;
use super::shares::Shares;
use super::{Item, Side, Source, Swept};
use crate::context::Context;
use crate::finding::{HandCheck, Step};
use mechanics::cup::slip::RING_SHARE;
use quantity::Kind;
use rig::policy::CheckId;

/// Slip of every cup. Item data: vacuum force, friction on the safe surface, torsion radius, friction.
pub(super) struct CupSlip(Vec<Item>);

impl CupSlip {
    pub(super) fn of(ctx: &Context<'_>) -> Self {
        Self(cup_items(ctx, |f, _| {
            [f.vacuum_force, f.friction * RING_SHARE, f.torsion_radius, f.friction, 0.0, 0.0, 0.0, 0.0]
        }))
    }
}

/// Use of a cup's friction, and what rounding may put on its pull and on what slides it.
struct Slide {
    vacuum_force: f64,
    per_mu: f64,
    per_radius: f64,
    pull: f64,
    across: f64,
}

impl Slide {
    /// `None` where there is nothing to divide by.
    fn of(item: &Item, wide: &[f64; 6]) -> Option<Self> {
        let ([vacuum_force, mu, radius, ..], [a, b, pull, _, _, turn]) = (item.data, *wide);
        (vacuum_force > 0.0 && mu > 0.0 && radius > 0.0).then(|| {
            let (per_mu, per_radius) = (1.0 / mu, 1.0 / radius);
            let across = a.hypot(b).hypot(turn * per_radius);
            Self { vacuum_force, per_mu, per_radius, pull, across }
        })
    }
}

impl Measure for Slide {
    const ROWS: [bool; 6] = [true, true, true, false, false, true];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [x, y, normal, _, _, turn]: [S::f64s; 6]) -> S::f64s {
        let [vacuum_force, per_mu, per_radius, pull, across] =
            [self.vacuum_force, self.per_mu, self.per_radius, self.pull, self.across]
                .map(|v| simd.splat_f64s(v));
        let (pull, press) = (simd.sub_f64s(pull, normal), simd.sub_f64s(normal, pull));
        let shear = length_from_above(simd, length_from_above(simd, x, y), simd.mul_f64s(turn, per_radius));
        let demand = simd.mul_add_e_f64s(simd.add_f64s(shear, across), per_mu, above_zero(simd, pull));
        simd.div_f64s(demand, simd.add_f64s(vacuum_force, above_zero(simd, press)))
    }
}

impl Swept for CupSlip {
    fn id(&self) -> CheckId {
        CheckId::CupSlip
    }

    fn kind(&self) -> Kind {
        Kind::Force
    }

    fn items(&self) -> &[Item] {
        &self.0
    }

    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        let [n0, mu, radius, ..] = item.data;
        let pull = -r[2];
        let turn = r[5] / radius;
        let shear = (r[0] * r[0] + r[1] * r[1] + turn * turn).sqrt();
        (shear / mu + pull.max(0.0), n0 + (-pull).max(0.0))
    }

    fn at_most(&self, item: &Item, shares: Shares<'_>, over: f64) -> f64 {
        let own = Own { check: self, item, wide: shares.wide };
        match Slide::of(item, &shares.wide) {
            Some(quick) => shares.most_over(quick, over * (1.0 - 1e-12), own).max(0.0),
            None => shares.most(own),
        }
    }

    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        match Slide::of(item, &shares.wide) {
            Some(quick) => shares.most(quick),
            None => self.at_most(item, shares, f64::NEG_INFINITY),
        }
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Size, Side::Size, Side::Down, Side::Idle, Side::Idle, Side::Size]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        let [n0, _, radius, mu, ..] = item.data;
        let (pull, shear, turn) = (-r[2], r[0].hypot(r[1]), r[5].abs());
        let (demand, capacity) = self.demand_capacity(item, r);
        HandCheck {
            formula: "S² = V² + (Mz / rt)²;  demand = S / (q mu) + T;  capacity = N0 (+ press, when T < 0)",
            source: "ellipsoidal limit surface, Howe and Cutkosky 1996, drawn in to lie inside a ring's true one; mechanics.md §5.4",
            steps: vec![
                Step::new("N0", "vacuum force on the sealed area", n0, Kind::Force),
                Step::new("mu", "friction of the lip on this panel", mu, Kind::Number),
                Step::new(
                    "q",
                    "what a ring keeps of the ellipse where shear and turning meet",
                    RING_SHARE,
                    Kind::Number,
                ),
                Step::new("V", "shear on the cup", shear, Kind::Force),
                Step::new("Mz", "turning moment on the cup", turn, Kind::Moment),
                Step::new("rt", "radius at which friction resists turning", radius, Kind::Length),
                Step::new("S", "square root of V² + (Mz / rt)²", shear.hypot(turn / radius), Kind::Force),
                Step::new("T", "pull on the cup (negative presses it down)", pull, Kind::Force),
                Step::new("demand", "S / (q mu) + T (T not under 0)", demand, Kind::Force),
                Step::new("capacity", "N0, plus the press when T is negative", capacity, Kind::Force),
            ],
        }
    }
}

/// The source of a cup's rows, for checks that look at single forces.
pub(super) fn cup_source(ctx: &Context<'_>, cup: usize) -> Source {
    Source::Rows { start: ctx.layout.cup[cup], len: 6 }
}
