//! `clingfish new`: scripted answers.

#![allow(missing_docs, clippy::expect_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, folder, run_with};

const CAR: &str = "Night \"two\"\nestate car\n120 m\n14 C\n?\nB\n4.2 m\n1480 kg\n800 kg\n2080 kg\n?\n?\n100 kg\n1.05 m\n\
    1.43 m\n240 kg\n1.9 m\n1.14 m\n15 mm\n1.2 m\n20 mm\n800 mm\n25 mm\nsteel\nclean paint\ndry\ncup-250\n24 inHg\n3\n2\n\
    380 mm\n1 m\n840 mm\n";
const CAMERA: &str = "camera\n9 kg\n260 mm\n380 mm\n200 mm\n340 mm\n";
const ARM: &str = "arm\n520 mm\n90 mm\n4.2 kg\n7.5 kg\n1.7 m\n5.5 kg\n80 mm\n650 mm\n2.6 kg\n25 kg\n600 mm\n1.2 kg\n5.9 kg\n\
    210 mm\n320 mm\n-10 deg\n30 deg\n60 deg/s\n60 deg/s2\n120 deg/s2\n220 N·m\n30 deg/s\n40 deg/s2\n90 deg/s2\n?\n";

fn read(text: &str) -> rig::Rig {
    let reading = rig::read(text, "new.toml", &|_| Err(String::new()));
    assert!(!reading.has_errors(), "{:?}", reading.diagnostics);
    reading.rig.expect("a model")
}

#[test]
fn answers_become_a_rig_file_that_the_reader_accepts() {
    for carry in [CAMERA, ARM] {
        let ran = run_with(&["new", "--out", "-"], &format!("{CAR}{carry}"));
        assert_eq!(ran.status, 0, "{}", ran.err);
        fits(&ran.err);
        let rig = read(&ran.out);
        assert_eq!(
            (rig.name.as_str(), rig.cups.len(), rig.arm.is_some()),
            ("Night \"two\"", 6, carry == ARM)
        );
        // 1.2² / (8 x 0.02) + 0.01, written to a centimetre.
        assert!((rig.panels[0].crown.0.value - 9.01).abs() < 0.006);
        assert!(rig.vehicle.front_axle_limit.is_none() && rig.vehicle.gross_limit.is_some());
        assert!(ran.out.contains("# front_axle_limit"), "what is not known is left to settle");
    }
}

#[test]
fn the_file_is_the_same_as_last_time() {
    let ran = run_with(&["new", "--out", "-"], &format!("{CAR}{CAMERA}"));
    insta::assert_snapshot!("new_camera", ran.out);
}

#[test]
fn other_rows_columns_and_crowns_stand_too() {
    for (rows, columns, gap) in [("2", "3", "0 mm"), ("5", "2", "0 mm"), ("2", "2", "40 mm")] {
        let car = CAR
            .replace("24 inHg\n3\n2\n", &format!("24 inHg\n{rows}\n{columns}\n"))
            .replace("\n25 mm\n", &format!("\n{gap}\n"));
        let ran = run_with(&["new", "--out", "-"], &format!("{car}{CAMERA}"));
        assert_eq!(ran.status, 0, "{rows} x {columns}, {gap}: {}", ran.err);
        read(&ran.out);
    }
}

#[test]
fn a_wrong_unit_is_asked_again_in_the_units_own_words() {
    let car = CAR
        .replace("1480 kg\n", "1480\n1480 m\n1480 kg\n")
        .replace("estate car\n", "estat car\nestate car\n");
    let ran = run_with(&["new", "--out", "-"], &format!("{car}{CAMERA}"));
    assert_eq!(ran.status, 0);
    let fault = quantity::parse_kind("1480", quantity::Kind::Mass).unwrap_err();
    let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains(&format!("{}: {}; {}.", fault.what, fault.why, fault.mend)), "{said}");
    assert!(said.contains("did you mean estate car?"), "{said}");
    assert_eq!(said.matches("Again, for example 1480 kg").count(), 2);
    read(&ran.out);
}

#[test]
fn a_value_beyond_what_can_be_is_asked_again() {
    let car = CAR.replace("1480 kg\n", "1480 t\n1480 kg\n");
    let ran = run_with(&["new", "--out", "-"], &format!("{car}{CAMERA}"));
    assert_eq!(ran.status, 0);
    assert!(ran.err.contains("Again, for example 1480 kg"), "{}", ran.err);
    read(&ran.out);
}

#[test]
fn answers_that_end_too_early_write_nothing() {
    let file = folder("early").join("rig.toml");
    let ran = run_with(&["new", "--out", file.to_str().unwrap()], CAR);
    assert_eq!((ran.status, ran.out.as_str(), file.exists()), (2, "", false));
    assert!(ran.err.contains("error: the answers end at question 34"), "{}", ran.err);
}

#[test]
fn a_file_that_is_there_stays_unless_forced() {
    let file = folder("stays").join("rig.toml");
    let name = file.to_str().unwrap();
    std::fs::write(&file, "mine").unwrap();
    let ran = run_with(&["new", "--out", name], &format!("{CAR}{CAMERA}"));
    assert_eq!((ran.status, std::fs::read_to_string(&file).unwrap().as_str()), (2, "mine"));
    assert!(ran.err.contains("--force"));
    assert_eq!(run_with(&["new", "--out", name, "--force"], &format!("{CAR}{CAMERA}")).status, 0);
    read(&std::fs::read_to_string(&file).unwrap());
    let nowhere = file.with_file_name("none").join("rig.toml");
    assert_eq!(run_with(&["new", "--out", nowhere.to_str().unwrap()], &format!("{CAR}{CAMERA}")).status, 2);
}
