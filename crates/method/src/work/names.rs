//! Names of steps, and of keys in the rig file.

use crate::draft::Name;
use rig::model::Hold;
use rig::{Rig, key_text};

/// Roles that sign.
pub(super) const RIGGER: &str = "rigging technician";
pub(super) const SECOND: &str = "second rigging technician";
pub(super) const SAFETY: &str = "safety officer";

/// A key of the rig file.
pub(super) fn key(table: &str, tag: &str, key: &str) -> String {
    format!("{table}.{}.{key}", key_text(tag))
}

/// The name of a part's step.
pub(super) fn name(kind: &str, tag: &str, does: &str) -> String {
    format!("{kind} {tag}: {does}")
}

/// The step of a part: it is about the part's table in the rig file.
pub(super) fn step(kind: &str, tag: &str, does: &str) -> Name {
    let table = match kind {
        "tether" => "strap",
        "boom" => "arm.section",
        "brace" => "arm.brace",
        other => other,
    };
    Name { text: name(kind, tag, does), about: Some(format!("{table}.{}", key_text(tag))) }
}

/// Tags of the cups that hold a tube.
pub(super) fn cups_of(rig: &Rig, tube: usize) -> Vec<&str> {
    let holds = |h: &Hold| matches!(h, Hold::Tube { tube: t, .. } if *t == tube);
    rig.cups.iter().filter(|c| holds(&c.holds)).map(|c| c.tag.as_str()).collect()
}

/// A tag by index.
pub(super) fn tube(rig: &Rig, index: usize) -> &str {
    rig.tubes.get(index).map_or("?", |t| t.tag.as_str())
}
