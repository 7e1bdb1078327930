//! Torque that the arm's drives must give against what they can.

use super::Source;
use super::force_check::{ForceCheck, Reading, Words, limited};
use crate::context::Context;
use crate::parts::PartRef;
use quantity::Kind;
use rig::fact::Fact;
use rig::policy::CheckId;

fn drive(
    ctx: &Context<'_>,
    id: CheckId,
    source: Source,
    limit: impl Fn(&rig::model::Drives) -> Option<&Fact>,
) -> ForceCheck {
    let (what, key) = match id {
        CheckId::TiltDrive => ("torque limit of the tilt drive", "arm.drives.tilt_torque"),
        _ => ("torque limit of the pan drive", "arm.drives.pan_torque"),
    };
    let items = ctx.rig.arm.iter().map(|arm| {
        limited(PartRef::Arm, source, limit(&arm.drives), || {
            (what.to_owned(), key.to_owned(), "from the maker's sheet of the drive or arm")
        })
    });
    ForceCheck {
        words: Words {
            id,
            kind: Kind::Moment,
            formula: "demand = torque of the drive by Newton-Euler with wind;  capacity = its limit",
            source: "mechanics.md §3.4",
            demand: "torque that the drive must give",
            limit: "limit of the drive",
        },
        items: items.collect(),
        demand: Reading::Size,
    }
}

/// Tilt drive: imbalance, acceleration, wind.
pub(super) fn tilt(ctx: &Context<'_>) -> ForceCheck {
    drive(ctx, CheckId::TiltDrive, Source::TiltTorque, |d| d.tilt_torque.as_ref())
}

/// Pan drive.
pub(super) fn pan(ctx: &Context<'_>) -> ForceCheck {
    drive(ctx, CheckId::PanDrive, Source::PanTorque, |d| d.pan_torque.as_ref())
}
