//! Runs cargo and git as a person would.

use crate::{Faults, validation};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Runs a command to its end.
pub(crate) fn finish(command: &mut Command) -> Result<(), String> {
    let words = format!("{command:?}").replace('"', "");
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(_) => Err(format!("failed: {words}")),
        Err(error) => Err(format!("cannot run {words}: {error}")),
    }
}

/// The folder of what is built.
pub(crate) fn target(root: &Path) -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root.join("target"), PathBuf::from)
}

/// A cargo command at the top of the workspace, not yet run.
pub(crate) fn cargo_command(root: &Path, words: &[&str]) -> Command {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(cargo);
    command.args(words).current_dir(root);
    command
}

/// One cargo command at the top of the workspace.
pub(crate) fn cargo(root: &Path, words: &[&str]) -> Faults {
    finish(&mut cargo_command(root, words)).err().into_iter().collect()
}

/// All tests and doctests; on the way the outside checks leave their values for the validation page.
pub(crate) fn all_tests(root: &Path) -> Faults {
    tests(root, &["test", "--workspace"]).err().into_iter().collect()
}

/// The outside checks alone, for their values.
pub(crate) fn validation_tests(root: &Path) -> Result<(), String> {
    let names = validation::test_programs(root);
    let mut words = vec!["test", "--workspace"];
    for name in &names {
        words.extend(["--test", name]);
    }
    tests(root, &words)
}

fn tests(root: &Path, words: &[&str]) -> Result<(), String> {
    let folder = validation::folder(root);
    // Rows of a table that is gone must not stay on the page.
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    finish(cargo_command(root, words).env("CLINGFISH_VALIDATION_DIR", &folder))
}

/// Whether git sees no change in the files that it knows.
pub(crate) fn tree_is_clean(root: &Path) -> Faults {
    let mut git = Command::new("git");
    git.args(["diff", "--exit-code"]).current_dir(root);
    finish(&mut git).err().into_iter().collect()
}

/// What a command prints.
pub(crate) fn output(root: &Path, words: &[&str]) -> Result<String, String> {
    let out = cargo_command(root, words).output().map_err(|error| error.to_string())?;
    if out.status.success() {
        Ok(String::from_utf8_lossy(&out.stdout).into_owned())
    } else {
        Err(String::from_utf8_lossy(&out.stderr).into_owned())
    }
}
