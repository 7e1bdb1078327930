//! Stress in the boom's sections against yield.

use super::shares::Shares;
use super::tube_stress::{most, quick_most, stress_data, stress_hand, von_mises};
use super::{Item, Side, Source, Swept};
use crate::context::Context;
use crate::finding::{HandCheck, Need};
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

/// Von Mises stress at the inner end of each front section, braces left out (they take load off it).
pub(super) struct BoomStress(Vec<Item>);

impl BoomStress {
    pub(super) fn of(ctx: &Context<'_>) -> Self {
        let mut items = Vec::new();
        if let (Some(model), Some(arm)) = (&ctx.arm, &ctx.rig.arm) {
            for (k, cut) in model.cuts.iter().enumerate().filter(|(_, c)| !c.tail) {
                let section = arm.sections[cut.section].section.as_ref();
                if let Some(data) = section.and_then(stress_data) {
                    items.push(Item::new(PartRef::BoomSection(cut.section), Source::Cut(k), data));
                }
            }
            for (index, s) in arm.sections.iter().enumerate() {
                if s.section.is_none() && s.span.0.min(s.span.1) > -1e-9 {
                    let need = Need {
                        what: format!("tube of boom section {}", s.tag),
                        key: format!("arm.section.{}.tube", s.tag),
                        settle: "measure outer diameter and wall, or keep under the maker's payload rating"
                            .to_owned(),
                    };
                    items.push(Item::missing(PartRef::BoomSection(index), Source::Cut(usize::MAX), need));
                }
            }
        }
        Self(items)
    }
}

impl Swept for BoomStress {
    fn id(&self) -> CheckId {
        CheckId::BoomStress
    }

    fn kind(&self) -> Kind {
        Kind::Pressure
    }

    fn items(&self) -> &[Item] {
        &self.0
    }

    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        (von_mises(&item.data, r).0, item.data[4])
    }

    fn at_most(&self, item: &Item, shares: Shares<'_>, over: f64) -> f64 {
        most(item, shares, over)
    }

    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        quick_most(item, shares)
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Size; 6]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        stress_hand(&item.data, r)
    }
}
