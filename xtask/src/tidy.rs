//! What no compiler checks: who may know whom, file sizes, references to the pages, no place of one machine.

use crate::sources::{self, Text};
use crate::{Faults, run, sections};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

/// Past this many lines a file is asked about.
const LONG: usize = 600;
/// Past this many its first lines must say why ("Long because ...").
const TOO_LONG: usize = 900;

/// Crates of ours that read no file, no clock, no environment and no network.
const PURE: [&str; 3] = ["quantity", "mechanics", "verdict"];
const WORLD: [&str; 6] =
    ["std::fs", "std::env", "std::net", "std::process", "std::time::SystemTime", "std::time::Instant"];

/// All tidy checks.
pub(crate) fn check(root: &Path) -> Faults {
    let texts = sources::all(root);
    let mut faults = Faults::new();
    faults.extend(edges(root, &texts));
    faults.extend(pure(&texts));
    faults.extend(sizes(&texts));
    faults.extend(places(root, &texts));
    faults.extend(sections::check(&texts));
    faults
}

/// Crates named in one cell of the table, `-` for none.
fn names(cell: &str) -> BTreeSet<String> {
    cell.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

/// Rows `| crate | sentence | knows of ours | takes from outside | ...` of ARCHITECTURE.md.
fn table(page: &str) -> Vec<(String, BTreeSet<String>, BTreeSet<String>)> {
    let mut rows = Vec::new();
    for line in page.lines().filter(|l| l.starts_with("| `")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').collect();
        if let [name, _, ours, outside, ..] = cells.as_slice() {
            let name = name.trim().trim_matches('`').to_owned();
            rows.push((name, names(ours), names(outside)));
        }
    }
    rows
}

/// The dependencies that each crate has are those that ARCHITECTURE.md allows it.
fn edges(root: &Path, texts: &[Text]) -> Faults {
    let json = match run::output(root, &["metadata", "--no-deps", "--format-version", "1"]) {
        Ok(text) => serde_json::from_str::<Value>(&text).unwrap_or_default(),
        Err(fault) => return vec![fault],
    };
    let page = texts.iter().find(|t| t.path == "ARCHITECTURE.md").map_or("", |t| &t.text);
    edge_faults(&json, &table(page))
}

fn edge_faults(metadata: &Value, table: &[(String, BTreeSet<String>, BTreeSet<String>)]) -> Faults {
    let empty = Vec::new();
    let list = |v: &Value| v.as_array().unwrap_or(&empty).clone();
    let packages = list(&metadata["packages"]);
    let mut faults = Faults::new();
    for package in &packages {
        let name = package["name"].as_str().unwrap_or_default();
        let Some((_, ours, outside)) = table.iter().find(|(n, ..)| n == name) else {
            faults.push(format!("ARCHITECTURE.md: no row for crate {name}"));
            continue;
        };
        for dependency in list(&package["dependencies"]) {
            let other = dependency["name"].as_str().unwrap_or_default();
            let of_ours = dependency["path"].is_string();
            // Tests may use any library, but know no more of ours than the crate itself.
            let only_tests = dependency["kind"].as_str() == Some("dev");
            let allowed = if of_ours { ours } else { outside };
            if !allowed.contains(other) && (of_ours || !only_tests) {
                faults.push(format!("crate {name} must not know {other} (ARCHITECTURE.md)"));
            }
        }
    }
    for (name, ..) in table.iter().filter(|(n, ..)| !packages.iter().any(|p| p["name"] == n.as_str())) {
        faults.push(format!("ARCHITECTURE.md: there is no crate {name}"));
    }
    faults
}

fn pure(texts: &[Text]) -> Faults {
    let mut faults = Faults::new();
    for name in PURE {
        let folder = format!("crates/{name}/src/");
        for text in texts.iter().filter(|t| t.path.starts_with(&folder)) {
            for word in WORLD.iter().filter(|w| text.shipped().contains(**w)) {
                faults.push(format!("{}: {name} must not use {word}", text.path));
            }
        }
    }
    faults
}

fn sizes(texts: &[Text]) -> Faults {
    let mut faults = Faults::new();
    for text in texts.iter().filter(|t| t.is_rust()) {
        let lines = text.text.lines().count();
        let reason = text.text.lines().take(12).any(|l| l.contains("Long because"));
        if lines > TOO_LONG && !reason {
            faults.push(format!("{}: {lines} lines; split it, or say why in its first lines", text.path));
        } else if lines > LONG {
            println!("note: {} has {lines} lines: is it still one thing?", text.path);
        }
    }
    faults
}

/// No file names a place on one person's machine.
fn places(root: &Path, texts: &[Text]) -> Faults {
    let top = root.to_string_lossy().into_owned();
    let homes = ["home", "root", "Users"].map(|h| format!("/{h}/"));
    let mut faults = Faults::new();
    for text in texts.iter().filter(|t| !t.path.starts_with("target")) {
        for (number, line) in text.text.lines().enumerate() {
            if line.contains(&top) || homes.iter().any(|h| line.contains(h)) {
                faults.push(format!("{}:{}: names a place on one machine", text.path, number + 1));
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    const PAGE: &str = "| `low` | Sums. | - | `glam` | files |\n| `high` | Asks. | `low` | - | colour |\n";

    fn package(name: &str, dependencies: &Value) -> Value {
        json!({ "packages": [
            { "name": name, "dependencies": dependencies },
            { "name": if name == "low" { "high" } else { "low" }, "dependencies": [] },
        ]})
    }

    #[test]
    fn an_edge_that_the_page_does_not_have_is_found() {
        let t = table(PAGE);
        let fine = json!([{ "name": "glam", "kind": null }, { "name": "serde", "kind": "dev" }]);
        assert!(edge_faults(&package("low", &fine), &t).is_empty());
        let serde = json!([{ "name": "serde", "kind": null }]);
        assert_eq!(edge_faults(&package("low", &serde), &t).len(), 1);
        // A crate below must not know one above, not even in its tests.
        let up = json!([{ "name": "high", "kind": "dev", "path": "/x" }]);
        assert_eq!(edge_faults(&package("low", &up), &t).len(), 1);
        let down = json!([{ "name": "low", "kind": null, "path": "/x" }]);
        assert!(edge_faults(&package("high", &down), &t).is_empty());
    }

    #[test]
    fn a_clock_in_a_pure_crate_and_a_long_file_are_found() {
        let text = |path: &str, text: String| Text { path: path.to_owned(), text };
        let clock = text("crates/mechanics/src/a.rs", "let t = std::time::Instant::now();".to_owned());
        assert_eq!(pure(&[clock]).len(), 1);
        let in_tests = text(
            "crates/mechanics/src/a.rs",
            "fn a() {}\n#[cfg(test)]\nmod tests { use std::fs; }".to_owned(),
        );
        assert!(pure(&[in_tests]).is_empty());
        assert_eq!(sizes(&[text("a.rs", "x\n".repeat(901))]).len(), 1);
        assert!(
            sizes(&[text("a.rs", format!("//! Long because it is a table.\n{}", "x\n".repeat(901)))])
                .is_empty()
        );
    }
}
