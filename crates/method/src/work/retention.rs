//! The second line: straps, tethers, and the proof that they hold without the cups.

use super::names::{SECOND, key, name, step};
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use rig::Rig;
use rig::model::StrapKind;

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    for strap in &rig.straps {
        match strap.kind {
            StrapKind::Strap => {
                draft
                    .put(
                        step("strap", &strap.tag, "fit"),
                        Stage::Retention,
                        format!(
                            "Run {} along its path, flat, untwisted, padded at every edge; hooks closed",
                            strap.part
                        ),
                    )
                    .after(["rig: look over"])
                    .takes(2, 5.0)
                    .with(["edge pads"]);
                draft
                    .put(step("strap", &strap.tag, "tension"), Stage::Retention, "Bring it to its tension, two turns on the ratchet, tail tied; look at the cups again")
                    .why("too much pulls the cups' sheet, too little lets the rig move")
                    .after([name("strap", &strap.tag, "fit")])
                    .takes(1, 3.0)
                    .with(["tension gauge or luggage scale"])
                    .record(Kind::Measured, key("strap", &strap.tag, "pretension"), "tension as fitted");
            }
            StrapKind::Tether => {
                draft
                    .put(
                        step("tether", &strap.tag, "fit"),
                        Stage::Retention,
                        format!(
                            "Run {} just slack to its point on the body; gate closed and locked",
                            strap.part
                        ),
                    )
                    .after(["rig: look over"])
                    .takes(1, 3.0);
            }
        }
    }
    let fitted = draft.names(|s| s.stage == Stage::Retention);
    draft
        .put("second line: prove", Stage::Retention, "Pull each line by hand at the rig end, each hook and gate seen closed, no path over an edge, none to a part that comes off the car")
        .why("if every cup let go now, this is all that holds")
        .after(fitted.into_iter().chain(["rig: look over".to_owned()]))
        .takes(2, 6.0)
        .kept("no rig is held by suction alone")
        .hold(SECOND, "the second line is on, whole, and does not rely on vacuum");
}
