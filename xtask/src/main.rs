//! Chores of the project: `cargo xtask test`, `cargo xtask docs`, `cargo xtask tidy`, `cargo xtask look`, `cargo xtask bench`.
//!
//! `test` is everything that must pass before a change is taken in; `docs`, `tidy` and `browser` are parts of it; `look` draws every example
//! on one page for a person to look at. These need Rust alone, but for what `browser` finds or installs.
//! Not so `bench`, which measures how fast the sweep is and writes `docs/performance.md`: it takes minutes, its figures are the
//! machine's, and it needs Python and a package registry for the programs that it compares with.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a command of the terminal")]

mod bench;
mod browser;
mod docs;
mod look;
mod performance;
mod run;
mod sections;
mod sources;
mod tidy;
mod validation;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What went wrong, one line each.
pub(crate) type Faults = Vec<String>;

/// The top of the workspace.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map_or_else(|| PathBuf::from("."), Path::to_path_buf)
}

fn main() -> ExitCode {
    let mut words = std::env::args().skip(1);
    let faults = match (words.next().as_deref(), words.next()) {
        (Some("test"), None) => test(),
        (Some("docs"), None) => {
            run::validation_tests(&root()).err().map_or_else(|| docs::write(&root()), |f| vec![f])
        }
        (Some("tidy"), None) => tidy::check(&root()),
        (Some("browser"), None) => browser::ready(&root()).err().into_iter().collect(),
        (Some("look"), folder) => look::write(&root(), folder.as_deref()),
        (Some("bench"), date) => bench::run(&root(), date.as_deref()),
        _ => {
            vec!["usage: cargo xtask test | docs | tidy | browser | look [FOLDER] | bench [DATE]".to_owned()]
        }
    };
    for fault in &faults {
        eprintln!("error: {fault}");
    }
    if faults.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Format, tidy, lints, a browser for the tests, every test with its doctests, and generated pages that are current. Stops at the
/// first step that fails.
fn test() -> Faults {
    let root = root();
    let steps: [(&str, &dyn Fn() -> Faults); 6] = [
        ("format", &|| run::cargo(&root, &["fmt", "--all", "--check"])),
        ("tidy", &|| tidy::check(&root)),
        ("lints", &|| {
            run::cargo(&root, &["clippy", "--workspace", "--all-targets", "--", "--deny", "warnings"])
        }),
        ("browser", &|| browser::ready(&root).err().into_iter().collect()),
        ("tests", &|| run::all_tests(&root)),
        ("generated pages", &|| docs::must_be_current(&root)),
    ];
    for (name, step) in steps {
        println!("== {name}");
        let faults = step();
        if !faults.is_empty() {
            return faults;
        }
    }
    println!("== all of format, tidy, lints, tests and generated pages hold");
    Faults::new()
}
