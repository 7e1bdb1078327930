//! Shear and turning on a cup against friction: does it slide?

use super::cup_seal::cup_items;
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
