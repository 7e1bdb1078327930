//! Runs the command line without a process.

use clingfish::Terminal;
use std::io::Cursor;
use std::path::PathBuf;

/// What a run gave.
pub(crate) struct Ran {
    /// Exit status.
    pub(crate) status: u8,
    /// Output.
    pub(crate) out: String,
    /// Error output.
    pub(crate) err: String,
}

/// Runs with some input.
pub(crate) fn run_with(args: &[&str], input: &str) -> Ran {
    let all = std::iter::once("clingfish").chain(args.iter().copied());
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let status = clingfish::run(all, Terminal::default(), &mut Cursor::new(input), &mut out, &mut err);
    let text = |bytes| String::from_utf8(bytes).expect("all output is UTF-8");
    Ran { status, out: text(out), err: text(err) }
}

/// The small rig of these tests: three cups, one plate.
pub(crate) fn plate() -> String {
    std::fs::read_to_string(path("plate.toml")).expect("tests/rigs/plate.toml is there")
}

/// The same with one text replaced everywhere.
pub(crate) fn plate_with(old: &str, new: &str) -> String {
    let text = plate();
    assert!(text.contains(old), "the rig has no {old}");
    text.replace(old, new)
}

/// A file in `tests/rigs`.
pub(crate) fn path(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/rigs").join(name)
}

/// A folder of a test's own, empty.
pub(crate) fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("the folder for temporary files can be written");
    folder
}

/// No line is wider than a terminal of 80 columns.
pub(crate) fn fits(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
    }
}
