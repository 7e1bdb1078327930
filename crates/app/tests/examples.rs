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
