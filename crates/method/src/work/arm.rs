//! The boom: pins in, overhead looked at, section by section from the mast outward.

use super::names::{RIGGER, key, name, step};
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use rig::Rig;

/// Sections by how far from the mast they begin, tail and front alike.
fn outward(rig: &Rig) -> Vec<usize> {
    let Some(arm) = &rig.arm else { return Vec::new() };
    let mut all: Vec<usize> = (0..arm.sections.len()).collect();
    let near = |i: &usize| {
        let (a, b) = arm.sections[*i].span;
        (a.abs().min(b.abs()), b < 0.0)
    };
    all.sort_by(|a, b| near(a).0.total_cmp(&near(b).0));
    all
}

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    let Some(arm) = &rig.arm else { return };
    draft
        .put("overhead: look up", Stage::Arm, "Look for lines, branches, beams and lamps over the whole sweep; keep the distance that the line's voltage asks, or move the car")
        .why("a boom is a conductor, and it goes up now")
        .after(["second line: prove"])
        .takes(1, 3.0)
        .kept("electricity jumps the gap")
        .hold(RIGGER, "nothing overhead within the sweep and its distance");
    draft
        .put("travel pins: in", Stage::Arm, "Travel pins in on both axes, seen and pulled at")
        .why("an arm without its counterweight falls")
        .after(["overhead: look up", "mast: centre"])
        .takes(1, 1.0)
        .kept("an unbalanced arm that is not pinned falls");
    let mut before = vec!["travel pins: in".to_owned()];
    for i in outward(rig) {
        let section = &arm.sections[i];
        let same_side = |other: &usize| (arm.sections[*other].span.1 < 0.0) == (section.span.1 < 0.0);
        let order = outward(rig);
        let nearer = order.iter().take_while(|o| **o != i).filter(|o| same_side(o)).last();
        let after =
            nearer.map_or_else(|| before.clone(), |o| vec![name("boom", &arm.sections[*o].tag, "fit")]);
        let put = draft
            .put(step("boom", &section.tag, "fit"), Stage::Arm, "One carries each end, a third sets the joint; bolts to their torque and marked; nobody under it")
            .after(after)
            .takes(3, 6.0)
            .with(["torque wrench", "paint pen", "steps"]);
        if let Some(bolts) = &section.bolts {
            put.torque(bolts.torque.value).record(
                Kind::Torque,
                format!("{}.torque", key("arm.section", &section.tag, "bolts")),
                "torque reached",
            );
        }
    }
    before = draft.names(|s| s.name.starts_with("boom ") && s.stage == Stage::Arm);
    for brace in &arm.braces {
        draft
            .put(
                step("brace", &brace.tag, "fit"),
                Stage::Arm,
                "Hook it on, take up the slack evenly on both sides, lock it",
            )
            .why("a brace pulled harder on one side twists the boom")
            .after(before.clone())
            .takes(2, 5.0);
    }
}
