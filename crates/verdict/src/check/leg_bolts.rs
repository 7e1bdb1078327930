//! Bolts at the top of a leg: proof load, opening and slip of the joint.

use super::bolt_ring::{self, Quick, force, largest};
use super::shares::Shares;
use super::{Item, Side, Source, Swept};
use crate::context::Context;
use crate::finding::HandCheck;
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

/// Item data as [`bolt_ring::numbers`] gives it.
pub(super) struct LegBolts(Vec<Item>);

impl LegBolts {
    pub(super) fn of(ctx: &Context<'_>) -> Self {
        let items = ctx.rig.legs.iter().enumerate().filter_map(|(l, leg)| {
            let source = Source::Rows { start: ctx.layout.leg_top.get(l).copied().flatten()?, len: 6 };
            let (key, of) = (format!("leg.{}.bolts", leg.tag), format!("leg {}", leg.tag));
            Some(match bolt_ring::numbers(leg.bolts.as_ref(), (&key, "at the top of", &of)) {
                Ok(data) => Item::new(PartRef::Leg(l), source, data),
                Err(need) => Item::missing(PartRef::Leg(l), source, need),
            })
        });
        Self(items.collect())
    }
}

impl Swept for LegBolts {
    fn id(&self) -> CheckId {
        CheckId::LegBolts
    }

    fn kind(&self) -> Kind {
        Kind::Number
    }

    fn items(&self) -> &[Item] {
        &self.0
    }

    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        (largest(&item.data, force(&item.data, r)), 1.0)
    }

    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        match Quick::of(&item.data, &shares.wide) {
            Some(quick) => shares.most(quick),
            None => self.at_most(item, shares, f64::NEG_INFINITY),
        }
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Size, Side::Size, Side::Down, Side::Size, Side::Size, Side::Size]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        bolt_ring::hand(&item.data, r)
    }
}
