//! Wrong files and wrong commands: the text with its place, and status 2.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{fits, folder, plate, plate_with, run_with};
use serde_json::Value;

fn wrong(name: &str, text: &str) {
    let ran = run_with(&["check", "-"], text);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{}", ran.err);
    fits(&ran.err);
    insta::assert_snapshot!(name, ran.err);
}

#[test]
fn a_number_without_a_unit() {
    wrong("wrong_unit", &plate_with("mass = \"4.5 kg\"", "mass = \"4.5\""));
}

#[test]
fn a_key_with_a_slip_of_the_finger() {
    wrong("wrong_key", &plate_with("thickness", "thicknes"));
}

#[test]
fn a_tag_that_nothing_carries() {
    wrong("wrong_tag", &plate_with("panel = \"bonnet\"", "panel = \"bonet\""));
}

#[test]
fn a_key_that_stands_twice_shows_both_places() {
    wrong("wrong_twice", &plate_with("width = \"1.3 m\"", "width = \"1.3 m\"\nat = { forward = \"1 m\" }"));
}

#[test]
fn a_parts_file_that_is_not_there() {
    wrong("wrong_parts", &plate_with("version = 1\n", "version = 1\nparts = [\"nowhere/kit.toml\"]\n"));
}

#[test]
fn text_that_is_no_rig_file() {
    wrong("wrong_toml", "version = 1\nname = \"Night two\n");
}

#[test]
fn faults_as_json_have_lines_and_columns() {
    let ran = run_with(&["check", "-", "--json"], &plate_with("mass = \"4.5 kg\"", "mass = \"4.5\""));
    assert_eq!((ran.status, ran.err.as_str()), (2, ""));
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    let fault = &json["diagnostics"][0];
    assert_eq!((&fault["code"], &fault["severity"]), (&"R005".into(), &"error".into()));
    let line = plate().lines().position(|l| l == "mass = \"4.5 kg\"").unwrap() + 1;
    assert_eq!((&fault["line"], &fault["column"]), (&line.into(), &9.into()));
}

#[test]
fn files_that_cannot_be_read_are_told_in_plain_words() {
    let folder = folder("unread");
    let at = |n: &str| folder.join(n).to_str().unwrap().to_owned();
    std::fs::write(at("bytes.toml"), b"name = \"a\"\n\xff\xfe").unwrap();
    for (file, says) in [
        (at("none.toml"), "there is no file"),
        (at("."), "is a folder"),
        (at("bytes.toml"), "not plain text (UTF-8): line 2"),
    ] {
        let ran = run_with(&["check", &file], "");
        let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!((ran.status, ran.out.as_str(), said.contains(says)), (2, "", true), "{said}");
    }
}

#[test]
fn a_wrong_command_line_is_bad_input_and_help_is_not() {
    assert_eq!(run_with(&["chek"], "").status, 2);
    assert_eq!(run_with(&[], "").status, 2);
    let help = run_with(&["--help"], "").out;
    let listed = help.lines().skip_while(|l| !l.starts_with("Commands:")).skip(1);
    let named =
        listed.take_while(|l| !l.is_empty()).filter(|l| !l.starts_with("   ") && !l.starts_with("  help "));
    let commands: Vec<&str> = named.filter_map(|l| l.split_whitespace().next()).collect();
    assert!(commands.len() > 10, "{help}");
    let of_all = commands.iter().map(|c| vec![*c, "--help"]);
    for args in of_all.chain([vec!["--help"], vec!["--version"]]) {
        let args = args.as_slice();
        let ran = run_with(args, "");
        assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{args:?}");
        assert!(ran.out.contains("clingfish"));
        fits(&ran.out);
    }
}
