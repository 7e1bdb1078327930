//! `clingfish list`: parts, checks and limits as words, CSV and JSON.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, plate, plate_with, run_with};
use csv::{ReaderBuilder, StringRecord};
use serde_json::Value;
use std::path::Path;

fn rows(text: &str) -> (StringRecord, Vec<StringRecord>) {
    let mut reader = ReaderBuilder::new().from_reader(text.as_bytes());
    (reader.headers().unwrap().clone(), reader.records().map(|r| r.unwrap()).collect())
}

/// The example with an arm.
fn estate() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/estate-arm.toml");
    path.to_str().unwrap().to_owned()
}

/// CSV and JSON hold the same, name by name and row by row.
fn same(args: &[&str], rig: &str) -> Value {
    let with = |format: &str| {
        let ran = run_with(&[args, &[format]].concat(), rig);
        assert!(ran.status != 2 && ran.err.is_empty(), "{}", ran.err);
        ran.out
    };
    let (text, json) = (with("--csv"), serde_json::from_str::<Value>(&with("--json")).unwrap());
    assert!(text.lines().count() > 1 && text.matches('\n').count() == text.matches("\r\n").count());
    let (head, rows) = rows(&text);
    let list = json["rows"].as_array().unwrap();
    assert_eq!(rows.len(), list.len());
    for (row, object) in rows.iter().zip(list) {
        assert_eq!(head.len(), object.as_object().unwrap().len());
        for (name, cell) in head.iter().zip(row) {
            match &object[name] {
                Value::Null => assert_eq!(cell, ""),
                Value::String(s) => assert_eq!(cell.trim_start_matches('\''), s),
                Value::Bool(b) => assert_eq!(cell, b.to_string()),
                number => {
                    let (a, b) = (cell.parse::<f64>().unwrap(), number.as_f64().unwrap());
                    assert!((a - b).abs() <= 1e-12 * b.abs(), "{name}: {cell} {number}");
                }
            }
        }
    }
    json
}

#[test]
fn parts_in_words() {
    let ran = run_with(&["list", "-"], &plate());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    fits(&ran.out);
    insta::assert_snapshot!("list_parts", ran.out);
}

#[test]
fn parts_have_both_systems_and_add_up_to_what_is_on_the_wheels() {
    let json = same(&["list", &estate()], "");
    let rows = json["rows"].as_array().unwrap();
    let of = |row: &Value, key: &str| row[key].as_f64();
    for row in rows {
        for (metric, us, times) in [
            ("length_mm", "length_in", 25.4),
            ("aft_mm", "aft_in", 25.4),
            ("left_mm", "left_in", 25.4),
            ("to_up_mm", "to_up_in", 25.4),
            ("mass_kg", "mass_lb", 0.453_592_37),
            ("torque_n_m", "torque_ft_lbf", 1.355_817_948),
            ("vacuum_kpa", "vacuum_inhg", 3.386_389),
        ] {
            match (of(row, metric), of(row, us)) {
                // Each rounded to a thousandth.
                (Some(m), Some(u)) => assert!((m - u * times).abs() < 1e-3 * (1.0 + times), "{row}"),
                (None, None) => {}
                _ => panic!("{metric} in one system: {row}"),
            }
        }
    }
    for kind in ["cup", "tube", "right-angle clamp", "leg", "platform", "boom section", "payload"] {
        assert!(rows.iter().any(|r| r["kind"] == kind), "{kind}");
    }
    let sum: f64 = rows.iter().map(|r| of(r, "mass_kg").unwrap()).sum();
    let total = json["total_mass_kg"].as_f64().unwrap();
    // Some forty masses, each rounded to a gram.
    assert!((sum - total).abs() < 0.04, "{sum} {total}");
    // The wheels carry the car, what is aboard, and this.
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let text = std::fs::read_to_string(estate()).unwrap();
    let load = |file: &str| std::fs::read_to_string(folder.join(file)).map_err(|e| e.to_string());
    let rig = rig::read(&text, "estate-arm.toml", &load).rig.unwrap();
    let car = rig.vehicle.mass.value + rig.vehicle.aboard.iter().map(|a| a.mass.value).sum::<f64>();
    let check: Value = serde_json::from_str(&run_with(&["check", &estate(), "--json"], "").out).unwrap();
    let gross = check["findings"].as_array().unwrap().iter().find(|f| f["check"] == "gross-mass").unwrap();
    let gross = gross["numbers"]["demand"].as_f64().unwrap();
    assert!((gross - car - total).abs() < 1e-3, "{gross} {car} {total}");
}

#[test]
fn what_is_assumed_of_a_part_is_named() {
    let of_a = |rig: &str| -> Value {
        let json: Value = serde_json::from_str(&run_with(&["list", "-", "--json"], rig).out).unwrap();
        json["rows"]
            .as_array()
            .unwrap()
            .iter()
            .find(|r| r["kind"] == "cup" && r["tag"] == "A")
            .unwrap()
            .clone()
    };
    let row = of_a(&plate());
    assert_eq!(
        (&row["on"], &row["holds"], &row["mass_from"]),
        (&"panel bonnet".into(), &"platform plate".into(), &"assumed".into())
    );
    assert!((row["vacuum_inhg"].as_f64().unwrap() - 22.0).abs() < 1e-3, "{row}");
    assert!((row["aft_mm"].as_f64().unwrap() + 1140.0).abs() < 1e-6, "{row}");
    let guessed = row["assumed"].as_str().unwrap();
    assert!(guessed.split("; ").all(|key| key.starts_with("cup")) && guessed.contains("loss"), "{row}");
    let stated = of_a(&plate().replace("part = \"cup-200\"", "part = \"cup-200\"\nloss = \"5 kPa\""));
    assert!(!stated["assumed"].as_str().unwrap().contains("loss"), "{stated}");
}

#[test]
fn checks_are_those_of_check() {
    let hold = plate_with("pull_rating = \"800 N\"\n", "");
    let json = same(&["list", "-", "checks"], &hold);
    let rows = json["rows"].as_array().unwrap();
    let check: Value = serde_json::from_str(&run_with(&["check", "-", "--json"], &hold).out).unwrap();
    let findings = check["findings"].as_array().unwrap();
    assert_eq!(rows.len(), findings.len());
    for (row, finding) in rows.iter().zip(findings) {
        for key in ["check", "title", "part", "tag", "place", "state"] {
            assert_eq!(row[key], finding[key]);
        }
        let (a, b) = (row["margin"].as_f64(), finding["margin"].as_f64());
        assert_eq!(a, b, "{row}");
        if row["outcome"] == "NOT CHECKED" {
            assert!(row["missing_key"] == finding["missing"]["key"] && row["demand"].is_null(), "{row}");
        }
    }
    assert!(
        rows.iter().any(|r| r["outcome"] == "NOT CHECKED") && rows.iter().any(|r| r["outcome"] == "holds")
    );
}

#[test]
fn limits_are_those_of_envelope() {
    let json = same(&["list", "-", "limits"], &plate());
    let envelope: Value =
        serde_json::from_str(&run_with(&["envelope", "-", "--json"], &plate()).out).unwrap();
    let cells = envelope["cells"].as_array().unwrap();
    let rows = json["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 3 * cells.len());
    for (row, (cell, way)) in
        rows.iter().zip(cells.iter().flat_map(|c| ["bends", "brake", "both"].map(|w| (c, w))))
    {
        let (a, b) = (row["acceleration_m_s2"].as_f64(), cell[way]["acceleration_m_s2"].as_f64());
        assert!(row["way"] == way && row["wet"] == cell["wet"] && a.is_some() == b.is_some(), "{row}");
        assert!((a.unwrap_or(0.0) - b.unwrap_or(0.0)).abs() < 1e-3, "{row}");
    }
}

#[test]
fn no_tag_becomes_a_formula() {
    for tag in ["=1+1", "+1", "-2+3", "@SUM(A1)", "a,\"b\"", "=cmd|' /C calc'!A0"] {
        let quoted = format!("\"{}\"", tag.replace('"', "\\\""));
        let rig = plate().replace("[cup.A]", &format!("[cup.{quoted}]"));
        let ran = run_with(&["list", "-", "--csv"], &rig);
        if ran.status == 2 {
            // The reader takes no such tag; then it cannot reach a spreadsheet.
            assert!(ran.out.is_empty() && ran.err.contains("tag"), "{}", ran.err);
            continue;
        }
        let (_, rows) = rows(&ran.out);
        for cell in rows.iter().flatten() {
            let number = cell.parse::<f64>().is_ok();
            assert!(number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
        }
        assert!(rows.iter().any(|r| r[1].trim_start_matches('\'') == tag), "{tag}");
    }
}

#[test]
fn lists_for_programs_say_so_and_wrong_ones_are_refused() {
    for what in ["checks", "limits"] {
        let ran = run_with(&["list", "-", what], &plate());
        assert!(ran.status == 2 && ran.err.contains("add --csv or --json"), "{}", ran.err);
        fits(&ran.err);
    }
    assert_eq!(run_with(&["list", "-", "prats"], &plate()).status, 2);
    assert_eq!(run_with(&["list", "-", "--csv", "--json"], &plate()).status, 2);
}
