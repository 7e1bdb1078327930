//! Taking the rig off: the build backwards, with the car looked over at the end.

use crate::draft::{Draft, Drawn};
use crate::fault::Fault;
use crate::graph::{Method, ordered};
use crate::step::{Kind, Stage, Step};
use crate::work;
use rig::Rig;
use std::collections::BTreeSet;

/// How a build step is undone: name and words, people, minutes. What is only looked at or measured is not undone.
fn undone(step: &Step) -> Option<(String, &'static str, usize, f64)> {
    let (thing, did) = step.name.split_once(": ")?;
    let (verb, does, minutes) = match (thing.split(' ').next().unwrap_or_default(), did) {
        ("power", "on") => ("off", "Consumers off, then supplies, then batteries disconnected", 4.0),
        ("cables", "run") => ("off", "Unplug and coil; caps on", 8.0),
        ("travel", "out") => ("in", "Boom level and held, travel pins in on both axes", 2.0),
        ("counterweight", "fit") => ("off", "Pins in; plates off one by one, nobody under either end", 5.0),
        ("payload", "hang") => ("down", "Two take it, safety line open last", 4.0),
        ("isolator", "fit") => ("off", "Lock it, take it off the tip", 3.0),
        ("boom", "fit") => ("off", "One at each end, bolts out, lower it together", 5.0),
        ("brace", "fit") => ("off", "Slack it evenly, unhook", 3.0),
        ("mast", "stand") => ("down", "Bolts out, three lower it off the platform", 6.0),
        ("strap", "fit") => (
            "off",
            "Open the ratchet with a hand on it, take it off; look at it before it goes into its bag",
            3.0,
        ),
        ("tether", "fit") => ("off", "Open it, take it off", 1.0),
        ("item", "fix") => ("off", "Take it off, its line last", 3.0),
        ("platform", "set") => ("off", "Lift it off", 3.0),
        ("leg" | "clamp", "fit") => ("off", "Open it and take it off", 1.0),
        ("tube", "lay") => ("off", "Open the heads, lift it off without dragging", 2.0),
        ("cup", "pump") => {
            ("off", "Hold it, let air in at the valve, lift it by its rim: never lever, never drag", 2.0)
        }
        _ => return None,
    };
    Some((format!("{thing}: {verb}"), does, step.people, minutes))
}

/// The order of work for taking a rig off. The second line stays on until the arm is down; cups come last.
///
/// # Errors
///
/// Faults of the program's own steps: none for any rig.
pub fn strip(rig: &Rig) -> Result<Method, Vec<Fault>> {
    let built = ordered(work::of(rig).steps)?;
    let names: Vec<Option<String>> = built.steps.iter().map(|s| undone(s).map(|u| u.0)).collect();
    // What is undone waits for what was built on it, also through steps that are not undone.
    let after = built.after();
    let is_line = |n: &String| n.starts_with("strap ") || n.starts_with("tether ");
    let lines: Vec<usize> = (0..names.len()).filter(|s| names[*s].as_ref().is_some_and(is_line)).collect();
    let items = rig.items.iter().map(|i| format!("item {}: off", i.tag));
    let weights: Vec<String> = items.chain(rig.arm.as_ref().map(|_| "mast: down".to_owned())).collect();
    let mut waits: Vec<Vec<String>> = vec![Vec::new(); built.steps.len()];
    for step in (0..built.steps.len()).rev() {
        let mut these: Vec<String> = Vec::new();
        for next in &after[step] {
            match &names[*next] {
                Some(name) => these.push(name.clone()),
                None => these.extend(waits[*next].iter().cloned()),
            }
        }
        let kind = built.steps[step].name.split(' ').next().unwrap_or_default();
        // The second line stays on while there is weight on the rig, and comes off before what it runs over.
        match kind {
            "item" | "mast:" => {
                // Weight waits for what the lines wait for, not for the lines.
                let theirs: Vec<String> = lines.iter().flat_map(|s| waits[*s].iter().cloned()).collect();
                these.retain(|n| !is_line(n));
                these.extend(theirs.into_iter().filter(|n| !weights.contains(n)));
            }
            "strap" | "tether" => these.extend(weights.iter().cloned()),
            "leg" | "platform" | "clamp" | "tube" | "cup" => {
                these.extend(lines.iter().filter_map(|s| names[*s].clone()));
            }
            _ => {}
        }
        these.sort();
        these.dedup();
        waits[step] = these;
    }
    let mut draft = Draft::default();
    draft
        .put(
            "car: parked",
            Stage::Strip,
            "Level ground, handbrake, key out, stop button pressed; area kept clear",
        )
        .takes(1, 2.0)
        .kept("nothing comes off a car that may move");
    let mut put: BTreeSet<String> = BTreeSet::new();
    for step in (0..built.steps.len()).rev() {
        let Some((name, does, people, minutes)) = undone(&built.steps[step]) else { continue };
        if !put.insert(name.clone()) {
            continue;
        }
        let entry = draft
            .put(name, Stage::Strip, does)
            .takes(people, minutes)
            .after(["car: parked"])
            .after(waits[step].clone());
        if let (Stage::Cups, Some((cup, _))) =
            (built.steps[step].stage, built.steps[step].name.split_once(": "))
        {
            let tag = cup.trim_start_matches("cup ").to_owned();
            entry.record(Kind::Reading, tag, "last reading, before air is let in");
        }
    }
    let off: Vec<String> = draft.steps.iter().map(|d: &Drawn| d.step.name.clone()).collect();
    draft
        .put("car: look over again", Stage::Strip, "Every panel in raking light against the first photographs: dents, rings, scratches; wipe off chalk and rings; the owner looks too")
        .why("what is found now is settled now")
        .after(off)
        .takes(2, 10.0)
        .with(["torch", "camera or phone"])
        .kept("a car goes back as it came, or with what changed on paper")
        .record(Kind::Note, "car: look over again", "damage found, or none")
        .hold("car's owner or driver", "the car as returned, looked over together");
    draft
        .put(
            "kit: look over",
            Stage::Strip,
            "Lips, valves, straps, screws: what is worn or bent is tagged and does not go back into its case",
        )
        .after(["car: look over again"])
        .takes(1, 10.0)
        .record(Kind::Note, "kit: look over", "what was tagged, or nothing");
    ordered(draft.steps)
}
