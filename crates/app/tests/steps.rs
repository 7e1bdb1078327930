//! `clingfish build`, `strip` and `job`: words, JSON, wrong input.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, folder, plate, run_with};
use serde_json::Value;
use std::path::Path;

fn example(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(format!("{name}.toml"))
        .to_string_lossy()
        .into_owned()
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_steps_of_a_small_rig_read_like_this() {
    for command in ["build", "strip"] {
        let ran = run_with(&[command, "-"], &plate());
        assert_eq!(ran.status, 0, "{}", ran.err);
        insta::assert_snapshot!(format!("steps_{command}"), ran.out);
    }
}

#[test]
fn steps_fit_the_terminal_and_say_the_same_as_json() {
    for name in ["estate-arm", "pickup-arm", "pickup-arm-mended", "bonnet-camera", "door-camera"] {
        for command in ["build", "strip"] {
            let file = example(name);
            let said = run_with(&[command, &file, "--crew", "3"], "");
            fits(&said.out);
            fits(&run_with(&[command, &file, "--brief"], "").out);
            let json: Value =
                serde_json::from_str(&run_with(&[command, &file, "--crew", "3", "--json"], "").out).unwrap();
            let text = words(&said.out);
            for step in json["steps"].as_array().unwrap() {
                assert!(text.contains(step["name"].as_str().unwrap()), "{name}: {step}");
                if let Some(role) = step["signed_by"].as_str() {
                    assert!(text.contains(&format!("HOLD POINT: {role} signs")));
                }
            }
            assert!(json["least_minutes"].as_f64().unwrap() <= json["minutes"].as_f64().unwrap() + 1e-9);
        }
    }
}

#[test]
fn own_steps_that_go_in_a_circle_are_refused_with_a_way_out() {
    let folder = folder("steps_house");
    let text = std::fs::read_to_string(example("bonnet-camera")).unwrap();
    let rig = folder.join("rig.toml");
    std::fs::write(&rig, text.replacen("name =", "steps = [\"house.toml\"]\nname =", 1)).unwrap();
    std::fs::copy(example("kit"), folder.join("kit.toml")).unwrap();
    let house =
        |text: &str| std::fs::write(folder.join("house.toml"), format!("version = 1\n{text}")).unwrap();
    house("[rule.a]\nfirst = \"rig: walk round\"\nthen = \"car: survey\"\n");
    let ran = run_with(&["build", rig.to_str().unwrap()], "");
    assert!(ran.status == 2 && words(&ran.err).contains("steps wait for each other"), "{}", ran.err);
    assert!(words(&ran.err).contains("= mend: take out one"), "{}", ran.err);
    house("[step.\"lamp: fit\"]\ndoes = \"Fit the lamp\"\nafter = [\"rig: lok over\"]\n");
    let ran = run_with(&["build", rig.to_str().unwrap()], "");
    assert!(ran.status == 2 && words(&ran.err).contains("did you mean \"rig: look over\"?"), "{}", ran.err);
    house("[step.\"lamp: fit\"]\ndoes = \"Fit the lamp\"\nafter = [\"rig: look over\"]\n");
    let ran = run_with(&["build", rig.to_str().unwrap()], "");
    assert!(ran.status == 0 && ran.out.contains("lamp: fit (your own)"), "{}{}", ran.out, ran.err);
}

#[test]
fn a_job_tells_wrong_input_and_keeps_nothing_of_it() {
    let folder = folder("steps_job");
    let record = folder.join("a.record");
    let record = record.to_str().unwrap();
    let rig = folder.join("plate.toml");
    std::fs::write(&rig, plate()).unwrap();
    for part in std::fs::read_dir(common::path("")).unwrap().flatten() {
        let _ = std::fs::copy(part.path(), folder.join(part.file_name()));
    }
    let job = |args: &[&str]| {
        run_with(
            &[&["job"], args, &["--record", record, "--zone", "UTC", "--at", "2026-11-28 10:00"]].concat(),
            "",
        )
    };
    let by = |args: &[&str]| job(&[args, &["--by", "A"]].concat());
    let refused = |ran: common::Ran, says: &str| {
        assert!(ran.status == 2 && words(&ran.err).contains(says), "{says}: {}{}", ran.out, ran.err);
        fits(&ran.err);
    };
    refused(job(&["next"]), "there is no record");
    refused(by(&["start", "nowhere.toml"]), "there is no file nowhere.toml");
    assert!(!Path::new(record).exists(), "no record is begun for a rig that cannot be read");
    assert_eq!(by(&["start", rig.to_str().unwrap()]).status, 0);
    refused(job(&["show", "--job", "no such"]), "no job is called");
    refused(by(&["done", "cup A: palce"]), "there is no step");
    refused(by(&["done", "crane *: fit"]), "there is no step");
    refused(by(&["undo", "car: survey", "--why", "x"]), "is not done");
    refused(by(&["sign", "car: survey"]), "is not done yet");
    refused(by(&["weather"]), "nothing is said of the weather");
    refused(by(&["weather", "--gusts", "strong"]), "--gusts");
    refused(by(&["note", ""]), "empty");
    refused(by(&["photo", rig.to_str().unwrap()]), "no picture that is known");
    refused(by(&["photo", folder.to_str().unwrap()]), "is a folder");
    refused(by(&["change", rig.to_str().unwrap()]), "that is the plan already");
    refused(by(&["note", "x", "--corrects", "99"]), "99");
    refused(job(&["verify", "--head", "12:zz"]), "is no number and hash");
    refused(job(&["import", rig.to_str().unwrap()]), "");
    refused(job(&["export", rig.to_str().unwrap()]), "cannot write");
    refused(job(&["backup", rig.to_str().unwrap()]), "");
    refused(run_with(&["job", "list", "--record", rig.to_str().unwrap()], ""), "");
    refused(run_with(&["job", "next", "--record", record, "--zone", "Nowhere/Land"], ""), "--zone");
    refused(run_with(&["job", "next", "--record", record, "--at", "half past"], ""), "is no time");
    let shown: Value = serde_json::from_str(&job(&["show", "--json"]).out).unwrap();
    assert_eq!(shown["entries"].as_array().unwrap().len(), 1, "{shown}");
    // A note, put right by another.
    assert_eq!(by(&["note", "two dents"]).status, 0);
    assert_eq!(by(&["note", "three dents", "--corrects", "2"]).status, 0);
    let said = job(&["show"]).out;
    assert!(said.contains("three dents") && !said.contains("two dents"), "{said}");
    let all = job(&["show", "--all"]).out;
    assert!(words(&all).contains("two dents; A [put right by 3]"), "{all}");
    fits(&all);
    fits(&job(&["next"]).out);
}
