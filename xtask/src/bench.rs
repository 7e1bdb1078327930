//! `cargo xtask bench`: the reference's packages, the bench, and the page with its charts.

use crate::{Faults, performance, run};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;

const REQUIREMENTS: &str = "crates/verdict/benches/reference/requirements.txt";

/// A Python of the reference's own, in the folder of what is built; made anew when the requirements change.
fn python(root: &Path) -> Result<PathBuf, String> {
    let place = run::target(root).join("reference-venv");
    let python = place.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let wanted =
        std::fs::read_to_string(root.join(REQUIREMENTS)).map_err(|e| format!("{REQUIREMENTS}: {e}"))?;
    let stamp = place.join("installed.txt");
    if python.exists() && std::fs::read_to_string(&stamp).is_ok_and(|has| has == wanted) {
        return Ok(python);
    }
    let system = if cfg!(windows) { "python" } else { "python3" };
    run::finish(Command::new(system).args(["-m", "venv", "--clear"]).arg(&place))?;
    let pip = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"];
    run::finish(Command::new(&python).args(pip).arg(root.join(REQUIREMENTS)))?;
    std::fs::write(&stamp, wanted).map_err(|e| format!("{}: {e}", stamp.display()))?;
    Ok(python)
}

/// Runs everything and writes the page. `date` goes on the page as it is.
pub(crate) fn run(root: &Path, date: Option<&str>) -> Faults {
    measured(root)
        .and_then(|results| write(root, &performance::pages(&results, date)))
        .err()
        .into_iter()
        .collect()
}

fn measured(root: &Path) -> Result<Value, String> {
    let results = run::target(root).join("bench-results.json");
    let mut command = run::cargo_command(root, &["bench", "-p", "verdict", "--bench", "sweep"]);
    command.env("CLINGFISH_BENCH_RESULTS", &results);
    match python(root) {
        Ok(python) => {
            command.env("CLINGFISH_BENCH_PYTHON", python);
        }
        Err(why) => println!("note: no reference, {why}"),
    }
    run::finish(&mut command)?;
    let text = std::fs::read_to_string(&results).map_err(|e| format!("{}: {e}", results.display()))?;
    serde_json::from_str(&text).map_err(|e| format!("{}: {e}", results.display()))
}

fn write(root: &Path, pages: &[(&'static str, String)]) -> Result<(), String> {
    for (name, text) in pages {
        let path = root.join(name);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(|e| format!("{name}: {e}"))?;
        }
        std::fs::write(&path, text).map_err(|e| format!("{name}: {e}"))?;
        println!("{name} is written");
    }
    Ok(())
}
