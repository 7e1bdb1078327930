//! `clingfish isolator` and `clingfish picture`: words, status, JSON, charts.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, folder, path, plate, run_with};
use serde_json::Value;

fn arm() -> String {
    std::fs::read_to_string(path("arm.toml")).unwrap()
}

fn arm_with(old: &str, new: &str) -> String {
    let text = arm();
    assert!(text.contains(old), "the rig has no {old}");
    text.replace(old, new)
}

#[test]
fn the_isolator_of_a_small_arm_in_words() {
    let ran = run_with(&["isolator", "-", "--engine", "27 Hz"], &arm());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("isolator", ran.out);
}

#[test]
fn the_picture_of_a_small_arm_in_words() {
    let ran = run_with(&["picture", "-"], &arm());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("picture", ran.out);
}

#[test]
fn what_is_not_known_holds() {
    let ran = run_with(&["isolator", "-"], &arm_with("damping = 0.2\n", ""));
    assert_eq!(ran.status, 10);
    fits(&ran.out);
    insta::assert_snapshot!("isolator_hold", ran.out);
    // The plate's camera is not described: shaking, and no blur.
    let ran = run_with(&["picture", "-"], &plate());
    assert_eq!(ran.status, 10);
    fits(&ran.out);
    insta::assert_snapshot!("picture_hold", ran.out);
}

#[test]
fn what_does_not_fit_is_said_first() {
    let ran = run_with(&["isolator", "-"], &arm_with("to = \"6 kg\"", "to = \"3.5 kg\""));
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(ran.status, 20);
    let words = flat(&ran.out);
    assert!(words.contains("DOES NOT FIT") && words.contains("OUT OF RANGE"), "{words}");
    let ran = run_with(
        &["isolator", "-"],
        &arm_with("greatest_pressure = \"200 kPa\"", "greatest_pressure = \"50 kPa\""),
    );
    let words = flat(&ran.out);
    assert!(ran.status == 20 && words.contains("its gauge reads more than it may have"), "{words}");
    fits(&ran.out);
    let ran = run_with(&["isolator", "-"], &plate());
    assert_eq!((ran.status, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("this rig has no isolator"), "{}", ran.err);
}

#[test]
fn json_has_the_same_numbers() {
    let json: Value = serde_json::from_str(&run_with(&["isolator", "-", "--json"], &arm()).out).unwrap();
    assert_eq!(json["answer"], "FITS");
    // 4 kg on two springs of 5 cm² through 80 : 120.
    assert!((json["air"]["gauge_pa"].as_f64().unwrap() - 58_839.9).abs() < 0.1, "{json}");
    assert_eq!(json["axes"].as_array().unwrap().len(), 3);
    let asked =
        ["picture", "-", "--json", "--focal-length", "100 mm", "--shutter", "1/100 s", "--speed", "20 mph"];
    let json: Value = serde_json::from_str(&run_with(&asked, &arm()).out).unwrap();
    assert!((json["lens"]["focal_length_m"].as_f64().unwrap() - 0.1).abs() < 1e-12);
    assert!((json["lens"]["shutter_s"].as_f64().unwrap() - 0.01).abs() < 1e-12);
    assert!((json["speed_m_s"].as_f64().unwrap() - 8.9408).abs() < 1e-9);
    let blur = |k: &str| json["blur"][k].as_f64().unwrap();
    assert!((blur("across_px").hypot(blur("up_down_px")) - blur("total_px")).abs() < 1e-9);
    assert!(json["warning"].as_str().unwrap().contains("ESTIMATE"));
}

#[test]
fn charts_are_written_and_nothing_else_is_written_over() {
    let folder = folder("shaking");
    for command in ["isolator", "picture"] {
        let file = folder.join(format!("{command}.svg"));
        let ran = run_with(&[command, "-", "--chart", file.to_str().unwrap()], &arm());
        assert_eq!((ran.status, ran.err.as_str()), (0, ""));
        let svg = std::fs::read_to_string(&file).unwrap();
        assert!(
            svg.starts_with("<svg")
                && svg.contains("rig")
                && svg.contains("polyline") | svg.contains("<path"),
            "{svg}"
        );
        let ran = run_with(&[command, "-", "--chart", folder.join("night.toml").to_str().unwrap()], &arm());
        assert_eq!(ran.status, 2);
    }
}

#[test]
fn an_option_that_is_none_is_told() {
    for (args, says) in [
        (["picture", "-", "--speed", "fast"], "--speed fast"),
        (["picture", "-", "--speed", "900 km/h"], "--speed cannot be 900 km/h"),
        (["picture", "-", "--shutter", "50"], "--shutter 50"),
        (["picture", "-", "--focal-length", "0 mm"], "--focal-length cannot be 0 mm"),
        (["isolator", "-", "--engine", "800 rpm"], "--engine 800 rpm"),
    ] {
        let ran = run_with(&args, &arm());
        assert_eq!(ran.status, 2, "{args:?}");
        assert!(ran.err.contains(says), "{}", ran.err);
    }
}
