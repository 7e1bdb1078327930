//! `clingfish envelope` and `clingfish card`: words, status, JSON.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, plate, plate_with, run_with};
use serde_json::Value;

#[test]
fn the_envelope_of_a_plate_in_words() {
    let ran = run_with(&["envelope", "-"], &plate());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("envelope", ran.out);
}

#[test]
fn the_card_of_a_plate_in_words() {
    let ran = run_with(&["card", "-"], &plate());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("card", ran.out);
}

#[test]
fn there_is_no_card_without_a_go() {
    for (text, word, status) in [
        (plate_with("pull_rating", "# pull_rating"), "HOLD: no card.", 10),
        (plate_with("mass = \"4 kg\"", "mass = \"120 kg\""), "NO-GO: no card.", 20),
    ] {
        let ran = run_with(&["card", "-"], &text);
        assert_eq!(ran.status, status);
        assert!(ran.out.starts_with(word), "{}", ran.out);
        assert!(!ran.out.contains(" g each"), "{}", ran.out);
        fits(&ran.out);
        let json: Value = serde_json::from_str(&run_with(&["card", "-", "--json"], &text).out).unwrap();
        assert!(json.get("rows").is_none() && json["exit_status"] == status, "{json}");
    }
}

#[test]
fn a_missing_value_is_said_before_any_limit() {
    let ran = run_with(&["envelope", "-"], &plate_with("pull_rating", "# pull_rating"));
    assert_eq!(ran.status, 10);
    let (hold, table) = (ran.out.find("HOLD: no permission"), ran.out.find("bends brake"));
    assert!(hold.is_some() && hold < table, "{}", ran.out);
    fits(&ran.out);
}

#[test]
fn json_agrees_with_itself_and_speeds_may_be_asked_for() {
    let ran = run_with(&["envelope", "-", "--json", "--speeds", "20 mph, 50 km/h"], &plate());
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let cells = json["cells"].as_array().unwrap();
    assert_eq!(cells.len(), 4, "two speeds, dry and wet");
    let speeds: Vec<f64> = cells.iter().map(|c| c["speed_m_s"].as_f64().unwrap()).collect();
    assert!((speeds[0] - 8.9408).abs() < 1e-9 && (speeds[3] - 50.0 / 3.6).abs() < 1e-9);
    for cell in cells {
        let of = |k: &str| cell[k]["acceleration_m_s2"].as_f64().unwrap();
        assert!(of("both") <= of("bends").min(of("brake")) + 1e-9, "{cell}");
    }
    let card: Value = serde_json::from_str(&run_with(&["card", "-", "--json"], &plate()).out).unwrap();
    for row in card["rows"].as_array().unwrap() {
        for key in ["bends_g", "brake_g", "both_g"] {
            // Multiples of 0.05 g, never more than the plan's.
            if let Some(g) = row[key].as_f64() {
                let steps = g / 0.05;
                assert!((steps - steps.round()).abs() < 1e-9, "{row}");
            }
        }
    }
}

#[test]
fn a_speed_that_is_none_is_told() {
    for (asked, says) in
        [("fast", "--speeds fast"), ("12", "--speeds 12"), ("4000 km/h", "not a speed to drive")]
    {
        let ran = run_with(&["envelope", "-", "--speeds", asked], &plate());
        assert_eq!(ran.status, 2);
        assert!(ran.err.contains(says), "{}", ran.err);
    }
}
