//! `clingfish advise`: words, status, JSON.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, plate, plate_with, run_with};
use serde_json::Value;

fn example(name: &str) -> String {
    format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn what_governs_and_what_would_help() {
    let ran = run_with(&["advise", "-"], &plate());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("advise_plate", ran.out);
}

#[test]
fn another_check_of_an_example() {
    let ran = run_with(&["advise", &example("bonnet-camera"), "cup-seal"], "");
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("advise_bonnet_cup_seal", ran.out);
}

#[test]
fn a_rig_that_fails_is_still_an_answer_and_what_mends_it_says_so() {
    let text = plate_with("mass = \"4 kg\"", "mass = \"45 kg\"");
    let ran = run_with(&["advise", "-"], &text);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    assert!(ran.out.contains("FAILS"), "{}", ran.out);
    fits(&ran.out);
}

#[test]
fn what_is_missing_is_said_first() {
    let text = plate_with("pull_rating", "# pull_rating");
    let ran = run_with(&["advise", "-"], &text);
    let (first, then) = (ran.out.find("First measure what is missing"), ran.out.find("What governs now"));
    assert!(ran.status == 0 && first.is_some() && first < then, "{}", ran.out);
    let ran = run_with(&["advise", "-", "cup-pull"], &text);
    assert!(ran.status == 0 && ran.out.contains("has no margin yet"), "{}", ran.out);
    assert!(!ran.out.contains("What governs") && !ran.out.contains("->"));
    fits(&ran.out);
    let ran = run_with(&["advise", "-", "cup-fit"], &plate());
    assert!(ran.status == 0 && ran.out.contains("has no margin that a change could move"), "{}", ran.out);
}

#[test]
fn bad_input_is_told_with_status_2() {
    for (args, text, says) in [
        (vec!["advise", "-", "cup-slpi"], plate(), "did you mean cup-slip?"),
        (vec!["advise", "-", "tube-stress"], plate(), "does not apply to this rig"),
        (vec!["advise", "-"], "version = 1".to_owned(), "error"),
    ] {
        let ran = run_with(&args, &text);
        let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!((ran.status, ran.out.as_str(), said.contains(says)), (2, "", true), "{said}");
    }
}

#[test]
fn json_has_what_the_words_have() {
    let ran = run_with(&["advise", "-", "cup-slip", "--json"], &plate());
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!((ran.status, &json["asked"]), (0, &"cup-slip".into()));
    let now = json["target"]["margin"].as_f64().unwrap();
    let helps = json["helps"].as_array().unwrap();
    assert!(!helps.is_empty());
    for change in helps {
        assert!(change["margin"].as_f64().is_none_or(|m| m > now), "{change}");
        assert!(change["whole_rig"]["least_check"].is_string() && change["what"].is_string());
    }
    for change in json["worse"].as_array().unwrap() {
        assert!(change["margin"].as_f64().unwrap() < now && change["whole_rig"].is_null(), "{change}");
    }
    let words = run_with(&["advise", "-", "cup-slip", "--all"], &plate());
    let said: String = words.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for change in helps {
        // A line may break in the middle of what is said: its first words do not.
        let first: Vec<&str> = change["what"].as_str().unwrap().split(' ').take(3).collect();
        assert!(said.contains(&first.join(" ")), "{change}");
    }
}
