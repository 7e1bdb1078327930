//! Rigs of the tests.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use rig::Rig;
use std::path::Path;

/// All examples that are rigs.
pub(crate) const EXAMPLES: [&str; 5] =
    ["estate-arm", "pickup-arm", "pickup-arm-mended", "bonnet-camera", "door-camera"];

/// An example with lines put before its first table, and files of its own.
#[allow(dead_code, reason = "not every test program asks for it")]
pub(crate) fn read(name: &str, more: &str, files: &[(&str, &str)]) -> Result<Rig, String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let text = std::fs::read_to_string(folder.join(format!("{name}.toml"))).map_err(|e| e.to_string())?;
    let text = text.replacen("\n[site]", &format!("\n{more}\n[site]"), 1);
    let load = |file: &str| match files.iter().find(|f| f.0 == file) {
        Some((_, text)) => Ok((*text).to_owned()),
        None => std::fs::read_to_string(folder.join(file)).map_err(|e| e.to_string()),
    };
    let reading = rig::read(&text, name, &load);
    reading.rig.ok_or_else(|| format!("{:#?}", reading.diagnostics))
}

/// An example.
#[allow(dead_code, reason = "not every test program asks for it")]
pub(crate) fn example(name: &str) -> Rig {
    read(name, "", &[]).unwrap()
}

/// An example with a steps file.
#[allow(dead_code, reason = "not every test program asks for it")]
pub(crate) fn with_steps(name: &str, steps: &str) -> Rig {
    read(name, "steps = [\"house.toml\"]", &[("house.toml", &format!("version = 1\n{steps}"))]).unwrap()
}
