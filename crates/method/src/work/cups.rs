//! Cups: seat, place, pump, seal, gauge, head.

use super::names::{cups_of, key, name, step};
use crate::draft::Draft;
use crate::step::{Kind, Stage};
use quantity::Kind::Length;
use quantity::both_kind;
use rig::Rig;

/// The two coordinates that lie in a panel, by where it faces, each named by the side of the datum on which the cup stands, as a tape is read.
fn places(normal: [f64; 3], at: [f64; 3]) -> (&'static str, &'static str) {
    let [x, y, z] = at;
    let along = if x > 0.0 { "forward" } else { "aft" };
    let across = if y < 0.0 { "right" } else { "left" };
    let height = if z < 0.0 { "down" } else { "up" };
    match normal {
        [_, _, z] if z.abs() > 0.7 => (along, across),
        [_, y, _] if y.abs() > 0.7 => (along, height),
        _ => (across, height),
    }
}

/// As a person says where from.
fn from_datum(side: &str) -> String {
    let side = match side {
        "up" => "above",
        "down" => "below",
        "left" => "left of",
        "right" => "right of",
        "forward" => "ahead of",
        _ => "aft of",
    };
    format!("{side} the datum, as it stands")
}

pub(super) fn steps(rig: &Rig, draft: &mut Draft) {
    for cup in &rig.cups {
        let at = |does: &str| step("cup", &cup.tag, does);
        let panel = rig.panels.get(cup.panel).map_or("?", |p| p.tag.as_str());
        let (first, second) = places(cup.normal.to_array(), (cup.at - rig.vehicle.datum).to_array());
        draft
            .put(
                at("seat"),
                Stage::Cups,
                "Wipe lip and seat, feel for grit, nicks and stiff rubber; work the valve; wet nothing",
            )
            .why("one hair under the lip is a leak")
            .after([name("panel", panel, "clean")])
            .takes(1, 2.0)
            .with(["clean cloth"]);
        draft
            .put(at("place"), Stage::Cups, "Tape its place from the datum, clear of edges, seams and what must be kept clear; set it down without dragging")
            .why("the margins are those of this place")
            .after([at("seat")])
            .takes(1, 3.0)
            .with(["tape measure", "chalk tape"])
            .record(Kind::Measured, key("cup", &cup.tag, first), from_datum(first))
            .record(Kind::Measured, key("cup", &cup.tag, second), from_datum(second));
        draft
            .put(at("pump"), Stage::Cups, "Pump until the gauge stands still")
            .after([at("place")])
            .takes(1, 2.0)
            .kept("a cup that is not pumped holds nothing");
        draft
            .put(at("seal"), Stage::Cups, "Wait as long as it takes to pump the others, look at the gauge again, push the cup at its rim from four sides")
            .why("a bad seal shows in the first minutes")
            .after([at("pump")])
            .takes(1, 5.0)
            .kept("a leak that nobody looked for is found on the road");
        draft
            .put(at("gauge"), Stage::Cups, "Read the gauge and write it down with the time")
            .why("the first reading is what all later ones are held against")
            .after([at("seal")])
            .takes(1, 1.0)
            .kept("without a first reading no leak can be seen")
            .record(Kind::Reading, cup.tag.clone(), "vacuum on its gauge");
        let head = if cup.locked { "lock it" } else { "leave it free to turn, as planned" };
        draft
            .put(
                at("head"),
                Stage::Cups,
                format!("Set its head to {} over the panel and {head}", both_kind(cup.height, Length)),
            )
            .why("heads at odd heights bend the tube before anything is on it")
            .after([at("gauge")])
            .takes(1, 3.0)
            .with(["tape measure", "spanner"]);
    }
    for (i, tube) in rig.tubes.iter().enumerate() {
        let cups = cups_of(rig, i);
        if cups.len() < 2 {
            continue;
        }
        draft
            .put(
                step("tube", &tube.tag, "line up"),
                Stage::Cups,
                format!(
                    "Bring the heads of cups {} to one line and one direction, sighted across the car",
                    cups.join(", ")
                ),
            )
            .why("a tube forced into heads that do not match pulls at the seals all day")
            .after(cups.iter().map(|c| name("cup", c, "head")))
            .takes(1, 4.0)
            .with(["string line", "spirit level"]);
    }
}
