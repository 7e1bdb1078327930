//! Payload weighed, isolator, counterweight, balance, dampers.

use super::names::RIGGER;
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use rig::Rig;

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    let Some(arm) = &rig.arm else { return };
    draft
        .put(
            "payload: weigh",
            Stage::Payload,
            "Hang it as it will fly, lens, battery and cables in, and read the scale",
        )
        .about("payload")
        .why("balance, isolator and every margin of the boom hang on it")
        .takes(1, 5.0)
        .with(["luggage scale"])
        .kept("a payload that nobody weighed is a guess")
        .record(Kind::Weight, "payload.mass", "mass of the payload");
    let boom = draft.names(|s| s.stage == Stage::Arm);
    let has_isolator = arm.isolator.mass.value > 0.0;
    if has_isolator {
        draft
            .put(
                "isolator: fit",
                Stage::Payload,
                "Fit it to the tip, lock it for travel; safety line around it and the tip",
            )
            .about("isolator")
            .after(boom.clone())
            .takes(1, 5.0)
            .with(["safety line"]);
    }
    let under = if has_isolator { vec!["isolator: fit".to_owned()] } else { boom.clone() };
    draft
        .put(
            "payload: hang",
            Stage::Payload,
            "Two hang it, pins in, boom level; safety line closed before hands come off",
        )
        .about("payload")
        .after(under.into_iter().chain(["payload: weigh".to_owned()]))
        .takes(2, 6.0)
        .with(["safety line"]);
    draft
        .put(
            "counterweight: fit",
            Stage::Payload,
            "Plates on one by one as clingfish balance says, keeper on after the last; pins in",
        )
        .about("arm.counterweight")
        .why("pins hold the boom until both ends weigh alike")
        .after(boom.into_iter().chain(["payload: weigh".to_owned(), "payload: hang".to_owned()]))
        .takes(2, 6.0)
        .kept("an arm without its counterweight falls at the pin")
        .record(Kind::Weight, "arm.counterweight.mass", "plates and carrier, as fitted");
    draft
        .put("arm: balance", Stage::Payload, "One holds the boom, one draws the tilt pin a little: level it, tip it up and down, add or take plates until it stays; pin in again")
        .why("an unbalanced arm runs away from its drive")
        .after(["payload: hang", "counterweight: fit"])
        .takes(2, 10.0)
        .kept("the drives are worked out for a balanced arm")
        .record(Kind::Note, "arm: balance", "how it stays, and at which elevations")
        .hold(RIGGER, "the arm stays where it is put");
    if has_isolator {
        draft
            .put(
                "isolator: set",
                Stage::Payload,
                "Unlock it, set pressure or spring until it floats in mid travel, set the dampers",
            )
            .about("isolator")
            .after(["arm: balance"])
            .takes(1, 8.0)
            .record(Kind::Note, "isolator: set", "gauge, clicks");
        draft
            .put("isolator: release test", Stage::Payload, "Press it down and let go, three times each way, logged or counted: clingfish settle reads the damping")
            .after(["isolator: set"])
            .takes(1, 6.0)
            .record(Kind::Note, "isolator: release test", "damping found");
    }
}
