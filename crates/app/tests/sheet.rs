//! `clingfish sheet` and `card --pdf`: what they say, as text and as a reader of PDF files finds it.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{Ran, fits, folder, path, plate, plate_with, run_with};
use std::path::{Path, PathBuf};

fn example(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    path.to_str().unwrap().to_owned()
}

/// The sheet as text, the place of the file on this machine left out.
fn text_of(rig: &str, more: &[&str]) -> Ran {
    let mut ran = run_with(&[&["sheet", rig, "--text"], more].concat(), &plate());
    ran.out = ran.out.replace(rig, Path::new(rig).file_name().unwrap().to_str().unwrap());
    ran
}

#[test]
fn a_sheet_of_a_go_in_words() {
    let rig = path("plate.toml");
    let options = ["--date", "2026-11-27", "--revision", "3", "--job", "Hill road", "--by", "rigging"];
    let ran = text_of(rig.to_str().unwrap(), &options);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    insta::assert_snapshot!("sheet_go", ran.out);
}

#[test]
fn a_sheet_of_a_hold_in_words() {
    let ran = text_of(&example("door-camera.toml"), &[]);
    assert_eq!((ran.status, ran.err.as_str()), (10, ""));
    insta::assert_snapshot!("sheet_hold", ran.out);
}

#[test]
fn a_sheet_of_a_no_go_gives_no_limits() {
    let ran = run_with(&["sheet", "-", "--text"], &plate_with("mass = \"4 kg\"", "mass = \"120 kg\""));
    assert_eq!(ran.status, 20);
    assert!(ran.out.contains("[ NO-GO ]") && ran.out.contains("this one is NO-GO"), "{}", ran.out);
    assert!(ran.out.contains("nobody signs this rig off for driving"), "{}", ran.out);
    assert!(!ran.out.contains(" g each"), "{}", ran.out);
}

#[test]
fn the_cautions_are_those_of_the_front_page_in_full() {
    let flat = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ");
    let page = flat(
        &std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../README.md")).unwrap(),
    );
    let said = flat(&run_with(&["sheet", "-", "--text"], &plate()).out);
    let (_, cautions) = page.split_once("## Cautions ").unwrap();
    let (cautions, _) = cautions.split_once(" ## ").unwrap();
    assert_eq!(cautions.matches("- ").count(), 5, "{cautions}");
    assert!(said.contains(cautions), "{cautions}");
    let (_, not) = page.split_once("## What it does not check ").unwrap();
    let (not, _) = not.split_once(" All of it, and which way").unwrap();
    assert!(said.contains(not), "{not}");
}

#[test]
fn what_the_reader_warns_of_stands_on_the_sheet() {
    let text = plate() + "\n[policy.factor.cup-seal]\nintact = 1.5\n";
    let ran = run_with(&["sheet", "-", "--text"], &text);
    assert!(ran.out.contains("Warnings of the reader"), "{}", ran.out);
    assert!(ran.out.contains("set in the rig file; else 2 and 1.5"), "{}", ran.out);
}

#[test]
fn every_number_that_was_assumed_stands_with_range_and_source() {
    let ran = run_with(&["sheet", "-", "--text"], &plate());
    let (_, assumed) = ran.out.split_once("### Assumed\n").unwrap();
    let (assumed, _) = assumed.split_once("\n\n### ").unwrap();
    let rows: Vec<&str> = assumed.lines().filter(|l| l.matches(" | ").count() == 5).collect();
    assert!(rows.len() > 3, "{assumed}");
    for row in &rows[1..] {
        assert!(row.split(" | ").all(|cell| !cell.trim().is_empty()), "{row}");
    }
}

#[test]
fn a_wrong_name_or_option_writes_nothing() {
    let folder = folder("sheet-wrong");
    let at = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let long = "x".repeat(61);
    for (args, says) in [
        (vec!["--out", &at("rig.toml")], "end the name in .pdf"),
        (vec!["--out", &at("none/rig.pdf")], "name another folder"),
        (vec!["--out", &at("rig.pdf"), "--job", &long], "--job is longer than 60 characters"),
        (vec!["--out", &at("rig.pdf"), "--date", " "], "--date says nothing"),
        (vec!["--out", &at("rig.pdf"), "--paper", "a5"], "--paper"),
    ] {
        let ran = run_with(&[&["sheet", "-"], &args[..]].concat(), &plate());
        assert_eq!(ran.status, 2, "{args:?}");
        assert!(ran.err.contains(says), "{args:?}: {}", ran.err);
        fits(&ran.err);
    }
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 0);
    // A rig file that calls itself a PDF is not written over.
    let rig = at("rig.pdf");
    std::fs::write(&rig, plate()).unwrap();
    let ran = run_with(&["sheet", &rig, "--out", &rig], "");
    assert!(ran.status == 2 && ran.err.contains("the rig file itself"), "{}", ran.err);
    assert_eq!(std::fs::read_to_string(&rig).unwrap(), plate());
}

#[test]
fn help_fits_the_terminal_and_shows_how() {
    for command in ["sheet", "card"] {
        let ran = run_with(&[command, "--help"], "");
        assert_eq!(ran.status, 0);
        fits(&ran.out);
        assert!(ran.out.contains("2026-11-27"), "{}", ran.out);
    }
}

/// Writes a PDF from the command line and gives where it is.
fn written(name: &str, args: &[&str], input: &str, status: u8) -> PathBuf {
    let file = folder(name).join("out.pdf");
    let option = if args[0] == "card" { "--pdf" } else { "--out" };
    let ran = run_with(&[args, &[option, file.to_str().unwrap()]].concat(), input);
    assert_eq!((ran.status, ran.err.as_str()), (status, ""), "{}", ran.out);
    assert!(ran.out.contains("Written to"), "{}", ran.out);
    file
}
