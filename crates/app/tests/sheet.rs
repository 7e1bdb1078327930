//! `clingfish sheet` and `card --pdf`: what they say, as text and as a reader of PDF files finds it.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;
#[allow(
    dead_code,
    unreachable_pub,
    missing_docs,
    clippy::expect_used,
    clippy::panic,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "the reader of the PDF's own tests"
)]
#[path = "../../paper/tests/common/reader.rs"]
mod reader;

use common::{Ran, fits, folder, path, plate, plate_with, run_with};
use reader::Read;
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
    let (_, assumed) = ran.out.split_once("### Assumed, and tried at both ends\n").unwrap();
    let (assumed, _) = assumed.split_once("\n\n### ").unwrap();
    let rows: Vec<&str> = assumed.lines().filter(|l| l.matches(" | ").count() == 4).collect();
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

/// A text without its blanks: lines break where there is room.
fn tight(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

fn read(file: &Path) -> Read {
    reader::read(std::fs::read(file).unwrap())
}

fn whole(read: &Read) -> String {
    tight(&read.pages.iter().map(reader::Page::text).collect::<String>())
}

#[test]
fn a_no_go_can_be_read_and_searched_as_pdf() {
    let file = written("sheet-pickup", &["sheet", &example("pickup-arm.toml"), "--revision", "2"], "", 20);
    let read = read(&file);
    assert!((8..=15).contains(&read.pages.len()), "{} pages", read.pages.len());
    assert!(tight(&read.pages[0].text()).contains("NO-GO"), "{}", read.pages[0].text());
    let rig = std::fs::read_to_string(example("pickup-arm.toml")).unwrap();
    let tags: Vec<&str> =
        rig.lines().filter_map(|l| l.strip_prefix("[cup.").or(l.strip_prefix("[strap."))).collect();
    assert!(tags.len() > 4, "{tags:?}");
    let all = whole(&read);
    for tag in tags.iter().map(|t| t.split(']').next().unwrap()) {
        assert!([format!("cup{tag}"), format!("strap{tag}")].iter().any(|t| all.contains(t)), "{tag}");
    }
    for part in ["1. Verdict", "Checks", "Sums by hand", "Sign-off"] {
        assert!(
            read.bookmarks.iter().any(|(_, words, _)| words.contains(part)),
            "{part}: {:?}",
            read.bookmarks
        );
    }
    let mark = read.pages[1].artifacts().join(" ");
    assert!(mark.contains("rev 2, "), "{mark}");
    // What the terminal says of the sums, the sheet says too.
    let sum = run_with(&["explain", &example("pickup-arm.toml"), "cup-slip"], "").out;
    let margin = sum.lines().find(|l| l.trim_start().starts_with("= ") && l.contains("FAILS")).unwrap();
    let margin = margin.trim().trim_start_matches("= ").split("  ").next().unwrap();
    assert!(all.contains(&tight(margin)), "{margin}");
}

#[test]
fn a_hostile_name_comes_through() {
    let name = format!("<b>& \u{202e}שלום</b> 🐟 \\begin{{x}} {}", "very long ".repeat(300));
    let quoted = name.replace('\\', "\\\\");
    let text = plate_with("name = \"", &format!("note = \"\\u0007 <script>\"\nname = \"{quoted}"));
    let file = written("sheet-hostile", &["sheet", "-", "--paper", "letter"], &text, 0);
    let read = read(&file);
    assert!(read.pages.len() <= 15, "{} pages", read.pages.len());
    assert!((read.pages[0].wide - 612.0).abs() < 0.1 && (read.pages[0].high - 792.0).abs() < 0.1);
    let all = whole(&read);
    for piece in ["<b>&", "🐟", "\\begin{x}", "<script>"] {
        assert!(all.contains(&tight(piece)), "{piece}");
    }
}

#[test]
fn the_card_is_one_side() {
    let file = written("card-plate", &["card", "-", "--date", "27 Nov"], &plate(), 0);
    let read = read(&file);
    assert_eq!(read.pages.len(), 1);
    let all = whole(&read);
    let words = run_with(&["card", "-"], &plate()).out;
    for line in words.lines().filter(|l| l.trim_start().starts_with("- ") || l.contains(" km/h")) {
        let first = line.trim().trim_start_matches("- ").split("  ").next().unwrap();
        assert!(all.contains(&tight(first)), "{first} in {all}");
    }
    assert!(all.contains("27Nov"), "{all}");
}

#[test]
fn there_is_no_card_on_paper_without_a_go() {
    let file = folder("card-hold").join("card.pdf");
    let text = plate_with("pull_rating", "# pull_rating");
    let ran = run_with(&["card", "-", "--pdf", file.to_str().unwrap()], &text);
    assert_eq!(ran.status, 10);
    assert!(ran.out.starts_with("HOLD: no card.") && !file.exists(), "{}", ran.out);
}
