//! The steps of each part of the work, one file each.

use crate::draft::Draft;
use rig::Rig;

mod arm;
mod car;
mod cups;
mod grid;
mod names;
mod payload;
mod platform;
mod power;
mod proof;
mod retention;

/// Who adds steps, in the order of the work. One may name steps of those before it.
const PARTS: &[fn(&Rig, &mut Draft)] = &[
    car::steps,
    cups::steps,
    grid::steps,
    platform::steps,
    retention::steps,
    arm::steps,
    payload::steps,
    power::steps,
    proof::steps,
];

/// All steps of a rig.
pub(crate) fn of(rig: &Rig) -> Draft {
    let mut draft = Draft::default();
    for part in PARTS {
        part(rig, &mut draft);
    }
    draft
}
