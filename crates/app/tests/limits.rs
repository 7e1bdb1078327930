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

/// The estate car's arm in a folder of its own, held to a quarter of the circle and to two manoeuvres: soon looked at.
fn quarter_arm() -> std::path::PathBuf {
    let examples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let folder = common::folder("quarter-arm");
    std::fs::copy(examples.join("kit.toml"), folder.join("kit.toml")).unwrap();
    let text = std::fs::read_to_string(examples.join("estate-arm.toml")).unwrap();
    let (before, manoeuvres) = text.split_once("[manoeuvre.steady]").unwrap();
    let (_, brake) = manoeuvres.split_once("[manoeuvre.brake]").unwrap();
    let (brake, _) = brake.split_once("[manoeuvre.stop]").unwrap();
    let held = before.replace("parked = {", "pan = { from = \"-45 deg\", to = \"45 deg\" }\nparked = {");
    assert!(held != before);
    let text = format!(
        "{held}[manoeuvre.steady]\nkind = \"steady drive\"\nspeed = \"30 km/h\"\narm = \"live\"\n\n[manoeuvre.brake]{brake}"
    );
    std::fs::write(folder.join("rig.toml"), text).unwrap();
    folder.join("rig.toml")
}

#[test]
fn an_arm_has_margins_by_bearing_in_json_and_a_chart() {
    let rig = quarter_arm();
    let path = rig.with_file_name("margins.svg");
    let (rig, chart) = (rig.to_str().unwrap(), path.to_str().unwrap());
    let args = ["envelope", rig, "--speeds", "30 km/h", "--sectors", "2"];
    let ran = run_with(&[&args[..], &["--json", "--chart", chart]].concat(), "");
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let svg = std::fs::read_to_string(&path).unwrap();
    assert!(svg.contains("must be over this") && svg.contains("least margins"), "{svg}");
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let rings = json["plan"]["by_bearing"].as_array().unwrap();
    assert_eq!(rings.len(), 19);
    let least = rings
        .iter()
        .flat_map(|r| r["margins"].as_array().unwrap())
        .filter_map(|m| m["margin"].as_f64())
        .fold(f64::INFINITY, f64::min);
    assert!(least > 0.0 && svg.contains(&format!("{least:.2}")), "{least} {svg}");
    let ran = run_with(&["envelope", rig, "--chart", "margins.pdf"], "");
    assert!(ran.status == 2 && ran.err.contains("end the name in .svg"), "{}", ran.err);
    let ran = run_with(&["envelope", "-", "--chart", chart], &plate());
    assert!(ran.status == 2 && ran.err.contains("leave out --chart"), "{}", ran.err);
}
