//! Cables, stop button, travel pins, power: in the order that lets nothing start by itself.

use super::names::RIGGER;
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use rig::Rig;

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    if rig.power.is_none() && rig.arm.is_none() {
        return;
    }
    let built = draft.names(|s| matches!(s.stage, Stage::Payload | Stage::Arm));
    let built = if built.is_empty() { vec!["second line: prove".to_owned()] } else { built };
    draft
        .put("cables: run", Stage::Power, "Run and tie them, slack at every joint that moves, none over an edge or near a clamp that will be opened; batteries strapped")
        .after(built)
        .takes(1, 12.0)
        .with(["ties", "tape"]);
    let mut before_power = vec!["cables: run".to_owned()];
    if rig.arm.is_some() {
        draft
            .put("stop button: press", Stage::Power, "Stop button pressed, and within the operator's reach")
            .after(["cables: run"])
            .takes(1, 1.0)
            .kept("an arm may jump when it gets power");
        draft
            .put(
                "travel pins: out",
                Stage::Power,
                "One holds the boom, travel pins out on both axes and in their pouch",
            )
            .why("a drive that starts against a pin breaks one of the two")
            .after(["stop button: press", "arm: balance"])
            .takes(2, 2.0)
            .kept("a drive that starts against a pin breaks one of the two");
        draft
            .put("arm: sweep by hand", Stage::Power, "Walk the boom through its whole range, power off: no cable tightens, nothing touches car, ground or rig")
            .after(["travel pins: out", "cables: run"])
            .takes(2, 6.0)
            .kept("what touches by hand breaks under power")
            .record(Kind::Note, "arm: sweep by hand", "least gap, and where");
        before_power
            .extend(["stop button: press", "travel pins: out", "arm: sweep by hand"].map(str::to_owned));
    }
    draft
        .put("power: on", Stage::Power, "In the order of clingfish power: batteries, supplies, then each consumer; read the voltage at the far end")
        .after(before_power)
        .takes(1, 6.0)
        .with(["voltmeter"])
        .record(Kind::Note, "power: on", "voltage at source and consumer");
    if rig.arm.is_some() {
        draft
            .put("stop button: try", Stage::Power, "Release it, move slowly on each axis, press it: the arm stops and stays; nobody within the sweep")
            .after(["power: on"])
            .takes(2, 4.0)
            .kept("a stop that was never tried is none")
            .hold(RIGGER, "the stop button stops both axes");
    }
}
