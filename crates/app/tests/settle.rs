//! `clingfish settle`: words, status, JSON, drawing.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, folder, run_with};
use serde_json::Value;
use std::fmt::Write as _;
use std::path::PathBuf;

fn example() -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples/bounce-release.csv");
    std::fs::read_to_string(path).expect("the example is there")
}

/// A plain release in mm, 50 samples a second.
fn release(zeta: f64, seconds: f64) -> String {
    let w = std::f64::consts::TAU * 1.5;
    let (s, wd) = (zeta * w, w * (1.0_f64 - zeta * zeta).sqrt());
    let mut text = "time [s];height [mm]\n".to_owned();
    for i in 0..600 {
        let t = f64::from(i) * 0.02;
        if t > seconds {
            break;
        }
        // A ripple that repeats after 13 samples stands for noise.
        let ripple = 0.05 * f64::from((i * i * 7 + i) % 13 - 6) / 6.0;
        let y = 20.0 * (-s * t).exp() * ((wd * t).cos() + s / wd * (wd * t).sin()) + ripple;
        let _ = writeln!(text, "{t:.2};{}", format!("{y:.3}").replace('.', ","));
    }
    text
}

#[test]
fn the_example_in_words() {
    let ran = run_with(&["settle", "-"], &example());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("settle_example", ran.out);
}

#[test]
fn json_agrees_with_what_the_example_was_made_of() {
    let ran = run_with(&["settle", "-", "--json"], &example());
    assert_eq!(ran.status, 0);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let swings = &json["trace"]["swings"];
    // Made with ratio 0.118 and 1.52 Hz: inside the stated intervals.
    let inside = |range: &Value, value: f64| {
        range["low"].as_f64().unwrap() <= value && value <= range["high"].as_f64().unwrap()
    };
    assert!(inside(&swings["ratio"], 0.118) && inside(&swings["natural_hz"], 1.52), "{swings}");
    assert!((swings["level"].as_f64().unwrap() - 9.79).abs() < 0.02);
    assert_eq!(json["trace"]["signal"]["name"], "acc z");
}

#[test]
fn counted_swings_in_words() {
    let ran = run_with(&["settle", "--swings", "10:1/5/6.2", "--reading", "0.5"], "");
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("settle_counted", ran.out);
    let wrong = run_with(&["settle", "--swings", "1:10/5"], "");
    assert!(wrong.status == 2 && wrong.err.contains("does not shrink"), "{}", wrong.err);
}

#[test]
fn a_trace_that_tells_nothing_is_a_hold_with_its_word() {
    let short = release(0.05, 0.7);
    let ran = run_with(&["settle", "-"], &short);
    assert_eq!(ran.status, 10, "{}", ran.out);
    assert!(
        ran.out.contains("HOLD") && ran.out.contains("to mend:") && !ran.out.contains("damping ratio"),
        "{}",
        ran.out
    );
    fits(&ran.out);
    let json: Value = serde_json::from_str(&run_with(&["settle", "-", "--json"], &short).out).unwrap();
    assert_eq!(json["exit_status"], 10);
    assert!(json["trace"]["refused"]["word"].is_string() && json["trace"].get("swings").is_none(), "{json}");
}

#[test]
fn a_file_that_cannot_be_read_points_at_its_place() {
    let text = release(0.1, 6.0).replacen("0.10;", "0.10;oops", 1);
    let ran = run_with(&["settle", "-"], &text);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("line 7, column 2 (height)") && ran.err.contains("= mend:"), "{}", ran.err);
    let none = run_with(&["settle"], "");
    assert_eq!(none.status, 2);
    let ran = run_with(&["settle", "-", "--from", "3"], &release(0.1, 6.0));
    assert!(ran.status == 2 && ran.err.contains("--from"), "{}", ran.err);
}

#[test]
fn clicks_between_tests_and_not_beyond() {
    let folder = folder("settle-clicks");
    let file = |name: &str, zeta: f64| {
        let path = folder.join(name);
        std::fs::write(&path, release(zeta, 10.0)).unwrap();
        path.display().to_string()
    };
    let (four, eight) = (file("four.csv", 0.1), file("eight.csv", 0.3));
    let (t4, t8) = (format!("4={four}"), format!("8={eight}"));
    let args = [
        "settle", &four, "--at", "4", "--test", &t4, "--test", &t8, "--test", "12=0.5", "--want", "0.3",
        "--json",
    ];
    let ran = run_with(&args, "");
    assert_eq!(ran.status, 0, "{}{}", ran.out, ran.err);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let clicks = &json["clicks"];
    // 0.1, 0.3 and 0.5 at 4, 8 and 12: eight clicks, four up; the ripple moves the ratios by a few thousandths.
    assert!(
        (clicks["at"].as_f64().unwrap() - 8.0).abs() < 0.1
            && (clicks["turn"].as_f64().unwrap() - 4.0).abs() < 0.1,
        "{clicks}"
    );
    let words = run_with(&["settle", &four, "--test", &t4, "--test", &t8, "--want", "0.4"], "");
    assert_eq!(words.status, 10);
    assert!(words.out.contains("no tested setting reaches it"), "{}", words.out);
    fits(&words.out);
    // A table does as well.
    let table = folder.join("tests.csv");
    std::fs::write(&table, "clicks;ratio\n4;0,1\n8;0,3\n").unwrap();
    let ran = run_with(&["settle", "--tests", &table.display().to_string(), "--want", "0.2"], "");
    assert!(ran.status == 0 && ran.out.contains("6.0 clicks"), "{}{}", ran.out, ran.err);
    std::fs::write(&table, "clicks;ratio\n4;0,1\n8;much\n").unwrap();
    let ran = run_with(&["settle", "--tests", &table.display().to_string(), "--want", "0.2"], "");
    assert!(ran.status == 2 && ran.err.contains("line 3, column 2"), "{}", ran.err);
}

#[test]
fn two_dampers_that_differ_are_told() {
    let folder = folder("settle-pair");
    let file = |name: &str, zeta: f64| {
        let path = folder.join(name);
        std::fs::write(&path, release(zeta, 10.0)).unwrap();
        path.display().to_string()
    };
    let (a, b, c) = (file("a.csv", 0.12), file("b.csv", 0.12), file("c.csv", 0.16));
    let alike = run_with(&["settle", &a, "--pair", &b], "");
    assert!(alike.out.contains("do not differ"), "{}", alike.out);
    let apart = run_with(&["settle", &a, "--pair", &c], "");
    assert!(apart.out.contains("WARNING"), "{}", apart.out);
    fits(&apart.out);
}

#[test]
fn the_drawing_has_trace_fit_and_envelope() {
    let path = folder("settle-chart").join("out.svg");
    let name = path.display().to_string();
    let ran = run_with(&["settle", "-", "--chart", &name], &example());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let svg = std::fs::read_to_string(&path).unwrap();
    for word in ["logged", "fit", "envelope", "damping ratio"] {
        assert!(svg.contains(word), "{word}");
    }
    assert_eq!(run_with(&["settle", "-", "--chart", "out.png"], &example()).status, 2);
}
