//! One force against one limit: the shape that several checks share.

use super::{Item, Source, Swept};
use crate::finding::{HandCheck, Need, Step};
use crate::parts::PartRef;
use quantity::Kind;
use rig::fact::Fact;
use rig::policy::CheckId;

/// What a check of this shape says about itself.
pub(super) struct Words {
    pub(super) id: CheckId,
    pub(super) kind: Kind,
    pub(super) formula: &'static str,
    pub(super) source: &'static str,
    /// What the demand is, in words.
    pub(super) demand: &'static str,
    /// What the limit is, in words.
    pub(super) limit: &'static str,
}

/// Items whose only datum is their limit, with a function that reads the demand.
pub(super) struct ForceCheck {
    pub(super) words: Words,
    pub(super) items: Vec<Item>,
    pub(super) demand: fn(&[f64; 6]) -> f64,
}

impl Swept for ForceCheck {
    fn id(&self) -> CheckId {
        self.words.id
    }

    fn kind(&self) -> Kind {
        self.words.kind
    }

    fn items(&self) -> &[Item] {
        &self.items
    }

    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        ((self.demand)(r), item.data[0])
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        let (demand, capacity) = self.demand_capacity(item, r);
        HandCheck {
            formula: self.words.formula,
            source: self.words.source,
            steps: vec![
                Step::new("demand", self.words.demand, demand, self.words.kind),
                Step::new("capacity", self.words.limit, capacity, self.words.kind),
            ],
        }
    }
}

/// An item with a limit that may be missing: what it is, its key and how to settle it.
pub(super) fn limited(
    part: PartRef,
    source: Source,
    limit: Option<&Fact>,
    need: impl FnOnce() -> (String, String, &'static str),
) -> Item {
    if let Some(f) = limit {
        Item::new(part, source, [f.value, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])
    } else {
        let (what, key, settle) = need();
        Item::missing(part, source, Need { what, key, settle: settle.to_owned() })
    }
}
