//! The last looks before driving.

use super::names::{RIGGER, SAFETY};
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use rig::Rig;

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    let all = draft.names(|_| true);
    draft
        .put("car: height", Stage::Proof, "Measure the highest point of the rig over the road, as it will be driven, and write it where the driver sees it")
        .why("the bridge does not care what the plan says")
        .after(all.clone())
        .takes(2, 3.0)
        .with(["tape measure or staff"])
        .kept("a height that nobody measured is a guess")
        .record(Kind::Note, "car: height", "highest point over the road");
    let put = draft
        .put(
            "rounds: first",
            Stage::Proof,
            "Walk the cups, read every gauge, write them down: clingfish round",
        )
        .why("hours may have passed since they were pumped")
        .after(all.clone())
        .takes(1, 4.0)
        .kept("a rig leaves with fresh readings or not at all");
    for cup in &rig.cups {
        put.record(Kind::Reading, cup.tag.clone(), format!("cup {} again, before driving", cup.tag));
    }
    draft
        .put("rig: walk round", Stage::Proof, "Two walk it in opposite directions, hands on every strap, screw and cable; tools and pads off the car; the card is on the dashboard")
        .after(all.into_iter().chain(["car: height".to_owned(), "rounds: first".to_owned()]))
        .takes(2, 6.0)
        .kept("it is the last look")
        .hold(RIGGER, "built as planned, or as written down; nothing loose");
    draft
        .put("rig: released", Stage::Proof, "Sheet and record read, limits told to driver and operator; slow roll, one firm brake test, gauges again")
        .after(["rig: walk round"])
        .takes(3, 10.0)
        .kept("somebody competent signs a rig off, not a program")
        .record(Kind::Note, "rig: released", "what the brake test showed")
        .hold(SAFETY, "the area is kept clear, the limits are known, it may drive");
}
