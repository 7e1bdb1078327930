//! `clingfish power`: words, status, JSON, chart.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, folder, plate, run_with};
use serde_json::Value;

fn example() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/estate-arm.toml");
    std::fs::read_to_string(path).unwrap()
}

/// The electrical tables of the example under the small rig, which needs no parts file, with some edits.
fn plan(edits: &[(&str, &str)]) -> String {
    let text = example();
    let mut out = plate() + &text[text.find("\n[power]").unwrap()..];
    for (old, new) in edits {
        assert!(out.contains(old), "{old}");
        out = out.replacen(old, new, 1);
    }
    out
}

#[test]
fn a_plan_that_is_a_go_in_words() {
    let ran = run_with(&["power", "-"], &plan(&[]));
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{}", ran.out);
    fits(&ran.out);
    insta::assert_snapshot!("power_go", ran.out);
}

#[test]
fn a_plan_that_is_not_has_no_start_up_order() {
    let worn = [
        ("contact = \"1 mohm\"", "contact = { value = \"1 mohm\", low = \"0.1 mohm\", high = \"900 mohm\" }"),
        ("measured = { source = \"26.4 V\", here = \"26.0 V\" }", ""),
    ];
    for (edits, word, status, name) in [
        (&worn[..], "HOLD: power", 10, "power_hold"),
        (
            &[
                (
                    "fuse = { rating = \"50 A\", kind = \"bolt-down\", voltage = \"58 V\", interrupts = \"4 kA\" }",
                    "",
                ),
                ("length = \"3.5 m\"", "length = \"250 m\""),
            ][..],
            "NO-GO: power",
            20,
            "power_no_go",
        ),
    ] {
        let ran = run_with(&["power", "-"], &plan(edits));
        assert_eq!(ran.status, status, "{}", ran.out);
        assert!(
            ran.out.starts_with(word) && ran.out.contains("None before the power is a GO"),
            "{}",
            ran.out
        );
        fits(&ran.out);
        insta::assert_snapshot!(name, ran.out);
        let json: Value =
            serde_json::from_str(&run_with(&["power", "-", "--json"], &plan(edits)).out).unwrap();
        assert!(json["start_up"].as_array().unwrap().is_empty());
        assert_eq!(json["exit_status"], status);
    }
}

#[test]
fn json_has_what_the_words_have() {
    let json: Value = serde_json::from_str(&run_with(&["power", "-", "--json"], &plan(&[])).out).unwrap();
    assert_eq!((json["answer"].as_str(), json["exit_status"].as_u64()), (Some("GO"), Some(0)));
    assert_eq!(json["consumers"].as_array().unwrap().len(), 5);
    assert_eq!(json["cables"].as_array().unwrap().len(), 7);
    let battery = &json["batteries"][0];
    assert_eq!(battery["day_s"].as_f64(), Some(28_800.0));
    assert!(battery["lasts_s"].as_f64().unwrap() > 28_800.0);
    for row in json["consumers"].as_array().unwrap() {
        assert!(row["lowest_v"].as_f64().unwrap() >= row["needs_v"].as_f64().unwrap(), "{row}");
    }
    assert!(
        json["start_up"].as_array().unwrap().len() > 5 && json["shut_down"].as_array().unwrap().len() > 3
    );
}

#[test]
fn a_longer_day_and_more_cold_take_from_the_battery() {
    let left = |more: &[&str]| -> f64 {
        let args: Vec<&str> = ["power", "-", "--json"].iter().chain(more).copied().collect();
        let json: Value = serde_json::from_str(&run_with(&args, &plan(&[])).out).unwrap();
        json["batteries"][0]["left_share"].as_f64().unwrap()
    };
    let planned = left(&[]);
    assert!(left(&["--hours", "12 h"]) < planned - 0.05);
    assert!(left(&["--cold", "-15 C"]) < planned - 0.05);
    assert!((left(&["--cold", "20 C"]) - planned).abs() < 1e-12, "warmer gives no more than was measured");
    let ran = run_with(&["power", "-", "--hours", "30 h"], &plan(&[]));
    assert_eq!(ran.status, 20, "{}", ran.out);
    // What a battery gives in more cold than planned is a guess.
    let ran = run_with(&["power", "-", "--cold", "-10 C"], &plan(&[]));
    assert!(ran.status == 10 || ran.status == 20, "{}", ran.out);
    fits(&ran.out);
}

#[test]
fn wrong_words_on_the_command_line_are_told() {
    for (more, says) in [
        (["--hours", "12"], "--hours 12"),
        (["--hours", "12 kg"], "--hours 12 kg"),
        (["--hours", "400 h"], "not the length of a day"),
        (["--cold", "-5"], "--cold -5"),
        (["--cold", "300 C"], "no battery works there"),
        (["--chart", "day.png"], "not the name of a drawing"),
    ] {
        let args: Vec<&str> = ["power", "-"].into_iter().chain(more).collect();
        let ran = run_with(&args, &plan(&[]));
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{more:?}");
        assert!(ran.err.contains(says), "{}", ran.err);
        fits(&ran.err);
    }
    let ran = run_with(&["power", "-"], &plate());
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("nothing electrical"), "{}", ran.err);
}

#[test]
fn the_day_is_drawn() {
    let file = folder("power-chart").join("day.svg");
    let ran = run_with(&["power", "-", "--chart", file.to_str().unwrap()], &plan(&[]));
    assert_eq!(ran.status, 0, "{}", ran.err);
    let svg = std::fs::read_to_string(&file).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("charge left") && svg.contains("main"));
    let no_day = plan(&[("hours = \"8 h\"", "")]);
    let ran = run_with(&["power", "-", "--chart", file.to_str().unwrap()], &no_day);
    assert!(ran.status == 2 && ran.err.contains("no day to draw"), "{}", ran.err);
}
