//! Pull and moment on a cup against its vacuum: does the seal lift?

use super::at_most::{Measure, above_zero, length_from_above};
use super::cups::{self, CupFacts};
use super::shares::Shares;
use super::{Item, Side, Source, Swept};
use crate::context::Context;
use crate::finding::{HandCheck, Step};
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

/// Seal lift of every cup. Item data: vacuum force, core radius, vacuum, seal radius.
pub(super) struct CupSeal(Vec<Item>);

impl CupSeal {
    pub(super) fn of(ctx: &Context<'_>) -> Self {
        Self(cup_items(ctx, |f, seal_radius| {
            [f.vacuum_force, f.core, f.vacuum, seal_radius, 0.0, 0.0, 0.0, 0.0]
        }))
    }
}

/// One item a cup from its facts and its seal radius.
pub(super) fn cup_items(ctx: &Context<'_>, data: impl Fn(&CupFacts, f64) -> [f64; 8]) -> Vec<Item> {
    (0..ctx.rig.cups.len())
        .map(|c| {
            let source = Source::Rows { start: ctx.layout.cup[c], len: 6 };
            match cups::facts(ctx, c) {
                Ok(f) => Item::new(PartRef::Cup(c), source, data(&f, ctx.rig.cups[c].seal_radius)),
                Err(need) => Item::missing(PartRef::Cup(c), source, need),
            }
        })
        .collect()
}

/// Use of a seal, and what rounding may put on its pull and on its moment.
struct Lift {
    vacuum_force: f64,
    per_core: f64,
    pull: f64,
    rock: f64,
}

impl Measure for Lift {
    const ROWS: [bool; 6] = [false, false, true, true, true, false];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [_, _, normal, mx, my, _]: [S::f64s; 6]) -> S::f64s {
        let [vacuum_force, per_core, pull, rock] =
            [self.vacuum_force, self.per_core, self.pull, self.rock].map(|v| simd.splat_f64s(v));
        let (pull, press) = (simd.sub_f64s(pull, normal), simd.sub_f64s(normal, pull));
        let rock = simd.add_f64s(length_from_above(simd, mx, my), rock);
        let demand = simd.mul_add_e_f64s(rock, per_core, above_zero(simd, pull));
        simd.div_f64s(demand, simd.add_f64s(vacuum_force, above_zero(simd, press)))
    }
}

impl Swept for CupSeal {
    fn id(&self) -> CheckId {
        CheckId::CupSeal
    }

    fn kind(&self) -> Kind {
        Kind::Force
    }

    fn items(&self) -> &[Item] {
        &self.0
    }

    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        let [n0, core, ..] = item.data;
        let pull = -r[2];
        (pull.max(0.0) + (r[3] * r[3] + r[4] * r[4]).sqrt() / core, n0 + (-pull).max(0.0))
    }

    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        let ([vacuum_force, core, ..], [_, _, pull, a, b, _]) = (item.data, shares.wide);
        if vacuum_force > 0.0 && core > 0.0 {
            shares.most(Lift { vacuum_force, per_core: 1.0 / core, pull, rock: a.hypot(b) })
        } else {
            self.at_most(item, shares, f64::NEG_INFINITY)
        }
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Idle, Side::Idle, Side::Down, Side::Size, Side::Size, Side::Idle]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        let [n0, core, vacuum, seal, ..] = item.data;
        let (pull, moment) = (-r[2], r[3].hypot(r[4]));
        let (demand, capacity) = self.demand_capacity(item, r);
        HandCheck {
            formula: "N0 = dp pi r²;  demand = T + M / e;  capacity = N0 (+ press, when T < 0)",
            source: "core of a ring under an off-centre load, Timoshenko, Strength of Materials; mechanics.md §5.3",
            steps: vec![
                Step::new("dp", "vacuum used", vacuum, Kind::Pressure),
                Step::new("r", "radius of the sealed area", seal, Kind::Length),
                Step::new("N0", "dp pi r²", n0, Kind::Force),
                Step::new("T", "pull on the cup (negative presses it down)", pull, Kind::Force),
                Step::new("M", "rocking moment at the panel", moment, Kind::Moment),
                Step::new("e", "core radius of the lip's ring, (Ro² + Ri²) / (4 Ro)", core, Kind::Length),
                Step::new("demand", "T + M / e (T not under 0)", demand, Kind::Force),
                Step::new("capacity", "N0, plus the press when T is negative", capacity, Kind::Force),
            ],
        }
    }
}
