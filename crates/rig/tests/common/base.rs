//! The sound rig that the tests edit.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

/// The sound rig that every fault is an edit of.
pub(crate) fn base() -> String {
    let path = format!("{}/tests/faults/base.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}
