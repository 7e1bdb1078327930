//! `clingfish check`: words, status, JSON.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, folder, plate, plate_with, run_with};
use serde_json::Value;

#[test]
fn a_go_says_so_with_status_0() {
    let ran = run_with(&["check", "-"], &plate());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("check_go", ran.out);
}

#[test]
fn a_missing_fact_is_a_hold_with_status_10_and_said_once_for_all_cups() {
    let ran = run_with(&["check", "-"], &plate_with("pull_rating", "# pull_rating"));
    assert_eq!(ran.status, 10);
    fits(&ran.out);
    insta::assert_snapshot!("check_hold", ran.out);
}

#[test]
fn a_failing_check_is_a_no_go_with_status_20() {
    let ran = run_with(&["check", "-"], &plate_with("mass = \"4 kg\"", "mass = \"120 kg\""));
    assert_eq!(ran.status, 20);
    fits(&ran.out);
    insta::assert_snapshot!("check_no_go", ran.out);
}

#[test]
fn a_warning_of_the_reader_comes_before_the_verdict() {
    let text = plate() + "\n[policy.factor.cup-seal]\nintact = 1.5\n";
    let ran = run_with(&["check", "-"], &text);
    let (warning, answer) = (ran.out.find("warning[R025]"), ran.out.find("|  GO  |"));
    assert!(warning.is_some() && warning < answer, "{}", ran.out);
    fits(&ran.out);
}

#[test]
fn json_has_the_fields_and_agrees_with_the_status() {
    for (text, answer, status) in [
        (plate(), "GO", 0),
        (plate_with("pull_rating", "# pull_rating"), "HOLD", 10),
        (plate_with("mass = \"4 kg\"", "mass = \"120 kg\""), "NO-GO", 20),
    ] {
        let ran = run_with(&["check", "-", "--json"], &text);
        let json: Value = serde_json::from_str(&ran.out).expect("JSON");
        assert_eq!(
            (ran.status, &json["answer"], &json["exit_status"]),
            (status, &answer.into(), &status.into())
        );
        for key in [
            "rig",
            "why",
            "conventions",
            "warnings",
            "governs",
            "checks",
            "findings",
            "holds",
            "varied",
            "scope",
            "cautions",
        ] {
            assert!(!json[key].is_null(), "{key}");
        }
        let seal = json["findings"].as_array().unwrap().iter().find(|f| f["check"] == "cup-seal").unwrap();
        let n = &seal["numbers"];
        let (d, c, f) = (
            n["demand"].as_f64().unwrap(),
            n["capacity"].as_f64().unwrap(),
            n["required_factor"].as_f64().unwrap(),
        );
        // One division apart: rounding only.
        assert!((seal["margin"].as_f64().unwrap() / (c / (f * d)) - 1.0).abs() < 1e-12);
        assert_eq!(n["unit"], "N");
    }
}

#[test]
fn parts_files_are_looked_for_beside_the_rig_file() {
    let folder = folder("beside");
    let rig =
        plate_with("version = 1\n", "version = 1\nparts = [\"mine.toml\"]\n").replace("cup-200", "my cup");
    std::fs::write(folder.join("rig.toml"), rig).unwrap();
    let file = folder.join("rig.toml");
    let args = ["check", file.to_str().unwrap()];
    assert_eq!(run_with(&args, "").status, 2, "the parts file is not there yet");
    let parts = "version = 1\n[cup.\"my cup\"]\nouter_diameter = \"200 mm\"\nseal_diameter = \"175 mm\"\n\
        height_least = \"85 mm\"\nheight_greatest = \"150 mm\"\nmass = \"2 kg\"\naxial = \"400 N/mm\"\n\
        shear = \"160 N/mm\"\nrocking = \"1500 N·m/rad\"\ntorsional = \"1200 N·m/rad\"\nlip_follow = \"6 mm\"\n";
    std::fs::write(folder.join("mine.toml"), parts).unwrap();
    let ran = run_with(&args, "");
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
}
