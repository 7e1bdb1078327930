//! Names of steps, and of keys in the rig file.

use rig::Rig;
use rig::model::Hold;

/// Roles that sign.
pub(super) const RIGGER: &str = "rigging technician";
pub(super) const SECOND: &str = "second rigging technician";
pub(super) const SAFETY: &str = "safety officer";

/// A key of the rig file, the tag in quotes where it is not a bare word.
pub(super) fn key(table: &str, tag: &str, key: &str) -> String {
    let bare = !tag.is_empty() && tag.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
    if bare { format!("{table}.{tag}.{key}") } else { format!("{table}.\"{}\".{key}", tag.escape_default()) }
}

/// The step of a part.
pub(super) fn step(kind: &str, tag: &str, does: &str) -> String {
    format!("{kind} {tag}: {does}")
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
