//! The lowest tension of each strap. A slack strap is computed as slack (see `crate::slack`); a hook that is not closed
//! can come off it, so it is said.

use super::{Item, Side, Source, Swept};
use crate::context::Context;
use crate::finding::{HandCheck, Step};
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

/// Loss of tension against the tension as fitted. Item data: tension as fitted.
pub(super) struct StrapTaut(Vec<Item>);

impl StrapTaut {
    pub(super) fn of(ctx: &Context<'_>) -> Self {
        let items = ctx.layout.strap.iter().enumerate().filter_map(|(i, row)| {
            let source = Source::Rows { start: (*row)?, len: 1 };
            let t0 = ctx.rig.straps[i].pretension.value;
            Some(Item::new(PartRef::Strap(i), source, [t0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]))
        });
        Self(items.collect())
    }
}

impl Swept for StrapTaut {
    fn id(&self) -> CheckId {
        CheckId::StrapTaut
    }

    fn kind(&self) -> Kind {
        Kind::Force
    }

    fn items(&self) -> &[Item] {
        &self.0
    }

    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        (item.data[0] - r[0], item.data[0])
    }

    fn informs(&self) -> bool {
        true
    }

    fn note(&self, item: &Item, r: &[f64; 6]) -> Option<String> {
        let fitted = quantity::both_kind(item.data[0], Kind::Force);
        Some(if r[0] < 0.01 * item.data[0] {
            format!("goes slack (fitted at {fitted}): use closed hooks, look at it every round")
        } else {
            format!("lowest tension {} of {fitted} as fitted", quantity::both_kind(r[0], Kind::Force))
        })
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Down, Side::Idle, Side::Idle, Side::Idle, Side::Idle, Side::Idle]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        let (demand, capacity) = self.demand_capacity(item, r);
        HandCheck {
            formula: "demand = T0 - T (loss of tension);  capacity = T0",
            source: "statics: a strap only pulls; mechanics.md §7.3",
            steps: vec![
                Step::new("T0", "tension as fitted", item.data[0], Kind::Force),
                Step::new("T", "tension in this state", r[0], Kind::Force),
                Step::new("demand", "T0 - T", demand, Kind::Force),
                Step::new("capacity", "T0", capacity, Kind::Force),
            ],
        }
    }
}
