//! The car as it comes.

use super::names::{RIGGER, step};
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use rig::Rig;

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    draft
        .put("car: look over", Stage::Car, "Photograph every panel that will be touched, note dents, chips, loose trim and film; ask whose car it is and whether they agree")
        .why("what was there before is not ours afterwards")
        .takes(1, 10.0)
        .with(["camera or phone", "torch"])
        .record(Kind::Note, "car: look over", "damage found, and who agreed");
    draft
        .put("car: survey", Stage::Car, "Measure the datum, the panels, their crown and what must be kept clear; read the plate for gross and axle limits and the manual for the roof rating")
        .why("the plan stands on these; a roof that differs is another rig")
        .after(["car: look over"])
        .takes(2, 20.0)
        .with(["tape measure", "straight edge", "spirit level"])
        .kept("without it nothing says that this is the car that was planned for")
        .record(Kind::Note, "car: survey", "what differs from the plan, or that nothing does")
        .hold(RIGGER, "the car is the one planned for, as measured");
    for panel in &rig.panels {
        let surface = if panel.wet { "as it will be driven, wet" } else { "until it is clean and dry" };
        draft
            .put(
                step("panel", &panel.tag, "clean"),
                Stage::Car,
                format!(
                    "Wash off grit, wipe with clean solvent and a fresh cloth {surface}; no wax, no polish"
                ),
            )
            .why("grit scratches and lets air past the lip; wax halves the friction")
            .after(["car: survey"])
            .takes(1, 8.0)
            .with(["water", "clean cloths", "solvent that the paint stands"]);
    }
}
