//! `clingfish explain`, `respond`, `parts`, `schema`.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, plate, plate_with, run_with};
use serde_json::Value;

#[test]
fn a_sum_can_be_followed() {
    let ran = run_with(&["explain", "-", "cup-seal", "B"], &plate());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("explain_cup_seal", ran.out);
}

#[test]
fn without_a_part_the_worst_is_explained() {
    let worst = run_with(&["explain", "-", "cup-slip"], &plate());
    let named = run_with(&["explain", "-", "cup-slip", "cup", "C"], &plate());
    assert_eq!(worst.out, named.out);
    assert!(worst.out.contains("with one lost") && worst.out.contains("nothing lost"));
}

#[test]
fn a_cup_past_its_limit_says_what_contact_makes_of_it() {
    let weak = plate_with("vacuum = \"22 inHg\"", "vacuum = \"2 inHg\"");
    let ran = run_with(&["explain", "-", "cup-slip"], &weak);
    fits(&ran.out);
    let said = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("contact ") && said.contains("the linear answer, the safer one"), "{}", ran.out);
    let json: Value =
        serde_json::from_str(&run_with(&["explain", "-", "cup-slip", "--json"], &weak).out).unwrap();
    let of = |sum: &Value| sum["finding"]["contact"].as_str().is_some_and(|c| !c.is_empty());
    assert!(json["sums"].as_array().unwrap().iter().any(of));
    // A cup within its limits says nothing of it.
    assert!(!run_with(&["explain", "-", "cup-seal", "B"], &plate()).out.contains("  contact "));
}

#[test]
fn what_could_not_be_checked_says_how_to_settle_it() {
    let ran = run_with(&["explain", "-", "cup-pull", "A"], &plate_with("pull_rating", "# pull_rating"));
    assert_eq!(ran.status, 0);
    assert!(ran.out.contains("NOT CHECKED") && ran.out.contains("pull_rating under [cup.A]"), "{}", ran.out);
}

#[test]
fn unknown_checks_and_parts_get_the_choices() {
    for (args, says) in [
        (["cup-slpi", "A"], "did you mean cup-slip?"),
        (["cup-slip", "Q"], "it looks at cup"),
        (["tube-stress", "A"], "does not apply to this rig"),
    ] {
        let ran = run_with(&["explain", "-", args[0], args[1]], &plate());
        let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!((ran.status, ran.out.as_str(), said.contains(says)), (2, "", true), "{said}");
    }
}

#[test]
fn json_of_a_sum_has_its_steps_with_units() {
    let ran = run_with(&["explain", "-", "cup-seal", "B", "--json"], &plate());
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    let steps = json["sums"][0]["hand"]["steps"].as_array().unwrap();
    let dp = steps.iter().find(|s| s["symbol"] == "dp").unwrap();
    assert_eq!(dp["unit"], "Pa");
    assert!(dp["value"].as_f64().unwrap() > 10e3);
    assert_eq!(json["sums"][0]["finding"]["part"], "cup B");
}

/// `numbers` of a part of a response, by name.
fn number(json: &Value, kind: &str, part: usize, name: &str) -> f64 {
    let numbers = json[kind][part]["numbers"].as_array().unwrap();
    numbers.iter().find(|n| n["name"] == name).unwrap()["values"][0].as_f64().unwrap()
}

#[test]
fn cups_carry_the_weight_of_what_stands_on_them() {
    let ran = run_with(&["respond", "-", "--specific-force", "0 0 -1 g", "--json"], &plate());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    for key in ["units", "axes", "actions", "cups", "tubes"] {
        assert!(json["conventions"][key].is_string(), "{key}");
    }
    assert_eq!(json["actions"].as_array().unwrap().len(), 1);
    // Flat panel: the cups press out of it with the weight of plate, camera, cups and what hangs of the tethers.
    let up: f64 = (0..3).map(|c| number(&json, "cups", c, "F_out")).sum();
    let at_least = (4.5 + 4.0 + 3.0 * 2.1) * 9.806_65;
    assert!(up > at_least - 1e-6 && up < at_least * 1.1, "{up} N against {at_least} N and tethers");
}

#[test]
fn an_action_at_the_mast_adds_up_in_the_cups() {
    let ran =
        run_with(&["respond", "-", "--wrench", "0 0 -300 N 0 0 0 N·m", "--json", "--lost", "C"], &plate());
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["lost"], "cup C");
    let up: f64 = (0..3).map(|c| number(&json, "cups", c, "F_out")).sum();
    assert!((up - 300.0).abs() < 1e-6, "equilibrium, {up} N");
    assert!(number(&json, "cups", 2, "F_out").abs() < 1e-9, "a lost cup carries nothing");
}

#[test]
fn without_an_action_every_unit_action_is_given() {
    let json: Value =
        serde_json::from_str(&run_with(&["respond", "-", "--json"], &plate()).out).expect("JSON");
    let actions = json["actions"].as_array().unwrap().len();
    assert!(actions >= 10, "3 specific forces, 6 at the mast, winds");
    assert_eq!(json["cups"][0]["numbers"][0]["values"].as_array().unwrap().len(), actions);
    let words = run_with(&["respond", "-", "--slender"], &plate());
    assert_eq!(words.status, 0);
    fits(&words.out);
    assert!(words.out.contains("Shear deformation of the tubes is left out."));
}

#[test]
fn wrong_actions_are_told() {
    for (flag, text, says) in [
        ("--specific-force", "0 0 -1", "write \"0 0 -1 g\""),
        ("--specific-force", "0 0 -1 kg", "kg"),
        ("--wrench", "0 0 -300 N", "3 numbers and the unit of a moment"),
        ("--lost", "Q", "cup A, cup B, cup C may be lost"),
    ] {
        let ran = run_with(&["respond", "-", flag, text], &plate());
        let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!((ran.status, said.contains(says)), (2, true), "{said}");
    }
}

#[test]
fn parts_are_listed_and_sieved() {
    let all = run_with(&["parts"], "");
    assert_eq!(all.status, 0);
    fits(&all.out);
    let cups = run_with(&["parts", "cup-200"], "");
    assert!(
        cups.out.contains("outer_diameter     200 mm (7-7/8 in)") && cups.out.ends_with("\n1 part\n"),
        "{}",
        cups.out
    );
    assert_eq!(run_with(&["parts", "trampoline"], "").status, 2);
}

#[test]
fn the_schema_is_json_and_knows_cups() {
    let ran = run_with(&["schema"], "");
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!((ran.status, json["properties"]["cup"]["type"].as_str()), (0, Some("object")));
}

#[test]
fn isolator_and_picture_have_sums_without_a_margin() {
    let rig = format!("{}/../../examples/estate-arm.toml", env!("CARGO_MANIFEST_DIR"));
    for topic in ["isolator", "picture"] {
        let ran = run_with(&["explain", &rig, topic], "");
        assert_eq!((ran.status, ran.err.as_str()), (0, ""));
        fits(&ran.out);
        insta::assert_snapshot!(format!("explain_{topic}"), ran.out);
        let json: Value =
            serde_json::from_str(&run_with(&["explain", &rig, topic, "--json"], "").out).unwrap();
        assert!(json["of"] == topic && json["sums"][0]["hand"]["steps"][0]["value"].is_number(), "{json}");
        let ran = run_with(&["explain", "-", topic], &plate());
        let says = format!("`clingfish {topic} RIG` says what is missing");
        assert!(ran.status == 2 && ran.err.contains(&says), "{}", ran.err);
    }
}
