//! The project's own text files.

use std::path::{Path, PathBuf};

/// One file of the project.
pub(crate) struct Text {
    /// Path from the top, with `/`.
    pub(crate) path: String,
    /// What is in it.
    pub(crate) text: String,
}

impl Text {
    /// Whether it is a file of Rust code.
    pub(crate) fn is_rust(&self) -> bool {
        is_rust(&self.path)
    }

    /// The part before the unit tests of a Rust file.
    pub(crate) fn shipped(&self) -> &str {
        self.text.split("\n#[cfg(test)]\nmod tests {").next().unwrap_or("")
    }
}

/// Whether a path is that of a file of Rust code.
pub(crate) fn is_rust(path: &str) -> bool {
    Path::new(path).extension().is_some_and(|e| e == "rs")
}

const SKIP: [&str; 4] = ["target", ".git", "corpus", "artifacts"];
const KINDS: [&str; 7] = ["rs", "md", "toml", "json", "py", "snap", "txt"];

fn walk(folder: &Path, out: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        std::fs::read_dir(folder).into_iter().flatten().flatten().map(|e| e.path()).collect();
    entries.sort();
    for path in entries {
        let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        if path.is_dir() {
            if !SKIP.contains(&name.as_str()) {
                walk(&path, out);
            }
        } else if path.extension().is_some_and(|e| KINDS.contains(&e.to_string_lossy().as_ref())) {
            out.push(path);
        }
    }
}

/// All text files under the top.
pub(crate) fn all(root: &Path) -> Vec<Text> {
    let mut paths = Vec::new();
    walk(root, &mut paths);
    let read = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).ok()?;
        let path = path.strip_prefix(root).ok()?.to_string_lossy().replace('\\', "/");
        Some(Text { path, text })
    };
    paths.into_iter().filter_map(read).collect()
}
