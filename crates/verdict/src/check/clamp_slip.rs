//! Slip of a clamp's or a leg foot's jaw along and about its tube.

use super::at_most::Measure;
use super::shares::Shares;
use super::{Item, Side, Source, Swept, utilisation};
use crate::context::Context;
use crate::finding::{HandCheck, Need, Step};
use crate::parts::PartRef;
use quantity::Kind;
use rig::fact::Fact;
use rig::policy::CheckId;

/// Jaws of clamps or of legs' feet. Item data: slip force and slip moment at the stated torque, share of the rated torque.
pub(super) struct JawSlip {
    id: CheckId,
    items: Vec<Item>,
}

struct Grip<'a> {
    slip: Option<&'a Fact>,
    twist: Option<&'a Fact>,
    share: f64,
    key: String,
    name: String,
}

fn item(part: PartRef, place: String, source: Source, grip: &Grip<'_>) -> Item {
    let mut item = match (grip.slip, grip.twist) {
        (Some(slip), Some(twist)) => {
            let share = grip.share.clamp(0.0, 1.0);
            Item::new(part, source, [slip.value * share, twist.value * share, share, 0.0, 0.0, 0.0, 0.0, 0.0])
        }
        (slip, _) => Item::missing(
            part,
            source,
            Need {
                what: format!("slip {} of {}", if slip.is_none() { "force" } else { "moment" }, grip.name),
                key: format!("{}.{}", grip.key, if slip.is_none() { "slip" } else { "twist" }),
                settle: "from the maker's sheet, or pull it along the tube with a scale at its torque"
                    .to_owned(),
            },
        ),
    };
    item.place = place;
    item
}

/// Clamps: both jaws.
pub(super) fn clamp_slip(ctx: &Context<'_>) -> JawSlip {
    let mut items = Vec::new();
    for (k, jaw) in ctx.structure.jaws.iter().enumerate() {
        let PartRef::Clamp(c) = jaw.part else { continue };
        let clamp = &ctx.rig.clamps[c];
        let share = if clamp.rated_torque > 0.0 { clamp.torque.value / clamp.rated_torque } else { 1.0 };
        let grip = Grip {
            slip: clamp.slip.as_ref(),
            twist: clamp.twist.as_ref(),
            share,
            key: format!("clamp.{}", clamp.tag),
            name: format!("clamp {}", clamp.tag),
        };
        let place = format!("on tube {}", ctx.rig.tubes[jaw.tube].tag);
        items.push(item(jaw.part, place, Source::Rows { start: ctx.layout.jaw[k], len: 6 }, &grip));
    }
    JawSlip { id: CheckId::ClampSlip, items }
}

/// Feet of legs.
pub(super) fn leg_slip(ctx: &Context<'_>) -> JawSlip {
    let mut items = Vec::new();
    for (k, jaw) in ctx.structure.jaws.iter().enumerate() {
        let PartRef::Leg(l) = jaw.part else { continue };
        let leg = &ctx.rig.legs[l];
        let grip = Grip {
            slip: leg.slip.as_ref(),
            twist: leg.twist.as_ref(),
            share: 1.0,
            key: format!("leg.{}", leg.tag),
            name: format!("leg {}", leg.tag),
        };
        let place = format!("on tube {}", ctx.rig.tubes[jaw.tube].tag);
        items.push(item(jaw.part, place, Source::Rows { start: ctx.layout.jaw[k], len: 6 }, &grip));
    }
    JawSlip { id: CheckId::LegSlip, items }
}

/// Force along the tube, and the moment about it on an arm of so much.
struct Pull {
    arm: f64,
}

impl Measure for Pull {
    const ROWS: [bool; 6] = [true, false, false, true, false, false];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [along, _, _, about, _, _]: [S::f64s; 6]) -> S::f64s {
        simd.mul_add_e_f64s(simd.abs_f64s(about), simd.splat_f64s(self.arm), simd.abs_f64s(along))
    }
}

impl Swept for JawSlip {
    fn id(&self) -> CheckId {
        self.id
    }

    fn kind(&self) -> Kind {
        Kind::Force
    }

    fn items(&self) -> &[Item] {
        &self.items
    }

    /// The two ratings come from separate tests, so their uses add in full (`mechanics::clamp::Interaction::Linear`).
    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        let [slip, twist, ..] = item.data;
        (r[0].abs() + r[3].abs() * (slip / twist), slip)
    }

    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        let [slip, twist, ..] = item.data;
        let (arm, wide) = (slip / twist, shares.wide);
        utilisation(shares.most(Pull { arm }) + wide[0] + wide[3] * arm, slip)
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Size, Side::Idle, Side::Idle, Side::Size, Side::Idle, Side::Idle]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        let [slip, twist, share, ..] = item.data;
        let (demand, capacity) = self.demand_capacity(item, r);
        HandCheck {
            formula: "demand = F + M FR / MR;  capacity = FR",
            source: "F / FR + M / MR <= 1: ratings of separate tests add in full; EN 12811-1 Annex C for FR; mechanics.md §7.1",
            steps: vec![
                Step::new("F", "force along the tube", r[0].abs(), Kind::Force),
                Step::new("M", "moment about the tube's axis", r[3].abs(), Kind::Moment),
                Step::new("q", "share of the rated torque that it is tightened to", share, Kind::Number),
                Step::new("FR", "slip force at this torque", slip, Kind::Force),
                Step::new("MR", "slip moment at this torque", twist, Kind::Moment),
                Step::new("demand", "F + M FR / MR", demand, Kind::Force),
                Step::new("capacity", "FR", capacity, Kind::Force),
            ],
        }
    }
}
