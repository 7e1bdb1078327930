//! Platforms on their legs or cups, the mast centred, and then everything closed.

use super::grid;
use super::names::{RIGGER, key, name, step, tube};
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use rig::Rig;
use rig::model::Hold;

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    let square = draft.names(|s| s.name == "grid: square");
    for leg in &rig.legs {
        let on = leg.foot.0;
        draft
            .put(
                step("leg", &leg.tag, "fit"),
                Stage::Platform,
                format!("Set its foot on tube {}, screws open a turn", tube(rig, on)),
            )
            .after(square.iter().cloned().chain([name("tube", tube(rig, on), "lay")]))
            .takes(1, 2.0);
    }
    for (i, platform) in rig.platforms.iter().enumerate() {
        let legs = rig.legs.iter().filter(|l| l.platform == i).map(|l| name("leg", &l.tag, "fit"));
        let cups =
            rig.cups.iter().filter(|c| c.holds == Hold::Platform(i)).map(|c| name("cup", &c.tag, "head"));
        let people = if platform.mass.value > 15.0 { 2 } else { 1 };
        draft
            .put(
                step("platform", &platform.tag, "set"),
                Stage::Platform,
                "Set it down, bolts started by hand; level it",
            )
            .after(legs.chain(cups))
            .takes(people, 5.0)
            .with(["spirit level"]);
    }
    let mut settled = draft.names(|s| s.stage == Stage::Platform);
    if settled.is_empty() {
        settled = square;
    }
    if let Some(arm) = &rig.arm {
        let on = rig.platforms.get(arm.platform).map_or("?", |p| p.tag.as_str());
        draft
            .put("mast: stand", Stage::Platform, "Lift it as clingfish lift says it was arranged, a third guides its foot onto the platform; bolts started by hand; travel pins stay in")
            .why("the heaviest single lift of the day")
            .after([name("platform", on, "set")])
            .takes(3, 8.0)
            .with(["gloves", "steps"]);
        draft
            .put("mast: centre", Stage::Platform, "Measure from the mast to the tubes on all four sides, shift it until they agree with the plan")
            .why("it cannot be moved once the clamps are closed, and every margin hangs on where it stands")
            .after(["mast: stand"])
            .takes(2, 6.0)
            .with(["tape measure"])
            .kept("an arm off its place is another rig")
            .record(Kind::Note, "mast: centre", "the four distances");
        settled.extend(["mast: stand".to_owned(), "mast: centre".to_owned()]);
    }
    grid::close(rig, draft, &settled);
    for leg in &rig.legs {
        let step = draft
            .put(
                step("leg", &leg.tag, "close"),
                Stage::Platform,
                "Tighten foot and bolts to the stated torque; mark them",
            )
            .after(settled.iter().cloned())
            .takes(1, 2.0)
            .with(["torque wrench", "paint pen"])
            .kept("an open joint holds nothing");
        if let Some(bolts) = &leg.bolts {
            step.torque(bolts.torque.value).record(
                Kind::Torque,
                format!("{}.torque", key("leg", &leg.tag, "bolts")),
                "torque reached",
            );
        }
    }
    let closed = draft.names(|s| s.name.ends_with(": close") && s.stage <= Stage::Platform);
    for item in &rig.items {
        let people = if item.mass.value > 15.0 { 2 } else { 1 };
        draft
            .put(
                step("item", &item.tag, "fix"),
                Stage::Platform,
                "Fix it in its place, with a line of its own against falling",
            )
            .after(if closed.is_empty() { settled.clone() } else { closed.clone() })
            .takes(people, 4.0)
            .with(["safety line"]);
    }
    let all = draft.names(|s| s.stage <= Stage::Platform);
    draft
        .put(
            "rig: look over",
            Stage::Platform,
            "Every mark on every screw, every cup's gauge, nothing loose to the hand, nothing against paint",
        )
        .why("from here on it carries weight")
        .after(all)
        .takes(2, 6.0)
        .with(["torch"])
        .kept("it is the last look before the weight goes on")
        .hold(RIGGER, "every screw is at its torque and marked, every cup holds");
}
