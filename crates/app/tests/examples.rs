//! Every example gives the answer and the exit status that `examples/README.md` says.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

/// Rows of the page: file, answer, exit status.
fn table() -> Vec<(String, String, i32)> {
    let page = std::fs::read_to_string(folder().join("README.md")).unwrap();
    let mut rows = Vec::new();
    for line in page.lines().filter(|l| l.starts_with("| `")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        assert_eq!(cells.len(), 4, "{line}");
        rows.push((cells[0].trim_matches('`').to_owned(), cells[2].to_owned(), cells[3].parse().unwrap()));
    }
    rows
}

#[test]
fn the_page_has_every_rig_of_the_folder() {
    let on_page: BTreeSet<String> = table().into_iter().map(|(file, ..)| file).collect();
    let files = std::fs::read_dir(folder()).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap());
    // The kit is a parts file.
    let rigs: BTreeSet<String> =
        files.filter(|f| Path::new(f).extension().is_some_and(|e| e == "toml") && f != "kit.toml").collect();
    assert_eq!(on_page, rigs);
}

#[test]
fn each_example_gives_the_answer_that_the_page_says() {
    for (file, answer, status) in table() {
        let out = Command::new(env!("CARGO_BIN_EXE_clingfish"))
            .args(["check", "--color", "never"])
            .arg(folder().join(&file))
            .output()
            .unwrap();
        let text = String::from_utf8_lossy(&out.stdout);
        assert_eq!(out.status.code(), Some(status), "{file}\n{text}{}", String::from_utf8_lossy(&out.stderr));
        // The verdict stands in a box of its own on the second line.
        let word = text.lines().nth(1).unwrap_or_default().trim_matches(['|', ' ']);
        assert_eq!(word, answer, "{file}");
    }
}

#[test]
fn the_first_page_quotes_a_verdict_and_a_sum_as_they_are() {
    let page = std::fs::read_to_string(folder().join("../README.md")).unwrap();
    let rig = folder().join("pickup-arm.toml");
    let run = |command: &[&str]| {
        let mut all = Command::new(env!("CARGO_BIN_EXE_clingfish"));
        let out = all.args(&command[..1]).args(["--color", "never"]).arg(&rig).args(&command[1..]).output();
        String::from_utf8(out.unwrap().stdout).unwrap()
    };
    let verdict = run(&["check"]);
    let section = page.split("## A verdict read together").nth(1).unwrap();
    let quoted: Vec<&str> = section
        .lines()
        .skip_while(|l| !l.starts_with("    "))
        .take_while(|l| l.starts_with("    ") || l.is_empty())
        .filter_map(|l| l.strip_prefix("    "))
        .collect();
    assert!(quoted.len() > 8, "{quoted:?}");
    let mut lines = verdict.lines();
    for quote in quoted {
        assert!(lines.any(|l| l == quote), "the verdict does not say {quote:?} there");
    }
    // The paragraph under it works the sum out in the numbers that `explain` gives.
    let sum = run(&["explain", "cup-slip", "RR"]);
    for number in ["1.52 kN", "741 N", "5.63 kN", "1.73 kN"] {
        assert!(section.contains(number) && sum.contains(number), "{number}\n{sum}");
    }
}
