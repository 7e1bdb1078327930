//! Tests of the drawings' inner parts; the finished files are tested from outside.

use super::Scene;
use rig::Rig;

/// An example's rig.
pub(crate) fn example(name: &str) -> Rig {
    let folder = format!("{}/../../examples", env!("CARGO_MANIFEST_DIR"));
    let text = |file: &str| std::fs::read_to_string(format!("{folder}/{file}")).map_err(|e| e.to_string());
    rig::read(&text(&format!("{name}.toml")).unwrap(), name, &text).rig.unwrap()
}

/// A scene with nothing but the rig in its parked pose.
pub(crate) fn scene(rig: &Rig) -> Scene<'_> {
    Scene::new(rig)
}
