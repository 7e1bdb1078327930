//! The order of work: that it can be done, that what keeps people safe comes first, and what is said of a bad file.

mod common;

use common::{EXAMPLES, example, read, with_steps};
use method::{Fault, Method, Progress, Refusal, Stage, strip};
use std::collections::{BTreeMap, BTreeSet};

/// Orders that hurt people when they are turned round: what comes first, what waits, `*` for any.
const INTERLOCKS: &[(&str, &str)] = &[
    ("car: survey", "cup FL: place"),
    ("cup FL: seat", "cup FL: place"),
    ("cup FL: pump", "cup FL: seal"),
    ("cup FL: gauge", "tube TF: lay"),
    ("clamp K1: fit", "grid: square"),
    ("mast: centre", "clamp K1: close"),
    ("clamp K1: close", "rig: look over"),
    ("leg RR: close", "strap SF: fit"),
    ("strap SF: tension", "second line: prove"),
    ("second line: prove", "boom root: fit"),
    ("overhead: look up", "boom root: fit"),
    ("travel pins: in", "boom root: fit"),
    ("boom root: fit", "boom front: fit"),
    ("payload: weigh", "counterweight: fit"),
    ("counterweight: fit", "arm: balance"),
    ("arm: balance", "travel pins: out"),
    ("stop button: press", "travel pins: out"),
    ("travel pins: out", "power: on"),
    ("stop button: press", "power: on"),
    ("arm: sweep by hand", "power: on"),
    ("power: on", "stop button: try"),
    ("rounds: first", "rig: walk round"),
    ("rig: walk round", "rig: released"),
];

/// Whether `first` is before `then` by the names alone, walked back step by step: nothing of the crate's own search.
fn waits(method: &Method, first: &str, then: &str) -> bool {
    let before: BTreeMap<&str, Vec<&str>> = method
        .steps
        .iter()
        .zip(&method.before)
        .map(|(s, b)| (s.name.as_str(), b.iter().map(|b| method.steps[*b].name.as_str()).collect()))
        .collect();
    let mut known: BTreeSet<&str> = BTreeSet::from([then]);
    loop {
        let more: Vec<&str> =
            known.iter().flat_map(|n| &before[n]).copied().filter(|n| !known.contains(n)).collect();
        if more.is_empty() {
            return first != then && known.contains(first);
        }
        known.extend(more);
    }
}

#[test]
fn every_example_can_be_built_in_the_order_given_and_stripped() {
    for name in EXAMPLES {
        let rig = example(name);
        for method in [Method::of(&rig).unwrap(), strip(&rig).unwrap()] {
            let mut done: BTreeSet<&str> = BTreeSet::new();
            for (step, before) in method.steps.iter().zip(&method.before) {
                assert!(
                    before.iter().all(|b| done.contains(method.steps[*b].name.as_str())),
                    "{name}: {}",
                    step.name
                );
                assert!(done.insert(&step.name), "{name}: two are called {}", step.name);
                assert!(!step.does.is_empty() && step.people > 0 && step.minutes > 0.0);
            }
        }
    }
}

#[test]
fn what_keeps_people_safe_comes_first() {
    let method = Method::of(&example("estate-arm")).unwrap();
    for (first, then) in INTERLOCKS {
        let find = |name: &str| method.find(name).unwrap_or_else(|| panic!("no step {name}"));
        assert!(waits(&method, first, then), "{first} before {then}");
        assert!(method.precedes(find(first), find(then)) && !method.precedes(find(then), find(first)));
    }
}

#[test]
fn each_part_of_the_rig_has_its_steps_and_every_record_its_place() {
    for name in EXAMPLES {
        let rig = example(name);
        let method = Method::of(&rig).unwrap();
        let has = |n: String| assert!(method.find(&n).is_some(), "{name}: {n}");
        for cup in &rig.cups {
            for does in ["seat", "place", "pump", "seal", "gauge", "head"] {
                has(format!("cup {}: {does}", cup.tag));
            }
        }
        rig.tubes.iter().for_each(|t| has(format!("tube {}: lay", t.tag)));
        for clamp in &rig.clamps {
            has(format!("clamp {}: fit", clamp.tag));
            let close = &method.steps[method.find(&format!("clamp {}: close", clamp.tag)).unwrap()];
            assert!((close.torque_nm.unwrap() - clamp.torque.value).abs() < 1e-12);
        }
        rig.items.iter().for_each(|i| has(format!("item {}: fix", i.tag)));
        let keys: Vec<&String> = method
            .steps
            .iter()
            .flat_map(|s| &s.records)
            .filter(|r| {
                matches!(r.kind, method::Kind::Measured | method::Kind::Torque | method::Kind::Weight)
            })
            .map(|r| &r.key)
            .collect();
        assert!(!keys.is_empty());
        // Each key is one that the rig file takes: it can be put over the plan.
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
        let text = std::fs::read_to_string(folder.join(format!("{name}.toml"))).unwrap();
        for key in keys {
            let value = match key {
                k if k.ends_with("torque") => "49 N·m",
                k if k.ends_with("mass") => "6.1 kg",
                k if k.ends_with("pretension") => "400 N",
                k if k.ends_with("left") => "430 mm",
                k if k.ends_with("up") => "-500 mm",
                _ => "900 mm",
            };
            let over = rig::Source { name: "measured".into(), text: format!("{key} = \"{value}\"\n") };
            let load = |f: &str| std::fs::read_to_string(folder.join(f)).map_err(|e| e.to_string());
            let reading = rig::read_as_built(&text, name, &load, Some(&over));
            let about: Vec<_> = reading.diagnostics.iter().filter(|d| d.source == 1).collect();
            let unknown = |d: &&&rig::Diagnostic| ["R002", "R003", "R005", "R014", "R030"].contains(&d.code);
            assert!(!about.iter().any(|d| unknown(&d)), "{name}: {key}: {about:?}");
        }
    }
}

#[test]
fn nobody_goes_on_before_what_comes_first_is_done_written_down_and_signed() {
    let method = Method::of(&example("estate-arm")).unwrap();
    let at = |name: &str| method.find(name).unwrap();
    let mut progress = Progress::default();
    assert_eq!(progress.next(&method), [at("car: look over"), at("payload: weigh")]);
    assert_eq!(
        progress.refuses(&method, at("car: survey")),
        Some(Refusal::NotYet(vec![at("car: look over")]))
    );
    assert_eq!(progress.refuses(&method, at("car: look over")), Some(Refusal::NotWritten(vec![0])));
    progress.written.insert((at("car: look over"), 0));
    assert_eq!(progress.refuses(&method, at("car: look over")), None);
    progress.done.insert(at("car: look over"));
    progress.done.insert(at("car: survey"));
    let clean = at("panel roof: clean");
    assert_eq!(progress.refuses(&method, clean), Some(Refusal::NotSigned(vec![at("car: survey")])));
    assert_eq!(progress.unsigned(&method), [at("car: survey")]);
    progress.signed.insert(at("car: survey"));
    assert_eq!(progress.refuses(&method, clean), None);
    // What is taken back stops all that was to follow, near or far.
    let mut taken_back = Progress::default();
    let seat = at("cup FL: seat");
    for step in (0..method.steps.len()).filter(|s| *s < at("cup FL: head")) {
        taken_back.written.extend((0..method.steps[step].records.len()).map(|r| (step, r)));
        taken_back.done.insert(step);
        taken_back.signed.insert(step);
    }
    assert_eq!(taken_back.refuses(&method, at("cup FL: head")), None);
    taken_back.done.remove(&seat);
    assert_eq!(taken_back.refuses(&method, at("cup FL: head")), Some(Refusal::NotYet(vec![seat])));
    assert!(!taken_back.next(&method).contains(&at("cup FL: head")));
    // Done in the order given, each may be done in its turn, and at the end the rig is complete.
    let mut progress = Progress::default();
    for step in 0..method.steps.len() {
        assert!(!progress.is_complete(&method));
        progress.written.extend((0..method.steps[step].records.len()).map(|r| (step, r)));
        assert!(progress.next(&method).contains(&step));
        assert_eq!(progress.refuses(&method, step), None);
        progress.done.insert(step);
        progress.signed.insert(step);
    }
    assert!(progress.is_complete(&method));
}

#[test]
fn what_was_built_last_is_taken_off_first() {
    let rig = example("estate-arm");
    let (build, strip) = (Method::of(&rig).unwrap(), strip(&rig).unwrap());
    for (built, also, off, earlier) in [
        ("tube TF: lay", "tube LL: lay", "tube TF: off", "tube LL: off"),
        ("cup FL: pump", "tube TF: lay", "cup FL: off", "tube TF: off"),
        ("mast: stand", "boom root: fit", "mast: down", "boom root: off"),
        ("boom root: fit", "payload: hang", "boom root: off", "payload: down"),
        ("payload: hang", "counterweight: fit", "payload: down", "counterweight: off"),
        ("strap SF: fit", "boom root: fit", "strap SF: off", "boom root: off"),
        ("tube TF: lay", "strap SF: fit", "tube TF: off", "strap SF: off"),
        ("boom root: fit", "power: on", "boom root: off", "power: off"),
        ("counterweight: fit", "travel pins: out", "counterweight: off", "travel pins: in"),
        ("boom root: fit", "boom front: fit", "boom root: off", "boom front: off"),
    ] {
        assert!(waits(&build, built, also), "{built} {also}");
        assert!(waits(&strip, earlier, off), "{earlier} before {off}");
    }
    let last = strip.steps.iter().rev().take(2).map(|s| s.name.as_str()).collect::<Vec<_>>();
    assert_eq!(last, ["kit: look over", "car: look over again"]);
    // The second line stays on while there is weight on the rig.
    assert!(
        waits(&strip, "item radio: off", "strap SF: off") && waits(&strip, "mast: down", "strap SF: off")
    );
    // The cups hold until nothing stands on them.
    for tag in ["FL", "RR"] {
        assert!(waits(&strip, "strap SF: off", &format!("cup {tag}: off")), "{tag}");
    }
}

#[test]
fn own_steps_and_rules_find_their_place() {
    let rig = with_steps(
        "estate-arm",
        r#"
[step."seams: tape"]
does = "Tape over the door seams"
stage = "second line"
after = ["strap S*: fit"]
before = ["second line: prove"]
people = 2
time = "6 min"
record = ["who taped them"]
signed_by = "safety officer"
[step."lamp: fit"]
does = "Fit the running lamp"
[rule.one-side-first]
first = "cup ?L: gauge"
then = "cup FR: place"
[leave_out."panel roof: clean"]
why = "washed at the base"
"#
        .replace("cup ?L", "cup *L")
        .as_str(),
    );
    let method = Method::of(&rig).unwrap();
    let step = &method.steps[method.find("seams: tape").unwrap()];
    assert_eq!((step.stage, step.people, step.is_own), (Stage::Retention, 2, true));
    assert!((step.minutes - 6.0).abs() < 1e-12 && step.hold.as_ref().unwrap().role == "safety officer");
    for (first, then) in [
        ("strap SF: fit", "seams: tape"),
        ("strap SR: fit", "seams: tape"),
        ("seams: tape", "second line: prove"),
        ("lamp: fit", "rig: walk round"),
        ("cup ML: gauge", "cup FR: place"),
        ("car: survey", "cup FL: seat"),
    ] {
        assert!(waits(&method, first, then), "{first} before {then}");
    }
    assert!(!waits(&method, "strap ahead: fit", "seams: tape") && method.find("panel roof: clean").is_none());
}

#[test]
fn bad_steps_are_told_with_a_way_to_mend_them() {
    let faults = |steps: &str| Method::of(&with_steps("estate-arm", steps)).unwrap_err();
    let circle = faults("[rule.a]\nfirst = \"power: on\"\nthen = \"travel pins: out\"\n");
    let Fault::Circle(names) = &circle[0] else { panic!("{circle:?}") };
    assert!(
        names.contains(&"power: on".to_owned()) && names.contains(&"travel pins: out".to_owned()),
        "{names:?}"
    );
    // The circle is one: each of them waits for the one before it.
    let plain = Method::of(&example("estate-arm")).unwrap();
    for (a, b) in names.iter().zip(names.iter().cycle().skip(1)) {
        let rule = a == "power: on" && b == "travel pins: out";
        assert!(rule || waits(&plain, a, b), "{a} before {b}");
    }
    let unknown = faults("[step.x]\ndoes = \"x\"\nafter = [\"cup FL: pumped\"]\n");
    assert!(matches!(&unknown[0], Fault::Unknown { name, .. } if name == "cup FL: pumped"), "{unknown:?}");
    assert!(unknown[0].mend().contains("cup FL: pump"), "{}", unknown[0].mend());
    for kept in
        ["stop button: press", "second line: prove", "travel pins: out", "cup FL: gauge", "rig: walk round"]
    {
        let left = faults(&format!("[leave_out.\"{kept}\"]\nwhy = \"no time\"\n"));
        assert!(matches!(&left[0], Fault::Kept { name, .. } if name == kept), "{left:?}");
    }
    let twice = faults("[step.\"power: on\"]\ndoes = \"x\"\n");
    assert!(twice.contains(&Fault::Twice("power: on".to_owned())), "{twice:?}");
    // What cannot be read is the reader's to tell.
    let wrong =
        read("estate-arm", "steps = [\"h\"]", &[("h", "version = 1\n[step.x]\nwhy = \"y\"\n")]).unwrap_err();
    assert!(wrong.contains("R006") && wrong.contains("does"), "{wrong}");
    let gone = read("estate-arm", "steps = [\"nowhere.toml\"]", &[]).unwrap_err();
    assert!(gone.contains("the steps file") && gone.contains("R026"), "{gone}");
}
